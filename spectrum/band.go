package spectrum

import (
	"math"
	"strconv"
	"strings"
)

// Bands is the number of wavelength windows in which transport is traced.
const Bands = 16

// Band holds one value for each window: a reflectance on the way, or transport per unit of
// emission.
type Band [Bands]float32

// Centres are the centres of the windows, nm. Source: our own study (mean ΔE2000 0.05 over 25
// lights and 283 paths, where 16 flat bands give 0.64). Check: TestWindowsAgainst1nm.
var Centres = [Bands]float64{435, 457, 475, 492, 510, 527, 545, 562, 578, 591, 609, 625, 643, 669, 696, 723}

// halfWindow is the half base of the triangular window, nm.
const halfWindow = 5

// Windows reads a reflectance or transmittance through the sixteen triangular windows, ends held.
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

// Mul returns the product of two bands: one more reflection on the way.
func (b Band) Mul(o Band) Band {
	for i := range b {
		b[i] *= o[i]
	}
	return b
}

// rebuild is the smooth rebuild: T(λ) = Σ_b rebuild[i][b] T_b at 360 + i nm. straight is the same
// with straight lines between centres.
var rebuild, straight = loadRebuild()

func loadRebuild() (smooth, line [gridCount][Bands]float64) {
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

// Fold takes transport in sixteen windows to three readings (X, Y, Z or camera R, G, B) under one
// light.
//
// Applied to T = 1 a CIE fold gives the light's white with Y = 1, so fold · T · level is in the
// unit of level (lux, cd/m², lx·s).
type Fold struct {
	W    [3][Bands]float32 // weights through the smooth rebuild; some are negative
	Line [3][Bands]float32 // weights through straight lines, none negative; the guard of Apply
}

// FoldCIE returns the fold of a light to CIE 1931 X, Y, Z, Y = 1 for T = 1. The zero Fold for
// darkness.
//
// Emission is never averaged: lines and narrow primaries keep their place; only the transport is
// rebuilt between windows. Source: engine notes 2. Check: TestWindowsAgainst1nm.
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
				w[b] += a * rebuild[i][b]
				l[b] += a * straight[i][b]
			}
		}
		for b := range w {
			f.W[k][b], f.Line[k][b] = float32(w[b]), float32(l[b])
		}
	}
	return f
}

// Apply folds transport t. Guard: each reading is held between half and twice what straight lines
// between the windows give, so that no reading of a positive path can turn negative; the study
// found means unchanged by it. NaN in t reads as zero.
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

// XYZ is Apply as a colour.
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
