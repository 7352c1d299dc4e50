package sheet

import (
	"fmt"
)

// Drawing is a finished set of pages. Draw does not change it afterwards, and several goroutines
// may use it.
type Drawing struct {
	pages []*page
	title string
	date  string
	scale int
	turn  bool
	notes []string
	marks []bookmark // bookmarks of a book

	// for tests: the labels of plan and section, and what they keep clear of
	views []laid
}

// bookmark is an entry of the PDF outline: a title and its page, counted from 0.
type bookmark struct {
	title string
	page  int
}

type laid struct {
	ground *ground
	labels []*label
}

// Pages is the number of pages, at least 1.
func (d *Drawing) Pages() int { return len(d.pages) }

// Size gives the width and height of the first page, millimetres; zero without pages.
func (d *Drawing) Size() [2]float64 {
	if len(d.pages) == 0 {
		return [2]float64{}
	}
	return [2]float64{d.pages[0].w, d.pages[0].h}
}

// Scale is n of 1:n on the first page.
func (d *Drawing) Scale() int { return d.scale }

// Turned reports whether the plan is turned a quarter clockwise on the paper.
func (d *Drawing) Turned() bool { return d.turn }

// Notes returns what could not be drawn as asked: letters that the typeface lacks, labels without a
// free place.
func (d *Drawing) Notes() []string { return d.notes }

const (
	margin  = 8.0
	titleMM = 15.0
	rightMM = 58.0
)

// Draw lays the plan out on paper at the largest standard scale that fits. Tables that do not fit
// continue on more pages. A setup that is small in a large place (1:100 or smaller) is drawn once
// more by itself on the second page.
//
// Error: the plan holds something that cannot be drawn (a number that is none, a wall that does not
// exist), or the place is too large for the smallest scale. The text names each fault and says what
// to do.
func Draw(p Plan, opt Options) (*Drawing, error) {
	if err := check(&p, opt); err != nil {
		return nil, err
	}
	d, err := lay(p, opt)
	if err != nil || opt.Scale > 0 || len(d.pages) != 2 || len(d.views) > 2 {
		return d, err
	}
	// One sheet is better on a set than two: drawn smaller where a step or two of scale does it.
	for _, s := range (ruler{opt.Feet}).scales() {
		if s <= d.scale || 2*s > 3*d.scale {
			continue
		}
		opt.least = s
		if e, err := lay(p, opt); err == nil && len(e.pages) == 1 {
			return e, nil
		}
	}
	return d, nil
}

// lay sets a plan out once.
func lay(p Plan, opt Options) (*Drawing, error) {
	size := [2]float64{210, 297}
	if opt.Paper == Letter {
		size = [2]float64{215.9, 279.4}
	}
	d := &Drawing{title: titleOf(p), date: opt.Date}

	// The drawing takes up to two thirds of the sheet, the tables the rest. The drawing of a large
	// place takes nearly the whole sheet, and the tables the next. The sheet is in landscape where
	// that makes the scale a third larger.
	share := 0.67
	if opt.Paper == Letter {
		share = 0.715
	}
	frame := rect{margin, margin, size[0] - margin, size[1] - margin}
	w, err := fit(&p, opt, frame.x0, frame.y0, frame.w(), (frame.h()-titleMM)*share)
	if err == nil && w.scale > 100 && opt.Scale == 0 {
		if v, err := fit(&p, opt, frame.x0, frame.y0, frame.w(), (frame.h()-titleMM)*0.84); err == nil &&
			v.scale < w.scale {
			w = v
		}
	}
	across := [2]float64{size[1], size[0]}
	lying := rect{margin, margin, across[0] - margin, across[1] - margin}
	if v, e := fit(&p, opt, lying.x0, lying.y0, lying.w(), (lying.h()-titleMM)*0.72); e == nil &&
		(err != nil || 4*v.scale <= 3*w.scale || v.scale <= w.scale && w.zone.h() > 0.7*(frame.h()-titleMM)) {
		w, err, size, frame = v, nil, across, lying
	}
	if err != nil {
		return nil, err
	}
	d.scale, d.turn = w.scale, w.turned
	views := []*view{w}
	if w.scale >= 100 && opt.Scale == 0 && len(p.Room.Outline) > 0 {
		// A setup that is small in a large place is drawn once more by itself.
		if v, err := fitPart(&p, opt, true, frame.x0, frame.y0, frame.w(), (frame.h()-titleMM)*0.8); err == nil &&
			2*v.scale <= w.scale {
			views = append(views, v)
		}
	}

	// Tables flow from page to page, under the drawings.
	t := newTables(&p, opt)
	for len(d.pages) < len(views) || !t.done() && len(d.pages) < 40 {
		g := &page{w: size[0], h: size[1]}
		top := frame.y0
		if n := len(d.pages); n < len(views) {
			v := views[n]
			for _, draw := range []func(*page) (*ground, []*label, []*label){v.drawPlan, v.drawSection} {
				q, labels, lost := draw(g)
				d.views = append(d.views, laid{q, labels})
				for _, l := range lost {
					d.notes = append(d.notes, "no free place on the drawing for the label of "+l.what)
				}
			}
			done := v.drawLegend(g, frame)
			if n == 0 {
				t.originDone = done
			}
			top = v.zone.y1
		}
		d.pages = append(d.pages, g)
		t.page(g, rect{frame.x0, top, frame.x1, frame.y1 - titleMM})
	}
	for i, g := range d.pages {
		drawTitle(g, rect{frame.x0, frame.y1 - titleMM, frame.x1, frame.y1}, &p, opt, views[min(i, len(views)-1)],
			i+1, len(d.pages))
		g.frame(0.5, black, frame)
	}
	d.notes = append(d.notes, lacking(&p)...)
	return d, nil
}

func titleOf(p Plan) string {
	s := p.Title.Setup
	if p.Title.Shoot != "" && s != "" {
		s = p.Title.Shoot + ": " + s
	} else {
		s += p.Title.Shoot
	}
	if s == "" {
		s = "Lighting plan"
	}
	return legible(s)
}

// lacking returns a note for each letter of the plan that prints as an empty box.
func lacking(p *Plan) []string {
	seen := map[rune]bool{}
	var out []string
	for _, s := range p.words() {
		for _, r := range missing(s) {
			if !seen[r] {
				seen[r] = true
				out = append(out, fmt.Sprintf(
					"the letter %q (U+%04X) is not in the sheet's typeface and prints as a box: %q", r, r, s))
			}
		}
	}
	return out
}
