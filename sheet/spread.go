package sheet

import (
	"image"
	"math"
)

// This file sets papers that are read as a magazine is: an opening with a large picture, and rows
// of pictures with what is to be said of each.

// Faces of an opening.
var (
	faceTitle    = face{30, 600, black}
	faceLead     = face{12.5, 400, grey(0x22)}
	faceCellName = face{10.5, 600, black}
	faceLabel    = face{7.5, 500, inkSub}
	faceFact     = face{9, 400, black}
	faceLine     = face{8.5, 400, grey(0x22)}
	faceCellSet  = face{10.5, 600, black}
	faceRunner   = face{8.5, 600, inkSub}
)

const (
	runnerTop = 25.0 // where text begins under a running head
	gutter    = 6.0  // between columns
	factGap   = 1.1  // under each fact
)

// Fact is a value with its label over it: 'Camera', 'f/4, 1/100 s'.
type Fact struct{ Label, Value string }

// Cell is one field of a Grid: a picture with its name, a text, what is set (strong) and further
// lines.
type Cell struct {
	Picture         image.Image
	Name, Text, Set string
	Lines           []string
}

// Opening starts a paper as an article opens: its title large, the whole lead under it, and on
// further pages a running head.
func (b *Book) Opening(title, lead string) {
	b.first = len(b.d.pages)
	b.title, b.runs = title, true
	b.d.marks = append(b.d.marks, bookmark{title, b.first})
	b.page(title, "")
	b.heads[len(b.heads)-1].open = true
	b.y = bookMargin
	b.lines(faceTitle, title, b.left(), b.width(), 1.1)
	b.y += 2
	b.lines(faceLead, lead, b.left(), b.width(), bookLeading)
	b.y += 3.5
}

// Pages is the number of pages begun.
func (b *Book) Pages() int { return len(b.d.pages) }

// Free is what is left of the last page, mm.
func (b *Book) Free() float64 { return b.bottom() - b.y }

// lines sets wrapped text from b.y down; no page is broken.
func (b *Book) lines(f face, s string, x, width, leading float64) {
	for _, line := range f.wrap(typographic(s), width) {
		b.y += f.size * pt * leading
		b.g.put(xy{x, b.y - 0.25*f.size*pt}, f, line)
	}
}

func linesHigh(f face, s string, width, leading float64) float64 {
	return float64(len(f.wrap(typographic(s), width))) * f.size * pt * leading
}

// LeadPicture places the picture of an opening as large as the page allows, with facts beside one
// that stands, under one that lies.
func (b *Book) LeadPicture(m image.Image, caption string, facts []Fact) {
	r := m.Bounds()
	form := float64(r.Dx()) / float64(max(1, r.Dy()))
	wide := b.width()
	if form < 1 {
		wide -= 44 + gutter // the narrowest column of facts
	}
	under := step(faceCaption) + 4
	columns := 4.0
	if len(facts) < 4 {
		columns = float64(max(1, len(facts)))
	}
	side := (b.width() - (columns-1)*gutter) / columns
	if form >= 1 {
		for i := 0; i < len(facts); i += int(columns) {
			under += rowHigh(facts[i:min(len(facts), i+int(columns))], side) + 1.5
		}
	}
	high := min(wide/form, b.bottom()-b.y-under)
	high = max(high, 40)
	box := rect{b.left(), b.y, b.left() + high*form, b.y + high}
	b.g.add(item{img: m, box: box})
	b.g.frame(0.2, inkDim, box)
	if form < 1 {
		x := box.x1 + gutter
		b.facts(facts, x, b.left()+b.width()-x)
	}
	b.y = box.y1 + 0.8
	b.lines(faceCaption, caption, b.left(), box.w(), bookLeading)
	if form >= 1 {
		b.y += 2.5
		for i := 0; i < len(facts); i += int(columns) {
			row := facts[i:min(len(facts), i+int(columns))]
			top := b.y
			for k, f := range row {
				b.y = top
				b.facts([]Fact{f}, b.left()+float64(k)*(side+gutter), side)
			}
			b.y = top + rowHigh(row, side) + 1.5
		}
	}
}

func rowHigh(facts []Fact, width float64) (high float64) {
	for _, f := range facts {
		high = max(high, factsHigh([]Fact{f}, width))
	}
	return high
}

// facts sets a column of facts from b.y down.
func (b *Book) facts(list []Fact, x, width float64) {
	for _, f := range list {
		b.lines(faceLabel, f.Label, x, width, bookLeading)
		b.lines(faceFact, f.Value, x, width, bookLeading)
		b.y += factGap
	}
}

func factsHigh(list []Fact, width float64) (high float64) {
	for _, f := range list {
		high += linesHigh(faceLabel, f.Label, width, bookLeading) + linesHigh(faceFact, f.Value, width, bookLeading) +
			factGap
	}
	return high
}

// Grid sets cells in rows under a heading, the words under a picture that lies, beside one that
// stands. A row is not cut by the end of a page, and the heading stays with the first.
func (b *Book) Grid(head string, cells []Cell) {
	stands := false
	for _, c := range cells {
		r := c.Picture.Bounds()
		stands = stands || r.Dy() > r.Dx()
	}
	n := columns(len(cells), stands)
	g := grid{b: b, width: (b.width() - float64(n-1)*gutter) / float64(n), stands: stands}
	for i := 0; i < len(cells); i += n {
		row := cells[i:min(len(cells), i+n)]
		high := 0.0
		for _, c := range row {
			high = max(high, g.high(c))
		}
		if i == 0 {
			b.Section(head)
			high += 2
		}
		b.room(high)
		if i == 0 {
			b.y, high = b.y+2, high-2
		}
		top := b.y
		for k, c := range row {
			g.set(c, b.left()+float64(k)*(g.width+gutter), top)
		}
		b.y = top + high + 4
	}
}

// grid sets cells of one width.
type grid struct {
	b      *Book
	width  float64 // of a cell, mm
	stands bool    // words beside the picture
}

// picture is the size of a cell's picture, mm.
func (g *grid) picture(c Cell) (wide, high float64) {
	r := c.Picture.Bounds()
	if wide = g.width; g.stands {
		wide *= 0.52
	}
	return wide, wide * float64(r.Dy()) / float64(max(1, r.Dx()))
}

func (g *grid) wordsWide(picture float64) float64 {
	if g.stands {
		return g.width - picture - 3.5
	}
	return g.width
}

// words are the paragraphs of a cell.
func (c *Cell) words() (out []struct {
	face face
	text string
}) {
	add := func(f face, s string) {
		if s != "" {
			out = append(out, struct {
				face face
				text string
			}{f, s})
		}
	}
	add(faceCellName, c.Name)
	add(faceFact, c.Text)
	add(faceCellSet, c.Set)
	for _, s := range c.Lines {
		add(faceLine, s)
	}
	return out
}

const cellGap = 0.7 // between paragraphs of a cell

func (g *grid) high(c Cell) float64 {
	wide, high := g.picture(c)
	words := 0.0
	for _, w := range c.words() {
		words += linesHigh(w.face, w.text, g.wordsWide(wide), bookLeading) + cellGap
	}
	if g.stands {
		return max(high, words)
	}
	return high + 1.5 + words
}

func (g *grid) set(c Cell, x, top float64) {
	b := g.b
	wide, high := g.picture(c)
	box := rect{x, top, x + wide, top + high}
	b.g.add(item{img: c.Picture, box: box})
	b.g.frame(0.2, inkDim, box)
	if b.y = box.y1 + 1.5; g.stands {
		x, b.y = box.x1+3.5, top-0.8
	}
	for _, w := range c.words() {
		b.lines(w.face, w.text, x, g.wordsWide(wide), bookLeading)
		b.y += cellGap
	}
}

// columns of a grid of n cells: two, or three and four where there are many, such that no cell is
// alone in the last row where that can be.
func columns(n int, stands bool) int {
	of := []int{2, 3, 4}
	switch {
	case stands: // words stand beside: two fill the width
		return 2
	case n > 8:
		of = []int{4, 3}
	case n > 4:
		of = []int{3, 2}
	}
	for _, c := range of {
		if n%c != 1 {
			return c
		}
	}
	return of[0]
}

// Choose writes a question with a box to tick before each of its answers.
func (b *Book) Choose(ask string, of []string) {
	const boxed = 5.2 // a box and the space after it
	type choice struct {
		x    float64
		row  int
		text string
	}
	var set []choice
	x, row := 0.0, 0
	for _, s := range of {
		w := boxed + faceBody.width(typographic(s))
		if x > 0 && x+w > b.width() {
			x, row = 0, row+1
		}
		set = append(set, choice{x, row, typographic(s)})
		x += w + gutter
	}
	high := float64(row+1) * (step(faceBody) + 0.8)
	b.room(linesHigh(faceCellName, ask, b.width(), bookLeading) + high + 2.5)
	b.lines(faceCellName, ask, b.left(), b.width(), bookLeading)
	for _, c := range set {
		y := b.y + float64(c.row)*(step(faceBody)+0.8)
		b.box(xy{b.left() + c.x, y + 1.3}, 3.4)
		b.g.put(xy{b.left() + c.x + boxed, y + step(faceBody) - 0.4}, faceBody, c.text)
	}
	b.y += high + 2.5
}

// Drawn sets plan and section of a setup into the paper under a heading, without the tables, at the
// largest standard scale that fits into high mm.
//
// Error: as of Draw.
func (b *Book) Drawn(head string, p Plan, high float64) error {
	if err := check(&p, Options{}); err != nil {
		return err
	}
	v, err := fit(&p, Options{}, b.left(), 0, b.width(), high)
	if err != nil {
		return err
	}
	b.Section(head)
	b.room(v.zone.h())
	v.set(b.left(), b.y, b.width())
	v.alone(b.g, rect{b.left(), b.y, b.left() + b.width(), b.h})
	b.y = v.zone.y1 + 2
	b.d.notes = append(b.d.notes, lacking(&p)...)
	return nil
}

// Illustrate draws plan and section alone, at the largest standard scale that fits into wide × high
// mm, on a page that is no larger than they need.
//
// Error: as of Draw.
func Illustrate(p Plan, wide, high float64) (*Drawing, error) {
	if err := check(&p, Options{}); err != nil {
		return nil, err
	}
	v, err := fit(&p, Options{}, 0, 0, wide, high)
	if err != nil {
		return nil, err
	}
	w, h := v.needs()
	wide = math.Min(wide, math.Max(w+8, 120))
	v.set(0, 0, wide)
	g := &page{w: wide, h: h + 1}
	v.alone(g, rect{0, 0, wide, h})
	return &Drawing{title: titleOf(p), pages: []*page{g}, scale: v.scale, turn: v.turned, notes: lacking(&p)}, nil
}

// alone draws both views with their legend.
func (w *view) alone(g *page, frame rect) {
	w.drawPlan(g)
	w.drawSection(g)
	w.drawLegend(g, frame)
}
