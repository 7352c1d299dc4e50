package sheet

import (
	"fmt"
	"image"
	"slices"
)

// Book sets papers of flowing text: headings, text, tables, boxes to tick, lines to fill in,
// pictures, and whole drawings between them. Pages break by themselves, never inside a row, and the
// head of a table repeats on each page.
//
// Sizes: settings 12 pt and more, text 9.5 pt, captions 8 pt. Nothing depends on colour alone.
type Book struct {
	d     *Drawing
	w, h  float64 // mm
	title string  // of the paper that is being set
	foot  string
	y     float64
	g     *page
	top   float64 // where the text of the current page begins
	runs  bool    // the current paper has running heads (Opening)
	first int     // page at which the current paper begins
	// section is a heading that waits for what it stands over, so that neither is left alone.
	section string
	heads   []paperHead
}

type paperHead struct {
	page, first int
	title, sub  string
	open, runs  bool
}

// BookOptions are the paper size and the foot of each page.
type BookOptions struct {
	Paper Paper
	Title string // of the document
	Foot  string // like 'Launderette · printed 2026-03-14 15:02 · halfstop 1.2'
	Date  string // creation date of the PDF, yyyymmddhhmmss; empty: none
}

// Faces of papers.
var (
	facePaper   = face{17, 600, black}
	faceSub     = face{9.5, 400, inkSub}
	faceSection = face{11, 600, black}
	faceBody    = face{9.5, 400, black}
	faceSetting = face{12.5, 600, black}
	faceCell    = face{8.5, 500, inkSub}
	faceCaption = face{8, 400, inkSub}
	faceFoot    = face{7.5, 400, inkSub}
)

const (
	bookMargin  = 14.0
	bookTop     = 31.0 // where a page's text begins
	bookFoot    = 12.0
	bookLeading = 1.34
)

// NewBook begins a document without pages.
func NewBook(o BookOptions) *Book {
	b := &Book{w: 210, h: 297, foot: o.Foot, d: &Drawing{title: o.Title, date: o.Date}}
	if o.Paper == Letter {
		b.w, b.h = 215.9, 279.4
	}
	return b
}

func (b *Book) left() float64   { return bookMargin }
func (b *Book) width() float64  { return b.w - 2*bookMargin }
func (b *Book) bottom() float64 { return b.h - bookMargin - bookFoot }

// Begin starts a new paper on a new page, with a bookmark of its title.
func (b *Book) Begin(title, sub string) {
	b.heading()
	b.first = len(b.d.pages)
	b.title, b.runs = title, false
	b.d.marks = append(b.d.marks, bookmark{title, b.first})
	b.page(title, sub)
}

func (b *Book) page(title, sub string) {
	b.g = &page{w: b.w, h: b.h}
	b.d.pages = append(b.d.pages, b.g)
	b.heads = append(b.heads, paperHead{page: len(b.d.pages) - 1, first: b.first, title: title, sub: sub, runs: b.runs})
	if b.top = bookTop; b.runs {
		b.top = runnerTop
	}
	b.y = b.top
}

// room makes sure that h mm are left on the page, with a heading that waits above them. It breaks
// the page and reports true where they are not.
func (b *Book) room(h float64) bool {
	if b.g == nil {
		b.Begin(b.d.title, "")
	}
	if b.section != "" {
		h += sectionHigh
	}
	broke := b.y+h > b.bottom() && b.y > b.top+0.01
	if broke {
		b.page(b.title, "continued")
	}
	b.heading()
	return broke
}

func step(f face) float64 { return f.size * pt * bookLeading }

// sectionHigh is what a heading takes, mm.
const sectionHigh = 11.0

// Section writes a heading and keeps it with what follows.
func (b *Book) Section(s string) {
	b.room(sectionHigh + 20)
	b.section = s
}

// heading writes the heading that waits, if one does.
func (b *Book) heading() {
	if b.section == "" {
		return
	}
	if b.y > b.top {
		b.y += 3.5
	}
	b.y += step(faceSection)
	b.g.put(xy{b.left(), b.y - 1.6}, faceSection, b.section)
	b.g.rule(0.25, black, xy{b.left(), b.y}, xy{b.left() + b.width(), b.y})
	b.y += 1.5
	b.section = ""
}

// Text writes a paragraph.
func (b *Book) Text(s string) { b.text(faceBody, s, 0) }

// Strong writes a paragraph in the size of settings: an intent, a sentence for the art director.
func (b *Book) Strong(s string) { b.text(faceSetting, s, 0) }

// Caption writes a paragraph in small type.
func (b *Book) Caption(s string) { b.text(faceCaption, s, 0) }

func (b *Book) text(f face, s string, indent float64) {
	for _, line := range f.wrap(typographic(s), b.width()-indent) {
		b.room(step(f))
		b.y += step(f)
		b.g.put(xy{b.left() + indent, b.y - 0.25*f.size*pt}, f, line)
	}
	b.y += 0.6
}

// Tick writes a line with a box before it.
func (b *Book) Tick(s string) {
	lines := faceBody.wrap(typographic(s), b.width()-8)
	b.room(step(faceBody)*float64(len(lines)) + 1.2)
	b.box(xy{b.left(), b.y + 1.1}, 3.4)
	for _, line := range lines {
		b.y += step(faceBody)
		b.g.put(xy{b.left() + 7, b.y - 0.8}, faceBody, line)
	}
	b.y += 1.2
}

func (b *Book) box(p xy, side float64) {
	b.g.frame(0.3, black, rect{p.x, p.y, p.x + side, p.y + side})
}

// Fill writes a label with its value, or with an empty line to fill in by hand where the value is
// empty.
func (b *Book) Fill(label, value string) {
	lines := faceBody.wrap(typographic(value), b.width()-52)
	b.room(step(faceBody)*float64(max(1, len(lines))) + 2.2)
	b.y += step(faceBody) + 0.8
	b.g.put(xy{b.left(), b.y - 1}, faceCell, label)
	if value == "" {
		b.g.rule(0.2, inkDim, xy{b.left() + 50, b.y}, xy{b.left() + b.width(), b.y})
	}
	for i, line := range lines {
		if i > 0 {
			b.y += step(faceBody)
		}
		b.g.put(xy{b.left() + 50, b.y - 1}, faceBody, line)
	}
	b.y += 0.6
}

// Column is one column of a table: its share of the width, and how it is set. Right: figures, to
// the right. Strong: settings, in 12.5 pt. Tick: an empty box. Blank: room to write.
type Column struct {
	Head   string
	Share  float64
	Right  bool
	Strong bool
	Tick   bool
	Blank  bool
}

// Table writes rows under the heads of their columns. A cell that is too wide is wrapped.
func (b *Book) Table(cols []Column, rows [][]string) {
	sum := 0.0
	for _, c := range cols {
		sum += c.Share
	}
	x := make([]float64, len(cols)+1)
	x[0] = b.left()
	for i, c := range cols {
		x[i+1] = x[i] + c.Share/sum*b.width()
	}
	heads := slices.ContainsFunc(cols, func(c Column) bool { return c.Head != "" })
	head := func() {
		if !heads {
			return
		}
		b.y += step(faceCell) + 0.8
		for i, c := range cols {
			if c.Right {
				b.g.putRight(xy{x[i+1] - 2.5, b.y - 1.2}, faceCell, c.Head)
			} else {
				b.g.put(xy{x[i], b.y - 1.2}, faceCell, c.Head)
			}
		}
		b.g.rule(0.25, black, xy{x[0], b.y}, xy{x[len(cols)], b.y})
	}
	set := func(row []string) (lines [][]string, high float64) {
		lines = make([][]string, len(cols))
		for i, c := range cols {
			f := cellFace(c)
			if i < len(row) && !c.Tick {
				lines[i] = f.wrap(typographic(row[i]), x[i+1]-x[i]-2.5)
			}
			high = max(high, step(f)*float64(max(1, len(lines[i]))))
			if c.Blank {
				high = max(high, 7.5)
			}
		}
		return lines, high + 1.4
	}
	least := 20.0
	if len(rows) > 0 {
		_, high := set(rows[0])
		least = max(least, high+step(faceCell)+0.8)
	}
	b.room(least)
	head()
	for k, row := range rows {
		lines, high := set(row)
		if k > 0 && b.room(high) {
			head()
		}
		for i, c := range cols {
			f := cellFace(c)
			if c.Tick && (i >= len(row) || row[i] != "-") {
				b.box(xy{x[i] + 0.6, b.y + 1.3}, 3.4)
			}
			for k, s := range lines[i] {
				at := xy{x[i], b.y + step(f)*float64(k+1) - 0.2*f.size*pt}
				if c.Right {
					b.g.putRight(xy{x[i+1] - 2.5, at.y}, f, s)
				} else {
					b.g.put(at, f, s)
				}
			}
		}
		b.y += high
		b.g.rule(0.12, hair, xy{x[0], b.y}, xy{x[len(cols)], b.y})
	}
	b.y += 1.5
}

func cellFace(c Column) face {
	if c.Strong {
		return faceSetting
	}
	return faceBody
}

// Picture places a picture at most wide mm across and high mm high, with its caption. It returns
// the picture's box (left, top, right, bottom in mm) for what is drawn over it.
func (b *Book) Picture(m image.Image, wide, high float64, caption string) [4]float64 {
	r := m.Bounds()
	w := min(wide, b.width())
	h := w * float64(r.Dy()) / float64(max(1, r.Dx()))
	if h > high {
		w, h = w*high/h, high
	}
	b.room(h + step(faceCaption) + 3)
	b.y += 1.5
	box := rect{b.left(), b.y, b.left() + w, b.y + h}
	b.g.add(item{img: m, box: box})
	b.g.frame(0.2, inkDim, box)
	b.y += h + 0.8
	b.Caption(caption)
	return [4]float64{box.x0, box.y0, box.x1, box.y1}
}

// Outline draws a dashed frame over a picture: a crop, the place of type. left to bottom are shares
// of the picture's box from its top left.
func (b *Book) Outline(box [4]float64, left, top, right, bottom float64, label string) {
	w, h := box[2]-box[0], box[3]-box[1]
	r := rect{box[0] + left*w, box[1] + top*h, box[0] + right*w, box[1] + bottom*h}
	for _, c := range []struct {
		ink ink
		w   float64
	}{{white, 0.7}, {black, 0.3}} {
		b.g.add(item{subs: []sub{{r.poly(), true}}, stroke: c.ink, width: c.w, dash: []float64{2.2, 1.4},
			square: true})
	}
	if label != "" {
		f := face{7, 500, black}
		b.g.add(item{text: legible(label), at: xy{r.x0 + 1.2, r.y0 + 3.4}, size: f.size * pt, weight: f.weight,
			fill: f.ink, halo: 0.4})
	}
}

// Together breaks the page unless mm are left on it.
func (b *Book) Together(mm float64) { b.room(mm) }

// Append puts the pages of a drawing into the book, under a bookmark.
func (b *Book) Append(d *Drawing, title string) {
	b.heading()
	b.d.marks = append(b.d.marks, bookmark{title, len(b.d.pages)})
	b.d.pages = append(b.d.pages, d.pages...)
	b.d.notes = append(b.d.notes, d.notes...)
	b.g = nil
}

// Drawing finishes the document: heads, and feet with page numbers. The book may not be used
// afterwards.
func (b *Book) Drawing() *Drawing {
	b.heading()
	last := map[int]int{} // of each paper's first page, its last
	for _, h := range b.heads {
		last[h.first] = h.page
	}
	for _, h := range b.heads {
		g := b.d.pages[h.page]
		switch {
		case h.runs && !h.open:
			g.put(xy{b.left(), bookMargin + 3}, faceRunner, faceRunner.clip(h.title, b.width()))
			g.rule(0.25, black, xy{b.left(), bookMargin + 5}, xy{b.left() + b.width(), bookMargin + 5})
		case !h.runs:
			b.head(g, h, last[h.first]-h.first+1)
		}
		y := b.h - bookMargin
		g.rule(0.15, inkDim, xy{b.left(), y - 4}, xy{b.left() + b.width(), y - 4})
		g.put(xy{b.left(), y}, faceFoot, faceFoot.clip(typographic(b.foot), b.width()-40))
		g.putRight(xy{b.left() + b.width(), y}, faceFoot, pageOf(h.page+1, len(b.d.pages)))
	}
	for _, s := range b.texts() {
		if m := missing(s); len(m) > 0 {
			b.d.notes = append(b.d.notes, "the typeface has no "+string(m))
		}
	}
	return b.d
}

// head writes the head of a page of a working paper of n pages.
func (b *Book) head(g *page, h paperHead, n int) {
	g.put(xy{b.left(), bookMargin + 6}, facePaper, facePaper.clip(h.title, b.width()-30))
	if n > 1 {
		g.putRight(xy{b.left() + b.width(), bookMargin + 6}, faceSub, pageOf(h.page-h.first+1, n))
	}
	if h.sub != "" {
		g.put(xy{b.left(), bookMargin + 11.5}, faceSub, faceSub.clip(typographic(h.sub), b.width()))
	}
	g.rule(0.6, black, xy{b.left(), bookTop - 3}, xy{b.left() + b.width(), bookTop - 3})
}

// texts returns the heads of the papers, to look for letters that the typeface lacks.
func (b *Book) texts() []string {
	var out []string
	for _, h := range b.heads {
		out = append(out, h.title, h.sub)
	}
	return out
}

func pageOf(i, n int) string { return fmt.Sprintf("%d\u00a0/\u00a0%d", i, n) }
