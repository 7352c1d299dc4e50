package shoot

import (
	"cmp"
	"math"
	"strings"

	"halfstop/kind"
)

// Footing is the height of what feet stand on at a place of the floor, metres, and its name: the
// top of a platform or the tread of a flight of steps among the objects, else 0 and none. x and y
// in metres; what is higher than under stands over the place: infinite for who may stand on
// anything. Check: stage TestFooting, TestStandOnPlatform, TestUnderPlatform.
func Footing(x, y, under float64, lists ...[]Object) (top float64, on string) {
	for _, list := range lists {
		for i := range list {
			o := &list[i]
			steps := strings.EqualFold(string(o.Kind), "steps")
			if o.Box == nil || o.Box.Inside || !steps && !strings.EqualFold(string(o.Kind), "platform") {
				continue
			}
			low := 0.0
			if len(o.Box.At) > 2 {
				low = float64(o.Box.At[2])
			}
			sn, cs := math.Sincos(o.Turn.Radians())
			dx, dy := x-float64(o.Box.At[0]), y-float64(o.Box.At[1])
			along, back := dx*cs+dy*sn, dy*cs-dx*sn
			w, d, h := float64(o.Box.Size[0]), float64(o.Box.Size[1]), float64(o.Box.Size[2])
			if along <= 0 || back <= 0 || along >= w || back >= d {
				continue
			}
			if steps {
				h = kind.StepAt(back/d, h)
			}
			if h += low; h > top && h <= under {
				top, on = h, cmp.Or(o.Name, string(o.Kind))
			}
		}
	}
	return top, on
}
