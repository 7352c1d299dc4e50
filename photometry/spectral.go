package photometry

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"halfstop/diag"
)

// Spectral is a spectrum as a file has it.
type Spectral struct {
	Name string
	// what the values are: 'relative', 'flux', 'irradiance', 'reflectance', …; '' where it is not
	// said
	Quantity string
	Pairs    [][2]float64 // nm and value, rising in wavelength, zero or more
	More     int          // further spectra in the file, not read
}

// ParseSpectral reads a TM-27 file (.spdx, XML), CGATS text (.sp) or plain columns (.csv), told
// apart by the content.
//
// Nil where the list holds an error. Codes: spectral.*. Source: reference notes J, from public
// writers; neither standard was readable. Check: TestSpectral, FuzzSpectral.
func ParseSpectral(name string, src []byte) (*Spectral, diag.List) {
	t := open(name, src)
	if t.failed() {
		return nil, t.list
	}
	var s *Spectral
	if head := strings.TrimSpace(strings.Join(t.lines, "\n")); strings.HasPrefix(head, "<") {
		s = t.tm27(src)
	} else if strings.Contains(head, "BEGIN_DATA") {
		s = t.cgats()
	} else {
		s = t.table()
	}
	if s == nil || t.failed() {
		return nil, t.list
	}
	if len(s.Pairs) < 2 {
		t.add(diag.Error, 1, 1, 1, "spectral.short", "add the values",
			"the file holds %d wavelengths; at least 2 are needed", len(s.Pairs))
		return nil, t.list
	}
	sort.SliceStable(s.Pairs, func(i, j int) bool { return s.Pairs[i][0] < s.Pairs[j][0] })
	for i := 1; i < len(s.Pairs); i++ {
		if s.Pairs[i][0] == s.Pairs[i-1][0] {
			t.add(diag.Error, 1, 1, 1, "spectral.twice", "leave one", "the wavelength %g nm is there twice",
				s.Pairs[i][0])
			return nil, t.list
		}
	}
	return s, t.list
}

// put takes one sample, or reports it at a line.
func (t *text) put(s *Spectral, line, col, length int, nm, v float64) bool {
	if !(nm >= 100 && nm <= 20000) {
		t.add(diag.Error, line, col, length, "spectral.wavelength", "write nanometres",
			"a wavelength of %g nm cannot be", nm)
		return false
	}
	if !(v >= 0) || v > 1e30 {
		t.add(diag.Error, line, col, length, "spectral.value", "write zero or more", "the value at %g nm is %g", nm, v)
		return false
	}
	s.Pairs = append(s.Pairs, [2]float64{nm, v})
	return true
}

// place turns a byte offset into a line and column.
func place(src []byte, at int64) (line, col int) {
	head := src[:min(max(int(at), 0), len(src))]
	line = bytes.Count(head, []byte("\n")) + 1
	return line, utf8.RuneCount(head[bytes.LastIndexByte(head, '\n')+1:]) + 1
}

// tm27 reads the XML. Names of elements count, namespaces do not; unknown elements are passed over;
// entities of the file's own are refused.
func (t *text) tm27(src []byte) *Spectral {
	s := &Spectral{}
	d := xml.NewDecoder(bytes.NewReader(src))
	d.CharsetReader = latin1
	depth, seen := 0, false
	for {
		at := d.InputOffset()
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			line, col := place(src, at)
			t.add(diag.Error, line, col, 1, "spectral.xml", "", "the file is no well-formed XML: %s",
				strings.TrimPrefix(err.Error(), "XML syntax error on "))
			return nil
		}
		switch e := tok.(type) {
		case xml.Directive:
			if bytes.Contains(bytes.ToUpper(e), []byte("ENTITY")) {
				line, col := place(src, at)
				t.add(diag.Error, line, col, 1, "spectral.entity", "write the text itself",
					"the file defines entities; they are not read")
				return nil
			}
		case xml.EndElement:
			depth--
		case xml.StartElement:
			if depth++; depth > 64 {
				t.add(diag.Error, 1, 1, 1, "spectral.deep", "", "elements lie more than 64 deep")
				return nil
			}
			var body string
			switch e.Name.Local {
			case "IESTM2714", "SpectralDistribution", "Header":
				seen = true
				continue
			case "Description", "SpectralQuantity", "SpectralData":
				if err := d.DecodeElement(&body, &e); err != nil {
					line, col := place(src, at)
					t.add(diag.Error, line, col, 1, "spectral.xml", "", "the element %s cannot be read: %s",
						e.Name.Local, err)
					return nil
				}
				depth--
			default:
				continue
			}
			body = strings.TrimSpace(body)
			switch e.Name.Local {
			case "Description":
				s.Name = body
			case "SpectralQuantity":
				s.Quantity = strings.ToLower(body)
			case "SpectralData":
				line, col := place(src, at)
				wave := ""
				for _, a := range e.Attr {
					if a.Name.Local == "wavelength" {
						wave = strings.TrimSpace(a.Value)
					}
				}
				nm, ok1 := number(wave)
				v, ok2 := number(body)
				if !ok1 || !ok2 {
					t.add(diag.Error, line, col, 1, "spectral.number",
						`write <SpectralData wavelength="380">0.5</SpectralData>`, "%q at %q nm is not a number",
						clip(body), clip(wave))
					return nil
				}
				if !t.put(s, line, col, 1, nm, v) {
					return nil
				}
			}
		}
	}
	if !seen {
		t.add(diag.Error, 1, 1, 1, "spectral.format", "", "the file is XML, but no TM-27 file")
		return nil
	}
	return s
}

// cgats reads the first set of a CGATS file: SPECTRAL_BANDS values from SPECTRAL_START_NM to
// SPECTRAL_END_NM, each over SPECTRAL_NORM.
func (t *text) cgats() *Spectral {
	s := &Spectral{}
	values := map[string]float64{"SPECTRAL_NORM": 1}
	var fields []string
	inFormat := false
	for i, line := range t.lines {
		f := strings.Fields(line)
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
			s.Name = strings.Trim(strings.TrimSpace(line[strings.Index(line, f[0])+len(f[0]):]), `"`)
		case word == "MEAS_TYPE":
			s.Quantity = strings.ToLower(strings.Trim(strings.Join(f[1:], " "), `"`))
		case word == "BEGIN_DATA":
			return t.cgatsData(s, i+1, fields, values)
		case word == "NUMBER_OF_SETS" && len(f) > 1:
			if x, ok := number(strings.Trim(f[1], `"`)); ok && x > 1 && x < 1e6 {
				s.More = int(x) - 1
			}
		case strings.HasPrefix(word, "SPECTRAL_") && len(f) > 1:
			x, ok := number(strings.Trim(f[1], `"`))
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

func (t *text) cgatsData(s *Spectral, from int, fields []string, values map[string]float64) *Spectral {
	n := int(values["SPECTRAL_BANDS"])
	start, end, norm := values["SPECTRAL_START_NM"], values["SPECTRAL_END_NM"], values["SPECTRAL_NORM"]
	if n < 2 || n > 5000 || !(end > start) || !(norm > 0) {
		t.add(diag.Error, from, 1, 1, "spectral.bands", "state SPECTRAL_BANDS, SPECTRAL_START_NM, SPECTRAL_END_NM",
			"%d bands from %g to %g nm over %g make no spectrum", n, start, end, norm)
		return nil
	}
	all := t.tokens(from)
	first := 0
	for _, f := range fields {
		if strings.HasPrefix(strings.ToUpper(f), "SPEC_") {
			break
		}
		first++
	}
	for i := range n {
		k := first + i
		if k >= len(all) || strings.HasPrefix(strings.ToUpper(all[k].text), "END_DATA") {
			t.add(diag.Error, len(t.lines), 1, 1, "spectral.short", "add what is missing",
				"%d bands are promised, the first set has %d", n, i)
			return nil
		}
		v, ok := number(strings.Trim(all[k].text, `"`))
		if !ok {
			t.add(diag.Error, all[k].line, all[k].col, all[k].len(), "spectral.number", "write a number",
				"band %d is %q", i+1, clip(all[k].text))
			return nil
		}
		nm := start + (end-start)*float64(i)/float64(n-1)
		if !t.put(s, all[k].line, all[k].col, all[k].len(), nm, v/norm) {
			return nil
		}
	}
	return s
}

func digits(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
