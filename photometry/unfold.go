package photometry

import (
	"fmt"
	"math"
)

// Symmetry says how a stored table covers the sphere.
type Symmetry int

const (
	Whole       Symmetry = iota // every plane is stored
	Round                       // one plane: rotational
	Quadrant                    // 0 to 90
	Bilateral                   // C 0 to 180, or H 0 to 90 of types A and B: mirrored in the plane 0 (and 180)
	Bilateral90                 // C 90 to 270: mirrored in the plane 90 and 270
)

// Symmetry tells it from the kind and the ends of the horizontal angles.
func (w *Web) Symmetry() Symmetry {
	h0, h1 := w.Horizontal[0], w.Horizontal[len(w.Horizontal)-1]
	if w.Kind != TypeC {
		if h0 == 0 {
			return Bilateral
		}
		return Whole
	}
	switch {
	case len(w.Horizontal) == 1:
		return Round
	case h0 == 0 && h1 == 90:
		return Quadrant
	case h0 == 0 && h1 == 180:
		return Bilateral
	case h0 == 90 && h1 == 270:
		return Bilateral90
	}
	return Whole
}

// check says what keeps the table from covering the sphere in a way LM-63 knows.
func (w *Web) check() error {
	nv, nh := len(w.Vertical), len(w.Horizontal)
	if nv < 2 || nh < 1 {
		return fmt.Errorf("%d vertical and %d horizontal angles; at least 2 and 1 are needed", nv, nh)
	}
	if err := rising("vertical", w.Vertical); err != nil {
		return err
	}
	if err := rising("horizontal", w.Horizontal); err != nil {
		return err
	}
	if len(w.Table) != nh {
		return fmt.Errorf("%d planes of candela for %d horizontal angles", len(w.Table), nh)
	}
	for i, row := range w.Table {
		if len(row) != nv {
			return fmt.Errorf("plane %d has %d values for %d vertical angles", i+1, len(row), nv)
		}
		for j, v := range row {
			if !(v >= 0) || math.IsInf(v, 0) || v > maxCandela {
				return fmt.Errorf("plane %d, value %d is %g cd; 0 to %g is possible", i+1, j+1, v, maxCandela)
			}
		}
	}
	v0, v1 := w.Vertical[0], w.Vertical[nv-1]
	h0, h1 := w.Horizontal[0], w.Horizontal[nh-1]
	if w.Kind == TypeC {
		if v0 < 0 || v1 > 180 {
			return fmt.Errorf("vertical angles run from %g to %g; type C has 0 to 180", v0, v1)
		}
		if h0 < 0 || h1 > 360 {
			return fmt.Errorf("horizontal angles run from %g to %g; type C has 0 to 360", h0, h1)
		}
		switch {
		case nh == 1, h0 == 0 && (h1 == 90 || h1 == 180), h0 == 90 && h1 == 270:
			return nil
		case h0 == 0 && h1 > 180:
			return closes(w.Horizontal)
		}
		return fmt.Errorf(
			"horizontal angles run from %g to %g; type C ends at 0, 90, 180 or 360 (or runs from 90 to 270)", h0, h1)
	}
	if w.Kind != TypeA && w.Kind != TypeB {
		return fmt.Errorf("photometric type %d; 1 (C), 2 (B) and 3 (A) are known", w.Kind)
	}
	if nh < 2 {
		return fmt.Errorf("one horizontal angle; types A and B need at least 2")
	}
	if v0 < -90 || v1 > 90 || h0 < -90 || h1 > 90 {
		return fmt.Errorf("angles run from %g to %g (vertical) and %g to %g (horizontal); types A and B have -90 to 90",
			v0, v1, h0, h1)
	}
	if h0 > 0 || v0 > 0 {
		return fmt.Errorf(
			"angles start at %g (vertical) and %g (horizontal); types A and B start at 0 (mirrored) or below", v0, h0)
	}
	return nil
}

// closes says what keeps rising C angles from 0 on from making a whole turn: the step from the last
// one back to 0 may be no wider than the widest of the others, or planes are missing.
func closes(c []float64) error {
	widest := 0.0
	for i := 1; i < len(c); i++ {
		widest = max(widest, c[i]-c[i-1])
	}
	if last := c[len(c)-1]; 360-last > widest+1e-6 {
		return fmt.Errorf("the planes end at C%g and step by %g° at most: those from there to C360 are missing", last,
			widest)
	}
	return nil
}

// maxCandela bounds what is believed: the sun, seen as a lamp from the earth's distance, has 3e27
// cd; no luminaire has 1e12.
const maxCandela = 1e12

func rising(what string, a []float64) error {
	for i, x := range a {
		if math.IsNaN(x) || math.Abs(x) > 360 {
			return fmt.Errorf("%s angle %d is %g", what, i+1, x)
		}
		if i > 0 && !(x > a[i-1]) {
			return fmt.Errorf("%s angles must rise: %g follows %g", what, x, a[i-1])
		}
	}
	return nil
}

// build unfolds the table and sums its flux. The table has passed check.
func (w *Web) build() {
	g := &w.grid
	*g = grid{}
	if w.Kind == TypeC {
		h, rows := w.unfoldC()
		g.theta, g.phi, g.cd, g.cyclic = radians(w.Vertical), radians(h), rows, true
	} else {
		v, h, t := w.unfoldAB()
		switch w.Kind {
		case TypeB: // poles at H = ±90: theta = 90 - H, phi = V
			g.theta, g.phi = fromPole(h), radians(v)
			g.cd = transpose(t, true)
		case TypeA: // poles at V = ±90: theta = 90 - V, phi = H
			g.theta, g.phi = fromPole(v), radians(h)
			g.cd = make([][]float64, len(t))
			for i, row := range t {
				g.cd[i] = reversed(row)
			}
		}
	}
	g.sum()
}

// unfoldC gives the C angles over the whole turn, first 0 and last 360, with their planes.
func (w *Web) unfoldC() (h []float64, rows [][]float64) {
	add := func(c float64, row []float64) { h, rows = append(h, c), append(rows, row) }
	n := len(w.Horizontal)
	switch w.Symmetry() {
	case Round:
		return []float64{0, 360}, [][]float64{w.Table[0], w.Table[0]}
	case Quadrant:
		for i, c := range w.Horizontal {
			add(c, w.Table[i])
		}
		for i := n - 2; i >= 0; i-- {
			add(180-w.Horizontal[i], w.Table[i])
		}
		for i := 1; i < n; i++ {
			add(180+w.Horizontal[i], w.Table[i])
		}
		for i := n - 2; i >= 0; i-- {
			add(360-w.Horizontal[i], w.Table[i])
		}
	case Bilateral:
		for i, c := range w.Horizontal {
			add(c, w.Table[i])
		}
		for i := n - 2; i >= 0; i-- {
			add(360-w.Horizontal[i], w.Table[i])
		}
	case Bilateral90:
		// I(C) = I(180 - C) = I(540 - C): the planes from 180 up to 270 stand, mirrored, for 270 to
		// 360; those from 90 to 180 for 0 to 90.
		var lo, hi []int // stored planes at or under 180, at or over 180
		for i, c := range w.Horizontal {
			if c <= 180 {
				lo = append(lo, i)
			}
			if c >= 180 {
				hi = append(hi, i)
			}
		}
		at180 := w.plane(180)
		add(0, at180)
		for k := len(lo) - 1; k >= 0; k-- {
			if c := w.Horizontal[lo[k]]; c < 180 {
				add(180-c, w.Table[lo[k]])
			}
		}
		for i := 1; i < n; i++ {
			add(w.Horizontal[i], w.Table[i])
		}
		for k := len(hi) - 2; k >= 0; k-- {
			if c := w.Horizontal[hi[k]]; c > 180 {
				add(540-c, w.Table[hi[k]])
			}
		}
		add(360, at180)
	default:
		for i, c := range w.Horizontal {
			add(c, w.Table[i])
		}
		if h[n-1] < 360 {
			add(360, w.Table[0])
		}
	}
	return h, rows
}

// plane interpolates the stored table at one horizontal angle inside its range.
func (w *Web) plane(c float64) []float64 {
	i, f, ok := bracket(w.Horizontal, c)
	if !ok {
		return make([]float64, len(w.Vertical))
	}
	out := make([]float64, len(w.Vertical))
	for j := range out {
		out[j] = (1-f)*w.Table[i][j] + f*w.Table[i+1][j]
	}
	return out
}

// unfoldAB mirrors the halves that start at 0; t is [horizontal][vertical].
func (w *Web) unfoldAB() (v, h []float64, t [][]float64) {
	v, h = w.Vertical, w.Horizontal
	t = make([][]float64, len(h))
	for i, row := range w.Table {
		t[i] = row
		if v[0] == 0 {
			t[i] = append(reversed(row[1:]), row...)
		}
	}
	if v[0] == 0 {
		v = append(negated(v[1:]), v...)
	}
	if h[0] == 0 {
		m := make([][]float64, 0, 2*len(t)-1)
		for i := len(t) - 1; i > 0; i-- {
			m = append(m, t[i])
		}
		t = append(m, t...)
		h = append(negated(h[1:]), h...)
	}
	return v, h, t
}

func radians(a []float64) []float64 {
	out := make([]float64, len(a))
	for i, x := range a {
		out[i] = x * rad
	}
	return out
}

// fromPole turns rising latitudes in degrees into rising distances from the pole in radians.
func fromPole(a []float64) []float64 {
	out := make([]float64, len(a))
	for i, x := range a {
		out[len(a)-1-i] = (90 - x) * rad
	}
	return out
}

func reversed(a []float64) []float64 {
	out := make([]float64, len(a))
	for i, x := range a {
		out[len(a)-1-i] = x
	}
	return out
}

func negated(a []float64) []float64 {
	out := reversed(a)
	for i := range out {
		out[i] = -out[i]
	}
	return out
}

// transpose swaps the two indices and, with flip, turns the new inner order round.
func transpose(t [][]float64, flip bool) [][]float64 {
	out := make([][]float64, len(t[0]))
	for j := range out {
		out[j] = make([]float64, len(t))
		for i := range t {
			k := i
			if flip {
				k = len(t) - 1 - i
			}
			out[j][k] = t[i][j]
		}
	}
	return out
}
