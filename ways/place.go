package ways

import (
	"fmt"
	"math"
	"slices"

	"halfstop/balance"
	"halfstop/geom"
	"halfstop/optics"
)

// The search over a light's area: so many places along each side and so many heights.
const (
	placesAlong = 7
	placesUp    = 4
	placesTried = 4
	placesApart = 0.45 // metres
)

// places searches a light's allowed area for places from which it would bring a missed target what it lacks. Each place is judged by hand's
// rules first (inverse square and slant at the two points, pattern and catchlight of a key, softness, exits and detectors kept clear); the few best
// that lie apart are built, held against room and frame, traced and balanced.
func (g *generator) places(l int, t *balance.Target, residual float64) {
	ly, w := g.lightOf(l)
	if len(w.Area) != 2 || len(ly.Bodies) == 0 || w.Lock || !g.mayMove(l) {
		return
	}
	from := ly.Bodies[0].At
	lo := geom.V(float64(min(w.Area[0][0], w.Area[1][0])), float64(min(w.Area[0][1], w.Area[1][1])), from.Z)
	hi := geom.V(float64(max(w.Area[0][0], w.Area[1][0])), float64(max(w.Area[0][1], w.Area[1][1])), from.Z)
	if w.Heights[0] > 0 && w.Heights[1] > w.Heights[0] {
		lo.Z, hi.Z = float64(w.Heights[0]), float64(w.Heights[1])
	}
	key := g.keyLight(l)
	type spot struct {
		at    geom.Vec
		worth float64
		words string
	}
	var spots []spot
	for i := range placesAlong {
		for j := range placesAlong {
			for k := range placesUp {
				at := geom.V(mix(lo.X, hi.X, i, placesAlong), mix(lo.Y, hi.Y, j, placesAlong), mix(lo.Z, hi.Z, k, placesUp))
				if k > 0 && hi.Z == lo.Z || !g.clear(at) || at.Sub(from).Len() < 0.2 {
					continue
				}
				gain := g.reach(at, t.Point) - g.reach(from, t.Point)
				if t.To >= 0 {
					gain -= max(0, g.reach(at, t.To)-g.reach(from, t.To))
				}
				p := spot{at: at, worth: math.Abs(gain+residual) + 0.1*at.Sub(from).Len()}
				if face, ok := g.face(); ok {
					d, d0 := at.Sub(face).Len(), from.Sub(face).Len()
					p.words = fmt.Sprintf(", %.1f m from the face", d)
					if key {
						p.worth += 0.4*math.Abs(math.Log2(d0/math.Max(d, 0.05))) + g.changed(from, at)
					}
				}
				if d := gain + residual; math.Abs(d) < math.Abs(residual)-0.2 {
					spots = append(spots, p)
				}
			}
		}
	}
	slices.SortStableFunc(spots, func(a, b spot) int {
		switch {
		case a.worth < b.worth:
			return -1
		case a.worth > b.worth:
			return 1
		}
		return 0
	})
	var taken []geom.Vec
	for _, p := range spots {
		if len(taken) == placesTried {
			break
		}
		if slices.ContainsFunc(taken, func(o geom.Vec) bool { return o.Sub(p.at).Len() < placesApart }) {
			continue
		}
		taken = append(taken, p.at)
		at := [3]float64{round(p.at.X), round(p.at.Y), round(p.at.Z)}
		c := change{kind: "place", words: fmt.Sprintf("put %s at %.2f, %.2f, height %.2f m%s", ly.Name, at[0], at[1], at[2], p.words), action: "move", layers: []string{ly.Name}}
		c.apply, c.edits = moveTo(ly, at)
		g.add(c)
	}
}

func mix(a, b float64, i, n int) float64 { return a + (b-a)*float64(i)/float64(n-1) }

// mayMove reports whether a light may be moved: all may where the look does not say which.
func (g *generator) mayMove(l int) bool {
	may := g.base.stage.Setup.May
	return may == nil || len(may.Place) == 0 || names(may.Place, &g.base.stage.Layers[l])
}

func (g *generator) keyLight(l int) bool { return g.base.stage.LayerNamed("key") == l }

// face is where the sitter's face is.
func (g *generator) face() (geom.Vec, bool) {
	if g.base.stage.Sitter == nil {
		return geom.Vec{}, false
	}
	return g.base.stage.Sitter.Landmarks["face"].At, true
}

// reach is what a small light at a place would give a point, stops against 1 m square on: inverse square and slant; from behind 12
// under that, about what a room's walls give.
func (g *generator) reach(at geom.Vec, point int) float64 {
	p := &g.base.stage.Points[point]
	d := at.Sub(p.At)
	r := d.Len()
	const none = -12
	if r < 0.2 {
		return none
	}
	slant := 1.0
	if n := p.Normal; n.Len2() > 0.25 {
		slant = d.Dot(n) / r
	}
	if slant < 0.02 {
		return none
	}
	return math.Log2(slant / (r * r))
}

// clear reports whether a place keeps off exits (1 m) and detectors (0.5 m).
func (g *generator) clear(at geom.Vec) bool {
	for _, x := range g.base.stage.Shoot.Room.Exits {
		if math.Hypot(float64(x[0])-at.X, float64(x[1])-at.Y) < 1 {
			return false
		}
	}
	for _, d := range g.base.stage.Shoot.Room.Detectors {
		if at.Sub(geom.V(float64(d[0]), float64(d[1]), float64(d[2]))).Len() < 0.5 {
			return false
		}
	}
	return true
}

// changed is what another pattern or a lost catchlight counts, stops of judgement: 1 each.
func (g *generator) changed(from, to geom.Vec) (cost float64) {
	s := g.base.stage
	if s.Sitter == nil || s.View == nil {
		return 0
	}
	face := s.Sitter.Landmarks["face"]
	if optics.PatternOf(face.At, face.Normal, from, s.View.At).Name != optics.PatternOf(face.At, face.Normal, to, s.View.At).Name {
		cost++
	}
	eye := s.Sitter.Landmarks["eye left"]
	if r := s.Sitter.Landmarks["eye right"]; r.At.Sub(s.View.At).Len2() < eye.At.Sub(s.View.At).Len2() {
		eye = r
	}
	const corneaRadius = 0.0078 // textbook eye, from memory
	lit := func(at geom.Vec) bool {
		c, ok := optics.CatchlightOf(eye.At.AddMul(eye.Normal, -corneaRadius), at, s.View.At, s.View.Up)
		return ok && c.OnIris
	}
	if lit(from) && !lit(to) {
		cost++
	}
	return cost
}
