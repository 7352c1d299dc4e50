package photometry

import (
	"math"
	"sort"

	"halfstop/geom"
)

// sum fills the running flux of the cells and the peak.
//
// In one cell I = (1-u)(a0 + a1 θ) + u (b0 + b1 θ) with u linear in φ; the flux is Δφ/2 ·
// (∫(a0+a1θ) sinθ dθ + ∫(b0+b1θ) sinθ dθ).
func (g *grid) sum() {
	nt := len(g.theta)
	g.cell = make([]float64, (len(g.phi)-1)*(nt-1))
	g.flux, g.peak = 0, 0
	k, carry := 0, 0.0
	for i := 0; i+1 < len(g.phi); i++ {
		dphi := g.phi[i+1] - g.phi[i]
		for j := 0; j+1 < nt; j++ {
			a := band(g.theta[j], g.theta[j+1], g.cd[i][j], g.cd[i][j+1])
			b := band(g.theta[j], g.theta[j+1], g.cd[i+1][j], g.cd[i+1][j+1])
			// Kahan: a fine table has 10⁵ cells.
			y := dphi*(a+b)/2 - carry
			t := g.flux + y
			carry = (t - g.flux) - y
			g.flux = t
			g.cell[k] = g.flux
			k++
		}
	}
	for _, row := range g.cd {
		for _, v := range row {
			g.peak = math.Max(g.peak, v)
		}
	}
}

// band returns ∫ I(θ) sinθ dθ from t0 to t1 with I linear from i0 to i1. Zero or more.
//
// With m the middle and h the half width: ∫ sinθ = 2 sin m sin h, ∫ (θ-m) sinθ = 2 cos m (sin h - h
// cos h); for small h sin h - h cos h is summed as a series, so that narrow bands keep their
// digits.
func band(t0, t1, i0, i1 float64) float64 {
	m, h := (t0+t1)/2, (t1-t0)/2
	sm, cm := math.Sincos(m)
	mean, slope := (i0+i1)/2, (i1-i0)/2
	v := 2*mean*sm*math.Sin(h) + 2*slope*cm*moment(h)
	return math.Max(0, v)
}

// moment returns (sin h - h cos h)/h, which is h²/3 - h⁴/30 + … for small h.
func moment(h float64) float64 {
	if h < 0.05 {
		h2 := h * h
		return h2 / 3 * (1 - h2/10*(1-h2/28))
	}
	return math.Sin(h)/h - math.Cos(h)
}

// Sample draws a direction with density proportional to intensity from u, v in [0, 1): pdf is per
// steradian and equals Candela(dir)/Flux(). The warp is exact for the bilinear table. A dark web
// gives N and pdf 0. Check: TestSampleChiSquared.
func (w *Web) Sample(u, v float64) (dir geom.Vec, pdf float64) {
	g := &w.grid
	if !(g.flux > 0) {
		return geom.V(0, 0, 1), 0
	}
	// Choose the cell by its flux; what is left of u chooses the place across it.
	want := u * g.flux
	k := sort.Search(len(g.cell), func(k int) bool { return g.cell[k] > want })
	if k == len(g.cell) {
		k = len(g.cell) - 1
	}
	lo := 0.0
	if k > 0 {
		lo = g.cell[k-1]
	}
	u = 0.5
	if d := g.cell[k] - lo; d > 0 {
		u = math.Min(math.Max((want-lo)/d, 0), 1)
	}
	nt := len(g.theta) - 1
	i, j := k/nt, k%nt
	t0, t1 := g.theta[j], g.theta[j+1]
	a := band(t0, t1, g.cd[i][j], g.cd[i][j+1])
	b := band(t0, t1, g.cd[i+1][j], g.cd[i+1][j+1])
	x := linear(a, b, u)
	phi := g.phi[i] + x*(g.phi[i+1]-g.phi[i])
	i0 := (1-x)*g.cd[i][j] + x*g.cd[i+1][j]
	i1 := (1-x)*g.cd[i][j+1] + x*g.cd[i+1][j+1]
	theta := invertBand(t0, t1, i0, i1, v)
	dir = w.direction(theta, phi)
	f := (theta - t0) / (t1 - t0)
	return dir, math.Max(0, (1-f)*i0+f*i1) / g.flux
}

// Pdf returns the density per steradian with which Sample draws dir.
func (w *Web) Pdf(dir geom.Vec) float64 {
	if !(w.grid.flux > 0) {
		return 0
	}
	return w.Candela(dir) / w.grid.flux
}

// linear draws x in [0, 1] with density proportional to a(1-x) + b x.
func linear(a, b, u float64) float64 {
	if a+b <= 0 {
		return u
	}
	// (b-a)x² + 2a x - u(a+b) = 0, the root that stays finite for a = b.
	x := u * (a + b) / (a + math.Sqrt(math.Max(0, a*a*(1-u)+b*b*u)))
	if !(x >= 0) {
		return 0
	}
	return math.Min(x, 1)
}

// invertBand finds θ with ∫ from t0 to θ = v · ∫ from t0 to t1: Newton held between bisection
// bounds.
func invertBand(t0, t1, i0, i1, v float64) float64 {
	total := band(t0, t1, i0, i1)
	if !(total > 0) {
		return t0 + v*(t1-t0)
	}
	want := v * total
	lo, hi := t0, t1
	// Start from a density linear in θ.
	x := t0 + (t1-t0)*linear(i0*math.Sin(t0), i1*math.Sin(t1), v)
	for range 60 {
		f := (x - t0) / (t1 - t0)
		ix := i0 + f*(i1-i0)
		d := band(t0, x, i0, ix) - want
		if d > 0 {
			hi = x
		} else {
			lo = x
		}
		if math.Abs(d) <= 1e-14*total || hi-lo <= 1e-15 {
			break
		}
		slope := ix * math.Sin(x)
		next := x - d/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		x = next
	}
	return x
}
