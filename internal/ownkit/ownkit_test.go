package ownkit

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/internal/daylog"
	"halfstop/internal/store"
	"halfstop/kit"
	"halfstop/shoot"
	"halfstop/yamltext"
)

const written = `# what we own, counted in May
heads:
  - name: my 500 # dented
    like: battery head 500
stands:
  - {name: heavy, like: low stand, have: 2} # two
`

// TestSetKeepsRemarks: a setting goes in and out again, and every other byte stays; what the kit
// would not read is refused with its place.
func TestSetKeepsRemarks(t *testing.T) {
	files := []shoot.KitFile{{Name: "kit/own.yaml", Src: []byte(written)}}
	with := func(edits ...yamltext.Edit) string {
		t.Helper()
		c, err := Set(files, Into, "heads", "my 500", edits)
		if err != nil {
			t.Fatal(err)
		}
		files = []shoot.KitFile{{Name: "kit/own.yaml", Src: c[0].After}}
		return string(c[0].After)
	}
	in := with(yamltext.Edit{Path: "weight", Value: "3.4 kg"}, yamltext.Edit{Path: "owner", Value: "hire"})
	for _, want := range []string{"# counted in May", "# dented", "# two", "weight: 3.4 kg", "owner: hire"} {
		if !strings.Contains(in, strings.TrimPrefix(want, "# ")) {
			t.Errorf("%q is missing:\n%s", want, in)
		}
	}
	if out := with(yamltext.Edit{Path: "weight"}, yamltext.Edit{Path: "owner"}); out != written {
		t.Errorf("it does not go back to what it was:\n%s", out)
	}
	_, err := Set(files, Into, "heads", "my 500", []yamltext.Edit{{Path: "weight", Value: "three kilos"}})
	if err == nil || !strings.Contains(err.Error(), "own.yaml:") || !strings.Contains(err.Error(), "3 kg") {
		t.Errorf("a weight that is none: %v", err)
	}
}

// TestGenericBegun: a setting of a thing of the catalogue begins an entry of the same name, which
// takes everything else from there.
func TestGenericBegun(t *testing.T) {
	c, err := Set(nil, Into, "heads", "battery head 500", []yamltext.Edit{{Path: "guide number", Value: "58 m"},
		{Path: "rated with", Value: "softbox 60x90"}})
	if err != nil {
		t.Fatal(err)
	}
	own, list := kit.Decode("own.yaml", c[0].After)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	whole := kit.Merge(kit.Catalogue(), own)
	src, err := whole.Resolve(kit.Want{Head: "battery head 500", Modifier: "softbox 60x90"})
	if err != nil {
		t.Fatal(err)
	}
	generic := kit.Merge(kit.Catalogue(), kit.Kit{})
	was, err := generic.Resolve(kit.Want{Head: "battery head 500", Modifier: "softbox 60x90"})
	if err != nil {
		t.Fatal(err)
	}
	if !src.Basis.Maker || src.Uncertainty >= was.Uncertainty || src.Weight != was.Weight {
		t.Errorf("with the sheet %v ± %v, %v; without ± %v, %v", src.Basis, src.Uncertainty, src.Weight,
			was.Uncertainty, was.Weight)
	}
}

// TestWrite: files come whole; a file that another program changed stays, and so does one of
// another content that has the name; nothing leaves the folder by a link.
func TestWrite(t *testing.T) {
	dir := t.TempDir()
	first := Change{Name: "own.yaml", After: []byte("heads: []\n")}
	if err := Write(dir, []Change{{Name: "lamp.ies", After: []byte("x")}, first}); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "kit", "own.yaml")); string(got) != "heads: []\n" {
		t.Errorf("it holds %q", got)
	}
	stale := Change{"own.yaml", []byte("other"), []byte("gels: []\n")}
	if err := Write(dir, []Change{stale}); !errors.Is(err, store.ErrChanged) {
		t.Errorf("over another's change: %v", err)
	}
	if err := Write(dir, []Change{{Name: "lamp.ies", After: []byte("y")}}); err == nil {
		t.Error("over another file of the name")
	}
	if err := Write(dir, []Change{{"own.yaml", first.After, nil}}); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "kit", "own.yaml")); !os.IsNotExist(err) {
		t.Errorf("it is still there: %v", err)
	}
	out, linked := t.TempDir(), t.TempDir()
	if err := os.Symlink(out, filepath.Join(linked, "kit")); err != nil {
		t.Skip("no links here:", err)
	}
	if err := Write(linked, []Change{first}); err == nil {
		t.Error("it wrote through a link that leads out")
	}
	if list, _ := os.ReadDir(out); len(list) > 0 {
		t.Errorf("outside stands %v", list)
	}
}

func lesson(place, words string) kit.Lesson {
	return kit.Lesson{Date: "2026-03-14", Place: place, Words: words, Off: 0.3, Noise: 0.1,
		Parts: []kit.LessonPart{{Share: 1, Bounced: 0.2, Head: "battery head 500", Modifier: "octa 90"}}}
}

// TestKeepAndForget: lessons of a place take the place of its older ones, those of other places and
// all remarks stay; forgetting takes out what is about the thing and nothing else.
func TestKeepAndForget(t *testing.T) {
	c, err := Keep(nil, "Loft", []kit.Lesson{lesson("Loft", "one"), lesson("Loft", "two")})
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(c[0].After), "lessons:\n", "lessons:\n  # the loft in March\n", 1)
	files := []shoot.KitFile{{Name: "kit/learned.yaml", Src: []byte(text)}}
	if again, err := Keep(files, "Loft", []kit.Lesson{lesson("Loft", "one"), lesson("Loft", "two")}); err != nil ||
		again != nil {
		t.Errorf("the same lessons change it: %v, %v", again, err)
	}
	if c, err = Keep(files, "Bar", []kit.Lesson{lesson("Bar", "three")}); err != nil {
		t.Fatal(err)
	}
	files[0].Src = c[0].After
	if c, err = Keep(files, "Loft", []kit.Lesson{lesson("Loft", "two"), lesson("Loft", "four")}); err != nil {
		t.Fatal(err)
	}
	files[0].Src = c[0].After
	k, list := kit.Decode("learned.yaml", files[0].Src)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	var words []string
	for _, l := range k.Lessons {
		words = append(words, l.Words)
	}
	if got := strings.Join(words, " "); got != "two three four" {
		t.Errorf("it keeps %s:\n%s", got, files[0].Src)
	}
	if _, n, _ := Forget(files, func(l *kit.Lesson) bool { return About(l, "gel full orange") }); n != 0 {
		t.Errorf("%d lessons are about a gel that is in none", n)
	}
	c, n, err := Forget(files, func(l *kit.Lesson) bool { return About(l, "surfaces bar") })
	if err != nil || n != 1 || strings.Contains(string(c[0].After), "three") ||
		!strings.Contains(string(c[0].After), "four") {
		t.Errorf("forgot %d, %v:\n%s", n, err, c[0].After)
	}
}

// TestReads: a reading goes with the dials that were logged before it, not those after.
func TestReads(t *testing.T) {
	f := 5.6
	at := time.Date(2026, 3, 14, 10, 0, 0, 0, time.UTC)
	list := []daylog.Entry{
		{Seq: 1, Kind: daylog.Dial, Setup: "A", Subject: "key", Text: "1/8", Stands: true, At: at},
		{Seq: 2, Kind: daylog.Reading, Setup: "A", Subject: "face", Value: &f, Unit: "f", Stands: true, At: at,
			Detail: []byte(`{"alone":"key"}`)},
		{Seq: 3, Kind: daylog.Dial, Setup: "A", Subject: "key", Text: "1/4", Stands: true, At: at},
		{Seq: 4, Kind: daylog.Reading, Setup: "A", Subject: "face", Value: &f, Unit: "f", At: at},
	}
	reads, numbers := Reads(list)
	if len(reads) != 1 || numbers[0] != 2 || reads[0].Alone != "key" || reads[0].Dials["key"] != "1/8" {
		t.Errorf("%+v of %v", reads, numbers)
	}
}

// TestMeterReading: as meters show it, with the tenths behind a second point; a number that can be
// read in two ways is asked back.
func TestMeterReading(t *testing.T) {
	said := map[string]string{"f/5.6.3": "f/5.6 + 0.3", "f/8": "f/8 + 0.0", " f/4 + 0.5 ": "f/4 + 0.5"}
	for text, want := range said {
		if n, err := MeterReading(text); err != nil || !strings.HasPrefix(n.Meter(), strings.TrimSuffix(want, "0.0")) {
			t.Errorf("%q is %s, %v", text, n.Meter(), err)
		}
	}
	if _, err := MeterReading("f/8.3"); err == nil || !strings.Contains(err.Error(), "two ways") {
		t.Errorf("f/8.3: %v", err)
	}
}
