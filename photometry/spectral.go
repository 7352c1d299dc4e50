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
	Dark     int          // values a little under zero, which an instrument's noise makes: taken as 0
	// by the file's head: values were per cent, wavelengths micrometres
	Percent, Micrometres bool
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
		s = t.tm27(t.src)
	} else if strings.Contains(head, "BEGIN_DATA") {
		s = t.cgats()
	} else {
		s = t.table()
	}
	if s == nil || t.failed() || !t.dark(s) {
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
	if v < 0 && v >= -1e30 {
		if t.below.v > v {
			t.below = below{line, col, length, nm, v}
		}
		v, s.Dark = 0, s.Dark+1
	}
	if !(v >= 0) || v > 1e30 {
		t.add(diag.Error, line, col, length, "spectral.value", "write zero or more", "the value at %g nm is %g", nm, v)
		return false
	}
	s.Pairs = append(s.Pairs, [2]float64{nm, v})
	return true
}

// mostNoise is how far under zero the noise of an instrument goes, of the largest value (common
// practice, no source).
const mostNoise = 0.02

// below is the value furthest under zero, and where it stands.
type below struct {
	line, col, length int
	nm, v             float64
}

// dark reports whether what lies under zero may be noise, and complains where not.
func (t *text) dark(s *Spectral) bool {
	most := 0.0
	for _, p := range s.Pairs {
		most = max(most, p[1])
	}
	if b := t.below; -b.v > mostNoise*most {
		t.add(diag.Error, b.line, b.col, b.length, "spectral.value", "write zero or more", "the value at %g nm is %g",
			b.nm, b.v)
		return false
	}
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
	d.CharsetReader = charset
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
				if s.Quantity = strings.ToLower(body); quantityOf(body) != "" {
					s.Quantity = quantityOf(body)
				}
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

func digits(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
