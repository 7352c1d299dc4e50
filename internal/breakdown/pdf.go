package breakdown

import (
	"fmt"
	"image"
	"math"
	"slices"

	"halfstop/picture"
	"halfstop/render"
	"halfstop/sheet"
	"halfstop/spectrum"
)

// PDF makes the same on paper, set as a magazine sets it: the picture large with its figures, each
// light alone in a grid with what it is and why it is there, plan and section, readings. The
// teaching form asks before it tells: its answers stand on pages of their own. Check: TestPDF.
func PDF(w Work) (*Made, error) {
	p := w.content()
	shots := &shots{w: &w}
	// The drawing is as large as it can be without another page, and stands before the readings or
	// behind them, as leaves less of the last page empty.
	var best *sheet.Book
	var failed error
	for _, o := range []order{{225, false}, {165, false}, {165, true}, {145, true}, {125, true}, {105, true}} {
		b, err := w.book(p, shots, o)
		if err != nil {
			failed = err
			continue
		}
		if best == nil || b.Pages() < best.Pages() || b.Pages() == best.Pages() && b.Free() < best.Free()-emptyMM {
			best = b
		}
	}
	if best == nil {
		return nil, failed
	}
	made := &Made{Data: best.Drawing().PDF()}
	if len(w.Photos) > 0 {
		made.Skipped = append(made.Skipped, "photographs: they go with the page (.html)")
	}
	return w.finish(made, p)
}

// order is how high the drawing may be, mm, and whether it stands before the readings.
type order struct {
	high  float64
	first bool
}

// emptyMM is how much more of the last page must be filled for a smaller drawing.
const emptyMM = 60

// book sets every page.
func (w *Work) book(p *page, shots *shots, o order) (*sheet.Book, error) {
	b := sheet.NewBook(sheet.BookOptions{Title: p.Title + ": light by light",
		Foot: p.Title + " · planning figures: the venue, local codes and licensed people decide"})
	b.Opening(p.Title, p.Lead)
	var facts []sheet.Fact
	if !w.Teach {
		facts = w.cameraFacts(p)
	}
	img := shots.all()
	stands := img.Bounds().Dy() > img.Bounds().Dx()
	if stands && !w.Teach {
		facts = append(facts, zoneFacts(p)...)
	}
	b.LeadPicture(img, "Computed from the record of the set.", facts)
	if !stands && !w.Teach {
		zones(b, p)
	}
	b.Grid("Light by light", w.cells(p, shots))
	if w.Teach {
		qs := w.questions()
		b.Section("What is it lit with?")
		b.Text("Answer first; the answers are on the next pages.")
		for _, x := range qs {
			b.Choose(x.Ask, x.Of)
		}
		b.Opening("The answers", p.Camera)
		var rows [][]string
		for _, x := range qs {
			rows = append(rows, []string{x.Ask, x.Is})
		}
		b.Table([]sheet.Column{{Head: "Question", Share: 1}, {Head: "Answer", Share: 1}}, rows)
		b.Section("What was set")
		b.Table(setColumns, setRows(p))
	}
	drawn := func() error {
		if w.Plan == nil {
			return nil
		}
		return b.Drawn("Plan and section", w.publicPlan(), o.high)
	}
	if o.first {
		if err := drawn(); err != nil {
			return nil, err
		}
	}
	readings(b, p)
	if w.Teach {
		zones(b, p)
	}
	if !o.first {
		if err := drawn(); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// readings are the points as predicted and, where some was metered, as metered.
func readings(b *sheet.Book, p *page) {
	b.Section("Readings")
	var rows [][]string
	cols := []sheet.Column{{Head: "Point", Share: 1.4}, {Head: "Predicted", Share: 0.9},
		{Head: "Metered", Share: 0.9}, {Head: "To mid-grey", Share: 0.9, Right: true}, {Head: "Lit by", Share: 3}}
	for _, x := range p.Points {
		rows = append(rows, []string{x.Name, x.Predicted, x.Metered, x.Level, x.By})
	}
	if !p.Metered {
		cols = slices.Delete(cols, 2, 3)
		for i := range rows {
			rows[i] = slices.Delete(rows[i], 2, 3)
		}
	}
	b.Table(cols, rows)
}

// zones is the read-out by depth as a table, zoneFacts the same for a narrow column.
func zones(b *sheet.Book, p *page) {
	if len(p.Zones) == 0 {
		return
	}
	b.Section("Foreground, middle, background")
	var rows [][]string
	for _, x := range p.Zones {
		rows = append(rows, []string{x.Name, x.Share, x.Level, x.Range, x.By})
	}
	b.Table([]sheet.Column{{Head: "Zone", Share: 1}, {Head: "Of the picture", Share: 0.8, Right: true},
		{Head: "Mean", Share: 0.7, Right: true},
		{Head: "Darkest to brightest", Share: 1.2}, {Head: "Lit by", Share: 2.2}}, rows)
}

func zoneFacts(p *page) (facts []sheet.Fact) {
	for _, x := range p.Zones {
		facts = append(facts, sheet.Fact{Label: "The " + x.Name + ", " + x.Share + " of the picture",
			Value: x.Level + " to mid-grey, from " + x.Range + "; lit by " + x.By})
	}
	return facts
}

var setColumns = []sheet.Column{{Head: "Light", Share: 1.1}, {Head: "With", Share: 1.8},
	{Head: "Setting", Share: 1}, {Head: "Stands", Share: 1.6}, {Head: "Covers", Share: 1.5},
	{Head: "Colour", Share: 1}, {Head: "At the face", Share: 0.8, Right: true}}

func setRows(p *page) (rows [][]string) {
	for _, x := range p.Set {
		rows = append(rows, []string{x.Name, x.With, x.Setting, x.Stands, x.Covers, x.Colour, x.Share})
	}
	return rows
}

// cameraFacts stand beside the large picture.
func (w *Work) cameraFacts(p *page) []sheet.Fact {
	c := &w.Record.Camera
	set := fmt.Sprintf("%s, %s, ISO %s", c.Set.Aperture, c.Set.Shutter, c.Set.ISO)
	if c.Planned != c.Set {
		set += fmt.Sprintf(" (planned %s, %s, ISO %s)", c.Planned.Aperture, c.Planned.Shutter, c.Planned.ISO)
	}
	facts := []sheet.Fact{{Label: "Camera", Value: set},
		{Label: "Lens", Value: fmt.Sprintf("%.0f mm, %.2f m from the sitter, %.2f m high", c.LensMM, c.Metres,
			c.Height)}}
	if c.White != "" {
		facts = append(facts, sheet.Fact{Label: "White balance", Value: c.White})
	}
	for _, x := range [][2]string{{"face key side", "Face, lit side"}, {"face shadow side", "Face, shadow side"},
		{"hair edge", "Hair edge"}} {
		if i := slices.IndexFunc(p.Points, func(y pointRow) bool { return y.Name == x[0] }); i >= 0 {
			y := p.Points[i]
			value := y.Predicted + " predicted"
			if p.Metered {
				value += ", " + y.Metered + " metered"
			}
			facts = append(facts, sheet.Fact{Label: x[1], Value: value})
		}
	}
	return facts
}

// cells are the lights alone, in the order in which they come in. In the teaching form they say no
// more than their names.
func (w *Work) cells(p *page, shots *shots) (cells []sheet.Cell) {
	for i, k := range w.order() {
		l := &p.Lights[i]
		img, up := shots.alone(k)
		c := sheet.Cell{Picture: img, Name: l.Name, Text: l.Why}
		for _, x := range p.Set {
			if x.Name != l.Name || w.Teach {
				continue
			}
			c.Set = x.Setting
			for _, f := range [][2]string{{"", x.With}, {"Stands ", x.Stands}, {"Covers ", x.Covers},
				{"", x.Colour}} {
				if f[1] != "" {
					c.Lines = append(c.Lines, f[0]+f[1])
				}
			}
			if x.Share != "" {
				c.Lines = append(c.Lines, x.Share+" of the light at the face")
			}
			break
		}
		if up > 0 {
			c.Lines = append(c.Lines, fmt.Sprintf("Shown %d st brighter than it was", up))
		}
		cells = append(cells, c)
	}
	return cells
}

// shots develops the pictures, each once.
type shots struct {
	w    *Work
	full image.Image
	of   map[int]shot
}

type shot struct {
	img image.Image
	up  int
}

// most is how far a dark layer is lifted, stops: what is under that the layers do not hold well.
const most = 6

// alone is one light by itself. A light that is hardly to be seen by itself is shown brighter by
// whole stops, which are returned.
func (s *shots) alone(k int) (image.Image, int) {
	if d, ok := s.of[k]; ok {
		return d.img, d.up
	}
	f := s.w.Frame
	px := f.Linear(k)
	up := 0
	if bright := percentile(px, 0.98); bright < midGrey/8 {
		up = int(min(most, math.Floor(math.Log2(midGrey/2/max(bright, 1e-9)))))
		for i := range px {
			px[i] = px[i].Scale(math.Exp2(float64(up)))
		}
	}
	img := s.render(px)
	for img.Bounds().Dx() > 640 || img.Bounds().Dy() > 640 {
		img = picture.Half(img)
	}
	if s.of == nil {
		s.of = map[int]shot{}
	}
	s.of[k] = shot{img, up}
	return img, up
}

const midGrey = 0.18

// percentile of the luminances.
func percentile(px []spectrum.XYZ, p float64) float64 {
	y := make([]float64, len(px))
	for i, c := range px {
		y[i] = c.Y
	}
	slices.Sort(y)
	return y[int(p*float64(len(y)-1))]
}

func (s *shots) all() image.Image {
	if s.full == nil {
		s.full = s.render(s.w.Frame.Linear(-1))
	}
	return s.full
}

func (s *shots) render(px []spectrum.XYZ) image.Image {
	f := s.w.Frame
	return picture.Flat(picture.Render(px, f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB,
		render.RenderingOf(f.Stage)))
}
