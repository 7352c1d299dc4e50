package spectrum

import (
	"math"
	"testing"
)

func TestCurveReading(t *testing.T) {
	c := Curve{400, 10, []float64{1, 3, 2}}
	for _, r := range [][3]float64{{400, 1, 1}, {405, 2, 2}, {420, 2, 2}, {420.1, 0, 2}, {399.9, 0, 1}, {415, 2.5, 2.5},
		{math.Inf(1), 0, 2}, {math.Inf(-1), 0, 1}, {math.NaN(), 0, 0}} {
		near(t, "At", c.At(r[0]), r[1], 1e-12)
		near(t, "AtHeld", c.AtHeld(r[0]), r[2], 1e-12)
	}
	var none Curve
	near(t, "empty", none.At(500)+none.AtHeld(500)+none.XYZ().Y+none.Efficacy()+none.Power(), 0, 0)
	if !none.Mul(c).Empty() || !c.Mul(none).Empty() || !none.PerLuminance().Empty() || none.Check() != nil {
		t.Error("the empty curve is not dark")
	}
	for _, odd := range []Curve{{500, 0, []float64{1, 2}}, {math.NaN(), 1, []float64{1, 2}},
		{500, math.NaN(), []float64{1}}, {500, -1, []float64{1, 2}}, {500, 1, []float64{math.NaN()}},
		{500, 1, []float64{-1}}} {
		if odd.Check() == nil && len(odd.V) > 1 {
			t.Errorf("%v taken", odd)
		}
		odd.XYZ()
		odd.Windows()
		odd.Mul(c)
		c.Mul(odd)
		odd.Add(c)
		odd.Resample(400, 1, 10)
	}
}

// A filter is read between the light's samples and the light between the filter's, whichever is
// finer.
func TestMul(t *testing.T) {
	light := Curve{400, 5, []float64{0, 10, 0}}
	filter := Curve{400, 1, []float64{0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0}}
	p := light.Mul(filter)
	near(t, "step", p.Step, 1, 0)
	near(t, "405", p.At(405), 10, 1e-12)
	near(t, "403", p.At(403), 6, 1e-12)
	near(t, "404", p.At(404), 0, 1e-12)
	near(t, "held", light.Mul(Constant(0.5)).At(405), 5, 1e-12)
}

// Coarser samples keep power and centroid of what is inside them.
func TestResampleKeepsPower(t *testing.T) {
	fine := Gaussian(531.3, 7)
	coarse := fine.Resample(360, 5, 95)
	sum, centroid := 0.0, 0.0
	for i, v := range coarse.V {
		sum += 5 * v
		centroid += 5 * v * (360 + 5*float64(i))
	}
	near(t, "power", sum, fine.Power(), 1e-9)
	near(t, "centroid", centroid/sum, 531.3, 1e-6)
	held := Constant(0.3).ResampleHeld(100, 50, 40)
	near(t, "held", held.AtHeld(3000), 0.3, 0)
}

// A smooth curve goes through its points and never beyond their range between them.
func TestSmooth(t *testing.T) {
	pairs := [][2]float64{{400, 0.05}, {500, 0.04}, {560, 0.05}, {590, 0.12}, {620, 0.95}, {660, 1}, {700, 1},
		{380, 0.06}}
	c, err := Smooth(pairs)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pairs {
		near(t, "point", c.At(p[0]), p[1], 1e-12)
	}
	for _, v := range c.V {
		if v < 0.04 || v > 1 {
			t.Errorf("overshoot %g", v)
		}
	}
	for _, bad := range [][][2]float64{nil, {{500, 1}}, {{500, 1}, {500, 2}}, {{500, -1}, {600, 1}},
		{{500, math.NaN()}, {600, 1}}, {{math.NaN(), 1}, {600, 1}}, {{0, 1}, {600, 1}},
		{{500, math.Inf(1)}, {600, 1}}} {
		if _, err := OfPairs(bad); err == nil {
			t.Errorf("%v taken", bad)
		}
	}
}

// A triangular window reads a straight slope at its centre and a constant as itself.
func TestWindows(t *testing.T) {
	slope, _ := OfPairs([][2]float64{{360, 0}, {830, 1}})
	b := slope.Windows()
	for k, c := range Centres {
		near(t, "slope", float64(b[k]), (c-360)/470, 1e-6)
	}
	for _, v := range Constant(0.18).Windows() {
		near(t, "grey", float64(v), 0.18, 1e-7)
	}
	one := One()
	if m := one.Mul(b); m != b {
		t.Error("one times b is not b")
	}
}
