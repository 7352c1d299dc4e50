package testframe

import (
	"math"

	"halfstop/spectrum"
)

// What is known of white before a photograph is seen.
const (
	chanceWhite = 0.06 // it is not as planned …
	whiteFar    = 0.03 // … by so much, Δu'v', one standard deviation; common practice, no source
	gainSD      = 0.3  // of each channel, as a share

	// How far a light's colour lies from what is written of it, Δu'v'. A lamp of the place: a
	// colour temperature is named for all within seven steps (ANSI C78.377), a step is 0.0011
	// (CIE TN 001). A head of the kit: two steps; common practice, no source.
	houseColour = 7 * 0.0011
	headColour  = 2 * 0.0011
)

// white gives the gains of the channels that fit best with given weights, luminance 1, and one
// standard deviation of the white that they come to, Δu'v'. A lamp that is brighter than planned
// looks like a white that is off where its colour is its own: so weights and gains are known only
// together, and what counts is the marginal of their joint normal distribution. A light whose own
// colour is not as written moves the white by its share in what is seen.
func (s *sums) white(f *Fitted, layers []Layer) (gain [3]float64, sd float64) {
	w, bare, g := f.Weight, f.Bare, f.Gain
	n := len(w)
	joint := make([][]float64, n+3) // precision of weights, then of the gains' relative errors
	for i := range joint {
		joint[i] = make([]float64, n+3)
	}
	share, whole := make([]float64, n), 0.0
	next := g
	for c := range g {
		one := [3]float64{}
		one[c] = 1
		p := s.problem(one, bare)
		op, oo := 0.0, 0.0
		k := s.unit * g[c] * g[c]
		for a := range w {
			op += w[a] * p.rhs[a]
			to := 0.0
			for b := range w {
				to += w[b] * p.gram[a][b]
				joint[a][b] += k * p.gram[a][b]
			}
			oo += w[a] * to
			share[a] += w[a] * to
			joint[a][n+c] = k * to
			joint[n+c][a] = k * to
		}
		whole += oo
		joint[n+c][n+c] = k*oo + 1/(gainSD*gainSD)
		if op > 0 && oo > 0 {
			next[c] = op / oo
		}
	}
	for a := range w {
		joint[a][a] += 1 / max(1e-12, f.before[a].sd*f.before[a].sd)
	}
	y := luminance(next)
	for c := range next {
		next[c] /= y
	}
	for i := range joint {
		joint[i][i] *= 1 + unsure // pictures are off by themselves
	}
	cov := inverse(joint)
	// How white moves with each channel's relative error, at luminance 1.
	var move [3][2]float64
	at := chromaticity(next)
	for c := range move {
		const step = 1e-3
		q := next
		q[c] *= 1 + step
		to := chromaticity(q)
		move[c] = [2]float64{(to[0] - at[0]) / step, (to[1] - at[1]) / step}
	}
	v := 0.0
	for c := range 3 {
		for d := range 3 {
			v += cov[n+c][n+d] * (move[c][0]*move[d][0] + move[c][1]*move[d][1])
		}
	}
	for a := range share {
		own := headColour
		if layers[a].House {
			own = houseColour
		}
		v += share[a] * share[a] / max(1e-12, whole*whole) * own * own
	}
	return next, math.Sqrt(max(0, v))
}

func luminance(v [3]float64) float64 { return 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2] }

// chromaticity is that of linear sRGB, CIE 1976 u'v'.
func chromaticity(v [3]float64) [2]float64 {
	x := spectrum.SRGB.XYZ(v)
	d := max(1e-12, x.X+15*x.Y+3*x.Z)
	return [2]float64{4 * x.X / d, 9 * x.Y / d}
}

// whiteOff is the chance that white is not as planned: Bayes' rule for a white at the plan's
// and for one that is off by whiteFar, each known to whiteSD; u' and v' are two normal
// deviates.
func (f *Fitted) whiteOff() float64 {
	at, off := f.whiteSD*f.whiteSD, whiteFar*whiteFar+f.whiteSD*f.whiteSD
	at, off = at/2, off/2 // along each axis
	d := f.Whiteness()
	log := math.Log(at/off) + d*d/2*(1/at-1/off)
	odds := chanceWhite / (1 - chanceWhite) * math.Exp(min(log, 50))
	return odds / (1 + odds)
}
