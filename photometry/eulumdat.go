package photometry

import (
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
)

// parseEULUMDAT reads an EULUMDAT file (.ldt): one field a line, decimal point or comma, UTF-8 or
// Latin-1.
//
// Candela = value × lamp flux / 1000 × conversion factor, with the set of lamps that is fitted; a
// negative number of lamps means absolute photometry and the flux is the luminaire's. The planes
// that Isym leaves out are unfolded. The luminaire's length lies across the plane C0 (from memory),
// so Opening.Width is its length and Opening.Length its width. Source: field order in reference
// notes J, from public descriptions; the plane order of Isym 3 and negative lamps from memory.
// Check: TestFixturesFlux, TestErrorsHavePlaces (J2.3), TestCounts, TestLampSets, FuzzEULUMDAT.
func parseEULUMDAT(t *text, opt Options) (*Web, diag.List) {
	l := &ldt{text: t, set: max(1, opt.LampSet)}
	w := l.read()
	if w == nil || l.failed() {
		return nil, l.list
	}
	return t.finish(w, l.ratioLine, l.stated, true, l.said)
}

// ldt walks over the lines.
type ldt struct {
	*text
	at        int
	dead      bool
	set       int     // the set of lamps taken, from 1
	stated    float64 // flux that the luminaire should give, lm; 0: not stated
	said      string  // where stated comes from
	ratioLine int
}

// line takes the next line as text.
func (l *ldt) line(what string) string {
	if l.dead {
		return ""
	}
	if l.at >= len(l.lines) {
		l.fail(len(l.lines), "photometry.short", "add what is missing; the file may have been cut off",
			"the file ends before %s", what)
		return ""
	}
	l.at++
	return strings.TrimSpace(l.lines[l.at-1])
}

// fail reports once; the rest of the file is not looked at, since a lost line shifts every later
// field.
func (l *ldt) fail(line int, code, fix, format string, args ...any) {
	if l.dead {
		return
	}
	l.dead = true
	n := 1
	if line > 0 && line <= len(l.lines) {
		n = len([]rune(l.lines[line-1]))
	}
	l.add(diag.Error, line, 1, n, code, fix, format, args...)
}

// number takes the next line as a number.
func (l *ldt) number(what string) float64 {
	s := l.line(what)
	if l.dead {
		return 0
	}
	x, ok := number(strings.Replace(s, ",", ".", 1))
	if !ok {
		l.fail(l.at, "photometry.number", "write a number on this line", "%s: %q is not a number", what, clip(s))
	}
	return x
}

// optional is a number that does not enter the intensities: text or nothing counts as 0.
func (l *ldt) optional(what string) float64 {
	s := l.line(what)
	x, ok := number(strings.Replace(s, ",", ".", 1))
	if !ok || math.Abs(x) > 1e9 {
		return 0
	}
	return x
}

// whole takes the next line as a whole number from lo to hi.
func (l *ldt) whole(what string, lo, hi int) int {
	x := l.number(what)
	if l.dead {
		return lo
	}
	if n := int(x); float64(n) == x && n >= lo && n <= hi {
		return n
	}
	l.fail(l.at, "photometry.value", fmt.Sprintf("write a whole number from %d to %d", lo, hi), "%s is %g", what, x)
	return lo
}

// angles takes n rising angles, one a line.
func (l *ldt) angles(what string, n int, hi float64) []float64 {
	if n > len(l.lines)-l.at {
		l.fail(len(l.lines), "photometry.short", "add what is missing, or mend the counts on lines 4 and 6",
			"%s: %d lines are promised, the file has %d more", what, n, len(l.lines)-l.at)
		return nil
	}
	out := make([]float64, n)
	for i := range out {
		x := l.number(fmt.Sprintf("%s %d", what, i+1))
		if l.dead {
			return nil
		}
		if x < 0 || x > hi {
			l.fail(l.at, "photometry.angle", "", "%s %d is %g; 0 to %g is possible", what, i+1, x, hi)
			return nil
		}
		if i > 0 && !(x > out[i-1]) {
			l.fail(l.at, "photometry.angle", "put the angles into rising order", "%s %d is %g, after %g", what, i+1, x,
				out[i-1])
			return nil
		}
		out[i] = x
	}
	return out
}

func (l *ldt) read() *Web {
	w := &Web{Edition: "EULUMDAT", Kind: TypeC, Unit: 0.001}
	company := l.line("the company")
	l.whole("type indicator (Ityp, line 2)", 0, 3)
	isym := l.whole("symmetry (Isym, line 3)", 0, 4)
	mc := l.whole("number of C-planes (Mc, line 4)", 1, 721)
	dc := l.number("spacing of C-planes (Dc, line 5)")
	ng := l.whole("number of gamma angles (Ng, line 6)", 2, 3601)
	dg := l.number("spacing of gamma angles (Dg, line 7)")
	report := l.line("the report number")
	w.Name = l.line("the luminaire's name")
	number := l.line("the luminaire's number")
	l.line("the file name")
	date := l.line("date and user")
	for _, k := range []Keyword{{"MANUFAC", company}, {"TEST", report}, {"LUMINAIRE", w.Name}, {"LUMCAT", number},
		{"ISSUEDATE", date}} {
		if k.Text != "" {
			w.Keywords = append(w.Keywords, k)
		}
	}
	l.optional("length of the luminaire")
	l.optional("width of the luminaire")
	l.optional("height of the luminaire")
	long, wide := l.optional("length of the luminous area"), l.optional("width of the luminous area")
	high := 0.0
	for range 4 {
		high = math.Max(high, l.optional("luminous height"))
	}
	w.Opening = openingLDT(long, wide, high)
	l.optional("downward flux fraction")
	ratio := l.optional("light output ratio")
	l.ratioLine = l.at
	conv := l.number("conversion factor (line 24)")
	if !l.dead && (!(conv > 0) || conv > 1e9) {
		l.fail(l.at, "photometry.value", "write 1", "the conversion factor is %g", conv)
	}
	l.optional("tilt in the measurement")
	sets := l.whole("number of sets of lamps (line 26)", 1, 20)
	if !l.dead && l.set > sets {
		l.fail(l.at, "photometry.sets", fmt.Sprintf("write a lamp set from 1 to %d", sets),
			"lamp set %d is asked; the file has %d", l.set, sets)
	}
	flux := l.lamps(w, sets)
	l.stated, l.said = flux*ratio/100, fmt.Sprintf("%.4g lm of lamps × output ratio %.4g %%", flux, ratio)
	for range 10 {
		l.optional("direct ratio")
	}
	c := l.angles("C-plane", mc, 360)
	g := l.angles("gamma angle", ng, 180)
	if l.dead {
		return nil
	}
	l.spacing("C-planes", 5, dc, c)
	l.spacing("gamma angles", 7, dg, g)
	stored := l.stored(isym, c)
	if l.dead {
		return nil
	}
	w.Vertical = g
	for i := range stored {
		if ng > len(l.lines)-l.at {
			l.fail(len(l.lines), "photometry.short", "add what is missing; the file may have been cut off",
				"plane %d of %d: %d values are promised, the file has %d more lines", i+1, len(stored), ng,
				len(l.lines)-l.at)
			return nil
		}
		row := make([]float64, ng)
		for j := range row {
			v := l.number(fmt.Sprintf("plane C%g, gamma %g", stored[i], g[j])) * flux / 1000 * conv
			if l.dead {
				return nil
			}
			if !(v >= 0) || v > maxCandela {
				l.fail(l.at, "photometry.candela", "", "an intensity of %g cd cannot be", v)
				return nil
			}
			row[j] = v
		}
		w.Horizontal, w.Table = append(w.Horizontal, stored[i]), append(w.Table, row)
	}
	for i := l.at; i < len(l.lines); i++ {
		if left := strings.TrimSpace(l.lines[i]); left != "" {
			l.fail(i+1, "photometry.more",
				"mend Mc on line 4, Ng on line 6 or Isym on line 3, or take away what is too much",
				"%q follows the table, and %d lines in all: the counts and the table do not agree", clip(left),
				len(l.lines)-i)
			return nil
		}
	}
	l.arrange(w, isym)
	if err := w.check(); err != nil {
		l.fail(4, "photometry.symmetry", "", "%s", err)
		return nil
	}
	return w
}

// lamps reads the sets of lamps and returns the flux of the one that is fitted, in lumens.
func (l *ldt) lamps(w *Web, sets int) (flux float64) {
	var names []string
	first := l.at + 1
	for i := range sets {
		lamps := l.number("number of lamps")
		kind := l.line("type of lamps")
		f := l.number("flux of the lamps")
		if !l.dead && (!(f > 0) || f > 1e9) {
			l.fail(l.at, "photometry.value", "write the flux of all lamps of the set in lumens",
				"the flux of the lamps is %g lm", f)
		}
		colour := l.line("colour of the lamps")
		l.line("colour rendering group")
		watts := l.optional("watts of the set")
		names = append(names, strings.TrimSpace(fmt.Sprintf("%d: %.4g lm %s", i+1, f, clip(kind))))
		if i != l.set-1 {
			continue
		}
		flux = f
		w.Lamps, w.Watts, w.Lamp = math.Abs(lamps), watts, colour
		w.Lumens = -1
		if lamps > 0 {
			w.Lumens = f / lamps
		}
		if w.Lamps == 0 || w.Lamps > 1e5 {
			w.Lamps, w.Lumens = 1, -1
		}
	}
	if sets > 1 && !l.dead {
		w.LampSets = names
		line := first + 6*(l.set-1)
		l.add(diag.Note, line, 1, l.width(line), "photometry.sets", "write another beside photometry: lamp set: 2",
			"the file has %d sets of lamps (%s); set %d is taken", sets, strings.Join(names, "; "), l.set)
	}
	return flux
}

// spacing holds the angles against the even step that the head of the file states; 0 states none.
func (l *ldt) spacing(what string, line int, step float64, a []float64) {
	if l.dead || step == 0 {
		return
	}
	for i := 1; i < len(a); i++ {
		if d := a[i] - a[i-1]; math.Abs(d-step) > 0.051 { // angles are written to a tenth of a degree at worst
			l.add(diag.Caution, line, 1, l.width(line), "photometry.spacing", "see which of the two is right",
				"line %d says the %s are %g° apart; those listed step by %g° from %g° on", line, what, step, d, a[i-1])
			return
		}
	}
}

// stored lists the C angles whose planes the file holds, in file order; those of Isym 3 run from
// -90 to 90.
func (l *ldt) stored(isym int, c []float64) []float64 {
	mc := len(c)
	must := func(i int, want float64) {
		if c[i] != want {
			l.fail(3, "photometry.symmetry", "mend Isym on line 3 or the angles of the planes",
				"symmetry %d needs C%g as plane %d; it is C%g", isym, want, i+1, c[i])
		}
	}
	part := map[int]int{2: 2, 3: 4, 4: 4}[isym]
	if part > 0 && mc%part != 0 {
		l.fail(4, "photometry.symmetry", "mend Isym on line 3 or Mc on line 4",
			"symmetry %d needs a number of planes that %d divides; there are %d", isym, part, mc)
		return nil
	}
	switch isym {
	case 1:
		return []float64{0}
	case 2:
		must(0, 0)
		must(mc/2, 180)
		return c[:mc/2+1]
	case 3:
		must(3*mc/4, 270)
		must(mc/4, 90)
		var out []float64
		for k := range mc/2 + 1 {
			i := 3*mc/4 + k
			if i < mc {
				out = append(out, c[i]-360)
			} else {
				out = append(out, c[i-mc])
			}
		}
		return out
	case 4:
		must(0, 0)
		must(mc/4, 90)
		return c[:mc/4+1]
	}
	if mc > 1 {
		must(0, 0)
		if err := closes(c); err != nil {
			l.fail(4, "photometry.symmetry", "mend Mc on line 4, Isym on line 3 or the angles of the planes", "%s", err)
		}
	}
	return c
}

// arrange brings the planes into the order of a Web: Isym 3 is turned to 90 … 270 (I(C) = I(180 -
// C)), and a whole turn is closed.
func (l *ldt) arrange(w *Web, isym int) {
	switch {
	case isym == 3:
		n := len(w.Horizontal)
		h, t := make([]float64, n), make([][]float64, n)
		for i, c := range w.Horizontal {
			h[n-1-i], t[n-1-i] = 180-c, w.Table[i]
		}
		w.Horizontal, w.Table = h, t
	case isym == 0 && len(w.Horizontal) > 1 && w.Horizontal[len(w.Horizontal)-1] < 360:
		w.Horizontal = append(w.Horizontal, 360)
		w.Table = append(w.Table, w.Table[0])
	case isym == 0 && len(w.Horizontal) == 1:
		w.Horizontal = []float64{0}
	}
}

// openingLDT: millimetres; width 0 is round.
func openingLDT(long, wide, high float64) Opening {
	const mm = 0.001
	long, wide, high = math.Abs(long)*mm, math.Abs(wide)*mm, math.Abs(high)*mm
	switch {
	case long > 1000 || wide > 1000 || high > 1000:
		return Opening{}
	case long == 0 && wide == 0:
		return Opening{}
	case wide == 0:
		return Opening{Shape: ShapeDisc, Width: long, Length: long, Height: high}
	}
	return Opening{Shape: ShapeRectangle, Width: long, Length: wide, Height: high}
}
