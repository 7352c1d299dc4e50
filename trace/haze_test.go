package trace

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// hazeLamps are lamps of several kinds by a way of 6 m along x.
func hazeLamps() []*Emitter {
	beam := PointBeam([]float64{1, 1, 1, 0.5, 0.2, 0})
	side := geom.UprightFrame(geom.V(-0.4, -1, 0).Unit())
	return []*Emitter{
		Point(0, geom.V(3, 2, 0), geom.V(-0.4, -1, 0).Unit(), 100, beam, 0, nil, 0),
		Disc(0, geom.V(3, 2, 0), side, 0.1, 100, FaceBeam([]float64{1, 1, 0.8, 0.4, 0}), false, nil),
		Rectangle(0, geom.V(5, 1, 0), side, 1, 1, 1, nil, false),
		Sphere(0, geom.V(2, 0.02, 0), 0.05, up, 10, nil, nil),
		Point(0, geom.V(-4, 1, 0), geom.V(-1, 0, 0), 100, beam, 0, nil, 0), // gives the way nothing
	}
}

// The densities of places along a way are those that they are drawn with: the mean of 1 over the
// density is the length of the way, that of the place over it half the length squared, in haze thin
// and thick. Bound: four standard errors of what is drawn.
func TestSampleInBeam(t *testing.T) {
	for k, e := range hazeLamps() {
		for _, st := range []float64{0.05, 20} {
			sc := New()
			sc.Medium = &Medium{Extinction: st, Albedo: 1, G: 0.8}
			sc.AddEmitter(e)
			if err := sc.Prepare(); err != nil {
				t.Fatal(err)
			}
			w := newIntegrator(sc, nil)
			const n, length = 20000, 6.0
			seq := sample.New(1, uint64(k))
			var sum, squares [2]float64
			for i := range n {
				pick, u := seq.Noise(uint32(i), 0), seq.Noise(uint32(i), 1)
				at, pdf := w.sampleInBeam(e, geom.Vec{}, geom.V(1, 0, 0), length, pick, u)
				if !(pdf > 0) || at < 0 || at > length {
					t.Fatalf("lamp %d: place %g of density %g", k, at, pdf)
				}
				if st > 1 && at > 1 {
					continue // exp(−20) of the draws by extinction: what is left is tested near by
				}
				for j, v := range []float64{1 / pdf, at / pdf} {
					sum[j] += v / n
					squares[j] += v * v / n
				}
			}
			to := length
			if st > 1 {
				to = 1
			}
			for j, want := range []float64{to, to * to / 2} {
				se := math.Sqrt((squares[j] - sum[j]*sum[j]) / n)
				if math.Abs(sum[j]-want) > 4*se {
					t.Errorf("lamp %d, extinction %g, moment %d: %.4f ± %.4f, want %.4f", k, st, j, sum[j], se, want)
				}
			}
		}
	}
}

// A lobe of Henyey and Greenstein's of mean cosine r, scattered by a phase function of g, is the
// lobe of g·r: their Legendre moments are powers of the mean cosine (Henyey and Greenstein 1941)
// and multiply. Here against a sum over the sphere.
func TestScatteredLobe(t *testing.T) {
	mean := geom.V(0.3, -0.5, 0.8).Unit()
	for _, r := range []float64{0, 0.3, 0.7} {
		m := mean.Mul(r)
		lobe := cellLobes{1, [2][3]float32{{float32(m.X), float32(m.Y), float32(m.Z)}}}
		for _, d := range []geom.Vec{mean, mean.Neg(), geom.V(1, 0, 0)} {
			const n = 300
			sum := 0.0
			for i := range n {
				for j := range n {
					u := sample.Sphere((float64(i)+0.5)/n, (float64(j)+0.5)/n)
					sum += sample.HGPdf(u.Dot(mean), r) * sample.HGPdf(u.Dot(d), 0.8) * 4 * math.Pi / (n * n)
				}
			}
			if got := lobe.scattered(d, 0.8); math.Abs(got/sum-1) > 0.01 {
				t.Errorf("mean cosine %g: %g, want %g", r, got, sum)
			}
		}
	}
}
