package sample

import (
	"math"
	"math/bits"
	"testing"
)

// TestPascal checks the five-step product against Sobol's recurrence for the polynomial x+1: v₁ =
// 1/2, vₖ = vₖ₋₁ ^ vₖ₋₁>>1.
func TestPascal(t *testing.T) {
	for i := range uint32(100_000) {
		n := i * 2654435761
		want, v := uint32(0), uint32(1)<<31
		for k := range 32 {
			if n>>k&1 != 0 {
				want ^= v
			}
			v ^= v >> 1
		}
		if got := bits.Reverse32(pascal(n)); got != want {
			t.Fatalf("%#x: %#x, not %#x", n, got, want)
		}
	}
}

// TestPermuteNests: what the scramble does to a bit may depend on the lower bits only (the coarser
// digits, once reversed).
func TestPermuteNests(t *testing.T) {
	for i := range uint32(10_000) {
		seed, x := uint32(mix(uint64(i))), uint32(mix(uint64(i)<<32))
		k := i % 32
		if (permute(x, seed)^permute(x^1<<k, seed))&(1<<k-1) != 0 {
			t.Fatalf("bit %d moves a lower one", k)
		}
		if permute(x, seed) == permute(x^1<<k, seed) {
			t.Fatal("two numbers meet")
		}
	}
}

// TestElementaryIntervals: each aligned run of 2^m points puts exactly one into each of the 2^m
// boxes 2^-a by 2^-(m-a), for any seed, stream, repeat and dimension.
func TestElementaryIntervals(t *testing.T) {
	for k := range 12 {
		s := New(uint64(k), 77).Rep(k)
		for m := range 9 {
			for run := range uint32(3) {
				for a := range m + 1 {
					var seen [512]bool
					for i := range uint32(1) << m {
						u, v := s.Point2(run<<m+i, k)
						box := int(u*float64(int(1)<<a))<<(m-a) | int(v*float64(int(1)<<(m-a)))
						if seen[box] {
							t.Fatalf("seed %d, 2^%d points: two in box %d of shape %d", k, m, box, a)
						}
						seen[box] = true
					}
				}
			}
		}
	}
}

// TestIndependence: dims, streams and repeats must not follow each other. The correlation of n
// independent pairs scatters as 1/√n; 5 of those are passed once in 1.7 million.
func TestIndependence(t *testing.T) {
	const n = 4096
	pick := []func(i uint32) float64{
		func(i uint32) float64 { return New(1, 5).Float(i, 0) },
		func(i uint32) float64 { _, v := New(1, 5).Point2(i, 0); return v },
		func(i uint32) float64 { return New(1, 5).Float(i, 1) },
		func(i uint32) float64 { return New(1, 6).Float(i, 0) },
		func(i uint32) float64 { return New(2, 5).Float(i, 0) },
		func(i uint32) float64 { return New(1, 5).Rep(1).Float(i, 0) },
		func(i uint32) float64 { return New(1, 5).Rep(2).Float(i, 0) },
		func(i uint32) float64 { return New(1, 5).Noise(i, 0) },
		func(i uint32) float64 { return New(1, 5).Noise(i, 1) },
		func(i uint32) float64 { return New(1, 5).Noise(i+1, 0) },
		func(i uint32) float64 { return New(1, uint64(i)).Float(0, 0) },
		func(i uint32) float64 { return New(uint64(i), 0).Float(0, 0) },
	}
	for a := range pick {
		for b := range a {
			c := 0.0
			for i := range uint32(n) {
				c += (pick[a](i) - 0.5) * (pick[b](i) - 0.5)
			}
			if r := c * 12 / n; math.Abs(r) > 5/math.Sqrt(n) {
				t.Errorf("%d and %d: correlation %.3f", a, b, r)
			}
		}
	}
}

// TestPairsChi: over many streams the first point is uniform over the square.
func TestPairsChi(t *testing.T) {
	const n = 32
	seen, want := make([]float64, n*n), make([]float64, n*n)
	for i := range uint64(draws) {
		u, v := New(3, i).Point2(uint32(i%5), int(i%7))
		if !(u > 0 && u < 1 && v > 0 && v < 1) {
			t.Fatal(u, v)
		}
		seen[int(u*n)*n+int(v*n)]++
	}
	for i := range want {
		want[i] = draws / float64(n*n)
	}
	chi(t, seen, want)
}

// TestConverges: on a smooth integrand 1024 scrambled points must beat 1024 independent ones by
// far: their error goes as n^-1.5 (Owen 1997). The integrand is exp(u+v), its integral (e-1)². 20
// times fewer is asked; 1.5 powers promise more.
func TestConverges(t *testing.T) {
	want := (math.E - 1) * (math.E - 1)
	var good, plain float64
	for r := range 50 {
		s := New(9, uint64(r))
		var a, b float64
		for i := range uint32(1024) {
			u, v := s.Point2(i, 3)
			a += math.Exp(u + v)
			b += math.Exp(s.Noise(i, 0) + s.Noise(i, 1))
		}
		good += math.Pow(a/1024-want, 2)
		plain += math.Pow(b/1024-want, 2)
	}
	if ratio := math.Sqrt(plain / good); ratio < 20 {
		t.Errorf("only %.1f times better", ratio)
	}
}

// TestRepeatsCoverTruth: the interval that Within95 states must hold the truth 95 times in 100. Of
// 2000 trials 1900 ± 9.7 should; 5 of those are allowed.
func TestRepeatsCoverTruth(t *testing.T) {
	want := (math.E - 1) * (math.E - 1)
	for _, reps := range []int{4, 8, 16} {
		hit := 0
		for trial := range 2000 {
			var y Tally
			for r := range reps {
				s := New(11, uint64(trial)).Rep(r)
				sum := 0.0
				for i := range uint32(16) {
					u, v := s.Point2(i, 0)
					sum += math.Exp(u + v)
				}
				y.Add(sum / 16)
			}
			if math.Abs(y.Mean()-want) <= y.within(normal975) {
				hit++
			}
		}
		if hit < 1900-49 || hit > 1900+49 {
			t.Errorf("%d repeats: the truth lay inside %d times of 2000", reps, hit)
		}
	}
}

// TestStudent: quantiles of Student's distribution, 0.975. Source: Abramowitz and Stegun 1964,
// table 26.10 (from memory), 3 digits.
func TestStudent(t *testing.T) {
	for nu, want := range map[float64]float64{1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 7: 2.365, 10: 2.228,
		15: 2.131, 30: 2.042, 120: 1.980} {
		if got := student(nu, normal975); math.Abs(got-want) > 0.0011 {
			t.Errorf("%v degrees: %v, not %v", nu, got, want)
		}
	}
	// The same table (from memory) at one in 200 on either side.
	for nu, want := range map[float64]float64{10: 3.169, 20: 2.845, 30: 2.750, 60: 2.660, 120: 2.617} {
		if got := student(nu, normal995); math.Abs(got-want) > 0.0011 {
			t.Errorf("%v degrees: %v, not %v", nu, got, want)
		}
	}
}

func TestTally(t *testing.T) {
	var y Tally
	if y.Mean() != 0 || !math.IsInf(y.StdErr(), 1) || !math.IsInf(y.NormalError(), 1) {
		t.Error("empty")
	}
	for _, x := range []float64{2, 4, 4, 4, 5, 5, 7, 9} {
		y.Add(x)
	}
	// sum of squares about the mean 5 is 32: deviation √(32/7)
	if y.N() != 8 || y.Mean() != 5 || math.Abs(y.StdErr()-math.Sqrt(32.0/7/8)) > 1e-12 {
		t.Error(y.N(), y.Mean(), y.StdErr())
	}
}

// TestNormalError: of means of 32 skewed estimates 95 to 97 in 100 lie within 1.96 of it, whether
// they scatter normally or as waiting times (skewness 2); by Student's law alone it would be 93.
func TestNormalError(t *testing.T) {
	for name, draw := range map[string]func(u, v float64) float64{
		"normal":      func(u, v float64) float64 { return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*v) },
		"exponential": func(u, _ float64) float64 { return -math.Log(u) - 1 },
	} {
		const tries = 20000
		in, student, far := 0, 0, 0
		for k := range uint32(tries) {
			var y Tally
			for i := range 32 {
				s := New(11, uint64(k))
				y.Add(draw(s.Noise(uint32(i), 0), s.Noise(uint32(i), 1)))
			}
			off := math.Abs(y.Mean())
			if off < 1.96*y.NormalError() {
				in++
			}
			if off < y.within(normal975) {
				student++
			}
			if off > 4*y.NormalError() {
				far++
			}
		}
		if in < 0.95*tries || in > 0.97*tries || far > tries/400 {
			t.Errorf("%s: %d of %d within 1.96, %d beyond 4", name, in, tries, far)
		}
		if name == "exponential" && student > 0.94*tries {
			t.Errorf("by Student's law alone %d of %d: the test shows nothing", student, tries)
		}
	}
}

// TestPooledError: with no observations beforehand it is Student's law, with many that of the
// variance beforehand; in between it lies between the two, and is no zero where all estimates
// agree.
func TestPooledError(t *testing.T) {
	var y, same Tally
	for i := range 32 {
		y.Add(float64(i % 4))
		same.Add(1)
	}
	near := func(what string, got, want float64) {
		if math.Abs(got/want-1) > 1e-4 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	near("no observations", y.PooledError(9, 0), y.within(normal995)/normal995)
	near("sure beforehand", y.PooledError(9, 1e9), 3/math.Sqrt(32))
	// By hand: variance 40/31 of the estimates; (40 + 62)/(31 + 31), and Student's 99.5 % quantile
	// of 62 degrees of freedom is 2.6575 (tables).
	near("half and half", y.PooledError(2, 31), math.Sqrt(102.0/62/32)*2.6575/2.5758293)
	if got := same.PooledError(1, 20); !(got > 0.05 && got < 1/math.Sqrt(32)) {
		t.Errorf("estimates that agree: %v", got)
	}
}

func TestRepeatable(t *testing.T) {
	a, b := New(4, 2), New(4, 2)
	if a != b || a == New(2, 4) || New(0, 0) == New(0, 1) || New(0, 0) == New(1, 0) {
		t.Error("a sequence is its seed and stream")
	}
	if bits.OnesCount64(New(0, 0).key^New(0, 1).key) < 12 {
		t.Error("streams are close")
	}
}

func BenchmarkPoint2(b *testing.B) {
	s := New(1, 2)
	var sum float64
	for i := range b.N {
		u, v := s.Point2(uint32(i), i&7)
		sum += u + v
	}
	sink = sum
}

var sink float64

// TestScreen: over an aligned square of pixels, and over the samples of one pixel, the points are a
// (0,2)-net: one in each elementary interval.
func TestScreen(t *testing.T) {
	net := func(what string, n int, at func(i int) (float64, float64)) {
		for a := range n + 1 {
			var seen [256]bool
			for i := range 1 << n {
				u, v := at(i)
				box := int(u*float64(int(1)<<a))<<(n-a) | int(v*float64(int(1)<<(n-a)))
				if seen[box] {
					t.Fatalf("%s: two in box %d of shape %d", what, box, a)
				}
				seen[box] = true
			}
		}
	}
	s := New(7, 3)
	for dim := range 12 {
		net("16 × 16 pixels", 8, func(i int) (float64, float64) {
			return s.Screen2(32+i%16, 48+i/16, uint32(dim),
				dim)
		})
		net("4 × 4 pixels", 4, func(i int) (float64, float64) { return s.Screen2(12+i%4, 8+i/4, 5, dim) })
		net("64 samples", 6, func(i int) (float64, float64) { return s.Screen2(31, dim, uint32(64+i), dim) })
	}
	// Different dims must not follow each other over the pixels: 5 standard errors of the
	// correlation of 4096 independent pairs.
	sum := 0.0
	for i := range 4096 {
		a, _ := s.Screen2(i%64, i/64, 0, 0)
		b, _ := s.Screen2(i%64, i/64, 0, 1)
		sum += (a - 0.5) * (b - 0.5) * 12 / 4096
	}
	if math.Abs(sum) > 5./64 {
		t.Errorf("dims 0 and 1 correlate by %g", sum)
	}
}
