package ownkit

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/store"
	"halfstop/kit"
	"halfstop/meter"
	q "halfstop/quantity"
)

// twoRooms have no title, a bulb of the same name and the same head; the rooms differ.
const (
	attic = `halfstop: 1
room:
  size: [4, 5, 2.6]
  surfaces: {all: {diffuse: 0.2}}
  practicals: [{name: bulb, kind: bulb, emitter: {shape: sphere, size: 0.1 m}, at: [3, 4, 2.2], colour: 3000 K,
     flux: 800 lm}]
setups:
  - name: s
    lights: [{name: key, head: rgb panel 300, at: [1, 3.5], height: 1.5 m, aim: [1, 1, 1.5], level: 100 %}]
    points: [{name: mark, at: [1, 1, 1.5], facing: key}, {name: lamp, at: [3, 4, 1], facing: up}]
`
	cellar = `halfstop: 1
room:
  size: [6, 5, 2.4]
  surfaces: {all: {diffuse: 0.3}}
  practicals: [{name: bulb, kind: bulb, emitter: {shape: sphere, size: 0.1 m}, at: [4, 4, 2], colour: 3000 K,
     flux: 500 lm}]
setups:
  - name: other
    lights: [{name: key, head: rgb panel 300, at: [1, 4.5], height: 1.4 m, aim: [2, 1, 1.4], level: 50 %}]
    points: [{name: mark, at: [2, 1, 1.4], facing: key}, {name: lamp, at: [4, 4, 1], facing: up}]
`
)

// meterIn meters the shoot of a folder with the own kit that stands there.
func meterIn(t *testing.T, dir string) (*answer.Job, []meter.Reading) {
	t.Helper()
	s, err := store.Read(filepath.Join(dir, "shoot.yaml"), nil)
	if err != nil {
		t.Fatal(err)
	}
	f, doc, list := s.Parse()
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	job := &answer.Job{File: f, Doc: doc}
	m, list, err := job.Meter(context.Background(), 0, meter.Work{Seed: 1, Error: 0.01})
	if err != nil || m == nil {
		t.Fatal(err, list.Text())
	}
	return job, m.Readings
}

// TestTravel: what was learned of a head in one shoot is carried to another by copying
// kit/learned.yaml: the prediction there is corrected, with its date, says that it is learned, and
// is what it was when the lessons are taken back. What was learned of the house stays behind:
// neither shoot has a title, and the bulb of the other is another bulb. In its own shoot it counts.
func TestTravel(t *testing.T) {
	from, to := t.TempDir(), t.TempDir()
	for dir, text := range map[string]string{from: attic, to: cellar} {
		if err := os.WriteFile(filepath.Join(dir, "shoot.yaml"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	job, home := meterIn(t, from)
	_, before := meterIn(t, to)
	// In truth the head gives 0.6 st more than its figures, and the bulb of the attic 0.8 st.
	var reads []answer.Read
	for i, x := range []struct {
		alone string
		point int
		off   float64
	}{{"key", 0, 0.6}, {"key", 0, 0.6}, {"key", 0, 0.6}, {"key", 0, 0.6}, {"bulb", 1, 0.8}, {"bulb", 1, 0.8}} {
		share := 0.0
		for _, l := range home[x.point].Lights {
			if l.Name == x.alone {
				share = l.Share
			}
		}
		reads = append(reads, answer.Read{Setup: "s", Point: home[x.point].Name, Alone: x.alone, Date: "2026-03-14",
			Words:   "no. " + string(rune('1'+i)),
			FNumber: q.FNumber(float64(home[x.point].FNumber) * math.Sqrt(share*math.Exp2(x.off)))})
	}
	l, err := job.Learn(context.Background(), reads, answer.LearnWork{Seed: 1})
	if err != nil || len(l.Lessons) != len(reads) || len(l.Doubts) > 0 {
		t.Fatalf("%v %+v", err, l)
	}
	keep := func() {
		t.Helper()
		files, err := store.Kits(from)
		if err != nil {
			t.Fatal(err)
		}
		c, err := Keep(files, job.File.Here(), l.Lessons)
		if err == nil {
			err = Write(from, c)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	keep()
	b, err := os.ReadFile(filepath.Join(from, "kit", LearnedInto))
	if err == nil {
		err = os.Mkdir(filepath.Join(to, "kit"), 0o700)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(to, "kit", LearnedInto), b, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	_, athome := meterIn(t, from)
	there, after := meterIn(t, to)
	moved := func(was, is []meter.Reading, point int, light string) float64 {
		e := [2]float64{}
		for k, list := range [2][]meter.Reading{was, is} {
			for _, l := range list[point].Lights {
				if l.Name == light {
					e[k] = list[point].Exposure * l.Share
				}
			}
		}
		return math.Log2(e[1] / e[0])
	}
	// The priors leave a share of the truth with the surfaces, and hold the mean a little back.
	if s := moved(before, after, 0, "key"); s < 0.45 || s > 0.6 {
		t.Errorf("the head of the other shoot moved by %+.2f st", s)
	}
	if s := moved(before, after, 1, "bulb"); math.Abs(s) > 0.03 { // two traces of 1 % each
		t.Errorf("the bulb of the other shoot moved by %+.3f st", s)
	}
	if s := moved(home, athome, 1, "bulb"); s < 0.65 {
		t.Errorf("the bulb of this shoot moved by %+.2f st", s)
	}
	if s := after[0].Basis.String(); !strings.HasPrefix(s, "learned from ") {
		t.Errorf("it rests on %s", s)
	}
	if after[0].Uncertainty >= before[0].Uncertainty {
		t.Errorf("± %.2f st before, %.2f after", before[0].Uncertainty, after[0].Uncertainty)
	}
	whole := kit.Merge(kit.Catalogue(), there.File.Kit)
	if _, _, n, ok := whole.Learned("head", "rgb panel 300"); !ok || n != 4 || len(whole.Lessons) != 6 ||
		whole.Lessons[0].Date != "2026-03-14" {
		t.Errorf("%d readings of the head, %+v", n, whole.Lessons)
	}
	// Taken back there: all is as before.
	files, err := store.Kits(to)
	if err != nil {
		t.Fatal(err)
	}
	c, n, err := Forget(files, func(l *kit.Lesson) bool { return About(l, "head rgb panel 300") })
	if err == nil {
		err = Write(to, c)
	}
	if err != nil || n != 4 {
		t.Fatalf("%d forgotten, %v", n, err)
	}
	if _, back := meterIn(t, to); math.Abs(math.Log2(back[0].Exposure/before[0].Exposure)) > 1e-6 {
		t.Errorf("it stays at %+.3f st", math.Log2(back[0].Exposure/before[0].Exposure))
	}
	// The shoot gets a title: its own readings count once, not once more under the old name.
	named := *job
	file := *job.File
	named.File = &file
	file.Shoot.Title, file.Kit.Lessons = "Attic", l.Lessons
	again, err := named.Learn(context.Background(), reads, answer.LearnWork{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	job, l = &named, again
	keep()
	if b, _ := os.ReadFile(filepath.Join(from, "kit", LearnedInto)); strings.Count(string(b), "date:") != 6 ||
		strings.Contains(string(b), "untitled") {
		t.Errorf("with a title:\n%s", b)
	}
	for _, f := range again.Factors {
		if f.Name == "head rgb panel 300" && f.Read != 4 {
			t.Errorf("%d readings of the head", f.Read)
		}
	}
}
