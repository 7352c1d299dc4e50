package answer

import (
	"math"
	"strings"
	"testing"

	"halfstop/geom"
	"halfstop/shoot"
	"halfstop/stage"
)

// TestSunPatchOnWall: a low sun's patch lies on the wall over against the window, by trigonometry;
// a middling one's on floor and wall, which meet; in an L-shaped room none lies outside.
func TestSunPatchOnWall(t *testing.T) {
	f, doc, list := shoot.Parse("s", []byte(strings.Replace(sunny, "%s", "clear", 1)), shoot.Options{})
	if f == nil {
		t.Fatal(list.Text())
	}
	s, list := stage.Build(f, doc, 0, stage.Options{Empty: true})
	if s == nil {
		t.Fatal(list.Text())
	}
	g, room := &s.Glazings[0], &f.Room
	corners, ceiling := stage.Outline(room)
	deg := math.Pi / 180
	for _, c := range []struct {
		alt, west float64
		on        []int // walls; 0: the floor
	}{
		{5, 0, []int{3}},     // head 2.5 m less 6 m · tan 5° = 1.98 m up
		{18, 0, []int{0, 3}}, // reaches 7.7 m: floor from 3.1 m, wall up to 0.55 m
		{40, 0, []int{0}},    // 3 m in at most
		{10, 60, []int{2}},   // far to the side: the wall beside it
	} {
		// +y is north: a sun in the south stands at −y; west of it, at −x.
		sn, cs := math.Sincos(c.west * deg)
		h, v := math.Cos(c.alt*deg), math.Sin(c.alt*deg)
		sun := geom.V(-sn*h, -cs*h, v)
		got := lies(g, sun, corners, ceiling)
		var on []int
		for _, p := range got {
			on = append(on, p.Wall)
			for _, q := range p.Corners {
				if q[0] < -1e-9 || q[1] < -1e-9 || q[0] > 6+1e-9 || q[1] > 6+1e-9 {
					t.Errorf("%g°: %v lies outside the room", c.alt, q)
				}
			}
			if p.Wall == 3 && c.west == 0 {
				top := 0.0
				for _, q := range p.Corners {
					top = math.Max(top, q[1])
				}
				if want := 2.5 - 6*math.Tan(c.alt*deg); math.Abs(top-want) > 1e-6 {
					t.Errorf("%g°: it reaches %.3f m up the wall, want %.3f", c.alt, top, want)
				}
			}
		}
		if len(on) != len(c.on) || on[0] != c.on[0] || on[len(on)-1] != c.on[len(c.on)-1] {
			t.Errorf("sun %g° up, %g° west: on %v, want %v", c.alt, c.west, on, c.on)
		}
	}
	ell := []geom.Vec{{}, geom.V(4, 0, 0), geom.V(4, 6, 0), geom.V(3, 6, 0), geom.V(3, 1.5, 0), geom.V(0, 1.5, 0)}
	for _, p := range lies(g, geom.V(0, -1, 1).Unit(), ell, ceiling) {
		for _, q := range p.Corners {
			if p.Wall == 0 && q[0] < 3-1e-9 && q[1] > 1.5+1e-9 {
				t.Errorf("%v lies outside the L", q)
			}
		}
	}
}
