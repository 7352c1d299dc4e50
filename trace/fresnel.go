package trace

import (
	"math"
	"sync"

	"halfstop/geom"
	"halfstop/sample"
)

// fresnelDielectric returns the unpolarised reflectance of a smooth boundary for light arriving at
// cosI (0 to 1) from the side of index 1 on to index n. Source: Fresnel's equations. Check: F1.1 to
// F1.5.
func fresnelDielectric(cosI, n float64) float64 {
	rs, rp := fresnelPolarised(cosI, n)
	return (rs + rp) / 2
}

// fresnelPolarised returns the two reflectances, perpendicular and parallel to the plane of
// incidence.
func fresnelPolarised(cosI, n float64) (rs, rp float64) {
	cosI = min(1, max(0, cosI))
	sinT2 := (1 - cosI*cosI) / (n * n)
	if sinT2 >= 1 {
		return 1, 1
	}
	cosT := math.Sqrt(1 - sinT2)
	s := (cosI - n*cosT) / (cosI + n*cosT)
	p := (n*cosI - cosT) / (n*cosI + cosT)
	return s * s, p * p
}

// pane returns reflectance and transmittance of a clear pane of index n at cosI with all internal
// bounces, per polarisation, times the pane's internal transmittance tau (at right angles; longer
// way at a slant) in band terms left to the caller. Source: Fresnel; check C4.1 to C4.6.
func pane(cosI, n float64) (r, t float64) {
	rs, rp := fresnelPolarised(cosI, n)
	one := func(r float64) (float64, float64) { t := (1 - r) / (1 + r); return 1 - t, t }
	r1, t1 := one(rs)
	r2, t2 := one(rp)
	return (r1 + r2) / 2, (t1 + t2) / 2
}

// ggxLambda is Smith's auxiliary function for GGX.
func ggxLambda(cosT, alpha float64) float64 {
	if cosT >= 1 {
		return 0
	}
	tan2 := (1 - cosT*cosT) / (cosT * cosT)
	return (math.Sqrt(1+alpha*alpha*tan2) - 1) / 2
}

// ggxG1 and ggxG2 are Smith's masking and height-correlated masking-shadowing. Check: F2.4, F2.5.
func ggxG1(cosT, alpha float64) float64 { return 1 / (1 + ggxLambda(cosT, alpha)) }

func ggxG2(cosO, cosI, alpha float64) float64 {
	return 1 / (1 + ggxLambda(cosO, alpha) + ggxLambda(cosI, alpha))
}

// lobe is the directional albedo of a microfacet lobe with Fresnel reflectance F(cos): E at 33
// cosines 0..1, and its cosine-weighted mean.
type lobe struct {
	e   [33]float32
	avg float64
}

// at interpolates the albedo at a cosine.
func (l *lobe) at(c float64) float64 {
	x := min(1, max(0, c)) * 32
	i := min(31, int(x))
	f := float32(x - float64(i))
	return float64(l.e[i]*(1-f) + l.e[i+1]*f)
}

// lobeOf integrates the lobe once, by visible normals on a fixed low-discrepancy set, so that every
// use of it is exact in energy. fresnel nil means 1 (a perfect conductor). Check: F2.6 to F2.10.
//
// Scenes are built again and again with the same few surfaces, and the integral is half of that
// work, so lobes are remembered. A lobe is known by its roughness and by its Fresnel term at two
// angles: those terms are a family of one parameter, the index.
func lobeOf(alpha float64, fresnel func(cosI float64) float64) *lobe {
	k := lobeKey{alpha, 1, 1}
	if fresnel != nil {
		k.facing, k.grazing = fresnel(1), fresnel(0.3)
	}
	lobes.Lock()
	l := lobes.known[k]
	lobes.Unlock()
	if l != nil {
		return l
	}
	l = integrateLobe(alpha, fresnel)
	lobes.Lock()
	defer lobes.Unlock()
	if len(lobes.known) >= 256 {
		clear(lobes.known)
	}
	lobes.known[k] = l
	return l
}

type lobeKey struct{ alpha, facing, grazing float64 }

var lobes = struct {
	sync.Mutex
	known map[lobeKey]*lobe
}{known: map[lobeKey]*lobe{}}

func integrateLobe(alpha float64, fresnel func(cosI float64) float64) *lobe {
	l := &lobe{}
	const n = 1024
	for k := range l.e {
		c := max(float64(k)/32, 1e-3)
		sum := 0.0
		for i := range n {
			u, v := (float64(i)+0.5)/n, math.Mod(float64(i)*0.6180339887498949+0.5, 1)
			h := sample.GGX(geom.V(math.Sqrt(1-c*c), 0, c), alpha, u, v)
			oh := c*h.Z + math.Sqrt(1-c*c)*h.X
			iz := 2*oh*h.Z - c
			if iz <= 0 || oh <= 0 {
				continue
			}
			f := 1.0
			if fresnel != nil {
				f = fresnel(oh)
			}
			// f·cos/pdf of a visible-normal sample is F·G2/G1.
			sum += f * ggxG2(c, iz, alpha) / ggxG1(c, alpha)
		}
		l.e[k] = float32(min(1, sum/n))
	}
	// 2∫E μ dμ by Simpson's rule on the 33 nodes.
	s := 0.0
	for k := range l.e {
		w := 2.0
		if k%2 == 1 {
			w = 4
		}
		if k == 0 || k == 32 {
			w = 1
		}
		s += w * float64(l.e[k]) * float64(k) / 32
	}
	l.avg = 2 * s / (3 * 32)
	return l
}

// PaneTransmittance is what a clear pane of index n passes at a cosine of incidence, all internal
// bounces counted, without the glass's own absorption. Check: C4.1 to C4.6.
func PaneTransmittance(cosI, n float64) float64 {
	_, t := pane(cosI, n)
	return t
}
