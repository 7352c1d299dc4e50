package spectrum

import (
	"math"
	"strconv"
	"strings"
)

// Bands is the number of wavelength windows in which transport is traced.
const Bands = 16

// Band holds one value for each window: a reflectance or transmittance along a path (0 to 1), or
// transport per unit of emission.
type Band [Bands]float32

// Centres are the centres of the windows, nm. They were fitted against sums at 1 nm: the mean error
// is ΔE2000 0.05, against 0.64 for 16 flat bands (own study; docs/science.md). Check:
// TestWindowsAgainst1nm.
var Centres = [Bands]float64{435, 457, 475, 492, 510, 527, 545, 562, 578, 591, 609, 625, 643, 669, 696, 723}

// halfWindow is the half base of the triangular window, nm.
const halfWindow = 5

// Windows averages a reflectance or transmittance under each of the sixteen triangular windows.
// Outside its samples the curve keeps its end values.
func (c Curve) Windows() Band {
	var b Band
	for k, centre := range Centres {
		s := 0.0
		for d := -halfWindow + 1; d < halfWindow; d++ {
			s += (halfWindow - math.Abs(float64(d))) * c.AtHeld(centre+float64(d))
		}
		b[k] = float32(s / (halfWindow * halfWindow))
	}
	return b
}

// Mul returns the product of two bands, window by window: the throughput after one more surface.
func (b Band) Mul(o Band) Band {
	for i := range b {
		b[i] *= o[i]
	}
	return b
}

// reconstruction is the smooth basis that takes windows back to wavelengths: T(λ) = Σ_b
// reconstruction[i][b] T_b at 360 + i nm. linear is the same with linear interpolation between the
// centres.
var reconstruction, linear = loadReconstruction()

func loadReconstruction() (smooth, line [gridCount][Bands]float64) {
	t := readTable("rebuild16.csv")
	first := int(t.rows[0][0])
	for i := range smooth {
		r := min(max(gridStart+i-first, 0), len(t.rows)-1)
		copy(smooth[i][:], t.rows[r][1:])
		nm := float64(gridStart + i)
		switch {
		case nm <= Centres[0]:
			line[i][0] = 1
		case nm >= Centres[Bands-1]:
			line[i][Bands-1] = 1
		default:
			b := 0
			for nm > Centres[b+1] {
				b++
			}
			f := (nm - Centres[b]) / (Centres[b+1] - Centres[b])
			line[i][b], line[i][b+1] = 1-f, f
		}
	}
	return smooth, line
}

// Fold projects transport in sixteen windows on to three readings (X, Y, Z or camera R, G, B) under
// one light.
//
// Of T = 1 a CIE fold gives the light's white with Y = 1. So fold · T · level is in the unit of
// level (lx, cd/m², lx·s).
type Fold struct {
	W    [3][Bands]float32 // weights through the smooth reconstruction; some are negative
	Line [3][Bands]float32 // weights through linear lines, none negative; the guard of Apply
}

// FoldCIE returns the fold of a light to CIE 1931 X, Y, Z, with Y = 1 for T = 1. A light without
// power gives the zero Fold.
//
// The emission is never averaged: lines and narrow primaries keep their wavelengths. Only the
// transport is interpolated between windows. Check: TestWindowsAgainst1nm.
func FoldCIE(light Curve) Fold {
	s := light.grid()
	return foldWith(s, func(k, i int) float64 { return cmf[k][i] })
}

func foldWith(s Curve, weight func(k, i int) float64) Fold {
	var f Fold
	y := 0.0
	for i, v := range s.V {
		y += v * cmf[1][i]
	}
	if !(y > 0) || math.IsInf(y, 0) {
		return f
	}
	for k := 0; k < 3; k++ {
		var w, l [Bands]float64
		for i, v := range s.V {
			if v == 0 {
				continue
			}
			a := v * weight(k, i) / y
			for b := range w {
				w[b] += a * reconstruction[i][b]
				l[b] += a * linear[i][b]
			}
		}
		for b := range w {
			f.W[k][b], f.Line[k][b] = float32(w[b]), float32(l[b])
		}
	}
	return f
}

// Apply folds transport t. Each reading is held between half and twice what linear interpolation
// between the windows gives, so that a positive path never has a negative reading. Means do not
// change by that guard (own study). NaN in t reads as zero. Check: FuzzFoldGuard.
func (f *Fold) Apply(t *Band) [3]float64 {
	var out [3]float64
	for k := range out {
		w, l := &f.W[k], &f.Line[k]
		var a, b float32
		for i, v := range t {
			a += w[i] * v
			b += l[i] * v
		}
		lo, hi := float64(b)/2, float64(b)*2
		if lo > hi {
			lo, hi = hi, lo
		}
		v := float64(a)
		switch {
		case v < lo:
			v = lo
		case v > hi:
			v = hi
		case math.IsNaN(v):
			v = 0
		}
		out[k] = v
	}
	return out
}

// XYZ is Apply with its result as a colour.
func (f *Fold) XYZ(t *Band) XYZ {
	a := f.Apply(t)
	return XYZ{a[0], a[1], a[2]}
}

// String lists the values with three decimals.
func (b Band) String() string {
	parts := make([]string, Bands)
	for i, v := range b {
		parts[i] = strconv.FormatFloat(float64(v), 'f', 3, 32)
	}
	return strings.Join(parts, " ")
}
