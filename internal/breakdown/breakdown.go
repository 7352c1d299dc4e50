// Package breakdown turns a record into one page that shows how a picture is lit, light by light,
// to publish or to teach: it works offline, from a mail, by keyboard and by screen reader. What is
// private is left out and told before it is written.
//
// It must not trace light, nor write files.
package breakdown

import (
	"bytes"
	"cmp"
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"reflect"
	"slices"
	"strings"

	"halfstop/answer"
	"halfstop/photo"
	"halfstop/picture"
	q "halfstop/quantity"
	"halfstop/record"
	"halfstop/render"
	"halfstop/sheet"
	"halfstop/spectrum"
)

//go:embed page.html
var pageHTML string

//go:embed page.css
var pageCSS string

//go:embed page.js
var pageJS string

// Most is the size that a page may have, bytes.
const Most = 2 << 20

// Work is what a breakdown is made of.
type Work struct {
	Record  *record.Record
	Job     *answer.Job   // the setup as dialled
	Frame   *render.Frame // of its layers
	Plan    *sheet.Plan   // nil: no drawing
	Photos  [][]byte      // of the set, JPEG
	Teach   bool
	Private *Private
}

// Made is a finished breakdown.
type Made struct {
	Data    []byte
	Strip   []string // what was left out
	Stays   []string // texts of the shoot that stay, to be read before it goes out
	Skipped []string // what is not in it, and why
}

// page is what the template takes.
type page struct {
	Title, Lead, Says, Camera string
	Width, Height             int
	Upright                   bool
	CSS                       template.CSS
	JS                        template.JS
	Data                      template.JS
	Picture                   template.URL
	Photos                    []template.URL
	Drawing                   template.HTML
	Lights                    []lightRow
	Set                       []setRow
	Points                    []pointRow
	Zones                     []zoneRow
	Quiz                      []question
	Metered                   bool // some point was
}

type lightRow struct{ Name, Why string }

type setRow struct{ Name, With, Setting, Stands, Covers, Colour, Share string }

type pointRow struct{ Name, Predicted, Metered, Level, By string }

type zoneRow struct{ Name, Share, Level, Range, By string }

type question struct {
	Ask, Is string
	Of      []string
}

// mixData is what the script takes.
type mixData struct {
	Width  int         `json:"width"`
	Height int         `json:"height"`
	Layers []layerData `json:"layers"`
	Tone   toneData    `json:"tone"`
}

type layerData struct {
	Picture string  `json:"picture"`
	Scale   float64 `json:"scale"`
}

type toneData struct {
	N        float64 `json:"n"`
	Half     float64 `json:"half"`
	Scale    float64 `json:"scale"`
	Clip     float64 `json:"clip"`
	Glare    float64 `json:"glare"`
	Straight bool    `json:"straight"`
}

// content is what both forms show, cleaned.
func (w *Work) content() *page {
	r, clean := w.Record, w.Private.Clean
	p := &page{Title: clean(r.Setup), CSS: template.CSS(pageCSS), JS: template.JS(pageJS)}
	if strings.Trim(p.Title, mark+" ") == "" {
		p.Title = "A portrait"
	}
	for _, k := range w.order() {
		name := w.Frame.Stage.Layers[k].Name
		row := lightRow{Name: clean(name)}
		for i := range r.Lights {
			if r.Lights[i].Name == name {
				row.Why = clean(r.Lights[i].Why)
			}
		}
		p.Lights = append(p.Lights, row)
	}
	for i := range r.Lights {
		p.Set = append(p.Set, w.set(&r.Lights[i]))
	}
	for i := range r.House {
		h := &r.House[i]
		p.Set = append(p.Set, setRow{Name: clean(h.Name), With: clean(h.Word), Setting: "as found",
			Colour: colourWords(h.Colour),
			Share:  share(h.Share)})
	}
	for i := range r.Points {
		x := &r.Points[i]
		p.Metered = p.Metered || x.Metered != ""
		row := pointRow{Name: clean(x.Name), Predicted: x.Predicted, Metered: cmp.Or(x.Metered, "–"),
			Level: stops(x.Level),
			By:    clean(by(x.Lights, x.Shares))}
		if x.Dark {
			row.Predicted, row.Level = "dark", ""
		}
		p.Points = append(p.Points, row)
	}
	for i := range r.Zones {
		z := &r.Zones[i]
		p.Zones = append(p.Zones, zoneRow{z.Name, share(z.Share), stops(z.Level),
			stops(z.Darkest) + " to " + stops(z.Top),
			clean(by(z.Lights, z.Shares))})
	}
	c := &r.Camera
	p.Camera = fmt.Sprintf("Camera: %s, %s, ISO %s, %.0f mm, %.2f m from the sitter.", c.Set.Aperture, c.Set.Shutter,
		c.Set.ISO, c.LensMM, c.Metres)
	if c.White != "" {
		p.Camera += " White balance " + c.White + "."
	}
	if c.Planned != c.Set {
		p.Camera += fmt.Sprintf(" Planned: %s, %s, ISO %s.", c.Planned.Aperture, c.Planned.Shutter, c.Planned.ISO)
	}
	p.Lead = w.lead()
	p.Says = w.says()
	return p
}

// order is that in which lights come in: those of the house first, then by what they do at the
// face, so that the key comes last but one look at the set before it shows why it is there.
func (w *Work) order() []int {
	layers := w.Frame.Stage.Layers
	var list []int
	for k := range layers {
		list = append(list, k)
	}
	rank := func(k int) float64 {
		if layers[k].Light < 0 {
			return -1
		}
		for i := range w.Record.Lights {
			if w.Record.Lights[i].Name == layers[k].Name {
				return w.Record.Lights[i].Share
			}
		}
		return 0
	}
	slices.SortStableFunc(list, func(a, b int) int {
		switch x, y := rank(a), rank(b); {
		case x < 0 && y >= 0:
			return -1
		case x >= 0 && y < 0:
			return 1
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return list
}

// set is a light's row of the table.
func (w *Work) set(l *record.Light) setRow {
	clean := w.Private.Clean
	var with []string
	for _, s := range append([]string{l.Head, l.Modifier, l.Grid}, l.Gels...) {
		if s != "" && s != "bare" {
			with = append(with, s)
		}
	}
	row := setRow{Name: clean(l.Name), With: clean(strings.Join(with, ", ")), Setting: l.Dialled,
		Colour: colourWords(l.Colour),
		Share:  share(l.Share)}
	if l.Planned != "" && l.Planned != l.Dialled {
		row.Setting += " (planned " + l.Planned + ")"
	}
	if s := &l.Seen; s.Metres > 0 {
		row.Stands = fmt.Sprintf("%.2f m, %s, %.0f° %s", s.Metres, round(s.Around), math.Abs(s.Above),
			updown(s.Above))
		row.Covers = fmt.Sprintf("%.0f°, %s; nose shadow's edge %.0f mm", s.Covers, s.Softness, s.Edge)
	}
	return row
}

func round(deg float64) string {
	side := "to the sitter's left"
	if deg < 0 {
		side = "to the sitter's right"
	}
	if math.Abs(deg) < 5 {
		return "before the nose"
	}
	return fmt.Sprintf("%.0f° %s", math.Abs(deg), side)
}

func updown(deg float64) string {
	if deg < 0 {
		return "down"
	}
	return "up"
}

func share(v float64) string {
	if v > 0 && v < 0.005 {
		return "under 1\u00a0%"
	}
	return fmt.Sprintf("%.0f\u00a0%%", v*100)
}

func stops(v float64) string {
	return strings.Replace(q.Stops(math.Round(v*10)/10).String(), "-", "−", 1)
}

func colourWords(c record.Colour) string {
	if c.Kelvin > 0 && math.Abs(c.Duv) < 0.02 {
		return fmt.Sprintf("%.0f K", math.Round(c.Kelvin/50)*50)
	}
	if len(c.XY) == 2 {
		return fmt.Sprintf("%s (x %.3f, y %.3f)", hue(c.XY[0], c.XY[1]), c.XY[0], c.XY[1])
	}
	return ""
}

// hue names a colour that is no white, by its hue in sRGB.
func hue(x, y float64) string {
	c := spectrum.SRGB.Linear(spectrum.XY{X: x, Y: y}.XYZ(1))
	r, g, b := max(0, c[0]), max(0, c[1]), max(0, c[2])
	deg := math.Mod(math.Atan2(math.Sqrt(3)*(g-b), 2*r-g-b)*180/math.Pi+360, 360)
	for _, n := range []struct {
		upTo float64
		name string
	}{{15, "red"}, {45, "orange"}, {75, "yellow"}, {160, "green"}, {200, "cyan"}, {260, "blue"}, {300, "violet"},
		{345, "magenta"}} {
		if deg < n.upTo {
			return n.name
		}
	}
	return "red"
}

// by names what lights something, most first, down to a twentieth.
func by(lights []string, shares []float64) string {
	var at []int
	for i := range lights {
		if i < len(shares) && shares[i] >= 0.05 {
			at = append(at, i)
		}
	}
	slices.SortStableFunc(at, func(a, b int) int {
		if shares[a] > shares[b] {
			return -1
		}
		return 1
	})
	var parts []string
	for _, i := range at {
		parts = append(parts, fmt.Sprintf("%s %.0f\u00a0%%", lights[i], shares[i]*100))
	}
	return strings.Join(parts, ", ")
}

// lead says the picture in a line: how many lights, the key's pattern, the ratio. In the teaching
// form the last two would tell.
func (w *Work) lead() string {
	r := w.Record
	s := fmt.Sprintf("Lit with %s", counted(len(r.Lights), "light"))
	if n := len(r.House); n > 0 {
		s += fmt.Sprintf(" and %s of the place", counted(n, "light"))
	}
	if !w.Teach {
		if r.Facts.Pattern != "" {
			s += "; the key is " + r.Facts.Pattern
		}
		if r.Facts.Ratio > 0 {
			s += fmt.Sprintf("; lit side to shadow side %.1f\u00a0:\u00a01", r.Facts.Ratio)
		}
	}
	if x := r.Room; x.Length > 0 {
		s += fmt.Sprintf(". A room of %.1f × %.1f m, %.2f m high", x.Length, x.Width, x.Height)
	}
	return s + "."
}

func counted(n int, what string) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
	if n != 1 {
		what += "s"
	}
	if n < len(words) {
		return words[n] + " " + what
	}
	return fmt.Sprintf("%d %s", n, what)
}

// says describes the picture for who does not see it.
func (w *Work) says() string {
	set := w.Frame.Stage.Setup
	s := "Computed portrait"
	if set.Sitter != nil {
		s += fmt.Sprintf(": a %s sitter", set.Sitter.Pose)
	}
	if p := w.Record.Point("face key side"); p != nil && !p.Dark {
		s += fmt.Sprintf(", the lit side of the face at %s to mid-grey", stops(p.Level))
	}
	if p := w.Record.Point("face shadow side"); p != nil && !p.Dark {
		s += fmt.Sprintf(", its shadow side at %s", stops(p.Level))
	}
	return s + "."
}

// questions of the teaching form, with what there is to choose from.
func (w *Work) questions() (out []question) {
	soft := []string{"hard", "medium", "soft", "very soft"}
	for i := range w.Record.Lights {
		if s := w.Record.Lights[i].Seen.Softness; s != "" && !slices.Contains(soft, s) {
			soft = append(soft, s)
		}
	}
	side := []string{"from the sitter's left", "from the front", "from the sitter's right", "from behind"}
	high := []string{"from below", "at eye level", "from above"}
	for i := range w.Record.Lights {
		l := &w.Record.Lights[i]
		if l.Seen.Metres == 0 {
			continue
		}
		is := side[1]
		switch a := l.Seen.Around; {
		case math.Abs(a) > 110:
			is = side[3]
		case a > 15:
			is = side[0]
		case a < -15:
			is = side[2]
		}
		up := high[1]
		if l.Seen.Above > 12 {
			up = high[2]
		} else if l.Seen.Above < -12 {
			up = high[0]
		}
		name := w.Private.Clean(l.Name)
		out = append(out, question{"Where does the " + name + " come from?", is, side},
			question{"How high is the " + name + "?", up, high}, question{"How hard is the " + name + "?",
				l.Seen.Softness, soft})
	}
	if w.Record.Facts.Ratio > 0 {
		of := []string{"under a stop", "one to two stops", "two to three stops", "over three stops"}
		d := int(min(3, max(0, w.Record.Facts.Over)))
		out = append(out, question{"How far is the shadow side under the lit side?", of[d], of})
	}
	return out
}

// HTML makes the page. It is not larger than Most: layers are packed harder, then halved. Check:
// TestPage*.
func HTML(w Work) (*Made, error) {
	made := &Made{}
	p := w.content()
	if w.Teach {
		p.Quiz = w.questions()
	}
	if w.Plan != nil {
		svg, err := w.drawing()
		if err != nil {
			return nil, err
		}
		p.Drawing = template.HTML(svg)
	}
	for _, src := range w.Photos {
		img, _, err := photo.Decode(src)
		if err != nil {
			made.Skipped = append(made.Skipped, "a photograph that cannot be read: "+err.Error())
			continue
		}
		for img.Bounds().Dx() > 900 || img.Bounds().Dy() > 900 {
			img = picture.Half(img)
		}
		p.Photos = append(p.Photos, template.URL(dataURL(img, 78)))
	}
	t, err := template.New("page").Parse(pageHTML)
	if err != nil {
		return nil, err
	}
	planes, width, height := w.planes()
	for quality := 86; ; quality -= 12 {
		if quality < 60 {
			if quality = 80; min(width, height) < 128 {
				return nil, fmt.Errorf("the page cannot be made in %d bytes; leave photographs out", Most)
			}
			for k := range planes {
				planes[k] = halve(planes[k], width, height)
			}
			width, height = width/2, height/2
		}
		if err := w.mix(p, planes, width, height, quality); err != nil {
			return nil, err
		}
		var b bytes.Buffer
		if err := t.Execute(&b, p); err != nil {
			return nil, err
		}
		if b.Len() <= Most {
			made.Data = b.Bytes()
			break
		}
	}
	return w.finish(made, p)
}

// finish lists what was left out and what stays, and looks through the file once more.
func (w *Work) finish(made *Made, p *page) (*Made, error) {
	if kind := w.Private.Survives(made.Data); kind != "" {
		return nil, fmt.Errorf("something private (%s) is still in it; nothing was written", kind)
	}
	made.Strip = w.Private.Listed()
	stay := map[string]bool{p.Title: true}
	for _, l := range p.Lights {
		stay[l.Name], stay[l.Why] = true, true
	}
	for _, x := range p.Points {
		stay[x.Name] = true
	}
	for _, x := range p.Set {
		stay[x.With] = true
	}
	delete(stay, "")
	for s := range stay {
		made.Stays = append(made.Stays, s)
	}
	slices.Sort(made.Stays)
	return made, nil
}

// planes are the layers in linear light of the display, white-balanced, in the order in which they
// come in.
func (w *Work) planes() (out [][][3]float32, width, height int) {
	f := w.Frame
	adapt := spectrum.CAT16(f.Stage.White, spectrum.SRGB.XYZ([3]float64{1, 1, 1}))
	for _, k := range w.order() {
		px := make([][3]float32, f.Film.W*f.Film.H)
		for i, t := range f.Linear(k) {
			for b, v := range spectrum.SRGB.Linear(adapt.XYZ(t)) {
				px[i][b] = float32(max(0, v))
			}
		}
		out = append(out, px)
	}
	return out, f.Film.W, f.Film.H
}

func halve(px [][3]float32, w, h int) [][3]float32 {
	out := make([][3]float32, (w/2)*(h/2))
	for y := range h / 2 {
		for x := range w / 2 {
			i := 2*y*w + 2*x
			for b := range 3 {
				out[y*(w/2)+x][b] = (px[i][b] + px[i+1][b] + px[i+w][b] + px[i+w+1][b]) / 4
			}
		}
	}
	return out
}

// mix puts the layers and the picture into the page.
func (w *Work) mix(p *page, planes [][][3]float32, width, height, quality int) error {
	p.Width, p.Height, p.Upright = width, height, height > width
	r := render.RenderingOf(w.Frame.Stage)
	d := mixData{Width: width, Height: height, Tone: toneData{Clip: picture.Clipped, Glare: r.Glare}}
	d.Tone.N, d.Tone.Half, d.Tone.Scale, d.Tone.Straight = r.Constants()
	for _, px := range planes {
		img, scale := encoded(px, width, height)
		d.Layers = append(d.Layers, layerData{dataURL(img, quality), scale})
	}
	text, err := json.Marshal(d)
	if err != nil {
		return err
	}
	p.Data = template.JS(text)
	f := w.Frame
	still := picture.Flat(picture.Render(f.Linear(-1), f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB, r))
	for still.Bounds().Dx() > width {
		still = picture.Half(still)
	}
	p.Picture = template.URL(dataURL(still, 82))
	return nil
}

// drawing is plan and section as one SVG, cleaned.
func (w *Work) drawing() ([]byte, error) {
	d, err := sheet.Illustrate(w.publicPlan(), 270, 240)
	if err != nil {
		return nil, err
	}
	svg := d.SVG(1)
	if i := bytes.Index(svg, []byte("<svg")); i > 0 {
		svg = svg[i:]
	}
	return svg, nil
}

// publicPlan is the plan without what is private in it.
func (w *Work) publicPlan() sheet.Plan {
	p := *w.Plan
	p.Title = sheet.TitleBlock{Setup: w.Private.Clean(w.Record.Setup)}
	p.Remarks, p.Cautions, p.North = nil, nil, nil
	w.Private.cleanAll(reflect.ValueOf(&p))
	return p
}
