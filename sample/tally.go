package sample

import "math"

// Tally gathers equally trusted estimates of one thing. The zero Tally is empty.
type Tally struct {
	n        int
	mean, m2 float64 // m2, m3: sums of the second and third powers about the mean
	m3       float64
}

// Add takes one estimate: the mean of one Rep, or one independent sample. (Welford 1962; Pébay 2008
// for the third power.)
func (t *Tally) Add(x float64) {
	t.n++
	n := float64(t.n)
	d := x - t.mean
	step := d / n
	t.mean += step
	more := d * step * (n - 1)
	t.m3 += step * (more*(n-2) - 3*t.m2)
	t.m2 += more
}

// N returns how many were added.
func (t *Tally) N() int { return t.n }

// Mean returns their mean, 0 when there are none.
func (t *Tally) Mean() float64 { return t.mean }

// StdErr returns the standard error of the mean, +Inf when fewer than two were added.
//
// With few estimates the truth lies farther out than by the normal law: NormalError allows for it.
func (t *Tally) StdErr() float64 {
	if t.n < 2 {
		return math.Inf(1)
	}
	return math.Sqrt(t.m2 / float64(t.n-1) / float64(t.n))
}

// NormalError is the standard error of a normal law that holds the truth as often as these
// estimates do, 99 times in 100. A few estimates have a longer tail than that law; where they are
// skewed to the high side, as light found by rare paths is, a mean that is too low comes with too
// small a StdErr, and the error is widened by the first term of the Edgeworth expansion of
// Student's statistic (Hall 1992, 'On the removal of skewness by transformation'). Check:
// TestNormalError.
func (t *Tally) NormalError() float64 {
	return t.within(normal995) / normal995 * t.widened() // by Student's t
}

// widened is by how much skew to the high side widens an error.
func (t *Tally) widened() float64 {
	if t.n < 3 || t.m2 <= 0 {
		return 1
	}
	n := float64(t.n)
	skew := t.m3 / n / math.Pow(t.m2/n, 1.5)
	const term = (2*normal995*normal995 + 1) / (6 * normal995)
	return 1 + term*max(0, skew)/math.Sqrt(n)
}

// NormalErrorKnowing is NormalError with the variance of one estimate pooled as in PooledError.
func (t *Tally) NormalErrorKnowing(variance, observations float64) float64 {
	return t.PooledError(variance, observations) * t.widened()
}

// PooledError is NormalError where one estimate is known beforehand to have about a variance, as
// surely as so many observations of it would tell: the two variances are pooled by their degrees of
// freedom. (A scaled inverse chi-squared prior: Gelman et al. 2013, 'Bayesian Data Analysis', from
// memory.) What few values are possible, as in counts, cannot all agree by chance so. Check:
// TestPooledError.
func (t *Tally) PooledError(variance, observations float64) float64 {
	if t.n < 2 {
		return math.Inf(1)
	}
	nu := float64(t.n-1) + observations
	pooled := (t.m2 + observations*variance) / nu
	return math.Sqrt(pooled/float64(t.n)) * student(nu, normal995) / normal995
}

// Quantiles of the normal law. (Abramowitz and Stegun 1964, table 26.5.)
const (
	normal975 = 1.959963984540054
	normal995 = 2.575829303548901
)

// within is the half width that holds the truth as often as a normal law's quantile does, for
// estimates that scatter normally: StdErr times Student's t for N-1 degrees of freedom.
func (t *Tally) within(quantile float64) float64 {
	if t.n < 2 {
		return math.Inf(1)
	}
	return t.StdErr() * student(float64(t.n-1), quantile)
}

// student is the quantile of Student's law for nu degrees of freedom where the normal law has x.
// Source: Abramowitz and Stegun 1964, 26.7.5; exact for 1, 2 and 4 degrees at normal975.
func student(nu, x float64) float64 {
	if x == normal975 {
		switch nu {
		case 1:
			return 12.7062047362
		case 2:
			return 4.30265272975
		case 3:
			return 3.18244630528
		case 4:
			return 2.7764451052
		}
	}
	x2 := x * x
	g1 := x * (x2 + 1) / 4
	g2 := x * ((5*x2+16)*x2 + 3) / 96
	g3 := x * (((3*x2+19)*x2+17)*x2 - 15) / 384
	g4 := x * ((((79*x2+776)*x2+1482)*x2-1920)*x2 - 945) / 92160
	return x + (g1+(g2+(g3+g4/nu)/nu)/nu)/nu
}
