package stage

import (
	"math"

	"halfstop/geom"
	"halfstop/kind"
	"halfstop/trace"
)

// standMesh builds a stand: three legs with braces from a sliding collar, a column in three
// sections with their collars, and for a boom its arm with the counterweight. Thicknesses are
// common practice, no source. It blocks light as a stand does.
func (s *Stage) standMesh(t *Standing, b *Body) *trace.Mesh {
	return s.mesh(s.solid(standKey{*t, b.Frame}, func() *kind.Solid { return buildStand(t, b) }), 0, "stand")
}

func buildStand(t *Standing, b *Body) *kind.Solid {
	r := kind.NewSolid(geom.Vec{}, geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)})
	black, metal := r.Surface("black gloss"), r.Surface("steel brushed")
	foot, top := t.Foot, t.Pivot
	tall := t.High()
	up := func(z float64) geom.Vec { return geom.V(foot.X, foot.Y, foot.Z+z) }
	reach := t.Footprint / 2
	column := metal
	k, _ := kind.FindStand(t.Kind)
	if k.Black {
		column = black
	}
	switch {
	case k.Plate || tall < 0.45:
		r.Turned(foot, geom.V(0, 0, 1), [][2]float64{{0, 0}, {min(0.14, reach), 0}, {min(0.14, reach), 0.012}, {0,
			0.012}}, 24, black)
	default:
		high := min(0.5, 0.9*reach, tall-0.2) // where the legs leave the column
		low := high * k.Brace
		for k := range 3 {
			sn, cs := math.Sincos(t.Turn + float64(k)*2*math.Pi/3)
			end := geom.V(foot.X+reach*cs, foot.Y+reach*sn, foot.Z+0.012)
			from := geom.V(foot.X+0.02*cs, foot.Y+0.02*sn, foot.Z+high)
			r.Bar(from, end, 0.011, 8, column)
			mid := from.Lerp(end, 0.5)
			r.Bar(geom.V(foot.X+0.02*cs, foot.Y+0.02*sn, foot.Z+low), mid, 0.006, 6, column)
			r.Bar(end.Add(geom.V(0, 0, -0.012)), end.Add(geom.V(0, 0, 0.014)), 0.016, 8, black)
		}
		for _, z := range [2]float64{high, low} {
			r.Bar(up(z-0.025), up(z+0.025), 0.028, 12, black)
		}
	}
	// The column: sections thinner as they rise, each with a collar and its knob.
	radius := [3]float64{0.0175, 0.015, 0.011}
	cut := [4]float64{0, min(1.05, tall), min(1.9, tall), tall}
	for k := range 3 {
		if cut[k+1]-cut[k] < 0.02 {
			continue
		}
		r.Bar(up(cut[k]), up(cut[k+1]), radius[k], 12, column)
		if cut[k+1] < tall-0.02 {
			z := cut[k+1]
			r.Bar(up(z-0.03), up(z+0.02), 0.026, 12, black)
			r.Bar(up(z-0.01), up(z-0.01).Add(geom.V(-0.055, 0, 0)), 0.012, 8, black)
		}
	}
	// What holds the head.
	if k.Arm {
		arm := t.Head.Sub(top)
		l := arm.Len()
		if l > 0.1 {
			tail := top.AddMul(arm, -0.55/l)
			r.Bar(tail, t.Head, 0.013, 12, metal)
			r.Bar(top.Add(geom.V(0, 0, -0.03)), top.Add(geom.V(0, 0, 0.05)), 0.03, 12, black)
			// The counterweight hangs under the tail.
			r.Bar(tail.Add(geom.V(0, 0, -0.32)), tail.Add(geom.V(0, 0, -0.06)), 0.07, 16, black)
			r.Bar(tail.Add(geom.V(0, 0, -0.07)), tail, 0.006, 6, black)
		}
	} else if t.Head.Z > top.Z+0.01 {
		r.Bar(top.Add(geom.V(0, 0, -0.02)), t.Head.Add(geom.V(0, 0, -0.05)), 0.014, 10, black)
		side := b.Frame.S.Mul(0.05)
		r.Bar(t.Head.Add(geom.V(0, 0, -0.06)).Sub(side), t.Head.Add(geom.V(0, 0, -0.06)).Add(side), 0.012, 8, black)
	}
	return r
}
