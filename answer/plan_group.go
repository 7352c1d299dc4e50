package answer

import (
	"fmt"
	"math"
	"strings"

	"halfstop/sheet"
)

// group joins the lights of the house that are alike: the same words, colour, face and name but
// for what counts them ('panel 1.1', 'panel 1.2'). Their fields add up.
func group(lights []sheet.Light) (out []sheet.Light) {
	type groupKey struct {
		name, words, dial, where string
		kind                     sheet.Kind
		shape                    sheet.Shape
		w, h                     float64
	}
	group := map[groupKey][]int{}
	key := func(l *sheet.Light) (groupKey, bool) {
		name := strings.TrimRight(l.Role, "0123456789. -/")
		if !l.Fixed || len(l.Bodies) != 1 || name == "" || name == l.Role {
			return groupKey{}, false
		}
		b := l.Bodies[0]
		return groupKey{name, l.Words, l.Dial, l.Where, l.Kind, b.Shape, math.Round(b.Width * 1000),
			math.Round(b.Height * 1000)}, true
	}
	for i := range lights {
		if k, ok := key(&lights[i]); ok {
			group[k] = append(group[k], i)
		}
	}
	for i := range lights {
		l := lights[i]
		k, ok := key(&l)
		if members := group[k]; ok && len(members) > 1 {
			if members[0] != i {
				continue
			}
			first, last := l.Role[len(k.name):], lights[members[len(members)-1]].Role[len(k.name):]
			l.Bodies = append([]sheet.Body(nil), l.Bodies...)
			for _, other := range members[1:] {
				o := &lights[other]
				l.Bodies = append(l.Bodies, o.Bodies...)
				l.Field = sum(l.Field, o.Field)
			}
			l.Role = fmt.Sprintf("%s ×%d", k.name, len(members))
			l.Words = fmt.Sprintf("%d alike, %s to %s: %s", len(members), strings.TrimSpace(first),
				strings.TrimSpace(last), l.Words)
		}
		out = append(out, l)
	}
	return out
}

// sum adds two fields of stops on the same grid as light; nil is none.
func sum(a, b *sheet.Field) *sheet.Field {
	switch {
	case a == nil:
		return b
	case b == nil || a.NX != b.NX || a.NY != b.NY || a.X0 != b.X0 || a.Y0 != b.Y0:
		return a
	}
	out := *a
	out.Stops = make([]float64, len(a.Stops))
	for i, v := range a.Stops {
		light := 0.0
		for _, x := range []float64{v, b.Stops[i]} {
			if !math.IsNaN(x) {
				light += math.Exp2(x)
			}
		}
		out.Stops[i] = math.Log2(light)
	}
	return &out
}
