package spectrum

import (
	"fmt"
	"math"
	"sort"
)

// The grid on which colours are summed: 360 to 830 nm, 1 nm apart.
const (
	gridStart = 360
	gridCount = 471
)

// Curve is a function of wavelength with even samples: V[i] belongs to Start + i·Step, in
// nanometres.
//
// As a light, V is relative power per nanometre, 0 or more, and the curve is zero outside its
// samples. As a reflectance or transmittance, V is 0 to 1 and the end values extend outwards. The
// zero Curve is zero everywhere.
type Curve struct {
	Start, Step float64
	V           []float64
}

// Constant returns the curve that is v at every wavelength.
func Constant(v float64) Curve { return Curve{gridStart, gridCount - 1, []float64{v, v}} }

// Empty reports whether the curve has no samples and so is zero everywhere.
func (c Curve) Empty() bool { return len(c.V) == 0 }

// End returns the wavelength of the last sample, nm.
func (c Curve) End() float64 { return c.Start + c.Step*float64(len(c.V)-1) }

// At returns the value at nm nanometres by linear interpolation, zero outside the samples: how a
// light is read.
func (c Curve) At(nm float64) float64 {
	if len(c.V) == 0 || !(nm >= c.Start) || !(nm <= c.End()) {
		return 0
	}
	return c.AtHeld(nm)
}

// AtHeld returns the value at nm nanometres by linear interpolation, with the end values outside
// the samples: how a reflectance is read.
func (c Curve) AtHeld(nm float64) float64 {
	n := len(c.V)
	if n == 0 || math.IsNaN(nm) {
		return 0
	}
	x := (nm - c.Start) / c.Step
	if n == 1 || !(x > 0) {
		return c.V[0]
	}
	if x >= float64(n-1) {
		return c.V[n-1]
	}
	i := int(x)
	f := x - float64(i)
	if f == 0 {
		return c.V[i]
	}
	return c.V[i]*(1-f) + c.V[i+1]*f
}

// Scale returns k times the curve.
func (c Curve) Scale(k float64) Curve {
	out := Curve{c.Start, c.Step, make([]float64, len(c.V))}
	for i, v := range c.V {
		out.V[i] = k * v
	}
	return out
}

// Mul returns the light c after the filter or reflection o: their product over the range of c, on
// the finer grid of the two. Outside its samples o keeps its end values. The result is empty where
// either is.
func (c Curve) Mul(o Curve) Curve {
	if c.Empty() || o.Empty() {
		return Curve{}
	}
	out := c.finer(o.Step)
	for i := range out.V {
		out.V[i] *= o.AtHeld(out.Start + float64(i)*out.Step)
	}
	return out
}

// finer returns a copy of c on a grid at least as fine as step (but not finer than 1 nm if c is not
// already), with c's own samples kept.
func (c Curve) finer(step float64) Curve {
	parts := 1
	if step < c.Step && len(c.V) > 1 {
		parts = max(1, int(math.Min(20000, math.Ceil(c.Step/math.Max(step, math.Min(1, c.Step))-1e-9))))
	}
	out := Curve{c.Start, c.Step / float64(parts), make([]float64, (len(c.V)-1)*parts+1)}
	for i := range out.V {
		out.V[i] = c.AtHeld(out.Start + float64(i)*out.Step)
	}
	return out
}

// Add returns the sum of two lights (zero outside their samples) on the 1 nm grid from 360 to 830
// nm.
func (c Curve) Add(o Curve) Curve {
	a, b := c.grid(), o.grid()
	for i := range a.V {
		a.V[i] += b.V[i]
	}
	return a
}

// Resample returns n samples from start, step nm apart, zero outside c. Where c is sampled finer
// than step, each new sample is the mean under a triangular window, so that power is kept.
// Otherwise c is interpolated linearly.
func (c Curve) Resample(start, step float64, n int) Curve {
	out := Curve{start, step, make([]float64, max(n, 0))}
	if c.Empty() || !(step > 0) {
		return out
	}
	if c.Step > 0 && c.Step < step*(1-1e-9) && len(c.V) > 1 {
		for j, v := range c.V {
			out.addPoint(c.Start+float64(j)*c.Step, v*c.Step)
		}
		return out
	}
	for i := range out.V {
		out.V[i] = c.At(start + float64(i)*step)
	}
	return out
}

// ResampleHeld is Resample for reflectances: always linear interpolation, with the end values
// outside.
func (c Curve) ResampleHeld(start, step float64, n int) Curve {
	out := Curve{start, step, make([]float64, max(n, 0))}
	for i := range out.V {
		out.V[i] = c.AtHeld(start + float64(i)*step)
	}
	return out
}

// addPoint adds power at nm, divided between the two samples beside it so that its centroid stays.
// Power outside the grid is dropped.
func (c *Curve) addPoint(nm, power float64) {
	x := (nm - c.Start) / c.Step
	if !(x > -1) || !(x < float64(len(c.V))) {
		return
	}
	f := math.Floor(x)
	i, t := int(f), x-f
	if i >= 0 {
		c.V[i] += power * (1 - t) / c.Step
	}
	if i+1 < len(c.V) {
		c.V[i+1] += power * t / c.Step
	}
}

// grid returns the curve as a light on the summing grid.
func (c Curve) grid() Curve {
	if c.Start == gridStart && c.Step == 1 && len(c.V) == gridCount {
		return Curve{c.Start, c.Step, append([]float64(nil), c.V...)}
	}
	return c.Resample(gridStart, 1, gridCount)
}

// Line is one emission line: wavelength in nm, power in the same (relative) unit as the rest of the
// light.
type Line struct{ NM, Power float64 }

// OfLines returns lines on the 1 nm grid. Each is split onto the two nearest samples, which keeps
// its power and its centroid. Check: TestLinesKeepPower.
func OfLines(lines []Line) Curve {
	out := Curve{gridStart, 1, make([]float64, gridCount)}
	for _, l := range lines {
		out.addPoint(l.NM, l.Power)
	}
	return out
}

// OfPairs returns the curve through pairs (nm, value), linear between them, on a 1 nm grid from the
// first to the last. Pairs may come in any order and at uneven steps. Where they lie closer than 1
// nm, areas are kept. Error: fewer than two pairs, a wavelength twice, a value that is negative or
// not a number, a wavelength outside 100 to 20,000 nm.
func OfPairs(pairs [][2]float64) (Curve, error) {
	p, err := sorted(pairs)
	if err != nil {
		return Curve{}, err
	}
	return p.sample(func(i int, nm float64) float64 {
		t := (nm - p[i][0]) / (p[i+1][0] - p[i][0])
		return p[i][1]*(1-t) + p[i+1][1]*t
	}), nil
}

// Smooth is OfPairs with a monotone cubic (Fritsch and Butland 1984) in place of linear pieces. It
// does not overshoot, so a reflectance between 0 and 1 stays there. It is for a colour given by a
// few points.
func Smooth(pairs [][2]float64) (Curve, error) {
	p, err := sorted(pairs)
	if err != nil {
		return Curve{}, err
	}
	n := len(p)
	// The slopes at the points: zero at an extremum, else the weighted harmonic mean of the
	// secants.
	d := make([]float64, n)
	secant := func(i int) float64 { return (p[i+1][1] - p[i][1]) / (p[i+1][0] - p[i][0]) }
	for i := 1; i < n-1; i++ {
		a, b := secant(i-1), secant(i)
		if a*b <= 0 {
			continue
		}
		h0, h1 := p[i][0]-p[i-1][0], p[i+1][0]-p[i][0]
		alpha := (h0 + 2*h1) / (3 * (h0 + h1))
		d[i] = a * b / (alpha*b + (1-alpha)*a)
	}
	return p.sample(func(i int, nm float64) float64 {
		h := p[i+1][0] - p[i][0]
		t := (nm - p[i][0]) / h
		s := 1 - t
		v := p[i][1]*s*s*(1+2*t) + p[i+1][1]*t*t*(3-2*t) + h*t*s*(d[i]*s-d[i+1]*t)
		return math.Min(math.Max(v, math.Min(p[i][1], p[i+1][1])), math.Max(p[i][1], p[i+1][1]))
	}), nil
}

type points [][2]float64

func sorted(pairs [][2]float64) (points, error) {
	if len(pairs) < 2 {
		return nil, fmt.Errorf("a spectrum needs at least two pairs of wavelength and value, not %d", len(pairs))
	}
	p := append(points(nil), pairs...)
	sort.SliceStable(p, func(i, j int) bool { return p[i][0] < p[j][0] })
	for i, q := range p {
		switch {
		case !(q[0] >= 100 && q[0] <= 20000):
			return nil, fmt.Errorf("wavelength %g nm is outside 100 to 20,000 nm", q[0])
		case !(q[1] >= 0) || math.IsInf(q[1], 0):
			return nil, fmt.Errorf("value %g at %g nm is not a number of zero or more", q[1], q[0])
		case i > 0 && q[0] == p[i-1][0]:
			return nil, fmt.Errorf("wavelength %g nm is there twice", q[0])
		}
	}
	return p, nil
}

// sample puts f (the value at nm in piece i) on to a 1 nm grid, by areas where the pairs are closer
// than the grid.
func (p points) sample(f func(i int, nm float64) float64) Curve {
	first, last := p[0][0], p[len(p)-1][0]
	closest := math.Inf(1)
	for i := 1; i < len(p); i++ {
		closest = math.Min(closest, p[i][0]-p[i-1][0])
	}
	step := 1.0
	if closest < 1 {
		step = math.Max(closest/2, 1.0/64)
	}
	n := int(math.Floor((last-first)/step+1e-9)) + 1
	out := Curve{first, step, make([]float64, n)}
	i := 0
	for k := range out.V {
		nm := math.Min(first+float64(k)*step, last)
		for i < len(p)-2 && nm >= p[i+1][0] {
			i++
		}
		out.V[k] = f(i, nm)
	}
	// Keep the last pair even when the range is no whole number of steps.
	if rest := last - out.End(); rest > 1e-9 {
		out.V = append(out.V, p[len(p)-1][1])
	}
	if step < 1 {
		start := math.Floor(first)
		out = out.Resample(start, 1, int(math.Ceil(last-start))+1)
	}
	return out
}

// Check returns an error for the first sample that is not a finite number of zero or more, or for a
// grid without a positive step.
func (c Curve) Check() error {
	if c.Empty() {
		return nil
	}
	if !(c.Step > 0) || math.IsInf(c.Step, 0) || math.IsNaN(c.Start) || math.IsInf(c.Start, 0) {
		return fmt.Errorf("spectrum starts at %g nm with steps of %g nm", c.Start, c.Step)
	}
	for i, v := range c.V {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("value %g at %g nm is not a number of zero or more", v, c.Start+float64(i)*c.Step)
		}
	}
	return nil
}

// Max returns the largest sample, zero for the empty curve.
func (c Curve) Max() float64 {
	m := 0.0
	for _, v := range c.V {
		m = math.Max(m, v)
	}
	return m
}

// Gaussian returns a bell-shaped light on the 1 nm grid: 1 at peakNM, with the full width at half
// maximum widthNM, both nm. It stands for an LED primary when planning (common practice, no
// source).
func Gaussian(peakNM, widthNM float64) Curve {
	out := Curve{gridStart, 1, make([]float64, gridCount)}
	for i := range out.V {
		d := (gridStart + float64(i) - peakNM) / widthNM
		out.V[i] = math.Exp(-4 * math.Ln2 * d * d)
	}
	return out
}
