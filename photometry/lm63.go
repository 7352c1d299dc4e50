package photometry

import (
	"fmt"
	"strings"

	"halfstop/diag"
)

// parseLM63 reads ANSI/IES LM-63 of 1986, 1991, 1995, 2002 and 2019.
//
// Every factor is applied to the table: multiplier, ballast factor, and in the editions up to 1995
// the ballast-lamp photometric factor (later editions keep another meaning in its place). Numbers
// may wrap anywhere and be parted by blanks, tabs or commas; lines end in LF, CR or both; text is
// UTF-8 or Latin-1. The counts of angles must be those of the numbers that follow: one too few or
// too many is an error, since every number after it would mean something else. Source: LM-63-2002
// as publicly readable (field order, symmetries, sense of the angles); other editions from public
// descriptions. Check: TestFixturesFlux, TestErrorsHavePlaces, TestFactors (J2.1, J2.4),
// TestCounts, FuzzLM63.
func parseLM63(t *text, opt Options) (*Web, diag.List) {
	w := &Web{Unit: 1}
	from, ok := t.head(w)
	if !ok {
		return nil, t.list
	}
	r := &reading{text: t, all: t.tokens(from)}
	t.tilt(w, r, from, opt.Files)
	if t.failed() {
		return nil, t.list
	}
	line := r.table(w)
	if t.failed() {
		return nil, t.list
	}
	stated := 0.0
	if w.Lumens > 0 && w.Lamps > 0 {
		stated = w.Lamps * w.Lumens
	}
	return t.finish(w, line, stated, false, "all its lamps, bare")
}

// head reads the version, the keywords and the TILT line; from is the index of the line after it.
func (t *text) head(w *Web) (from int, ok bool) {
	for i, line := range t.lines {
		l := strings.TrimSpace(line)
		up := strings.ToUpper(l)
		switch {
		case isTilt(l):
			w.Tilt = &Tilt{File: strings.TrimSpace(l[strings.Index(l, "=")+1:])}
			if w.Edition == "" {
				w.Edition = "IES LM-63-1986"
			}
			w.Name = w.title()
			return i + 1, true
		case i == 0 && (strings.HasPrefix(up, "IESNA") || strings.HasPrefix(up, "IES:")):
			w.Edition = l
		case l == "":
		case strings.HasPrefix(l, "["):
			end := strings.Index(l, "]")
			if end < 0 {
				t.add(diag.Note, i+1, 1, len([]rune(line)), "photometry.keyword", "close it with ]",
					"the keyword is not closed")
				w.Keywords = append(w.Keywords, Keyword{Text: l})
				continue
			}
			key, value := strings.ToUpper(strings.TrimSpace(l[1:end])), strings.TrimSpace(l[end+1:])
			if n := len(w.Keywords); key == "MORE" && n > 0 {
				w.Keywords[n-1].Text += "\n" + value
				continue
			}
			w.Keywords = append(w.Keywords, Keyword{key, value})
		default: // 1986: lines of free text
			w.Keywords = append(w.Keywords, Keyword{Text: l})
		}
	}
	t.add(diag.Error, len(t.lines), 1, 1, "photometry.no-tilt", "add the line TILT=NONE before the numbers",
		"the file has no TILT line, so it is no LM-63 file")
	return 0, false
}

// title is what the file calls its luminaire.
func (w *Web) title() string {
	for _, want := range []string{"LUMINAIRE", "LUMCAT", "TEST", "", "OTHER"} {
		for _, k := range w.Keywords {
			if k.Key == want && k.Text != "" {
				return strings.ReplaceAll(k.Text, "\n", " ")
			}
		}
	}
	return ""
}

// reading walks over the numbers.
type reading struct {
	*text
	all   []token
	at    int
	ended bool // that the file is too short is said
}

// short says once that the file ends too early.
func (r *reading) short(fix, format string, args ...any) (line int) {
	line = len(r.lines)
	if len(r.all) > 0 {
		line = r.all[len(r.all)-1].line
	}
	if !r.ended {
		r.add(diag.Error, line, 1, 1, "photometry.short", fix, format, args...)
	}
	r.ended = true
	return line
}

// number takes the next number; what names it in the message.
func (r *reading) number(what string) (float64, token, bool) {
	if r.at >= len(r.all) {
		line := r.short("add what is missing; the file may have been cut off", "the file ends before %s", what)
		return 0, token{line: line, col: 1}, false
	}
	k := r.all[r.at]
	r.at++
	x, ok := number(k.text)
	if !ok {
		r.add(diag.Error, k.line, k.col, k.len(), "photometry.number", "write a number", "%s: %q is not a number", what,
			clip(k.text))
	}
	return x, k, ok
}

// whole takes the next number, which must be whole and from lo to hi.
func (r *reading) whole(what string, lo, hi int) (int, token, bool) {
	x, k, ok := r.number(what)
	if !ok {
		return 0, k, false
	}
	n := int(x)
	if float64(n) != x || n < lo || n > hi {
		r.add(diag.Error, k.line, k.col, k.len(), "photometry.value", fmt.Sprintf("write a whole number from %d to %d",
			lo, hi), "%s is %s", what, k.text)
		return 0, k, false
	}
	return n, k, true
}

// row takes n numbers. The file must be long enough before memory is taken for them.
func (r *reading) row(what string, n int) ([]float64, []token, bool) {
	if n > len(r.all)-r.at {
		r.short("add what is missing, or mend the counts of angles",
			"%s: %d numbers are promised, the file has %d more", what, n, len(r.all)-r.at)
		return nil, nil, false
	}
	xs, ks := make([]float64, n), make([]token, n)
	for i := range xs {
		x, k, ok := r.number(fmt.Sprintf("%s %d", what, i+1))
		if !ok {
			return nil, nil, false
		}
		xs[i], ks[i] = x, k
	}
	return xs, ks, true
}

// angles takes n rising angles within lo to hi.
func (r *reading) angles(what string, n int, lo, hi float64) ([]float64, bool) {
	xs, ks, ok := r.row(what, n)
	if !ok {
		return nil, false
	}
	for i, x := range xs {
		if x < lo || x > hi {
			r.add(diag.Error, ks[i].line, ks[i].col, ks[i].len(), "photometry.angle",
				"mend the angle, or the counts of angles if this is the table already",
				"%s %d is %g; %g to %g is possible", what, i+1, x, lo, hi)
			return nil, false
		}
		if i > 0 && !(x > xs[i-1]) {
			r.add(diag.Error, ks[i].line, ks[i].col, ks[i].len(), "photometry.angle",
				"put the angles into rising order", "%s %d is %g, after %g", what, i+1, x, xs[i-1])
			return nil, false
		}
	}
	return xs, true
}

// tilt reads what TILT= promises.
func (t *text) tilt(w *Web, r *reading, from int, files func(string) ([]byte, error)) {
	what := w.Tilt.File
	switch {
	case strings.EqualFold(what, "NONE") || what == "":
		w.Tilt = nil
	case strings.EqualFold(what, "INCLUDE"):
		w.Tilt = &Tilt{}
		r.tiltTable(w.Tilt)
	case files == nil:
		t.add(diag.Error, from, 1, t.width(from), "photometry.tilt", "write TILT=NONE, or the data after TILT=INCLUDE",
			"the tilt file %q cannot be fetched here", clip(what))
	default:
		src, err := files(what)
		if err != nil {
			t.add(diag.Error, from, 1, t.width(from), "photometry.tilt",
				"put the file beside this one, or write TILT=NONE",
				"the tilt file %q cannot be read: %v", clip(what), err)
			return
		}
		o := open(what, src)
		if o.failed() {
			t.list = append(t.list, o.list...)
			return
		}
		side := &reading{text: o, all: o.tokens(0)}
		if side.tiltTable(w.Tilt) {
			side.end("the tilt table")
		}
		t.list = append(t.list, o.list...)
	}
}

func (r *reading) tiltTable(t *Tilt) bool {
	g, _, ok := r.whole("lamp-to-luminaire geometry", 1, 3)
	if !ok {
		return false
	}
	n, _, ok := r.whole("number of tilt angles", 1, 1000)
	if !ok {
		return false
	}
	t.Geometry = g
	if t.Angles, ok = r.angles("tilt angle", n, -360, 360); !ok {
		return false
	}
	xs, ks, ok := r.row("tilt factor", n)
	if !ok {
		return false
	}
	for i, x := range xs {
		if x < 0 || x > 100 {
			r.add(diag.Error, ks[i].line, ks[i].col, ks[i].len(), "photometry.value", "write a factor such as 0.95",
				"tilt factor %d is %g", i+1, x)
			return false
		}
	}
	t.Factors = xs
	return true
}

// factorEdition tells whether the number after the ballast factor multiplies: it does in the
// editions up to 1995.
func factorEdition(edition string) bool {
	up := strings.ToUpper(edition)
	return !strings.Contains(up, "2002") && !strings.Contains(up, "2019") && !strings.HasPrefix(up, "IES:")
}

// end reports numbers left over.
func (r *reading) end(what string) {
	if r.at >= len(r.all) {
		return
	}
	k := r.all[r.at]
	r.add(diag.Error, k.line, k.col, k.len(), "photometry.more",
		"mend the counts of angles, or take away what is too much",
		"%d more numbers follow %s, from %q on: the counts and the table do not agree", len(r.all)-r.at, what,
		clip(k.text))
}

// table reads the numbers after TILT; line is where the counts stand.
func (r *reading) table(w *Web) (line int) {
	lamps, _, ok1 := r.whole("number of lamps", -1, 100000)
	lumens, kl, ok2 := r.number("lumens per lamp")
	mult, km, ok3 := r.number("candela multiplier")
	nv, _, ok4 := r.whole("number of vertical angles", 2, 100000)
	nh, _, ok5 := r.whole("number of horizontal angles", 1, 100000)
	kind, _, ok6 := r.whole("photometric type", 1, 3)
	unit, _, ok7 := r.whole("units type (1 feet, 2 metres)", 1, 2)
	if !(ok1 && ok2 && ok3 && ok4 && ok5 && ok6 && ok7) {
		return 0
	}
	var size [3]float64
	for i, what := range []string{"width of the opening", "length of the opening", "height of the opening"} {
		x, k, ok := r.number(what)
		if !ok {
			return 0
		}
		if x < -1000 || x > 1000 {
			r.add(diag.Error, k.line, k.col, k.len(), "photometry.value", "", "the %s is %g; 1000 is the most", what, x)
			return 0
		}
		size[i] = x
	}
	ballast, kb, ok1 := r.number("ballast factor")
	second, ks, ok2 := r.number("ballast-lamp photometric factor (later: future use, file type)")
	watts, _, ok3 := r.number("input watts")
	if !(ok1 && ok2 && ok3) {
		return 0
	}
	for _, f := range []struct {
		what string
		x    float64
		k    token
	}{{"candela multiplier", mult, km}, {"ballast factor", ballast, kb}} {
		if !(f.x > 0) || f.x > 1e9 {
			r.add(diag.Error, f.k.line, f.k.col, f.k.len(), "photometry.value", "write a factor above 0, usually 1",
				"the %s is %g", f.what, f.x)
			return 0
		}
	}
	factor := mult * ballast
	if factorEdition(w.Edition) {
		if !(second > 0) || second > 1e9 {
			r.add(diag.Error, ks.line, ks.col, ks.len(), "photometry.value", "write 1",
				"the ballast-lamp photometric factor is %g", second)
			return 0
		}
		factor *= second
	}
	if lumens < 0 && lumens != -1 {
		r.add(diag.Note, kl.line, kl.col, kl.len(), "photometry.lumens", "write -1 for absolute photometry",
			"lumens per lamp are %g; taken as absolute photometry", lumens)
		lumens = -1
	}
	w.Kind, w.Lamps, w.Lumens, w.Watts = Kind(kind), float64(max(lamps, 0)), lumens, watts
	w.Unit = 1
	if unit == 1 {
		w.Unit = 0.3048
	}
	w.Opening = openingLM63(size[0], size[1], size[2], w.Unit)

	lo, hi, hlo, hhi := 0.0, 180.0, 0.0, 360.0
	if w.Kind != TypeC {
		lo, hi, hlo, hhi = -90, 90, -90, 90
	}
	start := r.at
	var ok bool
	if w.Vertical, ok = r.angles("vertical angle", nv, lo, hi); !ok {
		return 0
	}
	if w.Horizontal, ok = r.angles("horizontal angle", nh, hlo, hhi); !ok {
		return 0
	}
	for i := range nh {
		xs, ks, ok := r.row(fmt.Sprintf("candela of horizontal angle %g, value", w.Horizontal[i]), nv)
		if !ok {
			return 0
		}
		for j, x := range xs {
			v := x * factor
			if !(v >= 0) || v > maxCandela {
				r.add(diag.Error, ks[j].line, ks[j].col, ks[j].len(), "photometry.candela", "",
					"an intensity of %g cd cannot be", v)
				return 0
			}
			xs[j] = v
		}
		w.Table = append(w.Table, xs)
	}
	if err := w.check(); err != nil {
		k := r.all[start]
		r.add(diag.Error, k.line, k.col, k.len(), "photometry.symmetry", "", "%s", err)
		return 0
	}
	r.end("the table")
	r.ends(w, r.all[start])
	return kl.line
}

// ends notes angles that do not reach where the standard ends them: type C from 0 or 90 to 90 or
// 180, the others from -90 or 0 to 90 (LM-63-2002). What lies beyond is dark.
func (r *reading) ends(w *Web, k token) {
	lo, hi := w.Vertical[0], w.Vertical[len(w.Vertical)-1]
	ok := (lo == 0 || lo == -90) && hi == 90
	if w.Kind == TypeC {
		ok = (lo == 0 || lo == 90) && (hi == 90 || hi == 180)
	}
	if !ok {
		r.add(diag.Note, k.line, k.col, k.len(), "photometry.range", "",
			"the vertical angles run from %g° to %g°, which is none of the ranges of LM-63; no light is taken to "+
				"go beyond", lo, hi)
	}
}

// clip shortens what a message quotes.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
