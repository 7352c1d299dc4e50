package sample

import (
	"fmt"
	"math"
	"testing"

	"halfstop/geom"
)

// significance of one chi-squared test: with about 40 of them a right sampler fails in 4 of 10,000
// sets of seeds; the seeds are fixed, so a pass stays a pass.
const significance = 1e-5

// critical is the value that chi-squared with k degrees of freedom passes with probability
// significance (Wilson and Hilferty 1931; 4.265 is the normal deviate of 1e-5).
func critical(k int) float64 {
	f := 2 / (9 * float64(k))
	c := 1 - f + 4.265*math.Sqrt(f)
	return float64(k) * c * c * c
}

// chi compares counts with what was expected, pooling cells that expect fewer than 5.
func chi(t *testing.T, seen, want []float64) {
	t.Helper()
	sum, k := 0.0, -1
	var ps, pw float64
	for i := range seen {
		if want[i] < 5 {
			ps, pw = ps+seen[i], pw+want[i]
			continue
		}
		d := seen[i] - want[i]
		sum, k = sum+d*d/want[i], k+1
	}
	if pw > 1 {
		sum, k = sum+(ps-pw)*(ps-pw)/pw, k+1
	} else if ps > 10 {
		t.Errorf("%v samples where %v were expected", ps, pw)
	}
	if k < 1 {
		t.Fatal("no cells")
	}
	if sum > critical(k) {
		t.Errorf("chi-squared %.1f over %d degrees of freedom; %.1f is passed once in %.0f", sum, k, critical(k),
			1/significance)
	}
}

// draws is the size of a test: large enough to see a sampler whose density is off by 5 % over a
// tenth of its domain.
const draws = 200_000

type direction struct {
	name   string
	axis   geom.Vec // cells are laid about it, fine near it
	spread float64  // versine of the cone the cells cover; what lies outside is one cell more
	sample func(u, v float64) (geom.Vec, float64)
	pdf    func(geom.Vec) float64
}

func directions() []direction {
	z := geom.V(0, 0, 1)
	up := func(name string, f func(u, v float64) geom.Vec, pdf func(c float64) float64) direction {
		return direction{name, z, 2, func(u, v float64) (geom.Vec, float64) { d := f(u, v); return d, pdf(d.Z) },
			func(d geom.Vec) float64 { return pdf(d.Z) }}
	}
	all := []direction{
		up("cosine", Cosine, CosinePdf),
		up("hemisphere", Hemisphere, HemispherePdf),
		up("sphere", Sphere, func(float64) float64 { return SpherePdf() }),
		up("dome", Dome, DomePdf),
		up("cone 0.25", func(u, v float64) geom.Vec { return Cone(0.25, u, v) },
			func(c float64) float64 { return ConePdf(0.25, 1-c) }),
		up("scatter 0.8", func(u, v float64) geom.Vec { return Scatter(0.8, u, v) },
			func(c float64) float64 { return HGPdf(c, 0.8) }),
		up("scatter -0.5", func(u, v float64) geom.Vec { return Scatter(-0.5, u, v) },
			func(c float64) float64 { return HGPdf(c, -0.5) }),
		up("scatter 0", func(u, v float64) geom.Vec { return Scatter(0, u, v) },
			func(c float64) float64 { return HGPdf(c, 0) }),
	}
	for _, a := range []float64{0.05, 0.3, 1} {
		for _, deg := range []float64{0, 40, 85} {
			wo := geom.V(math.Sin(deg*math.Pi/180), 0, math.Cos(deg*math.Pi/180))
			spread := 1.0
			if a < 0.1 {
				spread = 0.05
			}
			all = append(all, direction{fmt.Sprintf("ggx %v seen at %v", a, deg), z, spread,
				func(u, v float64) (geom.Vec, float64) { h := GGX(wo, a, u, v); return h, GGXPdf(wo, h, a) },
				func(h geom.Vec) float64 { return GGXPdf(wo, h, a) }})
		}
	}
	for _, c := range []struct {
		name   string
		centre geom.Vec
		r      float64
	}{{"ball", geom.V(1, 2, 2), 1.5}, {"far ball", geom.V(-300, 20, 5), 0.5},
		{"from inside the ball", geom.V(0.5, 0, 0), 1}} {
		b := BallSeen(c.centre, c.r, geom.Vec{})
		all = append(all, direction{c.name, c.centre.Unit(), min(2, 1.5*b.versine),
			func(u, v float64) (geom.Vec, float64) { d, _, p := b.Sample(u, v); return d, p }, b.Pdf})
	}
	return all
}

// TestDirections holds each sampler to its density: counts by chi-squared, the density's integral
// to 1, and the density returned with a sample to the one asked for.
func TestDirections(t *testing.T) {
	const nz, nphi, fine = 24, 24, 24
	for i, d := range directions() {
		t.Run(d.name, func(t *testing.T) {
			f := geom.FrameOf(d.axis)
			// cells of equal solid angle: even in versine and azimuth about the axis; the density
			// is summed at fine×fine points of each
			want := make([]float64, nz*nphi+1)
			total := 0.0
			for j := range nz {
				for k := range nphi {
					s := 0.0
					for a := range fine {
						for b := range fine {
							w := d.spread * (float64(j) + (float64(a)+0.5)/fine) / nz
							l := Cone(1, w, (float64(k)+(float64(b)+0.5)/fine)/nphi)
							s += d.pdf(f.Out(l.X, l.Y, l.Z))
						}
					}
					p := s / (fine * fine) * 2 * math.Pi * d.spread / (nz * nphi)
					want[j*nphi+k] = p
					total += p
				}
			}
			// 0.2 %: what midpoint sums of this fineness miss at the rim of a rectangle or in the
			// tail of a lobe
			if total > 1.002 || total < 0.998 && d.spread >= 1 {
				t.Errorf("density sums to %v", total)
			}
			want[nz*nphi] = max(0, 1-total)
			for j := range want {
				want[j] *= draws / max(1, total)
			}
			seen := make([]float64, len(want))
			s := New(2026, uint64(i))
			for j := range uint32(draws) {
				u, v := s.Noise(j, 0), s.Noise(j, 1)
				dir, pdf := d.sample(u, v)
				if math.Abs(dir.Len2()-1) > 1e-9 {
					t.Fatal("not unit", dir)
				}
				// the two may differ where rounding puts a sample on the rim
				if q := d.pdf(dir); math.Abs(pdf-q) > 1e-6*pdf && q != 0 {
					t.Fatalf("%v: density %v with the sample, %v when asked", dir, pdf, q)
				}
				w := (1 - dir.Dot(d.axis)) / d.spread
				if w >= 1 {
					seen[nz*nphi]++
					continue
				}
				l := f.In(dir)
				phi := math.Atan2(l.Y, l.X) / (2 * math.Pi)
				phi -= math.Floor(phi)
				seen[min(int(max(w, 0)*nz), nz-1)*nphi+min(int(phi*nphi), nphi-1)]++
			}
			chi(t, seen, want)
		})
	}
}

// flatShape is a shape in a plane: a corner and two sides.
type flatShape struct {
	name      string
	p, e1, e2 geom.Vec
	triangle  bool
}

// TestFlats holds the samplers of flat shapes to their densities: cells are laid on the shape, even
// in area.
func TestFlats(t *testing.T) {
	for i, c := range []flatShape{
		{"rectangle", geom.V(-0.5, -1, 1), geom.V(1, 0, 0), geom.V(0, 2, 0), false},
		{"rectangle off to a side", geom.V(1, 0.2, -0.4), geom.V(0, 1, 0), geom.V(0.6, 0, 0.8), false},
		{"rectangle behind", geom.V(-0.5, -1, -1), geom.V(1, 0, 0), geom.V(0, 2, 0), false},
		{"rectangle close by", geom.V(-1, -1, 0.2), geom.V(2, 0, 0), geom.V(0, 2, 0), false},
		{"rectangle almost edge on", geom.V(1, -1, 0.02), geom.V(2, 0, 0), geom.V(0, 2, 0), false},
		{"far rectangle", geom.V(100, 0, 20), geom.V(0, 0.5, 0), geom.V(0, 0, 0.5), false},
		{"rectangle just large enough", geom.V(100, 0, 20), geom.V(0, 1.1, 0), geom.V(0, 0, 1.1), false},
		{"sides not square", geom.V(-0.5, -1, 1), geom.V(1, 0.3, 0), geom.V(0, 2, 0), false},
		{"triangle", geom.V(1, 0, 0.2), geom.V(-0.9, 1, -0.2), geom.V(-1, 0.1, 0.8), true},
		{"wide triangle", geom.V(1, 0, 0.3), geom.V(-1.6, 0.9, 0), geom.V(-1.6, -0.9, 0), true},
		{"sliver", geom.V(1, 0, 0.1), geom.V(0, 1, 0), geom.V(0, 1, 0.02), true},
		{"far triangle", geom.V(100, 0, 20), geom.V(0, 0.5, 0), geom.V(0, 0, 0.5), true},
	} {
		t.Run(c.name, func(t *testing.T) {
			const n, fine = 16, 16
			sample, ask := func() (func(u, v float64) (geom.Vec, float64), func(geom.Vec) float64) {
				if c.triangle {
					s := TriSeen(c.p, c.p.Add(c.e1), c.p.Add(c.e2), geom.Vec{})
					return s.Sample, s.Pdf
				}
				s := RectSeen(c.p, c.e1, c.e2, geom.Vec{})
				return s.Sample, s.Pdf
			}()
			norm := c.e1.Cross(c.e2)
			area := norm.Len()
			norm = norm.Unit()
			// a triangle is the square folded: (√a(1-b), √a·b) is even in area
			point := func(a, b float64) geom.Vec {
				if c.triangle {
					s := math.Sqrt(a)
					a, b = s*(1-b), s*b
				}
				return c.p.AddMul(c.e1, a).AddMul(c.e2, b)
			}
			if c.triangle {
				area /= 2
			}
			want := make([]float64, n*n)
			total := 0.0
			for j := range n * fine {
				for k := range n * fine {
					p := point((float64(j)+0.5)/(n*fine), (float64(k)+0.5)/(n*fine))
					d := p.Len()
					e := ask(p) * math.Abs(p.Dot(norm)) / (d * d * d) * area / (n * n * fine * fine)
					want[j/fine*n+k/fine] += e * draws
					total += e
				}
			}
			// 0.1 %: midpoint sums over 256 × 256 points of a smooth integrand
			if math.Abs(total-1) > 0.001 {
				t.Errorf("density sums to %v", total)
			}
			seen := make([]float64, n*n)
			s := New(2027, uint64(i))
			for j := range uint32(draws) {
				p, pdf := sample(s.Noise(j, 0), s.Noise(j, 1))
				if q := ask(p); math.Abs(pdf-q) > 1e-6*pdf && q != 0 {
					t.Fatalf("%v: density %v with the sample, %v when asked", p, pdf, q)
				}
				q := p.Sub(c.p)
				if off := math.Abs(q.Dot(norm)); off > 1e-9*(1+p.Len()) {
					t.Fatalf("%v lies %v off the plane", p, off)
				}
				a := q.Cross(c.e2).Dot(norm) / c.e1.Cross(c.e2).Len()
				b := c.e1.Cross(q).Dot(norm) / c.e1.Cross(c.e2).Len()
				if c.triangle {
					a, b = (a+b)*(a+b), b/max(a+b, 1e-12)
				}
				if a < -1e-6 || a > 1+1e-6 || b < -1e-6 || b > 1+1e-6 {
					t.Fatalf("%v lies outside: %v %v", p, a, b)
				}
				seen[min(int(max(a, 0)*n), n-1)*n+min(int(max(b, 0)*n), n-1)]++
			}
			chi(t, seen, want)
		})
	}
}

// TestChiSees: the test must fail for a sampler whose density is not the one stated.
func TestChiSees(t *testing.T) {
	const n = 100
	seen, want := make([]float64, n), make([]float64, n)
	s := New(1, 1)
	for i := range uint32(draws) {
		seen[int(n*math.Pow(s.Noise(i, 0), 1.02))]++
	}
	sum := 0.0
	for i := range want {
		want[i] = draws / n
		sum += (seen[i] - want[i]) * (seen[i] - want[i]) / want[i]
	}
	if sum < critical(n-1) {
		t.Errorf("a slope of 2 %% went unseen: %v", sum)
	}
}
