package sample

import "math"

// Tally gathers equally trusted estimates of one thing. The zero Tally is empty.
type Tally struct {
	n        int
	mean, m2 float64
}

// Add takes one estimate: the mean of one Rep, or one independent sample. (Welford 1962.)
func (t *Tally) Add(x float64) {
	t.n++
	d := x - t.mean
	t.mean += d / float64(t.n)
	t.m2 += d * (x - t.mean)
}

// N returns how many were added.
func (t *Tally) N() int { return t.n }

// Mean returns their mean, 0 when there are none.
func (t *Tally) Mean() float64 { return t.mean }

// StdErr returns the standard error of the mean, +Inf when fewer than two were added.
//
// With few estimates the truth lies farther out than the normal law says: multiply by Student's t
// (Within95 does).
func (t *Tally) StdErr() float64 {
	if t.n < 2 {
		return math.Inf(1)
	}
	return math.Sqrt(t.m2 / float64(t.n-1) / float64(t.n))
}

// Within95 returns the half width that holds the truth 95 times in 100 when estimates scatter
// normally: StdErr times Student's t for N-1 degrees of freedom. Source: Abramowitz and Stegun
// 1964, 26.7.5, exact for 1, 2 and 4 degrees. Check: TestStudent.
func (t *Tally) Within95() float64 {
	if t.n < 2 {
		return math.Inf(1)
	}
	return t.StdErr() * student975(float64(t.n-1))
}

func student975(nu float64) float64 {
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
	const x = 1.95996398454
	x2 := x * x
	g1 := x * (x2 + 1) / 4
	g2 := x * ((5*x2+16)*x2 + 3) / 96
	g3 := x * (((3*x2+19)*x2+17)*x2 - 15) / 384
	g4 := x * ((((79*x2+776)*x2+1482)*x2-1920)*x2 - 945) / 92160
	return x + (g1+(g2+(g3+g4/nu)/nu)/nu)/nu
}
