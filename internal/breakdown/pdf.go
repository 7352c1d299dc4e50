package breakdown

import (
	"halfstop/picture"
	"halfstop/render"
	"halfstop/sheet"
	"halfstop/spectrum"
)

// PDF makes the same on paper: the picture, each light alone, the figures, plan and section. The
// teaching form has the pictures on the first page and the figures behind. Check: TestPDF.
func PDF(w Work) (*Made, error) {
	p := w.content()
	b := sheet.NewBook(sheet.BookOptions{Title: p.Title + ": light by light",
		Foot: p.Title + " · planning figures: the venue, local codes and licensed people decide"})
	f := w.Frame
	show := func(light, long int) *picture.Print {
		return picture.Render(f.Linear(light), f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB,
			render.RenderingOf(f.Stage))
	}
	b.Begin(p.Title, p.Lead)
	b.Picture(picture.Flat(show(-1, 0)), 175, 150, "Computed from the record of the set.")
	b.Section("Light by light")
	for i, k := range w.order() {
		b.Together(75)
		words := p.Lights[i].Name + " alone."
		if p.Lights[i].Why != "" {
			words += " " + p.Lights[i].Why
		}
		img := picture.Flat(show(k, 0))
		for img.Bounds().Dx() > 640 || img.Bounds().Dy() > 640 {
			img = picture.Half(img)
		}
		b.Picture(img, 95, 62, words)
	}
	if w.Teach {
		b.Begin("What is it lit with?", "Answer first; the settings are on the next pages.")
		for _, x := range w.questions() {
			b.Fill(x.Ask, "")
		}
	}
	b.Begin("What was set", p.Camera)
	var rows [][]string
	for _, x := range p.Set {
		rows = append(rows, []string{x.Name, x.With, x.Setting, x.Stands, x.Covers, x.Colour, x.Share})
	}
	b.Table([]sheet.Column{{Head: "Light", Share: 1.1, Strong: true}, {Head: "With", Share: 1.8},
		{Head: "Setting", Share: 1},
		{Head: "Stands", Share: 1.6}, {Head: "Covers", Share: 1.5}, {Head: "Colour",
			Share: 1}, {Head: "At the face", Share: 0.8, Right: true}},
		rows)
	b.Section("Readings")
	rows = nil
	for _, x := range p.Points {
		rows = append(rows, []string{x.Name, x.Predicted, x.Metered, x.Level, x.By})
	}
	b.Table([]sheet.Column{{Head: "Point", Share: 1.4}, {Head: "Predicted", Share: 1}, {Head: "Metered", Share: 1},
		{Head: "To mid-grey", Share: 0.9, Right: true}, {Head: "Lit by", Share: 2.2}}, rows)
	if len(p.Zones) > 0 {
		b.Section("Foreground, middle, background")
		rows = nil
		for _, x := range p.Zones {
			rows = append(rows, []string{x.Name, x.Share, x.Level, x.Range, x.By})
		}
		b.Table([]sheet.Column{{Head: "Zone", Share: 1}, {Head: "Of the picture", Share: 0.8, Right: true},
			{Head: "Mean", Share: 0.7, Right: true},
			{Head: "Darkest to brightest", Share: 1.2}, {Head: "Lit by", Share: 2.2}}, rows)
	}
	if w.Plan != nil {
		d, err := w.cleanPlan()
		if err != nil {
			return nil, err
		}
		b.Append(d, "Plan and section")
	}
	made := &Made{Data: b.Drawing().PDF()}
	if len(w.Photos) > 0 {
		made.Skipped = append(made.Skipped, "photographs: they go with the page (.html)")
	}
	return w.finish(made, p)
}
