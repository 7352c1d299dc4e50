package sheet

import (
	"fmt"
	"math"
	"strings"
)

// drawLegend writes the meaning of the contours and the scale bar, under the section.
func (w *view) drawLegend(g *page, frame rect) (originDone bool) {
	y := w.zone.y1 - 3.2
	// The scale bar is a round length about 40 mm long.
	unit := 1.0
	word := "m"
	if w.r.feet {
		unit, word = 0.3048, "ft"
	}
	steps := []float64{0.5, 1, 2, 5, 10, 20, 50}
	n := steps[0]
	for _, s := range steps {
		if s*unit*w.k <= 24 {
			n = s
		}
	}
	d := n * unit * w.k
	x := frame.x1 - 8 - 2*d
	g.rule(0.5*px, black, xy{x, y - 1.6}, xy{x + 2*d, y - 1.6})
	g.rule(3*px, black, xy{x, y - 1.6}, xy{x + d, y - 1.6})
	for i := 0; i <= 2; i++ {
		at := x + d*float64(i)
		g.rule(1*px, black, xy{at, y - 2.4}, xy{at, y - 0.8})
		s := fmt.Sprintf("%g", n*float64(i))
		if i == 2 {
			s += " " + word
		}
		g.putMid(xy{at, y + 2}, faceSize, s)
	}
	f := face{6.75, 400, grey(0x33)}
	text := ""
	fields, other := false, false
	for _, l := range w.p.Lights {
		if l.Field != nil {
			fields = true
			if l.Kind != Flash {
				other = true
			}
		}
	}
	if fields {
		text = "Contours: whole stops"
		if w.p.ContourOf != "" {
			text += " against " + w.p.ContourOf
		}
		text += ", at " + w.r.length(w.p.ContourHeight) + "."
		if other {
			text += " Solid: flash. Dashed: not flash."
		}
		if w.p.ContourNote != "" {
			text += " " + w.p.ContourNote
		}
	}
	if c := w.p.Camera; c != nil && c.Near > 0 && c.Far > c.Near {
		text += " Hatched: sharp."
	}
	if w.close {
		text += " The setup, not all of the place."
	}
	text += w.breakWords()
	if w.turned {
		text += " Turned: x runs down the sheet."
	}
	// At most two lines: with how panels are measured and the origin where they fit, with the
	// origin alone, or without both.
	width := x - frame.x0 - 11
	panels, origin := "", ""
	if len(w.p.Panels) > 0 {
		panels = " Panels: x\u00a0·\u00a0y\u00a0·\u00a0height."
	}
	if len(w.p.Origin) > 0 {
		origin = " Origin: " + typographic(strings.Join(w.p.Origin, "; "))
	}
	var lines []string
	for _, extra := range []string{panels + origin, origin, panels, ""} {
		lines = f.wrap(strings.TrimSpace(text+extra), width)
		originDone = origin != "" && strings.HasSuffix(extra, origin)
		if len(lines) <= 2 {
			break
		}
	}
	for len(lines) > 2 && f.size > 5 { // never cut
		f.size -= 0.25
		lines = f.wrap(strings.TrimSpace(text), width)
	}
	for i, l := range lines {
		g.put(xy{frame.x0 + 5, y - 1.4 + float64(i)*3.1}, f, l)
	}
	return originDone
}

// north draws the mark: a line with a half arrow, true north.
func (w *view) north(g *page) []rect {
	if w.p.North == nil {
		return nil
	}
	a := *w.p.North * math.Pi / 180
	q := w.uv(-math.Sin(a), math.Cos(a))
	d := xy{q.x, -q.y}
	c := xy{w.planZone.x1 - 7, w.zone.y0 + 8}
	const r = 3.4
	g.polygon(noInk, black, 0.6*px, circle(c, r))
	tip, tail := c.add(d.mul(r)), c.sub(d.mul(r))
	side := xy{-d.y, d.x}.mul(1.1)
	g.line(0.9*px, black, tail, tip)
	g.polygon(black, noInk, 0, []xy{tip, c.add(side), c})
	n := c.add(d.mul(r + 1.7))
	f := face{7.1, 600, black}
	g.putMid(xy{n.x, n.y + 0.9}, f, "N")
	return []rect{{c.x - r - 3, c.y - r - 3, c.x + r + 3, c.y + r + 3}}
}

// originMark draws a mark at 0, 0 where that lies in the plan.
func (w *view) originMark(g *page) {
	q := w.uv(0, 0)
	if q.x < w.u0-1e-6 || q.x > w.u1+1e-6 || q.y < w.v0-1e-6 || q.y > w.v1+1e-6 {
		return
	}
	o := w.at(0, 0)
	g.line(0.9*px, black, xy{o.x - 1.6, o.y}, xy{o.x + 1.6, o.y})
	g.line(0.9*px, black, xy{o.x, o.y - 1.6}, xy{o.x, o.y + 1.6})
	g.polygon(white, black, 0.9*px, circle(o, 0.8))
}

// drawTitle writes the title block.
func drawTitle(g *page, b rect, p *Plan, opt Options, w *view, pageNo, pages int) {
	g.rule(0.5, black, xy{b.x0, b.y0}, xy{b.x1, b.y0})
	drawing := p.Title.Drawing
	if drawing == "" {
		drawing = "Lighting plan and section A–A"
	}
	paper := map[Paper]string{A4: "A4", Letter: "Letter"}[opt.Paper]
	number := "–"
	if p.Title.Sheet > 0 {
		number = fmt.Sprint(p.Title.Sheet)
		if p.Title.Of > 0 {
			number += fmt.Sprintf(" of %d", p.Title.Of)
		}
	}
	cells := []struct {
		width       float64
		label, text string
		big         bool
	}{
		{50, p.Title.Shoot, p.Title.Setup, true},
		{0, drawing, p.Title.Subtitle, false},
		{24, "Scale at " + paper, w.r.scaleWords(w.scale), false},
		{29, "For", p.Title.For, false},
		{23, "Revision", p.Title.Revision, false},
		{18, "Sheet", number, false},
	}
	fixed := 0.0
	for _, c := range cells {
		fixed += c.width
	}
	x := b.x0
	fl := face{6.2, 400, inkSub}
	for i, c := range cells {
		if c.width == 0 {
			c.width = b.w() - fixed
		}
		if i > 0 {
			g.rule(0.25, black, xy{x, b.y0}, xy{x, b.y1})
		}
		g.put(xy{x + 2, b.y0 + 3.4}, fl, fl.clip(c.label, c.width-3))
		f := face{8.4, 500, black}
		y := b.y0 + 7.2
		if c.big {
			f = face{16, 600, black}
			y = b.y0 + 10
		}
		for f.size > 7.5 && f.width(c.text) > c.width-4 {
			f.size -= 0.5
		}
		lines := f.wrap(c.text, c.width-4)
		if len(lines) > 2 {
			lines = []string{lines[0], f.clip(lines[1]+" …", c.width-4)}
		}
		for j, s := range lines {
			g.put(xy{x + 2, y + float64(j)*f.size*pt*1.2}, f, s)
		}
		if i == len(cells)-1 && pages > 1 {
			g.put(xy{x + 2, b.y0 + 12.6}, fl, fmt.Sprintf("page %d of %d", pageNo, pages))
		}
		x += c.width
	}
}
