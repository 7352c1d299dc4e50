package record

import (
	"math"
	"slices"

	"halfstop/geom"
	"halfstop/render"
)

// Borders of the zones, shares of the way from the camera to the sitter, and metres behind: what is
// nearer than nearTo of that way is the foreground, what lies more than behind beyond the sitter
// the background (common practice, no source).
const (
	nearTo = 0.75
	behind = 0.6
)

// Zones reads the foreground, the middle and the background of a picture: how much of it each is,
// how bright, and by which lights. Nil without a sitter, whose place parts them.
func Zones(f *render.Frame) []Zone {
	s := f.Stage
	if s.Sitter == nil || s.View == nil || f.Film.Features == nil {
		return nil
	}
	far := math.Sqrt(s.View.Eye().Sub(geom.Of(s.Sitter.Landmarks["face"].At.Array())).Len2())
	zone := make([]int8, f.Film.W*f.Film.H)
	for i, d := range f.Film.Features.Depth {
		switch d := float64(d); {
		case d > 0 && d < nearTo*far:
			zone[i] = 0
		case d > 0 && d <= far+behind:
			zone[i] = 1
		default:
			zone[i] = 2
		}
	}
	whole := f.Linear(-1)
	out := []Zone{{Name: "foreground"}, {Name: "middle"}, {Name: "background"}}
	var sums [3]float64
	var levels [3][]float64
	clip := float64(f.Range().Clip)
	for i, z := range zone {
		sums[z] += max(0, whole[i].Y)
		l := math.Log2(max(whole[i].Y, 1e-9) / 0.18)
		levels[z] = append(levels[z], l)
		if l > clip {
			out[z].Clipped++
		}
	}
	for k := range s.Layers {
		var part [3]float64
		for i, t := range f.Linear(k) {
			part[zone[i]] += max(0, t.Y)
		}
		for z := range out {
			if sums[z] > 0 && part[z]/sums[z] >= 0.005 {
				out[z].Lights = append(out[z].Lights, s.Layers[k].Name)
				out[z].Shares = append(out[z].Shares, round(part[z]/sums[z], 3))
			}
		}
	}
	var kept []Zone
	for z := range out {
		n := len(levels[z])
		if n < len(zone)/500 { // a few stray pixels are no zone
			continue
		}
		slices.Sort(levels[z])
		o := &out[z]
		o.Share, o.Clipped = round(float64(n)/float64(len(zone)), 3), round(o.Clipped/float64(n), 4)
		o.Level = round(math.Log2(max(sums[z]/float64(n), 1e-9)/0.18), 2)
		o.Darkest, o.Top = round(levels[z][n/20], 2), round(levels[z][n-1-n/20], 2)
		kept = append(kept, *o)
	}
	return kept
}
