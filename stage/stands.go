package stage

import (
	"math"

	"halfstop/geom"
	"halfstop/trace"
)

// standMesh builds a stand: three legs with braces from a sliding collar, a column in three sections with their collars, and for a boom its arm with
// the counterweight. Thicknesses are common practice, no source. It blocks light as a stand does.
func (s *Stage) standMesh(t *Standing, b *Body) *trace.Mesh {
	black, metal := s.preset("black gloss", "stand"), s.preset("steel brushed", "stand")
	r := newSolid(geom.Vec{}, geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)})
	foot, top := t.Foot, t.Pivot
	up := func(z float64) geom.Vec { return geom.V(foot.X, foot.Y, z) }
	reach := t.Footprint / 2
	column := metal
	if t.Kind == "stand" || t.Kind == "floor" {
		column = black
	}
	switch {
	case t.Kind == "floor" || top.Z < 0.45:
		r.turned(foot, geom.V(0, 0, 1), [][2]float64{{0, 0}, {min(0.14, reach), 0}, {min(0.14, reach), 0.012}, {0, 0.012}}, 24, black)
	default:
		high := min(0.5, 0.9*reach, top.Z-0.2) // where the legs leave the column
		low := high * 0.35
		if t.Kind == "grip" || t.Kind == "roller" {
			low = high * 0.55
		}
		turn := math.Atan2(b.Frame.N.Y, b.Frame.N.X) // one leg goes under the light
		for k := range 3 {
			sn, cs := math.Sincos(turn + float64(k)*2*math.Pi/3)
			end := geom.V(foot.X+reach*cs, foot.Y+reach*sn, 0.012)
			from := geom.V(foot.X+0.02*cs, foot.Y+0.02*sn, high)
			r.bar(from, end, 0.011, 8, column)
			mid := from.Lerp(end, 0.5)
			r.bar(geom.V(foot.X+0.02*cs, foot.Y+0.02*sn, low), mid, 0.006, 6, column)
			r.bar(end.Add(geom.V(0, 0, -0.012)), end.Add(geom.V(0, 0, 0.014)), 0.016, 8, black)
		}
		for _, z := range [2]float64{high, low} {
			r.bar(up(z-0.025), up(z+0.025), 0.028, 12, black)
		}
	}
	// The column: sections thinner as they rise, each with a collar and its knob.
	radius := [3]float64{0.0175, 0.015, 0.011}
	cut := [4]float64{0, min(1.05, top.Z), min(1.9, top.Z), top.Z}
	for k := range 3 {
		if cut[k+1]-cut[k] < 0.02 {
			continue
		}
		r.bar(up(cut[k]), up(cut[k+1]), radius[k], 12, column)
		if cut[k+1] < top.Z-0.02 {
			z := cut[k+1]
			r.bar(up(z-0.03), up(z+0.02), 0.026, 12, black)
			r.bar(geom.V(foot.X, foot.Y, z-0.01), geom.V(foot.X-0.055, foot.Y, z-0.01), 0.012, 8, black)
		}
	}
	// What holds the head.
	if t.Kind == "boom" {
		arm := t.Head.Sub(top)
		l := arm.Len()
		if l > 0.1 {
			tail := top.AddMul(arm, -0.55/l)
			r.bar(tail, t.Head, 0.013, 12, metal)
			r.bar(top.Add(geom.V(0, 0, -0.03)), top.Add(geom.V(0, 0, 0.05)), 0.03, 12, black)
			// The counterweight hangs under the tail.
			r.bar(tail.Add(geom.V(0, 0, -0.32)), tail.Add(geom.V(0, 0, -0.06)), 0.07, 16, black)
			r.bar(tail.Add(geom.V(0, 0, -0.07)), tail, 0.006, 6, black)
		}
	} else if t.Head.Z > top.Z+0.01 {
		r.bar(top.Add(geom.V(0, 0, -0.02)), t.Head.Add(geom.V(0, 0, -0.05)), 0.014, 10, black)
		side := b.Frame.S.Mul(0.05)
		r.bar(t.Head.Add(geom.V(0, 0, -0.06)).Sub(side), t.Head.Add(geom.V(0, 0, -0.06)).Add(side), 0.012, 8, black)
	}
	return &r.mesh
}

// bar is a round bar with n sides and closed ends.
func (s *solid) bar(a, b geom.Vec, r float64, n, mat int) {
	l := b.Sub(a).Len()
	if l < 1e-6 {
		return
	}
	s.turned(a, b.Sub(a), [][2]float64{{0, 0}, {r, 0}, {r, l}, {0, l}}, n, mat)
}
