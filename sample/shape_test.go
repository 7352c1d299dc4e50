package sample

import (
	"math"
	"testing"

	"halfstop/geom"
)

// TestDisc: counts in rings and sectors of equal area.
func TestDisc(t *testing.T) {
	const n = 24
	seen, want := make([]float64, n*n), make([]float64, n*n)
	s := New(5, 5)
	for i := range uint32(draws) {
		x, y := Disc(s.Noise(i, 0), s.Noise(i, 1))
		phi := math.Atan2(y, x) / (2 * math.Pi)
		seen[min(int((x*x+y*y)*n), n-1)*n+min(int((phi-math.Floor(phi))*n), n-1)]++
	}
	for i := range want {
		want[i] = draws / float64(n*n)
	}
	chi(t, seen, want)
	if x, y := Disc(0.5, 0.5); x != 0 || y != 0 {
		t.Error("the middle should be the middle", x, y)
	}
}

// TestHG: G2.1–G2.5 of the check values, derived there from Henyey and Greenstein 1941.
func TestHG(t *testing.T) {
	for _, c := range []struct {
		id             string
		cos, want, tol float64
	}{{"G2.1", 1, 3.58099, 1e-4}, {"G2.2", 0, 0.0136404, 1e-6}, {"G2.3", -1, 0.00491219, 1e-6}} {
		if got := HGPdf(c.cos, 0.8); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: %v, not %v", c.id, got, c.want)
		}
	}
	// G2.4 and G2.5 by substitution: HG(g, u) inverts the distribution, so the mean of its cosine
	// over u is ∫ 2π c p(c) dc
	for _, g := range []float64{0.8, -0.8, 0.3, 1e-7, 0, 0.99} {
		sum, mean := 0.0, 0.0
		const n = 2_000_000
		for i := range n {
			c := -1 + 2*(float64(i)+0.5)/n
			p := 2 * math.Pi * HGPdf(c, g) * 2 / n
			sum, mean = sum+p, mean+c*p
		}
		// 1e-8 is the tolerance of G2.4; at g = 0.99 the peak is 2e4 times narrower and midpoint
		// sums reach 2e-5
		tol := 1e-8
		if g == 0.99 {
			tol = 2e-5
		}
		if math.Abs(sum-1) > tol || math.Abs(mean-g) > tol {
			t.Errorf("g %v: integral %v, mean cosine %v", g, sum, mean)
		}
		m := 0.0
		for i := range 100_000 {
			m += HG(g, (float64(i)+0.5)/100_000) / 100_000
		}
		if math.Abs(m-g) > 1e-5 {
			t.Errorf("g %v: mean sampled cosine %v", g, m)
		}
		if a, b := HG(g, 0), HG(g, 1); a < -1 || b > 1 || math.Abs(a) < 0.99 || math.Abs(b) < 0.99 {
			t.Errorf("g %v: ends %v %v", g, a, b)
		}
	}
}

// TestGGXHandbook: F2.1–F2.3 of the check values.
func TestGGXHandbook(t *testing.T) {
	if got := GGXD(1, 0.3); math.Abs(got-3.53678) > 1e-4 {
		t.Error("F2.1", got)
	}
	if got := GGXD(math.Cos(20*math.Pi/180), 0.3); math.Abs(got-0.742317) > 1e-4 {
		t.Error("F2.2", got)
	}
	sum := 0.0
	const n = 100_000
	for i := range n {
		c := (float64(i) + 0.5) / n
		sum += 2 * math.Pi * c * GGXD(c, 0.3) / n
	}
	if math.Abs(sum-1) > 1e-6 {
		t.Error("F2.3", sum)
	}
}

// TestGGXAlbedo: white-furnace targets F2.6–F2.10 of the check values (single scatter, F = 1,
// height-correlated), met by sampling: the weight of a sample is G2/G1.
func TestGGXAlbedo(t *testing.T) {
	for _, c := range []struct {
		id               string
		alpha, deg, want float64
	}{{"F2.6", 0.1, 0, 0.988323}, {"F2.7", 0.5, 0, 0.68791}, {"F2.8", 0.5, 60, 0.698256}, {"F2.9", 1, 0, 0.306901},
		{"F2.10", 1, 60, 0.4507}} {
		wo := geom.V(math.Sin(c.deg*math.Pi/180), 0, math.Cos(c.deg*math.Pi/180))
		lambda := func(z float64) float64 { return (-1 + math.Sqrt(1+c.alpha*c.alpha*(1-z*z)/(z*z))) / 2 }
		s := New(7, 7)
		sum := 0.0
		const n = 1 << 16
		for i := range uint32(n) {
			u, v := s.Point2(i, 0)
			h := GGX(wo, c.alpha, u, v)
			wi := h.Mul(2 * wo.Dot(h)).Sub(wo)
			if wi.Z > 0 {
				sum += (1 + lambda(wo.Z)) / (1 + lambda(wo.Z) + lambda(wi.Z))
			}
		}
		if got := sum / n; math.Abs(got-c.want) > 0.002 {
			t.Errorf("%s: %v, not %v", c.id, got, c.want)
		}
	}
}

// TestRectSolidAngle: a square of side 2 at distance 1, seen from its middle, is a side of a cube:
// 4π/6. Seen from a corner of it, a quarter of a side twice as large at the same distance: Ω =
// atan(ab/(d√(a²+b²+d²))) (textbook).
func TestRectSolidAngle(t *testing.T) {
	x, y := geom.V(2, 0, 0), geom.V(0, 2, 0)
	r := RectSeen(geom.V(-1, -1, 1), x, y, geom.Vec{})
	if got := r.SolidAngle(); math.Abs(got-4*math.Pi/6) > 1e-12 {
		t.Error("middle", got)
	}
	r = RectSeen(geom.V(3, 4, 6), x, y, geom.V(3, 4, 5))
	if got, want := r.SolidAngle(), math.Atan(4/math.Sqrt(9)); math.Abs(got-want) > 1e-12 {
		t.Error("corner", got, want)
	}
	// by area: 1 mm² at 10 m
	r = RectSeen(geom.V(0, 0, 10), geom.V(1e-3, 0, 0), geom.V(0, 1e-3, 0), geom.Vec{})
	if got := r.SolidAngle(); !r.ByArea() || math.Abs(got-1e-8) > 1e-14 {
		t.Error("tiny", got)
	}
}

// TestTriangleSolidAngle: an octant is π/2.
func TestTriangleSolidAngle(t *testing.T) {
	tr := TriSeen(geom.V(1, 0, 0), geom.V(0, 2, 0), geom.V(0, 0, 3), geom.Vec{})
	if got := tr.SolidAngle(); math.Abs(got-math.Pi/2) > 1e-12 {
		t.Error(got)
	}
}

// TestBallDistance: the point sampled lies on the ball; the solid angle is 2π(1-cosθ).
func TestBallDistance(t *testing.T) {
	s := New(1, 3)
	for _, o := range []geom.Vec{{}, geom.V(0.9, 2, 2.1), geom.V(1, 2, 2), geom.V(-50, 3, 0)} {
		b := BallSeen(geom.V(1, 2, 2), 0.5, o)
		for i := range uint32(2000) {
			u, v := s.Point2(i, 0)
			dir, dist, pdf := b.Sample(u, v)
			// 1e-6: at the rim the half chord is the root of what rounding leaves
			if r := o.AddMul(dir, dist).Sub(geom.V(1, 2, 2)).Len(); math.Abs(r-0.5) > 1e-6 || dist < 0 || pdf <= 0 {
				t.Fatalf("from %v: radius %v, distance %v, density %v", o, r, dist, pdf)
			}
		}
	}
	b := BallSeen(geom.V(0, 0, 5), 3, geom.Vec{})
	if got, want := b.SolidAngle(), 2*math.Pi*(1-0.8); math.Abs(got-want) > 1e-12 {
		t.Error(got, want)
	}
}

// TestLine: counts along the line against the density, which must sum to 1; on the line itself,
// uniform.
func TestLine(t *testing.T) {
	x := geom.V(1, 0, 0)
	for i, c := range []struct {
		from, to float64
		p        geom.Vec
	}{{0, 10, geom.V(3, 1, 0)}, {2, 5, geom.V(-4, 0.5, 2)}, {0, 10, geom.V(4, 0.3, 0)}, {0, 2, geom.V(5, 0, 0)},
		{0, 2, geom.V(1, 0, 0)}, {0, 1, geom.V(1e6, 1, 0)}} {
		l := LineSeen(geom.Vec{}, x, c.from, c.to, c.p)
		const n, fine = 100, 200
		seen, want := make([]float64, n), make([]float64, n)
		total := 0.0
		for j := range n * fine {
			e := l.Pdf(c.from+(c.to-c.from)*(float64(j)+0.5)/(n*fine)) * (c.to - c.from) / (n * fine)
			want[j/fine] += e * draws
			total += e
		}
		if math.Abs(total-1) > 1e-4 {
			t.Errorf("%v: density sums to %v", c, total)
		}
		s := New(6, uint64(i))
		for j := range uint32(draws) {
			d, pdf := l.Sample(s.Noise(j, 0))
			if d < c.from || d > c.to || !(pdf > 0) {
				t.Fatal(d, pdf)
			}
			seen[min(int((d-c.from)/(c.to-c.from)*n), n-1)]++
		}
		chi(t, seen, want)
	}
	// a point 1 m off the middle of a 2 m stretch sees a right angle
	l := LineSeen(geom.Vec{}, x, -1, 1, geom.V(0, 0, 1))
	if math.Abs(l.Angle()-math.Pi/2) > 1e-12 {
		t.Error(l.Angle())
	}
}

// TestDegenerateShapes: nothing here may panic or give NaN; a density of 0 marks a sample that must
// not be used.
func TestDegenerateShapes(t *testing.T) {
	bad := []geom.Vec{{}, geom.V(1, 0, 0), geom.V(1e-200, 0, 0), geom.V(1e150, 1e150, 0), geom.V(0, 1e-9, 1)}
	ok := func(what string, xs ...float64) {
		t.Helper()
		for _, x := range xs {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Errorf("%s: %v", what, xs)
				return
			}
		}
	}
	for _, a := range bad {
		for _, b := range bad {
			for _, c := range bad {
				for _, u := range []float64{0, 1e-12, 0.5, 1 - 1e-12, 1} {
					r := RectSeen(a, b, c, geom.Vec{})
					p, pdf := r.Sample(u, 1-u)
					ok("rectangle", p.X, p.Y, p.Z, pdf, r.Pdf(p), r.SolidAngle())
					tr := TriSeen(a, b, c, geom.Vec{})
					p, pdf = tr.Sample(u, 1-u)
					ok("triangle", p.X, p.Y, p.Z, pdf, tr.Pdf(p), tr.SolidAngle())
					l := LineSeen(a, geom.V(1, 0, 0), b.X, c.X, geom.V(0, 0, 1))
					d, q := l.Sample(u)
					ok("line", d, q, l.Pdf(d))
				}
			}
		}
	}
	for _, a := range []float64{0, 1e-9, 1} {
		for _, z := range []float64{0, 1e-12, 1} {
			wo := geom.V(math.Sqrt(1-z*z), 0, z)
			for _, u := range []float64{0, 0.5, 1} {
				h := GGX(wo, a, u, u)
				ok("ggx", h.X, h.Y, h.Z, GGXPdf(wo, h, a))
			}
		}
	}
}
