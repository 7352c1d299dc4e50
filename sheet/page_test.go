package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"sync"
	"testing"

	"halfstop/geom"
)

// everyPlan is the demonstration, the odd places and 22 random crowded setups.
func everyPlan() map[string]Plan {
	all := map[string]Plan{"aisle": aisle(), "bench": windowBench(), "table": foldingTable()}
	for name, p := range odd() {
		all[name] = p
	}
	for seed := int64(1); seed <= 22; seed++ {
		all[fmt.Sprintf("crowd %02d", seed)] = crowded(seed)
	}
	return all
}

type drawn struct {
	name string
	plan Plan
	opt  Options
	d    *Drawing
	err  error
}

// drawings are made once for all tests.
var drawings = sync.OnceValue(func() []drawn {
	all := everyPlan()
	var names []string
	for n := range all {
		names = append(names, n)
	}
	sort.Strings(names)
	var out []drawn
	for _, n := range names {
		for _, opt := range []Options{{}, {Paper: Letter, Feet: true}} {
			d, err := Draw(all[n], opt)
			out = append(out, drawn{fmt.Sprintf("%s %+v", n, opt), all[n], opt, d, err})
		}
	}
	return out
})

func each(t *testing.T, f func(t *testing.T, name string, p Plan, opt Options, d *Drawing)) {
	for _, c := range drawings() {
		if c.err != nil {
			t.Errorf("%s: %v", c.name, c.err)
			continue
		}
		f(t, c.name, c.plan, c.opt, c.d)
	}
}

// No label covers another, a dimension figure, the sitter, a light, a
// panel, an outlet or a wall; and every label that must be there is
// there. There is no tolerance: boxes are compared as they are.
func TestLabelsNeverOverlap(t *testing.T) {
	labels := 0
	each(t, func(t *testing.T, name string, p Plan, opt Options, d *Drawing) {
		if len(d.Notes()) > 0 {
			t.Errorf("%s: %v", name, d.Notes())
		}
		for _, v := range d.views {
			var done []*label
			for _, l := range v.labels {
				if l.chosen < 0 {
					continue
				}
				labels++
				b := l.cands[l.chosen].box
				for _, o := range done {
					if o.cands[o.chosen].box.overlaps(b) {
						t.Errorf("%s: label %q lies on label %q", name, l.what, o.what)
					}
				}
				for _, f := range v.ground.boxes {
					if f.overlaps(b) {
						t.Errorf("%s: label %q lies on a dimension figure", name, l.what)
					}
				}
				for _, s := range v.ground.hard {
					if touches(b, s.poly) {
						t.Errorf("%s: label %q covers a body", name, l.what)
					}
				}
				done = append(done, l)
			}
		}
	})
	if labels < 1000 {
		t.Errorf("only %d labels were looked at", labels)
	}
}

// The boxes compared above are made by the placer itself; this looks at the page instead: the ink
// of any two runs of text, labels and tables alike, and the frame of the sheet.
func TestTextNeverTouchesText(t *testing.T) {
	each(t, func(t *testing.T, name string, p Plan, opt Options, d *Drawing) {
		for n, g := range d.pages {
			frame := rect{margin, margin, g.w - margin, g.h - margin}
			type ran struct {
				box  rect
				text string
			}
			var runs []ran
			for _, it := range g.items {
				if it.text == "" {
					continue
				}
				var pts []xy
				glyphs, _ := cutOf(it.weight).run(it.text)
				for _, o := range glyphs {
					for _, s := range cutOf(it.weight).outline(o.g) {
						pts = append(pts, it.glyphPoints(s.pts, float64(o.x))...)
					}
				}
				if len(pts) == 0 {
					continue
				}
				runs = append(runs, ran{boundsOf(pts), it.text})
			}
			for i, a := range runs {
				if !a.box.inside(frame) {
					t.Errorf("%s page %d: %q runs out of the frame", name, n+1, a.text)
				}
				for _, b := range runs[:i] {
					// 0.02 mm: letters of one line set in two faces may kiss.
					if a.box.grow(-0.02).overlaps(b.box) {
						t.Errorf("%s page %d: %q touches %q", name, n+1, a.text, b.text)
					}
				}
			}
		}
	})
}

// The smallest print is 6.2 points; language.md, section 3.
func TestNothingUnderSixPointTwo(t *testing.T) {
	each(t, func(t *testing.T, name string, p Plan, opt Options, d *Drawing) {
		for _, g := range d.pages {
			for _, it := range g.items {
				if it.text != "" && it.size < 6.2*pt-1e-9 {
					t.Errorf("%s: %q is set at %.2f pt", name, it.text, it.size/pt)
				}
			}
		}
	})
}

// Every string on every sheet is covered by the typeface; none falls back to the empty box.
func TestTypefaceCoversEverySheet(t *testing.T) {
	each(t, func(t *testing.T, name string, p Plan, opt Options, d *Drawing) {
		for _, g := range d.pages {
			for _, it := range g.items {
				if m := missing(it.text); len(m) > 0 || strings.Contains(it.text, "□") {
					t.Errorf("%s: the typeface lacks %q of %q", name, string(m), it.text)
				}
			}
		}
	})
	for _, r := range "⅓⅔½¼¾×·−±°′″Ø←→≤≥✓⁰¹²³⁴⁵⁶⁷⁸⁹–’“”…∞□ÄÖÜäöüßéèñçøåœŁłŠžĂțαβДж" {
		if !covered(r) {
			t.Errorf("the typeface lacks %c", r)
		}
	}
	if covered('漢') {
		t.Error("a letter that is not there counts as covered")
	}
}

// A wish that cannot be met is said, and the sheet still comes.
func TestForeignLettersAreNamed(t *testing.T) {
	p := aisle()
	p.Title.Setup = "走廊"
	d, err := Draw(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Notes()) != 2 || !strings.Contains(d.Notes()[0], "U+8D70") {
		t.Errorf("notes: %q", d.Notes())
	}
}

// Lengths on paper are lengths in the room over the scale.
func TestDrawnToScale(t *testing.T) {
	for _, scale := range []int{50, 75, 100, 200} {
		p := aisle()
		w, err := fit(&p, Options{Scale: scale}, margin, margin, 194, 200)
		if err != nil {
			t.Fatal(err)
		}
		g := &page{}
		w.drawPlan(g)
		// The inner corners of the drawn walls span 7.20 by 3.80 m.
		var pts []xy
		for _, s := range w.walls() {
			pts = append(pts, s...)
		}
		b := boundsOf(pts).grow(-w.wall)
		for _, c := range [][2]float64{{b.w(), 7200 / float64(scale)}, {b.h(), 3800 / float64(scale)}} {
			if math.Abs(c[0]-c[1]) > 1e-6 {
				t.Errorf("1:%d: %.4f mm, want %.4f", scale, c[0], c[1])
			}
		}
		// A height in the section.
		if got, want := w.floorY()-w.side(geom.V(0, 0, 2.3)).y, 2300/float64(scale); math.Abs(got-want) > 1e-6 {
			t.Errorf("1:%d: a height of 2.30 m is %.4f mm, want %.4f", scale, got, want)
		}
	}
}

// The scale is the largest standard one that fits: the next larger is refused when forced.
func TestLargestScale(t *testing.T) {
	for name, want := range map[string]int{"aisle": 50, "corridor": 100, "hall": 200, "ell": 75} {
		p := everyPlan()[name]
		d, err := Draw(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if d.Scale() != want {
			t.Errorf("%s: scale 1:%d, want 1:%d", name, d.Scale(), want)
		}
		larger := map[int]int{50: 40, 75: 50, 100: 40, 200: 125}[want] // 1:75 and 1:50 fit with a break
		if _, err := Draw(p, Options{Scale: larger}); err == nil || !strings.Contains(err.Error(), "too large for A4") {
			t.Errorf("%s: forced to 1:%d: %v", name, larger, err)
		}
	}
}

// The figures of a chain add up to the overall dimension within the rounding of each, 0.005 m.
func TestChainAddsUp(t *testing.T) {
	p := aisle()
	w, err := fit(&p, Options{}, margin, margin, 194, 178)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []chain{w.across, w.acrossLights, w.up, w.upLights} {
		sum, n := 0.0, 0
		for _, f := range c.figs {
			if !f.isName {
				var v float64
				fmt.Sscan(f.text, &v)
				sum += v
				n++
			}
		}
		want := c.marks[len(c.marks)-1].real - c.marks[0].real
		if n != len(c.marks)-1 || math.Abs(sum-want) > 0.005*float64(n) {
			t.Errorf("%d figures add up to %.3f, the room is %.3f", n, sum, want)
		}
	}
}

// Nothing is lost when the tables run over: every light, every
// reading and every caution is on some page, once.
func TestOverflowLosesNothing(t *testing.T) {
	p := odd()["many"]
	for i := range p.Cautions {
		p.Cautions[i] = fmt.Sprintf("Caution%02d %s", i, p.Cautions[i])
	}
	d, err := Draw(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if d.Pages() < 2 {
		t.Fatalf("%d pages: the test needs an overflow", d.Pages())
	}
	var all []string
	for _, g := range d.pages {
		for _, it := range g.items {
			all = append(all, it.text)
		}
	}
	text := "\n" + strings.Join(all, "\n") + "\n"
	for i := range p.Cautions {
		if n := strings.Count(text, fmt.Sprintf("Caution%02d ", i)); n != 1 {
			t.Errorf("caution %d is written %d times", i, n)
		}
	}
	for i := range p.Readings {
		if n := strings.Count(text, fmt.Sprintf("Point number %d,", i+1)); n != 1 {
			t.Errorf("reading %d is written %d times", i+1, n)
		}
	}
	if n := strings.Count(text, "\n1/8 + 0.2\n"); n != 4 {
		t.Errorf("%d dials of 1/8 + 0.2, want 4", n)
	}
}

// All ink stays inside the sheet's frame (its line is 0.5 mm wide).
func TestInkStaysInTheFrame(t *testing.T) {
	each(t, func(t *testing.T, name string, p Plan, opt Options, d *Drawing) {
		for n, g := range d.pages {
			frame := rect{margin, margin, g.w - margin, g.h - margin}.grow(0.25)
			for _, it := range g.items {
				for _, s := range it.subs {
					for _, q := range s.pts {
						if !frame.has(q) {
							t.Errorf("%s page %d: ink at %.1f, %.1f mm", name, n+1, q.x, q.y)
							return
						}
					}
				}
			}
		}
	})
}

// A setup lost in a hall is drawn again, at twice the scale or more.
func TestLargePlaceGetsAPart(t *testing.T) {
	d, err := Draw(odd()["hall"], Options{})
	if err != nil {
		t.Fatal(err)
	}
	text := ""
	for _, it := range d.pages[1].items {
		text += it.text + "\n"
	}
	if !strings.Contains(text, "Plan, part") ||
		!(strings.Contains(text, "1:50\n") || strings.Contains(text, "1:75\n")) {
		t.Errorf("second page: %q", text)
	}
	d, err = Draw(aisle(), Options{})
	if err != nil || d.Pages() != 1 {
		t.Errorf("the demonstration takes %d pages, %v", d.Pages(), err)
	}
}
