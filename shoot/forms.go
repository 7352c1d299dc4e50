package shoot

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	q "halfstop/quantity"
	"halfstop/yamltext"
)

// The settings in this file may be written in several forms. Each UnmarshalNode reads all of them
// and adds a message for anything else.

var hexColour = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)

// UnmarshalNode reads a number 0 to 1, '18 %', a name, '#rrggbb', or pairs [nm, value].
func (r *Reflectance) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	switch n.Kind {
	case yamltext.List:
		if p, ok := pairs(d, n, 1); ok {
			r.Spectrum = p
		}
	case yamltext.Scalar:
		if x, ok := n.Number(); ok {
			if x < 0 || x > 1 {
				d.Problem(n, "file.range", "write a number from 0 to 1, or per cent: 18 %",
					"%s: %s is outside 0 to 1", d.What(), n.Text)
				return
			}
			r.Value = x
			return
		}
		if s, err := q.ParseShare(n.Text); err == nil {
			if s < 0 || s > 1 {
				d.Problem(n, "file.range", "write 0 % to 100 %", "%s: %s is outside 0 to 100 %%", d.What(), n.Text)
				return
			}
			r.Value = float64(s)
			return
		}
		r.Name = named(d, n)
	default:
		d.Problem(n, "file.type", "write it like 60 %, or a name",
			"%s must be a number from 0 to 1, a name, or pairs [nm, value]; here stands %s",
			d.What(), n.Said())
	}
}

// named returns a name or a picked colour. What begins like a number is neither.
func named(d *yamltext.Decoder, n *yamltext.Node) string {
	t := strings.TrimSpace(n.Text)
	switch {
	case t == "":
		d.Problem(n, "file.value", "write a name or a number, or delete it", "%s is empty", d.What())
		return ""
	case t[0] == '#' && !hexColour.MatchString(t):
		d.Problem(n, "file.value", `write it like "#c08040"`, "%s: %s is no colour", d.What(), n.Said())
		return ""
	case strings.IndexByte("0123456789.-+", t[0]) >= 0:
		d.Problem(n, "file.value", "write it like 60 %, or a name of letters",
			"%s: %s is neither a number nor a name", d.What(), n.Said())
		return ""
	}
	return t
}

// pairs reads [[nm, value], …] with rising wavelengths and values from 0 to most (most 0: no upper
// bound).
func pairs(d *yamltext.Decoder, n *yamltext.Node, most float64) ([][2]float64, bool) {
	var p [][2]float64
	mark := d.Mark()
	d.Into(n, &p)
	if d.Failed(mark) {
		return nil, false
	}
	if len(p) < 2 {
		d.Problem(n, "file.count", "write [[400, 0.2], [700, 0.6]]", "%s needs at least two pairs [nm, value]",
			d.What())
		return nil, false
	}
	for i := range p {
		at := n.Items[i]
		switch {
		case p[i][0] < 100 || p[i][0] > 5000:
			d.Problem(at, "file.range", "write wavelengths in nm, as in [400, 0.2]",
				"%s: wavelength %g nm is outside 100 to 5000", d.What(), p[i][0])
		case i > 0 && p[i][0] <= p[i-1][0]:
			d.Problem(at, "file.range", "list wavelengths in rising order",
				"%s: wavelength %g nm does not lie over %g nm before it", d.What(), p[i][0], p[i-1][0])
		case p[i][1] < 0:
			d.Problem(at, "file.range", "write 0 or more", "%s: value %g at %g nm is under 0", d.What(),
				p[i][1], p[i][0])
		case most > 0 && p[i][1] > most:
			d.Problem(at, "file.range", "write "+strconv.FormatFloat(most, 'g', -1, 64)+" or less",
				"%s: value %g at %g nm is over %g", d.What(), p[i][1], p[i][0], most)
		}
	}
	return p, !d.Failed(mark)
}

// UnmarshalNode reads a preset's name, a number (diffuse reflectance), '#rrggbb', pairs, or
// settings.
func (s *Surface) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	switch {
	case n.Kind == yamltext.Map:
		mark := d.Mark()
		d.Into(n, (*surfaceSettings)(s))
		if !d.Failed(mark) {
			s.conserve(d, n)
		}
	case n.Kind == yamltext.Scalar && !startsLikeNumber(n.Text) && !strings.HasPrefix(n.Text, "#"):
		s.Preset = named(d, n)
	default:
		mark := d.Mark()
		var r Reflectance
		d.Into(n, &r)
		if !d.Failed(mark) {
			s.Diffuse = &r
		}
	}
}

// surfaceSettings is a surface written as settings.
type surfaceSettings Surface

// Called is the word for a surface in messages.
func (surfaceSettings) Called() string { return "a surface" }

func startsLikeNumber(t string) bool { return t != "" && strings.IndexByte("0123456789.-+", t[0]) >= 0 }

// conserve adds a message where the parts of a surface sum to more than 1 at a wavelength (energy
// conservation). Named parts are checked by material.
func (s *Surface) conserve(d *yamltext.Decoder, n *yamltext.Node) {
	parts := []*Reflectance{s.Diffuse, s.Mirror, s.Transmit, s.Clear}
	at := []float64{550}
	for _, p := range parts {
		if p != nil {
			for _, q := range p.Spectrum {
				at = append(at, q[0])
			}
		}
	}
	worst, where := 0.0, 0.0
	for _, nm := range at {
		sum := 0.0
		for _, p := range parts {
			sum += p.at(nm)
		}
		if sum > worst {
			worst, where = sum, nm
		}
	}
	if worst > 1+1e-9 {
		if len(at) == 1 {
			d.Problem(n, "shoot.energy", "lower one of them",
				"reflectance and transmittance add up to %.4g; together they may not pass 1", worst)
			return
		}
		d.Problem(n, "shoot.energy", "lower one of them",
			"reflectance and transmittance add up to %.4g at %g nm; together they may not pass 1", worst, where)
	}
}

// at returns the stated reflectance at a wavelength, linear between pairs and constant outside; 0
// for names.
func (r *Reflectance) at(nm float64) float64 {
	if r == nil {
		return 0
	}
	p := r.Spectrum
	if len(p) == 0 {
		return r.Value
	}
	if nm <= p[0][0] {
		return p[0][1]
	}
	for i := 1; i < len(p); i++ {
		if nm <= p[i][0] {
			t := (nm - p[i-1][0]) / (p[i][0] - p[i-1][0])
			return p[i-1][1] + t*(p[i][1]-p[i-1][1])
		}
	}
	return p[len(p)-1][1]
}

// UnmarshalNode reads '5600 K', a lamp's name, 'like practicals.NAME', '#rrggbb', [x, y], pairs
// [nm, value], or settings.
func (s *Spectrum) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	switch n.Kind {
	case yamltext.Scalar:
		s.scalar(d, n)
	case yamltext.List:
		if len(n.Items) == 2 && n.Items[0].Kind == yamltext.Scalar {
			s.chromaticity(d, n)
		} else if p, ok := pairs(d, n, 0); ok {
			s.Pairs = p
		}
	case yamltext.Map:
		s.settings(d, n)
	}
}

func (s *Spectrum) scalar(d *yamltext.Decoder, n *yamltext.Node) {
	t := strings.TrimSpace(n.Text)
	switch {
	case strings.HasPrefix(t, "like "):
		s.Like = strings.TrimSpace(t[len("like "):])
		if s.Like == "" {
			d.Problem(n, "file.value", "write like practicals.NAME", "%s: the name is missing", d.What())
		}
	case strings.HasPrefix(t, "#"):
		s.RGB = named(d, n)
	case startsLikeNumber(t):
		mark := d.Mark()
		d.Into(n, &s.Kelvin)
		if d.Failed(mark) {
			s.Kelvin = 0
		} else if s.Kelvin < 500 || s.Kelvin > 100000 {
			d.Problem(n, "file.range", "write it like 5600 K", "%s: %s is outside 500 K to 100000 K", d.What(),
				n.Said())
			s.Kelvin = 0
		}
	default:
		s.Name = named(d, n)
	}
}

func (s *Spectrum) chromaticity(d *yamltext.Decoder, n *yamltext.Node) {
	mark := d.Mark()
	d.Into(n, &s.XY)
	if d.Failed(mark) {
		s.XY = [2]float64{}
		return
	}
	if x, y := s.XY[0], s.XY[1]; !(x > 0 && y > 0 && x+y <= 1) {
		d.Problem(n, "file.range", "write CIE 1931 x, y, like [0.3127, 0.3290]",
			"%s: x = %g, y = %g is no chromaticity", d.What(), x, y)
		s.XY = [2]float64{}
	}
}

// spectrumSettings are the settings of a colour written as a group.
type spectrumSettings struct {
	Kelvin   q.Kelvin     `yaml:"kelvin" least:"500" most:"100000" doc:"colour temperature"`
	Duv      float64      `yaml:"duv" least:"-0.05" most:"0.05" doc:"distance from the Planckian locus, green positive; with kelvin"`
	Name     string       `yaml:"name" doc:"a named lamp"`
	Like     string       `yaml:"like" doc:"the colour of another light: practicals.NAME"`
	XY       *[2]float64  `yaml:"xy" doc:"CIE 1931 chromaticity [x, y]"`
	RGB      string       `yaml:"rgb" doc:"a pick '#rrggbb' from an sRGB picture"`
	Spectrum [][2]float64 `yaml:"spectrum" doc:"pairs [nm, relative power]"`
}

// Called is the word for a colour in messages.
func (spectrumSettings) Called() string { return "a colour" }

func (s *Spectrum) settings(d *yamltext.Decoder, n *yamltext.Node) {
	var w spectrumSettings
	mark := d.Mark()
	d.Into(n, &w)
	if d.Failed(mark) {
		return
	}
	ways := 0
	for _, said := range []bool{w.Kelvin != 0, w.Name != "", w.Like != "", w.XY != nil, w.RGB != "",
		w.Spectrum != nil} {
		if said {
			ways++
		}
	}
	if ways != 1 {
		d.Problem(n, "file.value", "keep one of kelvin, name, like, xy, rgb, spectrum",
			"%s must be said in one way; here are %d", d.What(), ways)
		return
	}
	s.Kelvin, s.Duv, s.Name, s.Like = w.Kelvin, w.Duv, w.Name, w.Like
	switch {
	case w.Duv != 0 && w.Kelvin == 0:
		d.Problem(n.Get("duv"), "file.value", "add kelvin", "duv needs a colour temperature to start from")
	case w.XY != nil:
		s.chromaticity(d, n.Get("xy"))
	case w.RGB != "":
		s.RGB = w.RGB
		if !hexColour.MatchString(w.RGB) {
			d.Problem(n.Get("rgb"), "file.value", `write it like "#c08040"`, "rgb: %s is no colour",
				n.Get("rgb").Said())
		}
	case w.Spectrum != nil:
		s.Pairs, _ = pairs(d, n.Get("spectrum"), 0)
	}
}

// Set reports whether a colour is written.
func (s *Spectrum) Set() bool {
	return s.Kelvin != 0 || s.Name != "" || s.Like != "" || s.XY != [2]float64{} || s.RGB != "" || len(s.Pairs) > 0
}

// UnmarshalNode reads a level with its unit. The name of the setting (luminance, intensity, flux)
// gives the quantity.
func (a *Amount) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	t, ok := d.Scalar(n, "a level with its unit")
	if !ok {
		return
	}
	burns, flashes := amountForms(d.What())
	x, err := burns(t)
	flash := false
	if err != nil {
		if y, err2 := flashes(t); err2 == nil {
			x, flash, err = y, true, nil
		}
	}
	if err == nil && strings.Trim(t, "0123456789.,+-eE ") == "" {
		d.Problem(n, "file.value", "write "+like(d.What(), t),
			"%s: %s has no unit; the unit says whether the light burns or flashes", d.What(), n.Said())
		return
	}
	if err != nil {
		what, _ := q.Split(err)
		d.Problem(n, "file.value", "write "+like(d.What(), "1000"), "%s: %s", d.What(), what)
		return
	}
	if !(x > 0) {
		d.Problem(n, "file.range", "write off: true to switch it off", "%s: %s is not over 0", d.What(), n.Said())
		return
	}
	*a = Amount{x, flash}
}

func amountForms(what string) (burns, flashes func(string) (float64, error)) {
	switch what {
	case "luminance":
		return asFloat(q.ParseLuminance), asFloat(q.ParseLuminanceSeconds)
	case "flux":
		return asFloat(q.ParseLumens), asFloat(q.ParseLumenSeconds)
	}
	return asFloat(q.ParseCandela), asFloat(q.ParseCandelaSeconds)
}

func like(what, number string) string {
	n := strings.TrimSpace(number)
	unit := map[string][2]string{"luminance": {"cd/m2", "cd s/m2"}, "flux": {"lm", "lm s"}, "intensity": {"cd",
		"cd s"}}[what]
	if unit[0] == "" {
		unit = [2]string{"cd", "cd s"}
	}
	return n + " " + unit[0] + ", or for a flash " + n + " " + unit[1]
}

func asFloat[T ~float64](parse func(string) (T, error)) func(string) (float64, error) {
	return func(s string) (float64, error) {
		x, err := parse(s)
		return float64(x), err
	}
}

// Set reports whether a level is written.
func (a Amount) Set() bool { return a.Value != 0 }

// directionWords are the words that a Direction may be anywhere. In a setup the names of its lights
// are allowed too.
var directionWords = []string{"up", "down", "x+", "x-", "y+", "y-", "z+", "z-", "camera", "sitter"}

// UnmarshalNode reads a vector [x, y, z] or a word.
func (v *Direction) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	if n.Kind == yamltext.List {
		mark := d.Mark()
		d.Into(n, &v.Vec)
		if l := math.Hypot(math.Hypot(v.Vec[0], v.Vec[1]), v.Vec[2]); !d.Failed(mark) && !(l > 1e-9 && l < 1e9) {
			d.Problem(n, "file.range", "write a direction like [0, -1, 0]", "%s: a direction needs a length",
				d.What())
			v.Vec = [3]float64{}
		}
		return
	}
	t, ok := d.Scalar(n, "a direction [x, y, z] or a word")
	if !ok {
		return
	}
	if len(t) == 2 && (t[0] == '+' || t[0] == '-') {
		t = t[1:] + t[:1]
	}
	v.Word = strings.TrimSpace(t)
	if v.Word == "" {
		d.Problem(n, "file.value", "write a direction like [0, -1, 0]", "%s is empty", d.What())
	}
}

// Set reports whether a direction is written.
func (v Direction) Set() bool { return v.Word != "" || v.Vec != [3]float64{} }

// UnmarshalNode reads a position [x, y, z] or a name.
func (t *Target) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	if n.Kind == yamltext.List {
		var at [3]q.Metres
		d.Into(n, &at)
		t.At = [3]float64{float64(at[0]), float64(at[1]), float64(at[2])}
		return
	}
	if s, ok := d.Scalar(n, "a place [x, y, z] or a name"); ok {
		t.Name = strings.TrimSpace(s)
		if t.Name == "" {
			d.Problem(n, "file.value", "write a value, or delete it", "%s is empty", d.What())
		}
	}
}
