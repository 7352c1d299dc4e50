package photometry

import (
	"math"
	"math/rand"
	"testing"
)

// Samples fall where the intensity is: counts in bins of (cos theta, phi) about N against the
// integral of Candela over the bin. Chi-squared at 1e-4: for k degrees of freedom the bound is k +
// 3.72 √(2k) + 8 (Wilson and Hilferty would give less).
func TestSampleChiSquared(t *testing.T) {
	for _, name := range []string{"cosine.ies", "spot.ies", "batwing.ies", "flood.ies", "lean3.ldt"} {
		w := read(t, name)
		const nz, np, n = 20, 24, 200000
		var got [nz][np]float64
		r := rand.New(rand.NewSource(1))
		for range n {
			d, pdf := w.Sample(r.Float64(), r.Float64())
			if math.Abs(d.Len()-1) > 1e-12 {
				t.Fatalf("%s: direction %v", name, d)
			}
			if p := w.Pdf(d); math.Abs(p-pdf) > 1e-6*pdf+1e-9 {
				t.Fatalf("%s: pdf %g, Pdf %g towards %v", name, pdf, p, d)
			}
			z := int((d.Z + 1) / 2 * nz)
			phi := math.Atan2(-d.Y, d.X) // C turns from S towards -T
			if phi < 0 {
				phi += 2 * math.Pi
			}
			got[min(z, nz-1)][min(int(phi/(2*math.Pi)*np), np-1)]++
		}
		chi, k := 0.0, 0
		for z := range nz {
			for p := range np {
				const sub = 16
				want := 0.0
				for i := range sub {
					for j := range sub {
						cz := -1 + 2*(float64(z)+(float64(i)+0.5)/sub)/nz
						ph := 2 * math.Pi * (float64(p) + (float64(j)+0.5)/sub) / np
						want += w.Pdf(dir(math.Acos(cz)/rad, ph/rad))
					}
				}
				want *= n * 4 * math.Pi / (nz * np) / (sub * sub)
				if want < 8 {
					if got[z][p] > 40 {
						t.Errorf("%s: %g samples where %.1f belong", name, got[z][p], want)
					}
					continue
				}
				chi += (got[z][p] - want) * (got[z][p] - want) / want
				k++
			}
		}
		if bound := float64(k) + 3.72*math.Sqrt(2*float64(k)) + 8; chi > bound {
			t.Errorf("%s: chi-squared %.1f in %d bins, bound %.1f", name, chi, k, bound)
		}
	}
}

// ∫ Pdf over the sphere is 1: the flux is the integral of the interpolated intensity. Midpoints of
// half a degree.
func TestPdfIsWhole(t *testing.T) {
	for _, name := range []string{"spot.ies", "batwing.ies", "flood.ies", "lean2.ldt"} {
		w := read(t, name)
		sum := 0.0
		const step = 0.5
		for g := step / 2; g < 180; g += step {
			ring := 0.0
			for c := step; c < 360; c += 2 * step {
				ring += w.Pdf(dir(g, c))
			}
			sum += ring * 2 * step * rad * (math.Cos((g-step/2)*rad) - math.Cos((g+step/2)*rad))
		}
		if math.Abs(sum-1) > 2e-4 {
			t.Errorf("%s: ∫ Pdf = %.6f", name, sum)
		}
	}
}

func TestDarkWeb(t *testing.T) {
	w := Rotational(make([]float64, 5))
	if _, pdf := w.Sample(0.3, 0.4); pdf != 0 {
		t.Error("a dark web was sampled")
	}
}
