package shoot

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/diag"
)

// Each file testdata/mistakes/*.txt holds a shoot, a line of dashes, and the messages it gives.
// -update writes the messages; look at them before they are committed.
func TestMistakes(t *testing.T) {
	files, err := filepath.Glob("testdata/mistakes/*.txt")
	if err != nil || len(files) < 4 {
		t.Fatal(files, err)
	}
	const line = "----\n"
	for _, name := range files {
		src, want, _ := strings.Cut(string(mustRead(t, name)), line)
		_, _, l := Parse("shoot.yaml", []byte(src), Options{})
		got := l.Text()
		if *update {
			if err := os.WriteFile(name, []byte(src+line+got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if got != want {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
		}
		if len(l) == 0 {
			t.Errorf("%s: no message", name)
		}
	}
}

// Names of equipment are held to the catalogue and to own kit, in the shoot and beside it.
func TestEquipment(t *testing.T) {
	src := "halfstop: 1\nkit: {heads: [{name: mine, like: battery head 500, photometry: ../web.ies}]}\nsetups:\n  " +
		"- name: a\n    lights:\n      - {name: a, at: [0, 0, 1], aim: [0, 0, 0], head: %s}\n"
	beside := []KitFile{{"kit/ours.yaml", []byte("heads: [{name: ours, like: batery head 500}]\n")}}
	for head, want := range map[string]string{
		"mine": "shoot.outside-folder", "battery head 500": "shoot.outside-folder", "ours": "shoot.outside-folder",
		"batery head 500": "shoot.outside-folder shoot.unknown-name",
	} {
		_, _, l := Parse("shoot.yaml", fmt.Appendf(nil, src, head), Options{Kit: beside})
		var here diag.List
		beside := 0
		for _, m := range l {
			if m.Pos.File == "shoot.yaml" {
				here = append(here, m)
			} else {
				beside++
			}
		}
		if got := codes(here); got != want || beside != 1 {
			t.Errorf("%s: %s, %d beside\n%s", head, got, beside, l.Text())
		}
	}
	_, _, l := Parse("shoot.yaml", fmt.Appendf(nil, src, "batery head 500, gel: no such gel"), Options{})
	if !strings.Contains(l.Text(), `write "battery head 500"`) || !strings.Contains(l.Text(), "no such gel") {
		t.Error(l.Text())
	}
}

func BenchmarkParse(b *testing.B) {
	src := mustRead(b, "testdata/launderette.yaml")
	for b.Loop() {
		Parse("s", src, Options{})
	}
}

func TestMigrate(t *testing.T) {
	old := "# kept\nversion: 0   # kept too\nsetups:\n  - name: a\n    subject: {at: [1, 2], faces: up}   # who\n"
	want := "# kept\nhalfstop: 1   # kept too\nsetups:\n  - name: a\n    sitter: {at: [1, 2], faces: up}   # who\n"
	out, from, err := Migrate("s", []byte(old))
	if err != nil || from != 0 || string(out) != want {
		t.Fatalf("%d %v\n%s", from, err, out)
	}
	again, from, err := Migrate("s", out)
	if err != nil || from != Current || string(again) != want {
		t.Error("migrating twice changes nothing", from, err)
	}
	f, doc, l := Parse("s", []byte(old), Options{})
	if len(l) > 0 || f.Setups[0].Sitter == nil || string(doc.Source()) != want {
		t.Error(l.Text())
	}
	if _, from, err := Migrate("s", []byte("halfstop: 7\n")); err == nil || from != 7 ||
		!strings.Contains(err.Error(), "newer halfstop") {
		t.Error(from, err)
	}
	if len(migrations) != Current {
		t.Error("each version before the current one needs its migration")
	}
}

// The settings that balance writes, put into the sketch in place.
func TestEditSketch(t *testing.T) {
	src := string(mustRead(t, "testdata/launderette.yaml"))
	_, doc, _ := Parse("s", []byte(src), Options{})
	for path, e := range map[string][3]string{
		"setups[0].lights[0].power":          {"1/8 + 0.3", "power: 1/8}", "power: 1/8 + 0.3}"},
		"setups[Aisle].lights[accent].level": {"45 %", "level: 60 %", "level: 45 %"},
		"setups[0].camera.aperture":          {"f/5.6", "aperture: f/4,", "aperture: f/5.6,"},
		"setups[0].lights[0].gel":            {"[half orange]", "power: 1/8}", "power: 1/8, gel: [half orange]}"},
	} {
		out, err := doc.Set(path, e[0])
		if want := strings.Replace(src, e[1], e[2], 1); err != nil || string(out) != want {
			t.Errorf("%s: %v", path, err)
		}
		if _, _, l := Parse("s", out, Options{}); len(l) > 0 {
			t.Error(l.Text())
		}
	}
}

// A hand-drawn outline of many corners is checked in time.
func TestOutlineOfManyCorners(t *testing.T) {
	var b strings.Builder
	b.WriteString("halfstop: 1\nroom:\n  ceiling: 3\n  outline: [[0, -1]")
	for i := range 996 {
		fmt.Fprintf(&b, ", [%g, %d]", float64(i+1)/6, i%2)
	}
	b.WriteString(", [166, 90], [0, 90]]\nsetups: [{name: a}]\n")
	start := time.Now()
	if _, _, l := Parse("s", []byte(b.String()), Options{}); len(l) > 0 {
		t.Error(l.Text())
	}
	if d := time.Since(start); d > 5*time.Second {
		t.Error(d)
	}
}

// Any bytes: no panic, no hang, every message in place, and what is let in is finite and inside its
// bounds.
func FuzzParse(f *testing.F) {
	files, _ := filepath.Glob("*/*.yaml")
	more, _ := filepath.Glob("testdata/mistakes/*.txt")
	for _, name := range append(files, more...) {
		f.Add(mustRead(f, name))
	}
	f.Add([]byte("version: 0\nsetups: [{name: a, subject: {at: [1, 2]}}]\n"))
	f.Add([]byte("halfstop: 1\nsetups: [{name: a, look: [{}, {point: }], off: {}, lights: [{emitter: {shape: " +
		"tube}}]}]\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		file, doc, l := Parse("f", src, Options{Kit: []KitFile{{"k", src}}})
		if file == nil || doc == nil {
			t.Fatal("nothing given back")
		}
		for _, m := range l {
			if m.Text == "" || m.Code == "" || m.Pos.File == "" {
				t.Errorf("%+v", m)
			}
		}
		_ = l.Text()
		_ = l.JSON()
		text := fmt.Sprintf("%+v", *file)
		if strings.Contains(text, "NaN") && !strings.Contains(string(src), "NaN") || strings.Contains(text, "+Inf") &&
			!strings.Contains(string(src), "Inf") {
			t.Error("let in what is not finite")
		}
		if l.Has(0) {
			return
		}
		for _, s := range file.Setups {
			if c := s.Camera; c != nil && !(c.Shutter > 0 && c.ISO > 0 && c.Lens > 0 && c.Aperture > 0) {
				t.Errorf("%+v", c)
			}
		}
	})
}
