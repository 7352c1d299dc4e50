package photometry

import (
	"bytes"
	"strings"

	"halfstop/diag"
)

// Options are what a parser needs beside the file. The zero Options read the first lamp set and no
// other file.
type Options struct {
	// Files fetches the file named after TILT=, by its name; nil: there is none, and a file that
	// names one is refused.
	Files func(name string) ([]byte, error)
	// LampSet is the set of lamps of an EULUMDAT file that is fitted, from 1; 0 is the first.
	LampSet int
}

// Parse reads LM-63, EULUMDAT or TM-33, told apart by the content: a line that begins with TILT=
// makes it LM-63, an element of XML TM-33.
//
// Web is nil where the list holds an error; else the list may hold notes and cautions, to be shown
// with their places. Codes: photometry.*. Check: FuzzParse.
func (o Options) Parse(name string, src []byte) (*Web, diag.List) {
	if bytes.HasPrefix(bytes.TrimLeft(Plain(src), "\ufeff \t\r\n"), []byte("<")) {
		w, _, list := ParseTM33(name, src)
		return w, list
	}
	t := open(name, src)
	if t.failed() {
		return nil, t.list
	}
	for _, line := range t.lines {
		if isTilt(line) {
			return parseLM63(t, o)
		}
	}
	if len(t.lines) > 0 && strings.HasPrefix(strings.ToUpper(strings.TrimSpace(t.lines[0])), "IES") {
		return parseLM63(t, o)
	}
	if len(t.lines) < 20 || !isNumber(strings.Replace(strings.TrimSpace(t.lines[1]), ",", ".", 1)) {
		t.add(diag.Error, 1, 1, t.width(1), "photometry.format", "take a file of LM-63, EULUMDAT or TM-33",
			"the file is none of those that are read: no line of it begins with TILT= (LM-63), its second line is no "+
				"type from 1 to 3 (EULUMDAT), and it is no XML (TM-33)")
		return nil, t.list
	}
	return parseEULUMDAT(t, o)
}

func isTilt(line string) bool {
	l := strings.TrimSpace(line)
	return len(l) >= 5 && strings.EqualFold(l[:4], "TILT") && strings.HasPrefix(strings.TrimSpace(l[4:]), "=")
}

// finish builds the web and looks at what it adds up to: a table of zeros is refused, and the flux
// of the table is held against what the file says of it. line is the place of the stated flux;
// stated is in lumens, 0 where nothing is stated. exact: the table should give just that; else no
// more than that.
func (t *text) finish(w *Web, line int, stated float64, exact bool, said string) (*Web, diag.List) {
	w.build()
	if !(w.grid.peak > 0) {
		t.add(diag.Error, len(t.lines), 1, 1, "photometry.dark", "take another file of the luminaire",
			"every intensity of the table is zero")
		return nil, t.list
	}
	const most = 1.03 // by the task of the check: what rounding and coarse angles explain lies under 3 %
	if r := w.Flux() / stated; stated > 0 && (r > most || exact && r < 1/most) {
		t.add(diag.Caution, line, 1, t.width(line), "photometry.flux",
			"ask the maker's sheet which is right; a level of your own (flux, intensity or a reading) sets it aside",
			"the table gives %.4g lm, the file states %.4g lm (%s): %+.0f %%", w.Flux(), stated, said, 100*(r-1))
	}
	return w, t.list
}

// width is the length of a line in characters.
func (t *text) width(line int) int {
	if line < 1 || line > len(t.lines) {
		return 1
	}
	return max(1, len([]rune(t.lines[line-1])))
}
