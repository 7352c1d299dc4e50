package kit

import (
	"bytes"
	"fmt"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"

	"halfstop/diag"
	"halfstop/photometry"
	"halfstop/spectrum"
)

// Import is what one file of a maker or a meter becomes in a file of kit.
type Import struct {
	File    string     `json:"file"`
	Format  string     `json:"format"`
	Entries []Addition `json:"entries"`
	// Copies is the name in the folder kit under which the file itself is kept; empty: none.
	Copies  string   `json:"copies,omitempty"`
	Read    []string `json:"read"`
	Assumed []string `json:"assumed"`
	Ignored []string `json:"ignored"`
	// Modes are those of a fixture, where it has several.
	Modes []string `json:"modes,omitempty"`
	Mode  string   `json:"mode,omitempty" doc:"whose channels are taken"`
	// LampSets are those of a luminaire, where its file has several.
	LampSets []string `json:"lamp_sets,omitempty"`
	LampSet  int      `json:"lamp_set,omitempty" doc:"which of them is fitted, from 1"`
}

// Addition is one entry to be added to a list of a file of kit, as YAML text.
type Addition struct {
	List  string `json:"list"`
	Name  string `json:"name"`
	Value string `json:"value"`
}

// ImportOptions say what a file does not.
type ImportOptions struct {
	Name string // of the entry; '' is what the file calls it
	Head string // the head whose light a spectrum is
	Mode string // of a fixture; '' is its first
	// LampSet is which set of lamps of a luminaire is fitted; 0 is its first.
	LampSet int
	// Of is what the values of a spectrum are: 'reflectance', 'transmittance', 'light'; '' is what
	// the file says.
	Of string
}

// CodeOfWhat marks a spectrum that is refused until Of or Head says what it is of.
const CodeOfWhat = "kit.import.of"

// Read reads a file of a maker or a meter: LM-63, EULUMDAT, TM-33, TM-27, CGATS, columns, GDTF,
// told apart by the content. Nothing that the file names is fetched.
//
// Nil where the list holds an error. Check: TestImport, TestImportRefused.
func (o ImportOptions) Read(name string, src []byte) (*Import, diag.List) {
	im := &Import{File: name, Entries: []Addition{}, Read: []string{}, Assumed: []string{}, Ignored: []string{}}
	base := path.Base(strings.ReplaceAll(name, `\`, "/"))
	ext := strings.ToLower(path.Ext(base))
	if !bytes.HasPrefix(src, []byte("PK")) {
		src = photometry.Plain(src)
	}
	text := string(src[:min(len(src), 4096)])
	xml := strings.HasPrefix(strings.TrimLeft(text, "\ufeff \t\r\n"), "<")
	cgats := bytes.Contains(src, []byte("BEGIN_DATA"))
	var list diag.List
	ok := true
	switch {
	case bytes.HasPrefix(src, []byte("PK")) || ext == ".gdtf":
		im.Format = "GDTF (DIN SPEC 15800)"
		var f *photometry.Fixture
		if f, list = photometry.ParseGDTF(name, src); f != nil {
			ok = o.fixture(im, f, base, &list)
		}
	case xml && strings.Contains(text, "IESTM2714"), !xml && cgats,
		!xml && !bytes.Contains(src, []byte("TILT=")) &&
			slices.Contains([]string{".sp", ".csv", ".tsv", ".spdx", ".txt"}, ext):
		im.Format = "spectrum (TM-27)"
		if !xml {
			im.Format = "spectrum (columns)"
		}
		if !xml && cgats {
			im.Format = "spectrum (CGATS)"
		}
		var s *photometry.Spectral
		if s, list = photometry.ParseSpectral(name, src); s != nil {
			ok = o.spectral(im, s, base, &list)
		}
	default:
		im.Format = "EULUMDAT"
		var w *photometry.Web
		var more *photometry.TM33
		if xml {
			im.Format = "TM-33"
			w, more, list = photometry.ParseTM33(name, src)
		} else {
			w, list = photometry.Options{LampSet: o.LampSet}.Parse(name, src)
		}
		if w != nil {
			if strings.Contains(w.Edition, "IES") && !xml {
				im.Format = "LM-63"
			}
			if im.LampSets = w.LampSets; len(w.LampSets) > 0 {
				im.LampSet = max(1, o.LampSet)
				// It is asked, so nothing is odd about it.
				list = slices.DeleteFunc(list, func(m diag.Message) bool {
					return m.Code == "photometry.sets" && m.Severity == diag.Note
				})
			}
			ok = o.web(im, w, more, base)
		}
	}
	if list.Has(diag.Error) || !ok {
		return nil, list
	}
	return im, list
}

func (im *Import) read(format string, args ...any) {
	im.Read = append(im.Read, fmt.Sprintf(format, args...))
}
func (im *Import) assumed(format string, args ...any) {
	im.Assumed = append(im.Assumed, fmt.Sprintf(format, args...))
}
func (im *Import) ignored(format string, args ...any) {
	im.Ignored = append(im.Ignored, fmt.Sprintf(format, args...))
}

// called is what the entry is called.
func (o ImportOptions) called(said, base string) string {
	for _, n := range []string{o.Name, said, strings.TrimSuffix(base, path.Ext(base))} {
		if n = strings.Join(strings.Fields(n), " "); n != "" {
			if r := []rune(n); len(r) > 80 {
				n = string(r[:80])
			}
			return n
		}
	}
	return "imported"
}

// flow writes settings of one entry as a map on one line.
type flow struct{ b strings.Builder }

func (f *flow) put(key, value string) {
	if f.b.Len() > 0 {
		f.b.WriteString(", ")
	}
	f.b.WriteString(key + ": " + value)
}

func (f *flow) text() string { return "{" + f.b.String() + "}" }

func figure(x float64, digits int) string { return strconv.FormatFloat(x, 'g', digits, 64) }

func pairsText(pairs [][2]float64) string {
	var b strings.Builder
	b.WriteByte('[')
	for i, p := range pairs {
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "[%s, %s]", figure(p[0], 6), figure(p[1], 4))
	}
	b.WriteByte(']')
	return b.String()
}

func (o ImportOptions) web(im *Import, w *photometry.Web, more *photometry.TM33, base string) bool {
	var f flow
	name := o.called(w.Name, base)
	im.Copies = base
	f.put("name", strconv.Quote(name))
	f.put("kind", "continuous")
	f.put("photometry", strconv.Quote("kit/"+base))
	if im.LampSet > 1 {
		f.put("lamp set", strconv.Itoa(im.LampSet))
	}
	if im.LampSet > 0 {
		im.read("lamp set %s", w.LampSets[im.LampSet-1])
		others := slices.Delete(slices.Clone(w.LampSets), im.LampSet-1, im.LampSet)
		im.ignored("its other sets of lamps: %s", strings.Join(others, "; "))
	}
	im.read("intensities, type %s, %d by %d angles: %.4g cd on axis, %.4g cd at most, %.4g lm in all", w.Kind,
		len(w.Horizontal),
		len(w.Vertical), w.Axial(), w.MaxCandela(), w.Flux())
	op := w.Opening
	switch {
	case op.Shape == photometry.ShapeDisc && op.Width > 0:
		f.put("face", fmt.Sprintf("{shape: disc, size: [%s m]}", figure(op.Width, 3)))
		im.read("a round face of %.3g m", op.Width)
	case op.Shape == photometry.ShapeRectangle && op.Width > 0 && op.Length > 0:
		f.put("face", fmt.Sprintf("{shape: rectangle, size: [%s m, %s m]}", figure(op.Length, 3), figure(op.Width, 3)))
		im.read("a face of %.3g x %.3g m", op.Length, op.Width)
	case op.Shape == photometry.ShapeSphere && op.Width > 0:
		f.put("face", fmt.Sprintf("{shape: sphere, size: [%s m]}", figure(op.Width, 3)))
		im.read("a sphere of %.3g m", op.Width)
	default:
		im.assumed("a point: the file gives no face that is a rectangle, a disc or a sphere (%s); "+
			"set face: for its shadows", op.Shape)
	}
	if more != nil && (op.Width > 0 || op.Length > 0) {
		im.assumed("the size of the housing is that of what shines")
	}
	if w.Watts > 0 {
		f.put("watts", figure(w.Watts, 4)+" W")
		im.read("%.4g W", w.Watts)
	}
	colour := ""
	if more != nil {
		if len(more.Spectrum) > 1 {
			colour = "{spectrum: " + pairsText(thin(more.Spectrum)) + "}"
			im.read("its spectrum, %d wavelengths", len(more.Spectrum))
		} else if more.Kelvin > 0 {
			colour = fmt.Sprintf("{kelvin: %s K}", figure(more.Kelvin, 5))
			im.read("%.0f K", more.Kelvin)
			im.assumed("daylight or Planck light of that temperature")
		}
		if more.Lumens > 0 {
			im.read("rated %.4g lm; the table counts", more.Lumens)
		}
		for _, n := range more.Ignored {
			im.ignored("%s", n)
		}
	}
	if k, words := w.LampKelvin(); colour == "" && k > 0 {
		colour = fmt.Sprintf("{kelvin: %s K}", figure(k, 5))
		im.read("%.0f K, in its words about the lamp (%s)", k, words)
		im.assumed("daylight or Planck light of that temperature")
	} else if colour == "" {
		colour = "{kelvin: 5600 K}"
		if words != "" {
			words = "; it names several, " + words
		}
		im.assumed("5600 K: the file says no colour%s", words)
	}
	f.put("colour", colour)
	im.assumed("a lamp that burns (kind: continuous) and is dimmed to 1 %%; for a flash write kind: flash, " +
		"then its candelas are candela seconds")
	f.put("range", "6.64 st")
	f.put("step share", "1 %")
	f.put("uncertainty", "0.2 st")
	im.assumed("± 0.2 st: a maker's table against the lamp at hand (common practice, no source)")
	f.put("source", strconv.Quote("maker's photometry, "+base))
	if w.Tilt != nil {
		im.ignored("how it loses light when tilted")
	}
	for _, k := range w.Keywords {
		if strings.HasPrefix(k.Key, "_") {
			im.ignored("the keyword [%s]", k.Key)
		}
	}
	im.Entries = append(im.Entries, Addition{"heads", name, f.text()})
	return true
}

// thin brings a spectrum to what is needed of it: 360 to 830 nm, five nanometres apart at the
// finest, by means.
func thin(pairs [][2]float64) [][2]float64 {
	var in [][2]float64
	for _, p := range pairs {
		if p[0] >= 355 && p[0] <= 835 {
			in = append(in, p)
		}
	}
	if len(in) < 2 || (in[len(in)-1][0]-in[0][0])/float64(len(in)-1) > 4 {
		return in
	}
	var out [][2]float64
	for nm := math.Ceil(in[0][0]/5) * 5; nm <= in[len(in)-1][0]; nm += 5 {
		sum, n := 0.0, 0
		for _, p := range in {
			if math.Abs(p[0]-nm) <= 2.5 {
				sum, n = sum+p[1], n+1
			}
		}
		if n > 0 {
			out = append(out, [2]float64{nm, sum / float64(n)})
		}
	}
	return out
}

func (o ImportOptions) spectral(im *Import, s *photometry.Spectral, base string, list *diag.List) bool {
	code := "kit.import"
	refuse := func(fix, format string, args ...any) bool {
		*list = append(*list, diag.Message{Severity: diag.Error, Code: code, Pos: diag.Pos{File: im.File},
			Text: fmt.Sprintf(format, args...), Fix: fix})
		return false
	}
	lo, hi := s.Pairs[0][0], s.Pairs[len(s.Pairs)-1][0]
	im.read("%d wavelengths, %.4g to %.4g nm", len(s.Pairs), lo, hi)
	pairs := thin(s.Pairs)
	if len(pairs) < 2 {
		return refuse("take a file that covers what is seen; ångström must be written as nanometres",
			"the file has fewer than two wavelengths between 360 and 830 nm: it runs from %g to %g nm", lo, hi)
	}
	if len(pairs) < len(s.Pairs) {
		im.read("kept as %d means of 5 nm between 360 and 830 nm", len(pairs))
	}
	if lo > 410 || hi < 690 {
		im.assumed("what is seen beyond %.4g to %.4g nm goes on as at the ends", lo, hi)
	}
	if s.Micrometres {
		im.assumed("the wavelengths are in micrometres")
	}
	if s.Percent {
		im.read("values in per cent, by the file's head")
	}
	if s.Dark > 0 {
		im.assumed("%d values a little under zero are none: noise of the instrument", s.Dark)
	}
	if s.More > 0 {
		im.ignored("%d further spectra in the file: the first is read", s.More)
	}
	name := o.called(s.Name, base)
	what := or(o.Of, strings.ToLower(s.Quantity))
	share := func() bool {
		most := 0.0
		for _, p := range pairs {
			most = max(most, p[1])
		}
		if most > 1.02 && most <= 102 {
			im.assumed("per cent: the largest value is %.3g", most)
			for i := range pairs {
				pairs[i][1] /= 100
			}
			most /= 100
		}
		if s.Percent && most < 0.02 {
			im.assumed("the head says per cent, so the most is %.2g %%, darker than black velvet: if the values are "+
				"shares, take the %% out of the head", 100*most)
		}
		if most > 1.02 {
			return refuse("write shares 0 to 1", "a %s of %.3g cannot be: more comes back than falls on it", what, most)
		}
		for i := range pairs {
			pairs[i][1] = min(1, pairs[i][1])
		}
		return true
	}
	var f flow
	f.put("name", strconv.Quote(name))
	switch {
	case strings.HasPrefix(what, "reflect"):
		if !share() {
			return false
		}
		f.put("spectrum", pairsText(pairs))
		f.put("source", strconv.Quote("own measurement, "+base))
		im.assumed("all of it diffuse: the file says nothing of gloss")
		im.Entries = append(im.Entries, Addition{"surfaces", name, f.text()})
	case strings.HasPrefix(what, "transmi"):
		if !share() {
			return false
		}
		f.put("spectrum", pairsText(pairs))
		f.put("source", strconv.Quote("own measurement, "+base))
		im.Entries = append(im.Entries, Addition{"gels", name, f.text()})
	default:
		if what == "" && o.Head != "" {
			im.assumed("the light of a lamp: the file does not say what its values are")
		}
		c, err := spectrum.OfPairs(pairs)
		if err != nil {
			return refuse("", "%v", err)
		}
		if !(c.XYZ().Y > 0) {
			return refuse("take a file of light that is seen", "the spectrum holds no visible light")
		}
		if k, duv, ok := spectrum.CCTOhno2013(c.XY()); ok {
			im.read("%.0f K, Duv %+.4f", k, duv)
		}
		if o.Head == "" {
			code = CodeOfWhat
			if what == "" {
				return refuse("say it: --of reflectance, --of transmittance, or --head NAME for the light of a head",
					"the file does not say what its values are: of a surface, a gel or a light")
			}
			return refuse("name the head whose light it is: --head NAME",
				"the spectrum is of a light (%s); a file of kit keeps it as the colour of a head", what)
		}
		var h flow
		h.put("name", strconv.Quote(o.Head))
		h.put("colour", "{spectrum: "+pairsText(pairs)+"}")
		im.Entries = append(im.Entries, Addition{"heads", o.Head, h.text()})
		im.read("as the colour of %s; its level stays", o.Head)
	}
	return true
}

// attributes are the channel functions of a fixture that can be driven, by their names in the
// format.
var attributes = map[string]string{"Dimmer": "dimmer", "CTC": "cct", "CTO": "cct", "CTB": "cct", "ColorAdd_R": "red",
	"ColorAdd_G": "green", "ColorAdd_B": "blue", "ColorAdd_W": "white", "ColorAdd_WW": "warm white",
	"ColorAdd_CW": "cool white",
	"ColorAdd_RY": "amber", "HSB_Hue": "hue", "HSB_Saturation": "saturation", "Tint": "tint"}

func (o ImportOptions) fixture(im *Import, x *photometry.Fixture, base string, list *diag.List) bool {
	if !o.hasMode(x) {
		*list = append(*list, diag.Message{Severity: diag.Error, Code: "kit.import", Pos: diag.Pos{File: im.File},
			Text: fmt.Sprintf("the fixture has no mode %q; it has: %s", o.Mode, strings.Join(modesOf(x), ", ")),
			Fix:  "choose one of them"})
		return false
	}
	var f flow
	name := o.called(x.Name, base)
	f.put("name", strconv.Quote(name))
	f.put("kind", "continuous")
	if x.Lumens > 0 {
		f.put("flux", figure(x.Lumens, 5)+" lm")
		im.read("%.5g lm", x.Lumens)
	} else {
		im.assumed("no level: write flux:, gives: or a reading before it can be used")
	}
	beam := ""
	if x.Beam > 0 && x.Beam < 179 {
		beam = fmt.Sprintf(", beam: %s deg", figure(x.Beam, 4))
		im.read("a beam of %.3g° at half", x.Beam)
	}
	switch {
	case x.Width > 0:
		f.put("face", fmt.Sprintf("{shape: rectangle, size: [%s m, %s m]%s}", figure(x.Width, 3), figure(x.Height, 3),
			beam))
		im.read("a face of %.3g x %.3g m", x.Width, x.Height)
	case x.Radius > 0:
		f.put("face", fmt.Sprintf("{shape: disc, size: [%s m]%s}", figure(2*x.Radius, 3), beam))
		im.read("a round face of %.3g m", 2*x.Radius)
	default:
		f.put("face", "{shape: disc, size: [0.1 m]"+beam+"}")
		im.assumed("a round face of 0.1 m: the file gives none")
	}
	var own []photometry.Emission
	named := []string{}
	for _, e := range x.Emitters {
		if len(thin(e.Spectrum)) > 1 {
			own = append(own, e)
		}
		named = append(named, e.Name)
	}
	switch {
	case len(own) > 1 && len(own) == len(x.Emitters):
		var b strings.Builder
		b.WriteString("{emitters: [")
		for i, e := range own {
			if i > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "{name: %s, spectrum: %s}",
				strconv.Quote(strings.ToLower(or(e.Name, fmt.Sprintf("emitter %d", i+1)))),
				pairsText(thin(e.Spectrum)))
		}
		b.WriteString("]")
		if x.Kelvin > 0 {
			b.WriteString(", white: " + figure(x.Kelvin, 5) + " K")
		}
		f.put("colour", b.String()+"}")
		im.read("the spectra of %d emitters: %s", len(own), strings.Join(named, ", "))
		im.assumed("sized so that all at full give its white")
	case len(x.Emitters) > 1:
		im.ignored("its emitters (%s): not all have a spectrum; write colour: {primaries: …} by hand",
			strings.Join(named, ", "))
		fallthrough
	default:
		k := x.Kelvin
		if k == 0 {
			k = 5600
			im.assumed("5600 K: the file says no colour")
		} else {
			im.read("%.0f K", k)
		}
		f.put("colour", "{kelvin: "+figure(k, 5)+" K}")
	}
	if x.Watts > 0 {
		f.put("watts", figure(x.Watts, 4)+" W")
		im.read("%.4g W", x.Watts)
	}
	if x.Kilos > 0 {
		f.put("weight", figure(x.Kilos, 4)+" kg")
		im.read("%.4g kg", x.Kilos)
	}
	f.put("range", "6.64 st")
	f.put("step share", "1 %")
	im.assumed("dimmed to 1 %% in steps of 1 %%")
	sd := "0.3 st"
	if len(x.Usual) > 0 {
		sd = "0.6 st"
		im.assumed("%s: these are the format's own defaults, so perhaps nobody measured them; meter the head",
			strings.Join(x.Usual, ", "))
	}
	f.put("uncertainty", sd)
	im.assumed("± %s (common practice, no source)", sd)
	o.channels(im, x, &f)
	f.put("source", strconv.Quote("maker's description, "+base))
	for _, n := range x.Ignored {
		im.ignored("%s", n)
	}
	im.Entries = append(im.Entries, Addition{"heads", name, f.text()})
	return true
}

func modesOf(x *photometry.Fixture) (names []string) {
	for _, m := range x.Modes {
		names = append(names, m.Name)
	}
	return names
}

// isMode reports whether a name means a mode.
func isMode(name, mode string) bool {
	return strings.EqualFold(strings.TrimSpace(name), strings.TrimSpace(mode))
}

// hasMode reports whether the mode that is asked for is there.
func (o ImportOptions) hasMode(x *photometry.Fixture) bool {
	return o.Mode == "" || slices.ContainsFunc(modesOf(x), func(n string) bool { return isMode(n, o.Mode) })
}

// channels writes the channels of the mode asked, the first where none is.
func (o ImportOptions) channels(im *Import, x *photometry.Fixture, f *flow) {
	if len(x.Modes) == 0 {
		return
	}
	at, names := 0, modesOf(x)
	if o.Mode != "" {
		at = slices.IndexFunc(names, func(n string) bool { return isMode(n, o.Mode) })
	}
	m := x.Modes[at]
	if len(names) > 1 {
		im.Modes, im.Mode = names, m.Name
		im.ignored("its other modes: %s", strings.Join(slices.DeleteFunc(slices.Clone(names),
			func(n string) bool { return n == m.Name }), ", "))
	}
	if len(m.Channels) == 0 {
		return
	}
	var parts, still []string
	for _, c := range m.Channels {
		does, ok := attributes[c.Attribute]
		if !ok {
			if does = strings.ToLower(c.Attribute); does == "" {
				does = "untouched"
			} else {
				still = append(still, c.Attribute)
			}
		}
		p := "{does: " + strconv.Quote(does)
		if c.Fine {
			p += ", fine: true"
		}
		if c.Rest > 0 {
			p += ", rest: " + figure(100*c.Rest, 4) + " %"
		}
		parts = append(parts, p+"}")
	}
	f.put("channels", "["+strings.Join(parts, ", ")+"]")
	im.read("%d channels of the mode %q", len(parts), m.Name)
	if len(still) > 0 {
		im.assumed("left at rest: %s", strings.Join(slices.Compact(still), ", "))
	}
}
