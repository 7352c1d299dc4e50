package photometry

import (
	"math"
	"sort"

	"halfstop/geom"
)

// Kind is the angle system of a Web: which axis its poles lie on. The numbers are those of LM-63.
type Kind int

const (
	TypeC Kind = 1
	TypeB Kind = 2
	TypeA Kind = 3
)

// String gives 'C', 'B' or 'A'.
func (k Kind) String() string {
	switch k {
	case TypeC:
		return "C"
	case TypeB:
		return "B"
	case TypeA:
		return "A"
	}
	return "?"
}

// Web is a luminous intensity distribution as its file has it: the table before symmetry is
// unfolded, with every factor applied. Make one with a parser, Rotational or New; the table must
// not be changed afterwards.
type Web struct {
	Name       string      // what the file says it is
	Edition    string      // first line of an LM-63 file, 'EULUMDAT', or empty
	Keywords   []Keyword   // LM-63 keywords in file order
	Kind       Kind        // angle system
	Vertical   []float64   // degrees, rising: gamma (C), V (B, A)
	Horizontal []float64   // degrees, rising: C (C), H (B, A)
	Table      [][]float64 // candela, [horizontal][vertical], every factor applied
	Lamps      float64     // number of lamps
	Lumens     float64     // rated flux of one lamp, lm; negative: absolute photometry, no rated lamp
	Watts      float64     // electrical input, W
	Lamp       string      // what an EULUMDAT file says of its lamp's colour
	LampSets   []string    // of an EULUMDAT file that has several, as it says them
	Opening    Opening     // the face that shines
	Tilt       *Tilt       // how lamps lose light when the luminaire is tilted; not applied by Candela
	Unit       float64     // metres per unit of length in the file

	grid grid
}

// Keyword is one [KEYWORD] line of an LM-63 file with its [MORE] lines joined by newlines.
type Keyword struct{ Key, Text string }

// Tilt is the lamp's output against the luminaire's tilt (LM-63 TILT data).
type Tilt struct {
	File     string    // when it came from a file of its own
	Geometry int       // lamp to luminaire: 1 vertical base, 2 horizontal and stays, 3 horizontal and turns
	Angles   []float64 // degrees
	Factors  []float64 // 1 is the rated output
}

// Factor returns the output at a tilt in degrees, linear between the angles given and constant
// beyond them.
func (t *Tilt) Factor(deg float64) float64 {
	if t == nil || len(t.Angles) == 0 {
		return 1
	}
	return lookup(t.Angles, t.Factors, deg)
}

// grid is the unfolded table about one polar axis: theta from the pole, phi about it, both in
// radians.
type grid struct {
	theta, phi []float64
	cd         [][]float64 // [phi][theta]
	cyclic     bool        // phi runs the whole turn
	cell       []float64   // flux of each cell, [phi*(nt-1)+theta], running sum
	flux       float64
	peak       float64
}

const rad = math.Pi / 180

// Candela returns the intensity towards dir, in the luminaire's own frame; dir need not have unit
// length.
//
// Bilinear in the two angles between the table's entries, cyclic about the axis, zero outside the
// table. Zero for the zero vector; never negative, never NaN for finite dir. Check:
// TestCandelaOnTheTable, TestTypeBIsTurned.
func (w *Web) Candela(dir geom.Vec) float64 {
	l := dir.Len()
	if !(l > 0) || math.IsInf(l, 0) {
		return 0
	}
	theta, phi := w.angles(dir.Mul(1 / l))
	return w.grid.at(theta, phi)
}

// Axial returns the intensity along N.
func (w *Web) Axial() float64 { return w.Candela(geom.V(0, 0, 1)) }

// MaxCandela returns the largest intensity of the table.
func (w *Web) MaxCandela() float64 { return w.grid.peak }

// Flux returns the luminous flux in lumens: the integral of the interpolated intensity over the
// sphere, in closed form in each cell (linear in both angles, weighted with the sine), so a coarse
// table is integrated exactly as it is read. Check: TestFluxOfCosineTable (J2.1: 313.96 lm).
func (w *Web) Flux() float64 { return w.grid.flux }

// Scaled returns a copy with every intensity multiplied by k (k ≥ 0).
func (w *Web) Scaled(k float64) *Web {
	c := *w
	c.Table = make([][]float64, len(w.Table))
	for i, row := range w.Table {
		c.Table[i] = make([]float64, len(row))
		for j, v := range row {
			c.Table[i][j] = v * k
		}
	}
	c.build()
	return &c
}

// New makes a Web from a table: vertical and horizontal angles in degrees and
// candela[horizontal][vertical], with the ranges of LM-63 (see Symmetry). The error says what is
// wrong with the angles.
func New(kind Kind, vertical, horizontal []float64, candela [][]float64) (*Web, error) {
	w := &Web{Kind: kind, Vertical: vertical, Horizontal: horizontal, Table: candela, Lamps: 1, Lumens: -1, Unit: 1}
	if err := w.check(); err != nil {
		return nil, err
	}
	w.build()
	return w, nil
}

// Rotational makes a type C Web from intensities (cd) at equal steps of gamma from 0 to 180
// degrees. It panics unless there are at least two values, all finite and not negative.
func Rotational(profile []float64) *Web {
	n := len(profile)
	v := make([]float64, n)
	for i := range v {
		v[i] = 180 * float64(i) / float64(n-1)
	}
	w, err := New(TypeC, v, []float64{0}, [][]float64{append([]float64(nil), profile...)})
	if err != nil {
		panic("photometry: " + err.Error())
	}
	return w
}

// Direction is the unit vector of type C angles in degrees, in the luminaire's own frame.
func Direction(gamma, c float64) geom.Vec {
	sg, cg := math.Sincos(gamma * rad)
	sc, cc := math.Sincos(c * rad)
	return geom.V(sg*cc, -sg*sc, cg)
}

// angles gives the polar coordinates of a unit direction about the axis of the web's kind, phi in
// [0, 2π) for type C and (-π, π] for the others.
func (w *Web) angles(d geom.Vec) (theta, phi float64) {
	switch w.Kind {
	case TypeB:
		theta, phi = polar(-d.X, d.Y, d.Z)
	case TypeA:
		theta, phi = polar(d.Y, -d.X, d.Z)
	default:
		theta, phi = polar(d.Z, -d.Y, d.X)
		if phi < 0 {
			phi += 2 * math.Pi
		}
	}
	return theta, phi
}

// polar: theta from the pole along which p is the component; phi = atan2(y, x). Exact near the
// poles.
func polar(p, y, x float64) (theta, phi float64) {
	return math.Atan2(math.Hypot(x, y), p), math.Atan2(y, x)
}

// direction undoes angles.
func (w *Web) direction(theta, phi float64) geom.Vec {
	s, c := math.Sincos(theta)
	y, x := math.Sincos(phi)
	switch w.Kind {
	case TypeB:
		return geom.V(-c, s*y, s*x)
	case TypeA:
		return geom.V(-s*y, c, s*x)
	}
	return geom.V(s*x, -s*y, c)
}

// at interpolates.
func (g *grid) at(theta, phi float64) float64 {
	j, v, ok := bracket(g.theta, theta)
	if !ok {
		return 0
	}
	i, u, ok := bracket(g.phi, phi)
	if !ok {
		return 0
	}
	a, b := g.cd[i], g.cd[i+1]
	return (1-u)*((1-v)*a[j]+v*a[j+1]) + u*((1-v)*b[j]+v*b[j+1])
}

// bracket finds i with x in [xs[i], xs[i+1]] and the fraction in between. A hair of rounding at
// either end is forgiven.
func bracket(xs []float64, x float64) (i int, f float64, ok bool) {
	const hair = 1e-12
	n := len(xs)
	if x < xs[0] && x > xs[0]-hair {
		x = xs[0]
	}
	if x > xs[n-1] && x < xs[n-1]+hair {
		x = xs[n-1]
	}
	if !(x >= xs[0] && x <= xs[n-1]) {
		return 0, 0, false
	}
	i = sort.SearchFloat64s(xs, x) - 1
	if i < 0 {
		i = 0
	}
	return i, (x - xs[i]) / (xs[i+1] - xs[i]), true
}

func lookup(xs, ys []float64, x float64) float64 {
	n := len(xs)
	switch {
	case x <= xs[0]:
		return ys[0]
	case x >= xs[n-1]:
		return ys[n-1]
	}
	i := sort.SearchFloat64s(xs, x)
	f := (x - xs[i-1]) / (xs[i] - xs[i-1])
	return ys[i-1] + f*(ys[i]-ys[i-1])
}

// TypeC resamples any Web onto whole turns of type C planes: gamma from 0 to 180 in steps of
// dGamma, C from 0 to 360 in steps of dC degrees (both clamped to 0.25 to 45, and to what divides
// the range).
func (w *Web) TypeC(dGamma, dC float64) *Web {
	steps := func(span, d float64) int {
		d = math.Min(math.Max(d, 0.25), 45)
		return int(math.Round(span / d))
	}
	ng, nc := steps(180, dGamma), steps(360, dC)
	v, h := make([]float64, ng+1), make([]float64, nc+1)
	for j := range v {
		v[j] = 180 * float64(j) / float64(ng)
	}
	t := make([][]float64, nc+1)
	for i := range h {
		h[i] = 360 * float64(i) / float64(nc)
		t[i] = make([]float64, ng+1)
		for j := range v {
			t[i][j] = w.Candela(Direction(v[j], h[i]))
		}
	}
	copy(t[nc], t[0])
	c := *w
	c.Kind, c.Vertical, c.Horizontal, c.Table = TypeC, v, h, t
	c.build()
	return &c
}
