package optics

import (
	"math"
	"testing"

	"halfstop/geom"
	q "halfstop/quantity"
)

// TestRatioTable: trade table 3.1, derived there: sides = 1 + 2^stops, as printed (one decimal;
// stops to a tenth).
func TestRatioTable(t *testing.T) {
	for _, c := range []struct{ stops, lights, sides, lit float64 }{{0, 1, 2, 1}, {0.5, 1.4, 2.4, 1.3}, {1, 2, 3, 1.6},
		{1.5, 2.8, 3.8, 1.9}, {2, 4, 5, 2.3},
		{2.5, 5.7, 6.7, 2.7}, {3, 8, 9, 3.2}, {4, 16, 17, 4.1}, {5, 32, 33, 5.0}} {
		r := RatioOf(q.Stops(c.stops))
		if math.Abs(r.Lights-c.lights) > 0.051 || math.Abs(r.Sides-c.sides) > 0.051 ||
			math.Abs(float64(r.LitOverShade)-c.lit) > 0.051 {
			t.Errorf("%+v: %+v", c, r)
		}
		a, ok1 := RatioFromSides(r.Sides)
		b, ok2 := RatioFromLights(r.Lights)
		if !ok1 || !ok2 || math.Abs(float64(a.KeyOverFill)-c.stops) > 1e-9 ||
			math.Abs(float64(b.KeyOverFill)-c.stops) > 1e-9 {
			t.Error("there and back", c, a, b)
		}
	}
	// the same chapter: a bare R:1 in a brief, both ways of reading
	for r, s := range map[float64][2]float64{2: {0, 1}, 3: {1, 1.585}, 4: {1.6, 2}, 8: {2.8, 3}} {
		a, _ := RatioFromSides(r)
		b, _ := RatioFromLights(r)
		if math.Abs(float64(a.KeyOverFill)-s[0]) > 0.051 || math.Abs(float64(b.KeyOverFill)-s[1]) > 0.051 {
			t.Error(r, a, b)
		}
	}
	for _, r := range []float64{1, 0, -3, math.NaN(), math.Inf(1)} {
		if _, ok := RatioFromSides(r); ok {
			t.Error(r)
		}
	}
	if r, ok := RatioFromSides(3); !ok || math.Abs(r.Sides-3) > 1e-12 || r.Words() != "classic portrait" {
		t.Error(r, ok)
	}
}

// TestSoftness: trade table 3.6 (derived there), degrees and millimetres as printed. Its word for 3
// diameters, 'crisp', is a sharp edge elsewhere and is not taken: the words go one way only.
func TestSoftness(t *testing.T) {
	for _, c := range []struct {
		ratio, deg, mm float64
		word           string
	}{{0.7, 71, 43, "very soft, wraps"}, {1, 53, 30, "soft, beauty"}, {1.5, 37, 20, "soft"}, {2, 28, 15, "medium"},
		{3, 19, 10, "half-hard"}, {4, 14, 7.5, "half-hard"}, {6, 10, 5, "hard"}, {8, 7, 4, "hard"}} {
		d := q.Metres(c.ratio)
		if got := float64(Covers(1, d)); math.Abs(got-c.deg) > 0.7 {
			t.Errorf("%v: covers %v", c, got)
		}
		if got := float64(Penumbra(NoseGap, 1, d)) * 1000; math.Abs(got-c.mm) > 0.51 {
			t.Errorf("%v: penumbra %v", c, got)
		}
		if got := Softness(1, d); got != c.word {
			t.Errorf("%v: %s", c, got)
		}
	}
}

// TestPatterns: the angles of trade table 3.2, on a face that looks along -y, turned, and tilted.
func TestPatterns(t *testing.T) {
	eye := geom.V(1, 2, 1.6)
	for _, head := range []struct {
		nose geom.Vec
		name string
	}{{geom.V(0, -1, 0), "straight"}, {geom.V(1, -1, 0).Unit(), "turned"}, {geom.V(0.2, -1, -0.3).Unit(),
		"turned and lowered"}} {
		f := geom.UprightFrame(head.nose)
		for _, c := range []struct {
			around, above float64
			want          string
		}{{0, 40, "butterfly"}, {8, 45, "butterfly"}, {30, 40, "loop"}, {22, 30, "loop"}, {45, 30, "loop"},
			{45, 45, "Rembrandt"}, {50, 48, "Rembrandt"}, {60, 26, "Rembrandt"}, {65, 8, "split"}, {80, 30, "split"},
			{90, 10, "split"},
			{135, 20, "rim"}, {112, 40, "rim"}, {160, 0, "rim"}, {30, 80, "top"}, {0, 75, "top"}, {0, 0, "flat"},
			{20, -40, "under"}, {175, 20, "back"}} {
			for _, side := range []float64{1, -1} {
				a, e := side*c.around*math.Pi/180, c.above*math.Pi/180
				l := eye.Add(f.Out(math.Sin(a)*math.Cos(e), math.Sin(e), math.Cos(a)*math.Cos(e)).Mul(1.3))
				p := PatternOf(eye, head.nose, l, eye.AddMul(head.nose, 3))
				if p.Name != c.want || math.Abs(float64(p.Around)-side*c.around) > 1e-6 ||
					math.Abs(float64(p.Above)-c.above) > 1e-6 {
					t.Errorf("%s, %v: %+v", head.name, c, p)
				}
				if p.Cheek != "" {
					t.Error("the camera is straight ahead")
				}
			}
		}
	}
	// The sitter looks along -y, so the sitter's left is +x. The camera stands at the sitter's
	// left.
	nose, camera := geom.V(0, -1, 0), eye.Add(geom.V(2, -3, 0))
	left, right := eye.Add(geom.V(1, -1.5, 1)), eye.Add(geom.V(-1, -1.5, 1))
	if p := PatternOf(eye, nose, left, camera); p.Side != "left" || p.Cheek != "broad" {
		t.Errorf("%+v", p)
	}
	if p := PatternOf(eye, nose, right, camera); p.Side != "right" || p.Cheek != "short" {
		t.Errorf("%+v", p)
	}
	if p := PatternOf(eye, nose, eye.Add(geom.V(math.Tan(38*math.Pi/180), -1, 1)), camera); p.Name != "loop" ||
		p.Next != "Rembrandt" && p.Next != "loop" {
		t.Errorf("%+v", p)
	}
	// Words at a border, and well inside: 48° round and 30° up lies 2° from Rembrandt; 60° round
	// and 26° up is no split.
	for _, c := range []struct {
		around, above float64
		want          string
	}{{48, 30, "between loop and Rembrandt"}, {60, 26, "Rembrandt"}, {30, 40, "loop"},
		{12, 35, "between butterfly and loop"}, {73, 30, "between Rembrandt and split"}} {
		f, a, e := geom.UprightFrame(nose), c.around*math.Pi/180, c.above*math.Pi/180
		l := eye.Add(f.Out(math.Sin(a)*math.Cos(e), math.Sin(e), math.Cos(a)*math.Cos(e)).Mul(1.3))
		if got := PatternOf(eye, nose, l, eye.AddMul(nose, 3)).Words(); got != c.want {
			t.Errorf("%v: %s", c, got)
		}
	}
	// nothing to go by
	if p := PatternOf(eye, geom.Vec{}, eye, eye); math.IsNaN(float64(p.Around)) || math.IsNaN(float64(p.Above)) {
		t.Errorf("%+v", p)
	}
}

// TestCatchlight: closed forms. Far off, the mirror point's normal halves the angle: a light 60°
// above the camera's axis shows 30° up, 7.8 mm·sin 30° = 3.9 mm at 12 o'clock.
func TestCatchlight(t *testing.T) {
	eye, up := geom.V(0, 0, 1.6), geom.V(0, 0, 1)
	camera := eye.Add(geom.V(0, -1e4, 0))
	for _, c := range []struct {
		x, z      float64 // right and up in the picture
		hour, off float64
	}{{0, 1, 12, 3.9}, {1, 0, 3, 3.9}, {-1, 0, 9, 3.9}, {0, -1, 6, 3.9}, {1, 1, 1.5, 3.9}, {-1, 1, 10.5, 3.9}} {
		s := math.Sin(math.Pi/3) / math.Hypot(c.x, c.z)
		l := eye.Add(geom.V(c.x*s, -math.Cos(math.Pi/3), c.z*s).Mul(1e4))
		got, ok := CatchlightOf(eye, l, camera, up)
		// 1e-5: the light is 10 km away, not infinitely
		if !ok || math.Abs(got.Hour-c.hour) > 1e-5 || math.Abs(float64(got.Offset)*1000-c.off) > 1e-3 || !got.OnIris {
			t.Errorf("%v: %+v %v", c, got, ok)
		}
	}
	// near: angle of incidence equals that of reflection at the point found
	l, cam := eye.Add(geom.V(0.4, -0.6, 0.5)), eye.Add(geom.V(0.1, -1.2, 0))
	got, ok := CatchlightOf(eye, l, cam, up)
	if !ok || got.Hour < 1 || got.Hour > 2 || !got.GoodHour() {
		t.Errorf("%+v %v", got, ok)
	}
	if got, ok := CatchlightOf(eye, cam, cam, up); !ok || got.Hour != 12 || got.Offset > 1e-9 {
		t.Errorf("ring light: %+v", got)
	}
	for _, bad := range []geom.Vec{eye, eye.Add(geom.V(0, 1e4, 0)), {X: math.NaN()}, {X: math.Inf(1)}} {
		if c, ok := CatchlightOf(eye, bad, camera, up); ok {
			t.Errorf("%v: %+v", bad, c)
		}
	}
}
