package spectrum

import (
	"fmt"
	"math"
	"sync"
)

// locusPoints is the spectral locus from 390 to 700 nm, 1 nm apart. The straight line between its
// ends is the line of purples.
var locusPoints = sync.OnceValue(func() []XY {
	var out []XY
	for nm := 390; nm <= 700; nm++ {
		i := nm - gridStart
		out = append(out, XYZ{cmf[0][i], cmf[1][i], cmf[2][i]}.XY())
	}
	return out
})

// InsideLocus reports whether a chromaticity lies within the spectral locus and the line of
// purples, so that a real light can have it.
func InsideLocus(c XY) bool {
	p := locusPoints()
	in := false
	for i, j := 0, len(p)-1; i < len(p); j, i = i, i+1 {
		if (p[i].Y > c.Y) != (p[j].Y > c.Y) && c.X < (p[j].X-p[i].X)*(c.Y-p[i].Y)/(p[j].Y-p[i].Y)+p[i].X {
			in = !in
		}
	}
	return in
}

// OfChromaticity returns a plausible light of CIE 1931 chromaticity x, y, with Y = 1 and no
// negative power.
//
// Inside the locus the light is the exponential of a quadratic in wavelength: flat, tilted, one
// broad band, or two ends for purples. Near the locus, where that band would be narrower than about
// 8 nm, it is a nearly single wavelength (for purples both ends of the spectrum) with some
// equal-energy white. The result is within Δu'v' 0.0005. Error: x, y is outside the locus or not a
// number. Check: TestOfChromaticity.
func OfChromaticity(x, y float64) (Curve, error) {
	target := XY{x, y}
	if math.IsNaN(x) || math.IsNaN(y) || !InsideLocus(target) {
		return Curve{}, fmt.Errorf("x %.4f, y %.4f is outside the spectral locus: no light has that colour", x, y)
	}
	if c, ok := quadraticLight(target); ok {
		return c, nil
	}
	return edgeLight(target), nil
}

// span scales wavelength to −1 to 1 over the visible range.
func span(i int) float64 { return (gridStart + float64(i) - 550) / 150 }

// quadraticLight finds exp(a t + b t²) of the target chromaticity by Newton's method, in twelve
// steps along the straight line from equal energy to the target (continuation).
func quadraticLight(target XY) (Curve, bool) {
	light := func(a, b float64) Curve {
		out := Curve{gridStart, 1, make([]float64, gridCount)}
		top := math.Inf(-1)
		for i := range out.V {
			t := clampTo(span(i), -1.15, 1.15)
			out.V[i] = a*t + b*t*t
			top = math.Max(top, out.V[i])
		}
		for i := range out.V {
			out.V[i] = math.Exp(out.V[i] - top)
		}
		return out
	}
	uv := func(a, b float64) (float64, float64) { return light(a, b).XY().UVPrime() }
	tu, tv := target.UVPrime()
	a, b := 0.0, 0.0
	u0, v0 := uv(a, b)
	const steps = 12
	for s := 1; s <= steps; s++ {
		f := float64(s) / steps
		gu, gv := u0+f*(tu-u0), v0+f*(tv-v0)
		for range 12 {
			u, v := uv(a, b)
			eu, ev := gu-u, gv-v
			if math.Hypot(eu, ev) < 1e-6 {
				break
			}
			const h = 1e-3
			ua, va := uv(a+h, b)
			ub, vb := uv(a, b+h)
			j00, j01, j10, j11 := (ua-u)/h, (ub-u)/h, (va-v)/h, (vb-v)/h
			det := j00*j11 - j01*j10
			if math.Abs(det) < 1e-14 {
				return Curve{}, false
			}
			da, db := (eu*j11-ev*j01)/det, (ev*j00-eu*j10)/det
			// The steps are limited where the map is strongly curved.
			if l := math.Hypot(da, db); l > 20 {
				da, db = da*20/l, db*20/l
			}
			a, b = a+da, b+db
			if b < -1000 || b > 300 || math.Abs(a) > 1500 || math.IsNaN(a+b) {
				return Curve{}, false
			}
		}
	}
	c := light(a, b)
	return c.PerLuminance(), DeltaUVPrime(c.XY(), target) <= 0.0003
}

// edgeLight mixes equal energy with the monochromatic light (or purple) of the target's dominant
// wavelength.
func edgeLight(target XY) Curve {
	white := Constant(1).grid().PerLuminance()
	w := white.XY()
	dx, dy := target.X-w.X, target.Y-w.Y
	p := locusPoints()
	for i := range p {
		j := (i + 1) % len(p)
		// Where the ray from white through the target crosses this piece of the locus.
		ex, ey := p[j].X-p[i].X, p[j].Y-p[i].Y
		det := dx*ey - dy*ex
		if det == 0 {
			continue
		}
		t := ((p[i].X-w.X)*ey - (p[i].Y-w.Y)*ex) / det
		s := ((p[i].X-w.X)*dy - (p[i].Y-w.Y)*dx) / det
		if t <= 0 || s < 0 || s > 1 {
			continue
		}
		nmJ := 390 + float64(j)
		var pure Curve
		if j == 0 {
			// The purple line: both ends, mixed by X + Y + Z.
			a, b := OfLines([]Line{{700, 1}}), OfLines([]Line{{390, 1}})
			ta, tb := a.XYZ(), b.XYZ()
			pure = a.Scale((1 - s) / (ta.X + ta.Y + ta.Z)).Add(b.Scale(s / (tb.X + tb.Y + tb.Z)))
		} else {
			pure = OfLines([]Line{{nmJ - 1 + s, 1}})
		}
		tp, tw := pure.XYZ(), white.XYZ()
		f := 1 / t
		return pure.Scale(f / (tp.X + tp.Y + tp.Z)).Add(white.Scale((1 - f) / (tw.X + tw.Y + tw.Z))).PerLuminance()
	}
	return white
}

// d65 is illuminant D65 with Y = 1 on the grid.
var d65 = sync.OnceValue(func() Curve { return readTable("illuminants.csv").curve("D65").grid().PerLuminance() })

// ReflectanceOfSRGB returns a smooth reflectance between 0 and 1 that has the given sRGB colour
// under D65, at 380 to 780 nm in steps of 5 nm. r, g, b are encoded values from 0 to 1; others are
// clipped, and NaN reads as 0.
//
// The spectrum is a sigmoid of a quadratic in wavelength (Jakob and Hanika 2019). Many spectra
// share one colour (metamerism), so this is a plausible one and not a measurement. Over a grid of
// colours the largest error is ΔE2000 0.02. Check: TestReflectanceOfSRGB.
func ReflectanceOfSRGB(r, g, b float64) Curve {
	linear := [3]float64{Decode(r), Decode(g), Decode(b)}
	white := d65().XYZ()
	target := SRGB.XYZ(linear)
	want := target.Lab(WhiteD65)
	s := d65()
	// build gives the reflectance for coefficients p, lab its colour.
	build := func(p [3]float64) Curve {
		out := Curve{380, 5, make([]float64, 81)}
		for k := range out.V {
			t := span(20 + 5*k)
			x := p[0] + p[1]*t + p[2]*t*t
			out.V[k] = 0.5 + x/(2*math.Sqrt(1+x*x))
		}
		return out
	}
	lab := func(p [3]float64) Lab { return s.Mul(build(p)).XYZ().Lab(white) }
	p := [3]float64{}
	start := lab(p)
	best, bestError := p, math.Inf(1)
	const steps = 10
	for step := 1; step <= steps; step++ {
		f := float64(step) / steps
		goal := Lab{start.L + f*(want.L-start.L), start.A + f*(want.A-start.A), start.B + f*(want.B-start.B)}
		rounds := 4
		if step == steps {
			rounds = 25
		}
		damping := 1e-3
		for range rounds {
			c := lab(p)
			e := [3]float64{goal.L - c.L, goal.A - c.A, goal.B - c.B}
			size := e[0]*e[0] + e[1]*e[1] + e[2]*e[2]
			if step == steps && size < bestError {
				best, bestError = p, size
			}
			if size < 1e-6 {
				break
			}
			var j [3][3]float64
			for k := range p {
				q := p
				h := 1e-4 * (1 + math.Abs(p[k]))
				q[k] += h
				d := lab(q)
				j[0][k], j[1][k], j[2][k] = (d.L-c.L)/h, (d.A-c.A)/h, (d.B-c.B)/h
			}
			// Levenberg–Marquardt: (JᵀJ + λ diag) dp = Jᵀe, with λ raised until the error falls.
			for range 8 {
				var n [3][3]float64
				var rhs [3]float64
				for a := range 3 {
					for b := range 3 {
						for k := range 3 {
							n[a][b] += j[k][a] * j[k][b]
						}
					}
					n[a][a] *= 1 + damping
					n[a][a] += 1e-9
					for k := range 3 {
						rhs[a] += j[k][a] * e[k]
					}
				}
				inv, ok := invert(n)
				if !ok {
					damping *= 10
					continue
				}
				dp := apply(inv, rhs)
				q := [3]float64{p[0] + dp[0], p[1] + dp[1], p[2] + dp[2]}
				d := lab(q)
				if (goal.L-d.L)*(goal.L-d.L)+(goal.A-d.A)*(goal.A-d.A)+(goal.B-d.B)*(goal.B-d.B) < size {
					p = q
					damping = math.Max(damping/10, 1e-9)
					break
				}
				damping *= 10
			}
			damping = math.Min(damping, 1e3)
		}
	}
	return build(best)
}
