package photometry

import (
	"strings"

	"halfstop/diag"
)

// table reads a spectrum as plain columns: wavelength in nm and value, parted by comma, semicolon,
// tab or blanks; a decimal comma where they are parted by something else. Lines before the first
// number are a head that may say what the values are ('reflectance', 'transmittance', '%'). The
// first column of values is read; others are told as ignored.
func (t *text) table() *Spectral {
	s := &Spectral{}
	sep := rune(0)
	scale, more := 1.0, 0
	for i, line := range t.lines {
		l := strings.TrimSpace(line)
		if l == "" || strings.HasPrefix(l, "#") {
			continue
		}
		if sep == 0 {
			for _, c := range []rune{'\t', ';', ',', ' '} {
				if strings.ContainsRune(l, c) {
					sep = c
					break
				}
			}
		}
		var cells []string
		if sep == ' ' {
			cells = strings.Fields(l)
		} else {
			cells = strings.Split(l, string(sep))
		}
		for k := range cells {
			cells[k] = strings.Trim(strings.TrimSpace(cells[k]), `"`)
			if sep != ',' {
				cells[k] = strings.Replace(cells[k], ",", ".", 1)
			}
		}
		nm, ok := number(cells[0])
		if !ok {
			if len(s.Pairs) > 0 {
				t.add(diag.Error, i+1, 1, t.width(i+1), "spectral.number", "write nanometres, then the value",
					"%q is no wavelength", clip(cells[0]))
				return nil
			}
			low := strings.ToLower(l)
			for _, w := range []string{"reflectance", "transmittance", "irradiance", "radiance", "flux"} {
				if s.Quantity == "" && strings.Contains(low, w) {
					s.Quantity = w
				}
			}
			if strings.Contains(low, "%") || strings.Contains(low, "percent") {
				scale = 0.01
			}
			sep = 0 // the head may be parted otherwise
			continue
		}
		if len(cells) < 2 {
			t.add(diag.Error, i+1, 1, t.width(i+1), "spectral.format", "",
				"the file is no XML, no CGATS text, and this line is no wavelength with a value")
			return nil
		}
		v, ok := number(cells[1])
		if !ok {
			t.add(diag.Error, i+1, 1, t.width(i+1), "spectral.number", "write a number", "the value at %g nm is %q", nm,
				clip(cells[1]))
			return nil
		}
		if !t.put(s, i+1, 1, t.width(i+1), nm, v*scale) {
			return nil
		}
		more = max(more, len(cells)-2)
	}
	if len(s.Pairs) == 0 {
		t.add(diag.Error, len(t.lines), 1, 1, "spectral.format", "",
			"the file has no BEGIN_DATA, so it is no CGATS text; it is no XML; "+
				"and no line of it is a wavelength with a value")
		return nil
	}
	s.More = more
	return s
}
