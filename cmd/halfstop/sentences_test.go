package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/ways"
)

// The engraved series: f-numbers in thirds and the whole stops of a meter, times, and sensitivities
// (ISO 12232 names of thirds; the times and f-numbers as cameras are engraved, common practice).
var (
	stopsSaid = dial("0.5 0.7 1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 " +
		"20 22 25 29 32 45 64")
	timesSaid = dial("1/8000 1/6400 1/5000 1/4000 1/3200 1/2500 1/2000 1/1600 1/1250 1/1000 1/800 1/640 1/500 1/400 " +
		"1/320 1/250 1/200 1/160 1/125 1/100 1/80 1/60 1/50 1/40 1/30 1/25 1/20 1/15 1/13 1/10 1/8 1/6 1/5 1/4")
	isosSaid = dial("50 64 80 100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 2500 3200 4000 5000 6400 " +
		"8000 10000 12800")
)

func dial(s string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(s) {
		out[w] = true
	}
	return out
}

var (
	fNumberSaid = regexp.MustCompile(`f/([0-9.]+[0-9]|[0-9])`)
	timeSaid    = regexp.MustCompile(`\b(1/[0-9]+) s\b`)
	isoSaid     = regexp.MustCompile(`ISO ([0-9.]+)`)
	nothing     = regexp.MustCompile(`[-−]0(\.0+)?([^.0-9]|$)`)
	threeDigits = regexp.MustCompile(`[0-9]\.[0-9]{3,}`)
	coordinates = regexp.MustCompile(`[0-9]\.[0-9]{2}, -?[0-9]+\.[0-9]{2}`)
)

// faults are what a sentence of the answers must never have.
func faults(s string) (out []string) {
	no := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	for _, m := range fNumberSaid.FindAllStringSubmatch(s, -1) {
		if !stopsSaid[strings.TrimSuffix(m[1], ".")] {
			no("f/%s is on no lens", m[1])
		}
	}
	for _, m := range timeSaid.FindAllStringSubmatchIndex(s, -1) {
		if t := s[m[2]:m[3]]; !timesSaid[t] {
			no("%s s is on no dial", t)
		}
	}
	for _, m := range isoSaid.FindAllStringSubmatch(s, -1) {
		if !isosSaid[strings.TrimSuffix(m[1], ".")] {
			no("ISO %s is on no dial", m[1])
		}
	}
	if m := nothing.FindString(s); m != "" {
		no("%q is no figure", m)
	}
	if m := threeDigits.FindString(s); m != "" {
		no("%q is finer than anybody reads", m)
	}
	if m := coordinates.FindString(s); m != "" {
		no("%q are coordinates", m)
	}
	for _, w := range []string{"  ", "..", ";;", ": :", " ,", "NaN", "Inf", "%!", "+0.0 st too", "0.0 st more", "1 are",
		"the the ", "colour like", "by itself is the same", "the nearest is the same"} {
		if strings.Contains(s, w) {
			no("%q stands in it", w)
		}
	}
	s = strings.ReplaceAll(s, " : ", " to ")
	if n := strings.Count(s, ": "); n > 2 && !strings.Contains(s, "missed by") {
		for _, part := range strings.SplitAfter(s, ". ") {
			if strings.Count(part, ": ") > 2 {
				no("%d colons in one sentence", n)
			}
		}
	}
	return out
}

// TestSentences: what meter, balance, ways, check and match say keeps to the rules of a set in
// every room of the zoo, of the cases of ways and in the three setups of the demonstration: stops,
// times and sensitivities that a camera has, no minus nothing, no coordinates, nothing finer than
// is read, nothing said twice in one answer. The rooms are traced coarsely: the words are of the
// same kinds.
func TestSentences(t *testing.T) {
	for _, places := range []struct {
		glob  string
		least int
	}{{"../../zoo/*.yaml", 16}, {"../../ways/testdata/*.yaml", 20}, {"../../internal/demo/*/shoot.yaml", 1}} {
		files, err := filepath.Glob(places.glob)
		if err != nil || len(files) < places.least {
			t.Fatal(files, err)
		}
		for _, name := range files {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			f, doc, list := shoot.Parse(filepath.Base(name), src, shoot.Options{})
			if list.Has(diag.Error) {
				t.Fatal(list.Text())
			}
			job := &answer.Job{File: f, Doc: doc, Files: os.DirFS(filepath.Dir(name)).(fs.ReadFileFS).ReadFile}
			for i := range f.Setups {
				t.Run(strings.TrimSuffix(filepath.Base(name), ".yaml")+"/"+f.Setups[i].Name, func(t *testing.T) {
					t.Parallel()
					sayAll(t, job, i)
				})
			}
		}
	}
}

// sayAll prints all answers of one setup, each line whole, and holds them against the rules.
func sayAll(t *testing.T, job *answer.Job, setup int) {
	ctx, few := t.Context(), meter.Work{Seed: 1, Error: 0.3, Samples: 256}
	var out bytes.Buffer
	e := newEnv(strings.NewReader(""), &out, &out)
	e.columns = 1 << 20
	m, list, err := job.Meter(ctx, setup, few)
	if err != nil || m == nil {
		t.Fatal(err, list.Text())
	}
	if err := m.Compare(ctx); err != nil {
		t.Fatal(err)
	}
	(&meterOptions{error: firstError}).print(e, m)
	b, _, err := job.Balance(ctx, setup, few)
	if err != nil || b == nil {
		t.Fatal(err)
	}
	e.printBalance(b)
	w, _, err := job.Shoot().Find(ctx, setup, ways.Work{Meter: few})
	if err != nil || w == nil {
		t.Fatal(err)
	}
	e.printMissed(w)
	e.printWays(w)
	for _, msg := range append(append(list, job.Cautions(m.Stage)...), m.Judge()...) {
		fmt.Fprintln(&out, msg.Text)
		fmt.Fprintln(&out, msg.Fix)
	}
	if p := job.File.Room.Practicals; len(p) > 0 {
		found, err := job.Shoot().Match(ctx, "practicals."+p[0].Name, ways.MatchWork{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range found.Ways {
			fmt.Fprintln(&out, strings.Join(matchRow(&found.Ways[i]), "  "))
		}
		fmt.Fprintln(&out, strings.Join(found.Notes, "\n"))
	}
	for _, line := range strings.Split(out.String(), "\n") {
		for _, x := range faults(strings.Join(strings.Fields(line), " ")) {
			t.Errorf("%s: %s", x, line)
		}
	}
	for _, x := range b.Targets() {
		once := map[string]bool{}
		for _, c := range x.Causes {
			if once[c.Words] || strings.Contains(c.Words, x.Off) && len(x.Off) > 8 {
				t.Errorf("said twice: %s, %s: %s", x.Words, x.Off, c.Words)
			}
			once[c.Words] = true
			if strings.Contains(c.Words, ": ") || strings.Contains(c.Words, ";") {
				t.Errorf("a cause says what is, its remedy what to do: %s", c.Words)
			}
		}
	}
	once := map[string]bool{}
	for _, r := range w.Refused {
		if once[r.Words] {
			t.Errorf("said twice: %s", r.Words)
		}
		once[r.Words] = true
	}
}

// TestFaults: the rules find what they are there for.
func TestFaults(t *testing.T) {
	for s, want := range map[string]string{
		"set f/2.66": "no lens", "set f/2.73; key down 1.3 st": "no lens", "set 1/110 s": "no dial",
		"set ISO 437": "no dial", "set 0.064 s": "finer", "−0.0 st": "no figure", "-0 mired": "no figure",
		"0.0041 st": "finer",
		"move key (to 2.10, 1.40, height 1.95 m)":            "coordinates",
		"hair edge in the colour like sign is paler":         "colour like",
		"a misses 1 st: b does it: c is at full: d is aside": "colons",
	} {
		if got := strings.Join(faults(s), "; "); !strings.Contains(got, want) {
			t.Errorf("%q: %q", s, got)
		}
	}
	for _, s := range []string{"set f/2.8; key down 1.3 st", "Set key to 1/64 - 0.3 (down 0.3 st)",
		"f/4 + 0.0 → f/5.6 + 0.7", "set 1/200 s, and set ISO 100; key up 4.2 st", "−10.0 st",
		"sharp from 2.03 to 2.34 m", "80 % off", "set 1/200 s.",
		"it would give 3.2:1 of the 4:1 wanted"} {
		if got := faults(s); len(got) > 0 {
			t.Errorf("%q: %v", s, got)
		}
	}
}
