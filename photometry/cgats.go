package photometry

import (
	"strings"
	"unicode"

	"halfstop/diag"
)

// cgats reads the first set of a CGATS file. Its wavelengths are those in the names of its fields
// (SPEC_380, SPECTRAL_NM380, nm380), else SPECTRAL_BANDS values from SPECTRAL_START_NM to
// SPECTRAL_END_NM; values are over SPECTRAL_NORM, with a decimal point or comma.
func (t *text) cgats() *Spectral {
	s := &Spectral{}
	values := map[string]float64{"SPECTRAL_NORM": 1}
	var fields []string
	inFormat := false
	for i, line := range t.lines {
		f := words(line)
		if len(f) == 0 || strings.HasPrefix(f[0], "#") {
			continue
		}
		word := strings.ToUpper(f[0])
		switch {
		case word == "BEGIN_DATA_FORMAT":
			inFormat = true
		case word == "END_DATA_FORMAT":
			inFormat = false
		case inFormat:
			if fields = append(fields, f...); len(fields) > 10000 {
				t.add(diag.Error, i+1, 1, 1, "spectral.fields", "", "more than 10000 fields")
				return nil
			}
		case word == "DESCRIPTOR":
			s.Name = strings.Join(f[1:], " ")
		case word == "MEAS_TYPE" || word == "MEASUREMENT_TYPE":
			s.Quantity = strings.ToLower(strings.Join(f[1:], " "))
			if q := quantityOf(s.Quantity); q != "" {
				s.Quantity = q
			}
		case word == "BEGIN_DATA":
			return t.cgatsData(s, i+1, fields, values)
		case word == "NUMBER_OF_SETS" && len(f) > 1:
			if x, ok := number(f[1]); ok && x > 1 && x < 1e6 {
				s.More = int(x) - 1
			}
		case strings.HasPrefix(word, "SPECTRAL_") && len(f) > 1:
			x, ok := number(strings.Replace(f[1], ",", ".", 1))
			if !ok {
				t.add(diag.Error, i+1, 1, len([]rune(line)), "spectral.number", "write a number", "%s is %q", word,
					clip(f[1]))
				return nil
			}
			values[word] = x
		}
	}
	t.add(diag.Error, len(t.lines), 1, 1, "spectral.format", "",
		"the file has no BEGIN_DATA, so it is no CGATS text; and it is no XML")
	return nil
}

// wavelengthOf is what the name of a field says, nm; 0: it is no band of a spectrum.
func wavelengthOf(field string) float64 {
	f := strings.ToUpper(field)
	for _, p := range []string{"SPECTRAL_NM", "SPECTRAL_", "SPEC_", "NM_", "NM"} {
		if rest, ok := strings.CutPrefix(f, p); ok {
			x, _ := number(strings.TrimPrefix(rest, "_"))
			return x
		}
	}
	return 0
}

func (t *text) cgatsData(s *Spectral, from int, fields []string, values map[string]float64) *Spectral {
	norm := values["SPECTRAL_NORM"]
	var waves []float64
	first := -1 // the field of the first band
	for k, f := range fields {
		if x := wavelengthOf(f); x > 0 {
			if first < 0 {
				first = k
			}
			if k == first+len(waves) {
				waves = append(waves, x)
			}
		}
	}
	n := int(values["SPECTRAL_BANDS"])
	start, end := values["SPECTRAL_START_NM"], values["SPECTRAL_END_NM"]
	switch {
	case len(waves) >= 2 && norm > 0 && (n == 0 || n == len(waves)):
	case n >= 2 && n <= 5000 && end > start && norm > 0:
		waves, first = waves[:0], max(first, 0)
		for i := range n {
			waves = append(waves, start+(end-start)*float64(i)/float64(n-1))
		}
	case n == 0 && len(fields) > 0:
		t.add(diag.Error, from, 1, 1, "spectral.bands", "write the file anew with spectral values",
			"the file holds no spectrum: its fields are %s", clip(strings.Join(fields, " ")))
		return nil
	default:
		t.add(diag.Error, from, 1, 1, "spectral.bands", "state SPECTRAL_BANDS, SPECTRAL_START_NM, SPECTRAL_END_NM",
			"%d bands from %g to %g nm over %g make no spectrum", n, start, end, norm)
		return nil
	}
	var all []string
	var lines []int
	for i := from; i < len(t.lines) && len(all) < first+len(waves); i++ {
		f := words(t.lines[i])
		if len(f) > 0 && strings.HasPrefix(strings.ToUpper(f[0]), "END_DATA") {
			break
		}
		for _, w := range f {
			all, lines = append(all, w), append(lines, i+1)
		}
	}
	for i, nm := range waves {
		k := first + i
		if k >= len(all) {
			t.add(diag.Error, min(from+1, len(t.lines)), 1, 1, "spectral.short", "add what is missing",
				"%d bands are promised, the first set has %d", len(waves), i)
			return nil
		}
		v, ok := number(strings.Replace(all[k], ",", ".", 1))
		if !ok {
			t.add(diag.Error, lines[k], 1, t.width(lines[k]), "spectral.number", "write a number",
				"band %d is %q", i+1, clip(all[k]))
			return nil
		}
		if !t.put(s, lines[k], 1, t.width(lines[k]), nm, v/norm) {
			return nil
		}
	}
	if s.Name == "" {
		for k, f := range fields[:min(first, len(fields), len(all))] {
			if strings.Contains(strings.ToUpper(f), "NAME") {
				s.Name = all[k]
			}
		}
	}
	return s
}

// words cuts a line at blanks; what stands in quotes is one word, without them.
func words(line string) []string {
	var out []string
	var b strings.Builder
	quoted, any := false, false
	end := func() {
		if b.Len() > 0 || any {
			out = append(out, b.String())
		}
		b.Reset()
		any = false
	}
	for _, r := range line {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case unicode.IsSpace(r) && !quoted:
			end()
		default:
			b.WriteRune(r)
		}
	}
	end()
	return out
}
