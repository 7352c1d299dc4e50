package photo

import (
	"math"
	"math/rand"
	"testing"

	"halfstop/geom"
)

// TestResect: corners of rooms projected by the pinhole's own equations are taken back to the
// camera: exactly without error, and within three stated standard deviations in 95 of 100 and more
// where each corner is missed by 0.3 % of the width (99.7 of 100 of a normal; the linear covariance
// is short of it where few corners are seen).
func TestResect(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	exact, tried, within := 0, 0, 0
	for n := 0; n < 60; n++ {
		w, d, h := 3+4*r.Float64(), 3+5*r.Float64(), 2.3+r.Float64()
		at := geom.V(w*(0.2+0.6*r.Float64()), 0.3+0.3*r.Float64(), 1+0.8*r.Float64())
		yaw, pitch, roll := math.Pi/2+0.3*(r.Float64()-0.5), 0.15*(r.Float64()-0.5), 0.06*(r.Float64()-0.5)
		lens, aspect := 18+14*r.Float64(), 2.0/3
		axis := geom.V(math.Cos(yaw)*math.Cos(pitch), math.Sin(yaw)*math.Cos(pitch), math.Sin(pitch))
		right := axis.Cross(geom.V(0, 0, 1)).Unit()
		up := right.Cross(axis)
		right, up = right.Mul(math.Cos(roll)).AddMul(up, math.Sin(roll)),
			up.Mul(math.Cos(roll)).AddMul(right, -math.Sin(roll))
		var list []Sight
		// The far wall's corners, and a door's on the side: not all in one plane.
		for _, p := range []geom.Vec{{X: 0, Y: d, Z: 0}, {X: w, Y: d, Z: 0}, {X: w, Y: d, Z: h}, {X: 0, Y: d, Z: h},
			{X: 0, Y: d - 1, Z: 2}, {X: w, Y: d - 0.8, Z: 0.8}} {
			v := p.Sub(at)
			x := 0.5 + lens/36*v.Dot(right)/v.Dot(axis)
			y := 0.5 - lens/36*v.Dot(up)/v.Dot(axis)/aspect
			if x > 0 && x < 1 && y > 0 && y < 1 {
				list = append(list, Sight{p, x, y})
			}
		}
		if len(list) < 4 {
			continue
		}
		tried++
		for _, given := range []float64{lens, 0} {
			if given == 0 && len(list) < 5 {
				continue // four in one plane, seen square on, do not tell a lens from a distance
			}
			s, err := Resect(list, aspect, given)
			if err != nil {
				t.Fatalf("room %d: %v", n, err)
			}
			if s.At.Sub(at).Len() > 0.002 || s.Axis.Sub(axis).Len() > 0.002 || math.Abs(s.Roll-roll) > 0.002 ||
				math.Abs(s.Lens-lens) > 0.05 {
				t.Errorf("room %d, lens %.0f given: %v for %v, lens %.2f for %.2f", n, given, s.At, at, s.Lens, lens)
			}
			for _, l := range list { // the same equations, backwards: to each place goes its ray
				if r := s.Ray(l.X, l.Y, aspect); r.Sub(l.At.Sub(s.At).Unit()).Len() > 1e-3 {
					t.Errorf("room %d: the ray to %v goes %v", n, l.At, r)
				}
			}
			exact++
		}
		for i := range list {
			list[i].X += clickError * r.NormFloat64()
			list[i].Y += clickError / aspect * r.NormFloat64()
		}
		s, err := Resect(list, aspect, lens)
		if err != nil {
			t.Fatalf("room %d: %v", n, err)
		}
		if e := s.At.Sub(at); math.Abs(e.X) < 3*s.SD.X && math.Abs(e.Y) < 3*s.SD.Y && math.Abs(e.Z) < 3*s.SD.Z {
			within++
		}
	}
	if tried < 25 || exact < tried {
		t.Fatalf("%d rooms with four corners in view, %d taken back", tried, exact)
	}
	if within < tried*95/100 {
		t.Errorf("%d of %d within three standard deviations", within, tried)
	}
	line := []Sight{{At: geom.V(0, 0, 0)}, {At: geom.V(1, 0, 0)}, {At: geom.V(2, 0, 0)}, {At: geom.V(3, 0, 0)}}
	for _, bad := range [][]Sight{line[:3], line} {
		if s, err := Resect(bad, 0.66, 0); err == nil {
			t.Errorf("%d places on a line give %+v", len(bad), s)
		}
	}
}
