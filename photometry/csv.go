package photometry

import (
	"strings"

	"halfstop/diag"
)

// table reads a spectrum as plain columns, wavelength and value, or as two rows of them, parted by
// tab, semicolon, comma or blanks; a decimal comma where they are parted by something else, or
// stand in quotes. Lines before the first number are a head that may say what the values are
// ('reflectance', 'transmission (%)'). The first values are read; others are told as ignored.
// Wavelengths of 0.2 to 3 are micrometres.
func (t *text) table() *Spectral {
	s := &Spectral{}
	type sample struct {
		line  int
		nm, v float64
	}
	var all []sample
	sep, head, percent := rune(0), "", false
	for i := 0; i < len(t.lines); i++ {
		l := strings.TrimSpace(t.lines[i])
		if strings.Trim(l, ",;\t ") == "" || strings.HasPrefix(l, "#") {
			continue
		}
		if len(all) == 0 {
			if waves, at := t.across(i); waves != nil {
				return t.rows(s, i, waves, at, percentIn(l, head))
			}
		}
		cells := columns(l, sep)
		if sep == 0 {
			for _, c := range "\t;, " {
				if f := columns(l, c); len(f) > 1 && isNumber(f[0]) && isNumber(f[1]) {
					sep, cells = c, f
					break
				}
			}
		}
		nm, ok := number(cells[0])
		if sep == 0 && ok && len(columns(l, ' ')) == 1 && len(columns(l, '\t')) == 1 && len(columns(l, ',')) == 1 {
			t.add(diag.Error, i+1, 1, t.width(i+1), "spectral.format", "",
				"the file is no XML, no CGATS text, and this line is no wavelength with a value")
			return nil
		}
		if sep == 0 {
			if q := quantityOf(l); q != "" && s.Quantity == "" {
				s.Quantity, percent = q, percentIn(l)
			}
			head = l
			continue
		}
		if !ok {
			t.add(diag.Error, i+1, 1, t.width(i+1), "spectral.number", "write nanometres, then the value",
				"%q is no wavelength", clip(cells[0]))
			return nil
		}
		v, ok := 0.0, false
		if len(cells) > 1 {
			v, ok = number(cells[1])
		}
		if !ok {
			t.add(diag.Error, i+1, 1, t.width(i+1), "spectral.number", "write a number", "the value at %g nm is %q", nm,
				clip(strings.Join(cells[1:min(2, len(cells))], "")))
			return nil
		}
		all = append(all, sample{i + 1, nm, v})
		s.More = max(s.More, len(cells)-2)
	}
	if len(all) == 0 {
		t.add(diag.Error, len(t.lines), 1, 1, "spectral.format", "",
			"the file has no BEGIN_DATA, so it is no CGATS text; it is no XML; "+
				"and no line of it is a wavelength with a value")
		return nil
	}
	if sep == ',' && s.More == 1 && strings.Count(head, ",") < 2 && !strings.Contains(t.lines[all[0].line-1], ".") {
		t.add(diag.Error, all[0].line, 1, t.width(all[0].line), "spectral.comma",
			"let semicolons or tabs part the columns, or write points in the numbers",
			"commas part the columns here and may be decimal signs too: the line can be read in two ways")
		return nil
	}
	s.Percent = percent || percentIn(head)
	s.Micrometres = all[0].nm < 3 && all[len(all)-1].nm < 3
	for _, x := range all {
		if s.Micrometres {
			x.nm *= 1000
		}
		if s.Percent {
			x.v /= 100
		}
		if !t.put(s, x.line, 1, t.width(x.line), x.nm, x.v) {
			return nil
		}
	}
	return s
}

// columns cuts a line at a separator that stands in no quotes; 0 is none.
func columns(line string, sep rune) []string {
	var out []string
	quoted, any := false, false
	var b strings.Builder
	end := func() {
		c := strings.TrimSpace(b.String())
		if sep != ',' || any {
			c = strings.Replace(c, ",", ".", 1)
		}
		if sep != ' ' || c != "" || any {
			out = append(out, c)
		}
		b.Reset()
		any = false
	}
	for _, r := range line {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case !quoted && sep != 0 && (r == sep || sep == ' ' && r == '\t'):
			end()
		default:
			b.WriteRune(r)
		}
	}
	end()
	return out
}

func isNumber(s string) bool { _, ok := number(s); return ok }

// across finds wavelengths that stand in one row: eight numbers and more that rise, after what
// names the row. at is the first one's cell. Nil: there are none.
func (t *text) across(i int) (waves []float64, at int) {
	for _, sep := range "\t;, " {
		cells := columns(t.lines[i], sep)
		if len(cells) < 8 {
			continue
		}
		waves, at = nil, 0
		for at < len(cells) && !isNumber(cells[at]) {
			at++
		}
		for _, c := range cells[at:] {
			x, ok := number(strings.TrimSuffix(strings.TrimSpace(c), "nm"))
			if !ok || len(waves) > 0 && x <= waves[len(waves)-1] || x < 100 {
				break
			}
			waves = append(waves, x)
		}
		if len(waves) >= 8 {
			return waves, at
		}
	}
	return nil, 0
}

// rows reads the row of values under a row of wavelengths.
func (t *text) rows(s *Spectral, i int, waves []float64, at int, percent bool) *Spectral {
	s.Quantity, s.Percent = quantityOf(t.lines[i]), percent
	for k := i + 1; k < len(t.lines); k++ {
		if strings.Trim(t.lines[k], ",;\t ") == "" {
			continue
		}
		if len(s.Pairs) > 0 {
			s.More++
			continue
		}
		var cells []string
		for _, sep := range "\t;, " {
			if cells = columns(t.lines[k], sep); len(cells) >= at+len(waves) {
				break
			}
		}
		if len(cells) < at+len(waves) {
			t.add(diag.Error, k+1, 1, t.width(k+1), "spectral.short", "add what is missing",
				"%d wavelengths stand in the row above, this row has %d values", len(waves), max(0, len(cells)-at))
			return nil
		}
		s.Name = strings.Join(cells[:at], " ")
		if q := quantityOf(s.Name); q != "" {
			s.Quantity = q
		}
		for n, nm := range waves {
			v, ok := number(cells[at+n])
			if !ok {
				t.add(diag.Error, k+1, 1, t.width(k+1), "spectral.number", "write a number",
					"the value at %g nm is %q", nm, clip(cells[at+n]))
				return nil
			}
			if percent {
				v /= 100
			}
			if !t.put(s, k+1, 1, t.width(k+1), nm, v) {
				return nil
			}
		}
	}
	return s
}

// percentIn reports whether a head says per cent.
func percentIn(heads ...string) bool {
	h := strings.ToLower(strings.Join(heads, " "))
	return strings.Contains(h, "%") || strings.Contains(h, "percent") || strings.Contains(h, "per cent")
}

// quantities are stems of words for what values are, as programs of several languages write them.
var quantities = [][2]string{{"reflec", "reflectance"}, {"reflex", "reflectance"}, {"réflec", "reflectance"},
	{"remission", "reflectance"}, {"riflett", "reflectance"}, {"transm", "transmittance"},
	{"trasm", "transmittance"}, {"irradiance", "irradiance"}, {"radiance", "radiance"}, {"flux", "flux"},
	{"emission", "emission"}, {"emissive", "emission"}}

// quantityOf is what a word or line says that values are; ” where it says nothing known.
func quantityOf(s string) string {
	s = strings.ToLower(s)
	for _, q := range quantities {
		if strings.Contains(s, q[0]) {
			return q[1]
		}
	}
	return ""
}
