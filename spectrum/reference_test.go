package spectrum

import "math"

// What the tests hold the room's own code against.

// CCTRobertson1968 returns the correlated colour temperature by Robertson's 31 isotemperature
// lines, linear in distance. ok is false outside them (under 1,667 K) or for no colour. Source:
// Robertson, J. Opt. Soc. Am. 58, 1528 (1968). Check: TestCCT (E2.3, E2.6, E2.9, E2.12).
func CCTRobertson1968(c XY) (kelvin float64, ok bool) {
	u, v := c.UV1960()
	if !(c.Y > 0) || math.IsNaN(u+v) || math.IsInf(u+v, 0) {
		return 0, false
	}
	lastMired, last := 0.0, 0.0
	for i, r := range robertson.rows {
		mired, slope := r[0], r[3]
		d := (v - r[2] - slope*(u-r[1])) / math.Sqrt(1+slope*slope)
		if i > 0 && last*d <= 0 && last != d {
			m := lastMired + last/(last-d)*(mired-lastMired)
			return 1e6 / math.Max(m, 1), true
		}
		lastMired, last = mired, d
	}
	return 0, false
}

// FoldSensor returns the fold of a light to three sensor channels with spectral sensitivities sens,
// per unit of the light's photometric level (the same scale as FoldCIE: the reading of a channel is
// Σ S·sens over Σ S·V(λ)). The zero Fold for darkness.
func FoldSensor(light Curve, sens [3]Curve) Fold {
	s := light.grid()
	var g [3]Curve
	for k := range sens {
		g[k] = sens[k].grid()
	}
	return foldWith(s, func(k, i int) float64 { return g[k].V[i] })
}

// LampNote says where the spectrum of a lamp comes from; empty for a name not known.
func LampNote(name string) string {
	words, _, err := splitKelvin(name)
	if err != nil {
		return ""
	}
	k, _ := kindOf(wordKey(words))
	return k.note
}

// SolveLevel is Solve at a wanted output (in the unit of Flux) with as much from the white
// primaries as the colour allows, which renders best. Where the head has less than the level, its
// most in that colour is returned. output is what the drives give.
func (d Drives) SolveLevel(target XY, level float64) (drives []float64, reached XY, output float64, inGamut bool) {
	drives, reached, inGamut = d.Solve(target)
	if drives == nil {
		return nil, XY{}, 0, false
	}
	full := d.Output(drives).Y
	if !(level < full) {
		return drives, reached, full, inGamut
	}
	if !(level > 0) {
		return make([]float64, len(drives)), reached, 0, inGamut
	}
	for i := range drives {
		drives[i] *= level / full
	}
	// Trade narrow primaries for white ones at the same colour and level.
	p := d.at()
	rows := append(chromaticityRows(p, reached), fluxOf(p))
	goal := make([]float64, len(p))
	has := false
	for i := range p {
		if d.Primaries[i].White {
			goal[i], has = p[i].Y, true
		}
	}
	if has {
		if better := maximise(p, rows, []float64{0, 0, level}, goal); better != nil {
			drives = better
		}
	}
	out := d.Output(drives)
	return drives, out.XY(), out.Y, inGamut
}

// Bradford returns the linear Bradford adaptation between two whites; the identity where one of
// them cannot be adapted from. Source: as in the ICC profile format. Check: TestAdaptation (E4.1 to
// E4.6).
func Bradford(from, to XYZ) Adaptation { return adaptation(bradford, from, to) }

// One is the band of a perfect white.
func One() Band {
	var b Band
	for i := range b {
		b[i] = 1
	}
	return b
}

var WhiteA = XYZ{1.09850, 1, 0.35585}

var WhiteD50 = XYZ{0.96422, 1, 0.82521}

var bradford = [3][3]float64{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
