package record

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/meter"
)

// TestCompare: a setup differs from itself in nothing; a change is said in the unit and the
// direction that it was made in.
func TestCompare(t *testing.T) {
	a := madeOf(t, jobOf(t, den)).Record
	if c := Compare(a, a); len(c.Differences) > 0 || len(c.Same) < 3 {
		t.Errorf("a setup differs from itself: %+v", c.Differences)
	}
	find := func(c *Comparison, about, what string) *Differing {
		for i := range c.Differences {
			if c.Differences[i].About == about && c.Differences[i].What == what {
				return &c.Differences[i]
			}
		}
		t.Fatalf("no difference of %s in %s: %+v", about, what, c.Differences)
		return nil
	}
	change := func(pairs ...string) *Comparison {
		return Compare(a, madeOf(t, jobOf(t, strings.NewReplacer(pairs...).Replace(den))).Record)
	}
	// Two stops on the dial are two stops at the face: light is linear.
	if d := find(change("power: 1/32", "power: 1/8"), "key", "level"); math.Abs(d.Amount-2) > 0.03 {
		t.Errorf("two stops of the key are %+v", d)
	}
	// Half the width and height cover about half the angle, at this distance within a tenth.
	if d := find(change("softbox 60x90", "softbox 40x40"), "key", "size"); d.Amount > 0.62 || d.Amount < 0.45 {
		t.Errorf("a smaller box is %+v", d)
	}
	if d := find(change("5, 4, 2.6", "5, 4, 3.0"), "room", "ceiling"); math.Abs(d.Amount-0.4) > 1e-9 {
		t.Errorf("a ceiling 40 cm higher is %+v", d)
	}
	if d := find(change("iso: 400", "iso: 800"), "picture", "the camera's exposure"); math.Abs(d.Amount-1) > 1e-9 {
		t.Errorf("ISO 800 is %+v", d)
	}
}

const softer = `
  - {name: bounce, kind: reflector, face: white, size: [1.0, 1.0], at: [2.2, 1.2], height: 1.2 m, aim: sitter.face}
`

// TestExplain: the parts add up to the whole, a change that does nothing brings nothing, and the
// values are those of the definition: the mean over all orders, made one by one here.
func TestExplain(t *testing.T) {
	a := jobOf(t, den)
	b := jobOf(t, strings.NewReplacer("softbox 60x90", "octa 90", "at: [2.6, 3.2]", "at: [2.7, 2.8]", "1/64",
		"1/64 - 1",
		"    look:", "    panels:"+strings.ReplaceAll(softer, "\n  ", "\n      ")+"    look:").Replace(den))
	work := meter.Work{Seed: 1, Error: 0.1, Samples: 1 << 10}
	w, err := Explain(context.Background(), Side{Job: a}, Side{Job: b}, "softer", work, nil)
	if err != nil {
		t.Fatal(err)
	}
	var sum float64
	for _, p := range w.Parts {
		sum += p.Brings
	}
	if !w.Exact || len(w.Parts) < 3 || math.Abs(sum-(w.B-w.A)) > 0.003 { // each is rounded to 0.001
		t.Errorf("exact %v, %d parts add up to %g, want %g", w.Exact, len(w.Parts), sum, w.B-w.A)
	}
	if w.B > w.A-0.2 {
		t.Errorf("a nearer, larger box and a bounce made it harder: %g stops, %g before", w.B, w.A)
	}
	back, err := Explain(context.Background(), Side{Job: b}, Side{Job: a}, "softer", work, nil)
	if err != nil || math.Abs(back.A-w.B) > 0.02 {
		t.Errorf("the other way round it is %+v, %v", back, err)
	}
}

// TestExplainRooms: a setup of a small room against one of a hall, whose camera would stand outside
// the small one's walls: room and camera count as one change, lights that come as one, so every
// order is still counted and the parts add up; and it says that it became harder.
func TestExplainRooms(t *testing.T) {
	more := ""
	for i := range 5 {
		more += fmt.Sprintf("      - {name: back %d, head: battery head 200, at: [%g, 9, 3], aim: sitter.hair, "+
			"power: 1/128}\n", i+1, 4+float64(i)/2)
	}
	hall := strings.NewReplacer("size: [5, 4, 2.6]", "size: [14, 12, 5]", "walls: mid grey", "walls: black paint",
		"at: [3.6, 2.0]", "at: [12.6, 2.0]",
		"    lights:\n", "    haze: {density: light}\n    lights:\n"+more).Replace(den)
	if !strings.Contains(hall, "14, 12") || !strings.Contains(hall, "12.6") || !strings.Contains(hall, "back 5") {
		t.Fatal("the hall is not what it should be:\n" + hall)
	}
	w, err := Explain(context.Background(), Side{Job: jobOf(t, den)}, Side{Job: jobOf(t, hall)}, "softer",
		meter.Work{Seed: 1, Error: 0.3, Samples: 1 << 7}, nil)
	if err != nil {
		t.Fatal(err)
	}
	sum, words := 0.0, ""
	for _, p := range w.Parts {
		sum, words = sum+p.Brings, words+p.Change+"\n"
	}
	if !w.Exact || math.Abs(sum-(w.B-w.A)) > 0.004 { // each is rounded to 0.001
		t.Errorf("exact %v: the parts add up to %g, want %g:\n%s", w.Exact, sum, w.B-w.A, words)
	}
	if !strings.Contains(words, "the room and the camera") || !strings.Contains(words, "5 lights added") {
		t.Errorf("the changes are\n%s", words)
	}
	if w.Became() != "harder" {
		t.Errorf("from %g to %g st it became %s", w.A, w.B, w.Became())
	}
}

// TestShares: Shapley values against the mean over all orders, by hand.
func TestShares(t *testing.T) {
	e := &explainer{changes: make([]change, 4), known: map[int][2]float64{}}
	for m := range 16 {
		v := float64(m*m%23) + float64(m&1)*float64(m>>1&1)*7
		e.known[m] = [2]float64{v, -v}
	}
	want, orders := make([]float64, 4), 0.0
	var walk func(mask int, done []int)
	walk = func(mask int, done []int) {
		if len(done) == 4 {
			orders++
			m := 0
			for _, i := range done {
				want[i] += e.known[m|1<<i][0] - e.known[m][0]
				m |= 1 << i
			}
			return
		}
		for i := range 4 {
			if mask&(1<<i) == 0 {
				walk(mask|1<<i, append(done[:len(done):len(done)], i))
			}
		}
	}
	walk(0, nil)
	for i, s := range e.shares(true) {
		if math.Abs(s[0]-want[i]/orders) > 1e-9 || s[0] != -s[1] {
			t.Errorf("change %d brings %g, want %g", i, s[0], want[i]/orders)
		}
	}
}
