package ways

import (
	"context"

	"halfstop/balance"
	"halfstop/kit"
	"halfstop/spectrum"
)

// The wavelengths that gels are multiplied on: 380 to 780 nm in steps of 5.
const (
	gelStart = 380
	gelStep  = 5
	gelCount = 81
)

// gelStack is a stack of at most two gels and the light behind it.
type gelStack struct {
	gels  []string
	match balance.Match
}

// lampOf folds a light on a perfect white and on surfaces, at the light's own luminance.
func lampOf(light spectrum.Curve, on []spectrum.Curve) balance.Lamp {
	l := balance.Lamp{White: array(light.XYZ())}
	for _, s := range on {
		l.On = append(l.On, array(light.Mul(s).XYZ()))
	}
	return l
}

func array(t spectrum.XYZ) [3]float64 { return [3]float64{t.X, t.Y, t.Z} }

// gelStacks finds the stacks of gels of the kit whose light is nearest to another, best first.
// light is per unit of its own luminance.
func gelStacks(ctx context.Context, k *kit.Kit, light, wanted spectrum.Curve, on []spectrum.Curve,
	limit int) ([]gelStack, error) {
	bare := light.PerLuminance().ResampleHeld(gelStart, gelStep, gelCount)
	var gels []balance.Gel
	for _, n := range k.GelNames() {
		t, _, err := k.Transmittance(n)
		if err != nil {
			continue
		}
		gels = append(gels, balance.Gel{Name: n, T: t.ResampleHeld(gelStart, gelStep, gelCount).V})
	}
	// The colour-matching functions on the same wavelengths, from the fold of each wavelength
	// alone.
	weights := foldWeights(on)
	fold := func(t []float64) balance.Lamp {
		var l balance.Lamp
		l.On = make([][3]float64, len(on))
		for i, v := range bare.V {
			if t != nil {
				v *= t[i]
			}
			for c := range 3 {
				l.White[c] += v * weights[0][i][c]
				for s := range on {
					l.On[s][c] += v * weights[s+1][i][c]
				}
			}
		}
		return l
	}
	matches, err := balance.MatchGels(ctx, lampOf(wanted.PerLuminance(), on), gels, fold, difference(wanted), limit)
	var out []gelStack
	for _, m := range matches {
		s := gelStack{match: m}
		for _, i := range m.Stack {
			s.gels = append(s.gels, gels[i].Name)
		}
		out = append(out, s)
	}
	return out, err
}

// foldWeights returns, for the bare white and each surface, the contribution of each wavelength to
// XYZ.
func foldWeights(on []spectrum.Curve) [][gelCount][3]float64 {
	out := make([][gelCount][3]float64, len(on)+1)
	for i := range gelCount {
		line := spectrum.Curve{Start: gelStart, Step: gelStep, V: make([]float64, gelCount)}
		line.V[i] = 1
		out[0][i] = array(line.XYZ())
		for s := range on {
			out[s+1][i] = array(line.Mul(on[s]).XYZ())
		}
	}
	return out
}

// difference is ΔE2000 of two surfaces under a white of the wanted light's luminance, for an eye
// adapted to D65, so that a deep colour is judged as the deep colour that it is.
func difference(wanted spectrum.Curve) balance.ColourDifference {
	white := spectrum.DaylightXY(6504).XYZ(100)
	return func(_ int, a, b [3]float64) float64 {
		return spectrum.DeltaE2000(spectrum.XYZ{X: a[0], Y: a[1], Z: a[2]}.Lab(white),
			spectrum.XYZ{X: b[0], Y: b[1], Z: b[2]}.Lab(white))
	}
}
