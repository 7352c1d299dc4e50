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

	// for tests: the labels of plan and section, what they keep clear of, and the share of the
	// paper that the tables leave on the first page which the drawing takes, in the direction in
	// which it takes more
	views []laid
	used  float64
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

// Draw lays the plan out on paper at the largest standard scale that fits, upright or lying. Tables
// that do not fit continue on more pages. A setup that is small in a large place (1:100 or smaller)
// is drawn once more by itself on the second page.
//
// Error: the plan holds something that cannot be drawn (a number that is none, a wall that does not
// exist), or the place is too large for the smallest scale. The text names each fault and says what
// to do.
func Draw(p Plan, opt Options) (*Drawing, error) {
	if err := check(&p, opt); err != nil {
		return nil, err
	}
	d := &Drawing{title: titleOf(p), date: opt.Date}
	w, size, err := choose(&p, opt)
	if err != nil {
		return nil, err
	}
	frame := rect{margin, margin, size[0] - margin, size[1] - margin}
	d.scale, d.turn, d.used = w.scale, w.turned, w.used
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
				q, labels, _ := draw(g)
				d.views = append(d.views, laid{q, labels})
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
	for _, what := range d.Measure().Unnamed {
		d.notes = append(d.notes, "no free place on the drawing for the label of "+what)
	}
	d.notes = append(d.notes, lacking(&p)...)
	return d, nil
}

// most is the share of a sheet over its title that a drawing takes where the tables go to another
// sheet.
const most = 0.84

// choose finds the sheet, upright or lying, and the drawing on it: the largest scale that leaves
// the tables room on the same sheet, since one sheet is better on a set than two. Where two sheets
// allow twice that scale, they are two.
func choose(p *Plan, opt Options) (best *view, size [2]float64, err error) {
	upright := [2]float64{210, 297}
	if opt.Paper == Letter {
		upright = [2]float64{215.9, 279.4}
	}
	var spread *view // with the tables on another sheet
	var spreadSize [2]float64
	for _, s := range [][2]float64{upright, {upright[1], upright[0]}} {
		wide, high := s[0]-2*margin, s[1]-2*margin-titleMM
		v, e := fit(p, opt, margin, margin, wide, high*most)
		if e == nil && (spread == nil || v.scale < spread.scale) {
			v.used = v.fill(wide, high*most)
			spread, spreadSize = v, s
		}
		if e != nil && err == nil {
			err = e
		}
		// Where x and y are measured from stands under the drawing, or in the tables.
		var left float64
		for _, under := range []bool{true, false} {
			if left = high - tablesHigh(p, opt, under, wide, high); left <= 0 {
				break
			}
			v, e = fit(p, opt, margin, margin, wide, left)
			frame := rect{margin, margin, s[0] - margin, s[1] - margin}
			if e == nil && (!under || len(p.Origin) == 0 || v.drawLegend(&page{}, frame)) {
				break
			}
		}
		if left <= 0 {
			continue
		}
		if e != nil {
			continue
		}
		v.used = v.fill(wide, left)
		if best == nil || v.scale < best.scale || v.scale == best.scale && v.used > 1.2*best.used {
			best, size = v, s
		}
	}
	if spread != nil && (best == nil || best.scale >= 2*spread.scale ||
		opt.Scale == 0 && spread.scale >= 100 && best.scale > spread.scale) { // the setup alone takes another anyway
		best, size = spread, spreadSize
	}
	if best != nil {
		err = nil
	}
	return best, size, err
}

// tablesHigh is the least height in which the tables fit on one sheet, mm; high where none does.
func tablesHigh(p *Plan, opt Options, originDone bool, wide, high float64) float64 {
	fits := func(h float64) bool {
		t := newTables(p, opt)
		t.dry, t.originDone = true, originDone
		t.page(&page{}, rect{0, 0, wide, h})
		return t.done()
	}
	lo, hi := 0.0, high
	if !fits(hi) {
		return high
	}
	for hi-lo > 0.5 {
		if m := (lo + hi) / 2; fits(m) {
			hi = m
		} else {
			lo = m
		}
	}
	return hi
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
