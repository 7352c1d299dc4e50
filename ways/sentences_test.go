package ways

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"halfstop/meter"
)

// The engraved series: f-numbers in thirds and the whole stops of a meter, times, and sensitivities
// (ISO 12232 names of thirds; the times and f-numbers as cameras are engraved, common practice).
var (
	stopsSaid = words("0.5 0.7 1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 " +
		"20 22 25 29 32 45 64")
	timesSaid = words("1/8000 1/6400 1/5000 1/4000 1/3200 1/2500 1/2000 1/1600 1/1250 1/1000 1/800 1/640 1/500 1/400 " +
		"1/320 1/250 1/200 1/160 1/125 1/100 1/80 1/60 1/50 1/40 1/30 1/25 1/20 1/15 1/13 1/10 1/8 1/6 1/5 1/4")
	isosSaid = words("50 64 80 100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 2500 3200 4000 5000 6400 " +
		"8000 10000 12800")
)

func words(s string) map[string]bool {
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
	place       = regexp.MustCompile(`[0-9]\.[0-9]{2}, -?[0-9]+\.[0-9]{2}`)
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
	if m := place.FindString(s); m != "" {
		no("%q are coordinates", m)
	}
	for _, w := range []string{"  ", "..", ";;", ": :", " ,", "NaN", "Inf", "%!", "+0.0 st too", "0.0 st more", "1 are",
		"the the ", "colour like", "by itself is the same", "the nearest is the same"} {
		if strings.Contains(s, w) {
			no("%q stands in it", w)
		}
	}
	if n := strings.Count(s, ": "); n > 2 && !strings.Contains(s, "missed by") {
		for _, part := range strings.SplitAfter(s, ". ") {
			if strings.Count(part, ": ") > 2 {
				no("%d colons in one sentence", n)
			}
		}
	}
	return out
}

// TestSentences: what balance and ways say keeps to the rules of a set in every room of the zoo and
// of the cases: stops, times and sensitivities that a camera has, no minus nothing, no coordinates,
// nothing finer than is read, nothing said twice in one answer. The rooms are traced coarsely: the
// words are of the same kinds.
func TestSentences(t *testing.T) {
	rooms, err := filepath.Glob("../zoo/*.yaml")
	if err != nil || len(rooms) < 16 {
		t.Fatal(rooms, err)
	}
	own, err := filepath.Glob("testdata/*.yaml")
	if err != nil || len(own) < 20 {
		t.Fatal(own, err)
	}
	for _, name := range append(rooms, own...) {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".yaml"), func(t *testing.T) {
			t.Parallel()
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			f := waysOf(t, jobOf(t, string(src)), Work{Meter: meter.Work{Seed: 1, Error: 0.3, Samples: 256}})
			said := map[string]string{"balance": f.Base.Sentence(), "ways": f.Sentence()}
			for i, n := range f.Base.Notes {
				said[fmt.Sprintf("note %d", i+1)] = n
			}
			for _, l := range f.Base.Lights() {
				said["light "+l.Name] = l.Was + ", " + l.Now
			}
			for _, x := range f.Base.Targets() {
				said["target "+x.Words] = x.Words + " comes to " + x.Predicted + ", " + x.Off
				once := map[string]bool{}
				for i, c := range x.Causes {
					said[fmt.Sprintf("cause %d of %s", i+1, x.Words)] = c.Said()
					if once[c.Words] || strings.Contains(c.Words, x.Off) && len(x.Off) > 8 {
						t.Errorf("said twice: %s, %s: %s", x.Words, x.Off, c.Words)
					}
					once[c.Words] = true
					if strings.Contains(c.Words, ": ") || strings.Contains(c.Words, ";") {
						t.Errorf("a cause says what is, its remedy what to do: %s", c.Words)
					}
				}
			}
			for i := range f.Ways {
				w := &f.Ways[i]
				said["way "+w.Words] = w.Words
				said["settings of "+w.Words] = strings.Join(w.Settings, "; ")
				for k, x := range w.Targets() {
					said[fmt.Sprintf("target %d of %s", k+1, w.Words)] = x.BeforeText + " → " + x.AfterText + " " +
						x.Missed
				}
			}
			for _, r := range f.Refused {
				said["refused "+r.Words] = r.Words + " (" + r.Why + ")"
			}
			for what, s := range said {
				for _, x := range faults(s) {
					t.Errorf("%s: %s: %s", what, x, s)
				}
			}
		})
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
