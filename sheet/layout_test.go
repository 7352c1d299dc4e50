package sheet

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/geom"
	"halfstop/kind"
)

// tunnel is an empty passage of 18 × 2 × 2.6 m with the camera at one end and the sitter 11 m off.
func tunnel() Plan {
	return Plan{Room: Room{Outline: [][2]float64{{0, 0}, {18, 0}, {18, 2}, {0, 2}}, Ceiling: 2.6},
		Camera:  &Camera{At: geom.V(1, 1, 1.5), Aim: geom.V(12, 1, 1.5), HalfWidth: 0.2, HalfHeight: 0.13},
		Sitters: []Sitter{{At: [2]float64{12, 1}, Facing: math.Pi}},
		Lights: []Light{{Role: "Key",
			Bodies: []Body{{At: geom.V(10.6, 0.7, 1.9), Aim: geom.V(12, 1, 1.6), Shape: Round, Width: 0.9, Depth: 0.4}},
			Stand:  &Stand{At: [2]float64{10.6, 0.7}, Radius: 0.4}}}}
}

// TestLongRoom: a passage is broken where nothing stands; both sides of the break
// keep the scale, each length told is the true one, and the legend says what is left
// out. With a door in the middle it is not broken but lies across the sheet.
func TestLongRoom(t *testing.T) {
	p := tunnel()
	d, err := Draw(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if d.Scale() > 75 {
		t.Errorf("1:%d", d.Scale())
	}
	w, err := fit(&p, Options{}, margin, margin, 194, 178)
	if err != nil || w.cutOut.to-w.cutOut.from < leastBreak {
		t.Fatalf("%v, cut %v", err, w.cutOut)
	}
	for _, c := range [][2]float64{{0, 1}, {10.6, 18}} {
		if got, want := w.along(c[1])-w.along(c[0]), (c[1]-c[0])*w.k; math.Abs(got-want) > 1e-9 {
			t.Errorf("from %g to %g m: %.3f mm, want %.3f", c[0], c[1], got, want)
		}
	}
	if c := w.across; len(c.marks) == 0 || math.Abs(c.marks[len(c.marks)-1].real-18) > 1e-9 {
		t.Errorf("the chain ends at %v", c.marks)
	}
	if s := w.breakWords(); !strings.Contains(s, "Broken: x 1.80 to ") {
		t.Errorf("legend %q", s)
	}
	// What is under way to be hidden is never an opening or a thing.
	p.Room.Doors = []Door{{Wall: 1, From: 5, Width: 0.9}}
	p.Objects = []Object{{Name: "post", Foot: [][2]float64{{8, 0.1}, {8.2, 0.1}, {8.2, 0.3}, {8, 0.3}}, Hi: 2}}
	d, err = Draw(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if g := d.pages[0]; g.w < g.h || d.Scale() > 75 {
		t.Errorf("%.0f × %.0f mm at 1:%d: a passage lies across", g.w, g.h, d.Scale())
	}
}

// TestTallRoom: a stairwell of 3 × 4 × 9 m stands beside its plan, at a larger scale than under it.
func TestTallRoom(t *testing.T) {
	p := tunnel()
	p.Room.Outline, p.Room.Ceiling = [][2]float64{{0, 0}, {3, 0}, {3, 4}, {0, 4}}, 9
	p.Camera.At, p.Camera.Aim, p.Sitters[0].At = geom.V(1.5, 0.4, 1.6), geom.V(1.6, 2.2, 1.6), [2]float64{1.6, 2.2}
	p.Lights = nil
	w, err := fit(&p, Options{}, margin, margin, 194, 178)
	if err != nil || !w.beside || w.scale > 75 {
		t.Fatalf("%v, beside %v at 1:%d", err, w.beside, w.scale)
	}
	if w.section.x0 < w.plan.x1+w.wall || math.Abs(w.section.h()-9*w.k) > 1e-9 {
		t.Errorf("section %v beside plan %v", w.section, w.plan)
	}
}

// TestOctagonSize: an octagon of 1.50 m over its corners has the area of a disc of 1.42 m (2·√2·r²
// = π·(d/2)²), which is what the figures of its light are for; it is drawn and told as 1.50.
func TestOctagonSize(t *testing.T) {
	k, ok := kind.FindModifier("octa")
	if !ok {
		t.Fatal("no octa")
	}
	disc := 2 * math.Sqrt(2*math.Sqrt2*0.75*0.75/math.Pi)
	b := Body{At: geom.V(0, 0, 2), Aim: geom.V(1, 0, 2), Shape: Round, Width: disc, Depth: 0.4, Symbol: k.Symbol}
	if got := (Light{Bodies: []Body{b}}).sizeWords(ruler{}); got != "Ø 1.50" {
		t.Errorf("told as %s", got)
	}
	_, front := b.cloud()
	for _, c := range front {
		if r := c.Sub(b.At).Len(); math.Abs(r-0.75) > 1e-9 || len(front) != 8 {
			t.Fatalf("%d corners, one at %.4f m", len(front), r)
		}
	}
	if n := len(b.seams(geom.V(0, 0, 1))); n != 4 { // the upper half of eight
		t.Errorf("%d seams seen from above", n)
	}
}

// TestLongPassage: 18 m of passage with a camera that looks along it stand neither upright nor
// small: the sheet lies or the length is broken, at 1:75 or larger, and the paper is used.
func TestLongPassage(t *testing.T) {
	for _, along := range []bool{true, false} {
		p := tunnel()
		p.Room.Doors = []Door{{Wall: 1, From: 5, Width: 0.9}, {Wall: 1, From: 12.6, Width: 0.9}}
		if !along { // the same down the sheet
			turn := func(v *geom.Vec) { v.X, v.Y = v.Y, v.X }
			p.Room.Outline = box(0, 0, 2, 18)
			turn(&p.Camera.At)
			turn(&p.Camera.Aim)
			p.Sitters[0].At = [2]float64{1, 12}
			p.Lights[0].Stand.At = [2]float64{0.7, 10.6}
			turn(&p.Lights[0].Bodies[0].At)
			turn(&p.Lights[0].Bodies[0].Aim)
			for i := range p.Room.Doors {
				p.Room.Doors[i].Wall = 2
			}
		}
		d, err := Draw(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if m := d.Measure(); d.Scale() > 75 || m.Used < 0.6 || len(m.Overlaps) > 0 {
			t.Errorf("along x %v: 1:%d, uses %.2f, overlaps %q", along, d.Scale(), m.Used, m.Overlaps)
		}
	}
}

// TestNumberedThings: twelve steps have one label, two tables one each; a mirror of no depth along
// a wall is named.
func TestNumberedThings(t *testing.T) {
	p := tunnel()
	for i := range 12 {
		x := 2 + 0.3*float64(i)
		p.Objects = append(p.Objects, Object{Name: fmt.Sprintf("step %d", i+1), Foot: box(x, 0.2, 0.3, 1), Hi: 0.1})
	}
	p.Objects = append(p.Objects, Object{Name: "table 1", Foot: box(14, 0.2, 0.8, 0.6), Hi: 0.7},
		Object{Name: "table 2", Foot: box(15, 0.2, 0.8, 0.6), Hi: 0.7},
		Object{Name: "mirror left", Foot: box(7, 1.98, 3, 0.02), Hi: 2})
	d, err := Draw(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range d.views[0].labels {
		if strings.HasPrefix(l.what, "object") && l.chosen >= 0 {
			got = append(got, l.lines[0].text)
		}
	}
	if want := "step ×12; table 1; table 2; mirror left"; strings.Join(got, "; ") != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestFarLamp: in the open a lamp 40 m away does not shrink the setup: it is told at the edge.
func TestFarLamp(t *testing.T) {
	p := tunnel()
	p.Room = Room{}
	p.Lights = append(p.Lights, Light{Role: "Street lamp", Bodies: []Body{{At: geom.V(52, 1, 6), Aim: geom.V(52, 1, 0),
		Shape: Ball, Width: 0.4}}})
	p.Camera.At = geom.V(9, 1, 1.5)
	d, err := Draw(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if d.Scale() > 50 {
		t.Errorf("1:%d", d.Scale())
	}
	for _, v := range d.views {
		told := ""
		for _, l := range v.labels {
			if l.what == "far light Street lamp" && l.chosen >= 0 {
				told = l.lines[1].text
			}
		}
		if told != "40.00 m from the sitter, 6.00 m high" && told != "6.00" {
			t.Errorf("told as %q", told)
		}
	}
}
