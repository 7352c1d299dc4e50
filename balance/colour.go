package balance

import "math"

// uvOf returns CIE 1976 u', v' of XYZ; equal-energy white for no light at all.
func uvOf(x, y, z float64) (u, v float64) {
	d := x + 15*y + 3*z
	if !(d > 1e-30) {
		return 4.0 / 19, 9.0 / 19
	}
	return 4 * x / d, 9 * y / d
}

// planckUV returns u, v (CIE 1960) of the black body at temperature kelvin, 1,000 to 15,000 K,
// within 9e-5. Source: Krystek 1985, rational Chebyshev approximation (coefficients from memory).
// Check: TestMiredOfIlluminants.
func planckUV(kelvin float64) (u, v float64) {
	T, T2 := kelvin, kelvin*kelvin
	u = (0.860117757 + 1.54118254e-4*T + 1.28641212e-7*T2) / (1 + 8.42420235e-4*T + 7.08145163e-7*T2)
	v = (0.317398726 + 4.22806245e-5*T + 4.20481691e-8*T2) / (1 - 2.89741816e-5*T + 1.61456053e-7*T2)
	return u, v
}

// locus is the Planckian locus from 15,000 K to 1,000 K, in equal steps of mired.
var locus = func() (l struct {
	u, v        [401]float64
	first, step float64
}) {
	const hottest, coolest = 1e6 / 15000, 1e6 / 1000
	l.first, l.step = hottest, (coolest-hottest)/float64(len(l.u)-1)
	for i := range l.u {
		l.u[i], l.v[i] = planckUV(1e6 / (l.first + float64(i)*l.step))
	}
	return l
}()

// miredOf returns the reciprocal correlated colour temperature of u', v': nearest point of the
// Planckian locus in u, v between 1,000 and 15,000 K. Always finite; for saturated colours it still
// orders warm and cool.
func miredOf(u1, v1 float64) float64 {
	u, v := u1, v1*2/3
	dist := func(i int) float64 {
		du, dv := locus.u[i]-u, locus.v[i]-v
		return du*du + dv*dv
	}
	best, bestD := 0, dist(0)
	for step := 20; step > 0; step /= 4 {
		from, to := 0, len(locus.u)-1
		if step < 20 {
			from, to = max(0, best-4*step), min(to, best+4*step)
		}
		for i := from; i <= to; i += step {
			if d := dist(i); d < bestD {
				best, bestD = i, d
			}
		}
	}
	at := float64(best)
	if best > 0 && best < len(locus.u)-1 {
		a, c := dist(best-1), dist(best+1)
		if bend := a - 2*bestD + c; bend > 0 {
			at += math.Max(-1, math.Min(1, (a-c)/(2*bend)))
		}
	}
	return locus.first + at*locus.step
}
