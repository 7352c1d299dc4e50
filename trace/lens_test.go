package trace

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// The share that a rim leaves open is what counting points says, and the points drawn lie in it,
// even about its middle; without a rim, or well stopped down, all is open.
func TestRim(t *testing.T) {
	l := Lens{Right: geom.V(1, 0, 0), Up: geom.V(0, 0, 1), Axis: geom.V(0, 1, 0), Width: 0.036, Height: 0.024,
		Image: 0.05, Focus: 2, Radius: 0.014, Rim: 0.014}
	l.RimShift = 0.475 * l.Rim / math.Hypot(0.018, 0.012)
	seq := sample.New(4, 0)
	const n = 40000
	for _, at := range [][2]float64{{0.5, 0.5}, {0, 0}, {1, 0.2}, {0.9, 1}} {
		ca, cb := l.rim(at[0], at[1])
		in, ma, mb, wa, wb := 0, 0.0, 0.0, 0.0, 0.0
		for i := range uint32(n) {
			a, b := sample.Disc(seq.Point2(i, 0))
			a, b = a*l.Radius, b*l.Radius
			if max(math.Hypot(a-ca, b-cb), math.Hypot(a+ca, b+cb)) <= l.Rim {
				in, wa, wb = in+1, wa+a, wb+b
			}
			u, v := seq.Point2(i, 1)
			a, b = l.opening(at[0], at[1], u, v)
			if math.Hypot(a, b) > l.Radius*(1+1e-9) ||
				max(math.Hypot(a-ca, b-cb), math.Hypot(a+ca, b+cb)) > l.Rim*(1+1e-9) {
				t.Fatalf("a ray through %.4f, %.4f, which is shut", a, b)
			}
			ma, mb = ma+a/n, mb+b/n
		}
		if got, want := l.Vignetting(at[0], at[1]), float64(in)/n; math.Abs(got-want) > 0.005 {
			t.Errorf("at %v: %.4f open, counted %.4f", at, got, want)
		}
		// The middle of even points: within four standard errors of two counts of points spread
		// over the radius (0.5 r, some 17,000 and more).
		if e := 4 * l.Radius * 0.5 * math.Sqrt(2/float64(in)); math.Abs(ma-wa/float64(in)) > e ||
			math.Abs(mb-wb/float64(in)) > e {
			t.Errorf("at %v: rays go through %.5f, %.5f on the mean, want %.5f, %.5f", at, ma, mb, wa/float64(in),
				wb/float64(in))
		}
	}
	if k := l.Vignetting(0, 0); math.Abs(k-0.42) > 0.01 {
		t.Errorf("the corner gets %.3f of the middle, stated 0.42", k)
	}
	l.Radius /= 2
	if k := l.Vignetting(0, 0); k < 0.999 {
		t.Errorf("two stops down the corner still gets %.3f only", k)
	}
	l.Radius, l.Rim = 0.014, 0
	if k := l.Vignetting(0, 0); k != 1 {
		t.Errorf("no rim, and %.3f open", k)
	}
}
