package picture

import (
	"runtime"

	"halfstop/parallel"
	"halfstop/spectrum"
)

// curve is a function on 0 to 1 as straight lines between even steps.
type curve []float32

func curveOf(steps int, f func(x float64) float64) curve {
	c := make(curve, steps+2) // one more, so that 1 needs no case of its own
	for i := range c {
		c[i] = float32(f(min(1, float64(i)/float64(steps))))
	}
	return c
}

// at clips x to 0 to 1; not a number reads as 0.
func (c curve) at(x float64) float32 {
	if !(x > 0) {
		return c[0]
	}
	s := float32(min(x, 1)) * float32(len(c)-2)
	i := int(s)
	return c[i] + (c[i+1]-c[i])*(s-float32(i))
}

// encodeCurve is spectrum.Encode, and shoulder is Tone(x)/x from the join (0) to the clip (1).
// Either is within half a code of 16 bits: TestCurves.
var (
	encodeCurve = curveOf(1<<14, spectrum.Encode)
	shoulder    = curveOf(1<<11, func(u float64) float64 {
		x := join + u*(Clipped-join)
		return Tone(x) / x
	})
)

// gain is Tone(x)/x for x above zero.
func gain(x float64) float64 {
	switch {
	case x <= join:
		return 1
	case x >= Clipped:
		return 1 / x
	}
	return float64(shoulder.at((x - join) * (1 / (Clipped - join))))
}

// EachRow calls f for each of h rows, on all processors.
func EachRow(h int, f func(y int)) {
	var wg parallel.Group
	n := runtime.GOMAXPROCS(0)
	for k := range n {
		wg.Go(func() {
			for y := k * h / n; y < (k+1)*h/n; y++ {
				f(y)
			}
		})
	}
	wg.Wait()
}

// matrix takes XYZ to a display's linear channels, white adapted; its last row gives the adapted Y.
type matrix [4][3]float64

func matrixOf(adapt spectrum.Adaptation, d *spectrum.Display) (m matrix) {
	for j := range 3 {
		var e [3]float64
		e[j] = 1
		c := adapt.XYZ(spectrum.XYZ{X: e[0], Y: e[1], Z: e[2]})
		for i, v := range d.Linear(c) {
			m[i][j] = v
		}
		m[3][j] = c.Y
	}
	return m
}

func (m *matrix) row(i int, t *spectrum.XYZ) float64 {
	return m[i][0]*t.X + m[i][1]*t.Y + m[i][2]*t.Z
}
