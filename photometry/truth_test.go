package photometry

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/diag"
)

// oneOf returns the only message with a code; nil where there is none.
func oneOf(t *testing.T, list diag.List, code string) *diag.Message {
	t.Helper()
	var found *diag.Message
	for i := range list {
		if list[i].Code == code {
			if found != nil {
				t.Errorf("%s is said twice", code)
			}
			found = &list[i]
		}
	}
	return found
}

// quadrant is an LM-63 file of 7 × 7 angles: planes of 0 to 90 degrees, 100·cos(gamma)·(1 + C/90)
// cd.
func quadrant(nv, nh int) string {
	var b strings.Builder
	fmt.Fprintf(&b,
		"IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 %d %d 1 2 0 0 0\n1 1 100\n0 15 30 45 60 75 90\n0 15 30 45 60 75 90\n", nv,
		nh)
	for c := 0.0; c <= 90; c += 15 {
		for g := 0.0; g <= 90; g += 15 {
			fmt.Fprintf(&b, "%.3f ", math.Max(0, 100*math.Cos(g*rad)*(1+c/90)))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TestCounts: a count that does not belong to the numbers is an error at its place, never another
// distribution. Every other count of angles from 1 to 12 is tried on an LM-63 file, every other Mc
// and Ng on EULUMDAT files of each symmetry.
func TestCounts(t *testing.T) {
	if w, list := lm63("q.ies", []byte(quadrant(7, 7))); w == nil || len(list) != 0 {
		t.Fatalf("the right counts: %v", list)
	}
	for nv := 1; nv <= 12; nv++ {
		for nh := 1; nh <= 12; nh++ {
			if nv == 7 && nh == 7 {
				continue
			}
			if w, list := lm63("q.ies", []byte(quadrant(nv, nh))); w != nil || !list[0].Pos.Known() {
				t.Errorf("%d × %d angles in place of 7 × 7 pass", nv, nh)
			}
		}
	}
	for _, name := range []string{"cosine.ldt", "spot.ldt", "batwing.ldt", "flood.ldt", "lean2.ldt", "lean3.ldt"} {
		src, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(string(src), "\r\n")
		for line := range map[int]bool{4: true, 6: true} {
			for n := 1; n <= 80; n++ {
				if lines[line-1] == fmt.Sprint(n) {
					continue
				}
				l := append([]string(nil), lines...)
				l[line-1] = fmt.Sprint(n)
				if w, list := eulumdat(name, []byte(strings.Join(l, "\r\n"))); w != nil || !list[0].Pos.Known() {
					t.Errorf("%s: line %d as %d passes", name, line, n)
				}
			}
		}
		// A line too much, and the last one missing.
		if w, _ := eulumdat(name, []byte(strings.TrimRight(string(src), "\r\n")+"\r\n12.5\r\n")); w != nil {
			t.Errorf("%s: a value too much passes", name)
		}
		cut := strings.Split(strings.TrimRight(string(src), "\r\n"), "\r\n")
		if w, _ := eulumdat(name, []byte(strings.Join(cut[:len(cut)-1], "\r\n"))); w != nil {
			t.Errorf("%s: a value missing passes", name)
		}
	}
}

// TestPlanesMissing: planes from 0 to 270 in steps of 30 leave a quarter of the turn out.
func TestPlanesMissing(t *testing.T) {
	src := "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 4 1 2 0 0 0\n1 1 1\n0 90\n0 90 180 200\n1 1\n1 1\n1 1\n1 1\n"
	if w, list := lm63("x.ies", []byte(src)); w != nil || !strings.Contains(list.Text(), "C360") {
		t.Errorf("passed: %v", list)
	}
	if w, _ := lm63("x.ies", []byte(strings.Replace(src, "180 200", "180 270", 1))); w == nil {
		t.Error("planes of each quarter, without the one at 360 that repeats the first, are refused")
	}
}

func TestZeros(t *testing.T) {
	w, list := lm63("z.ies", []byte("IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n0 0\n"))
	if w != nil || oneOf(t, list, "photometry.dark") == nil {
		t.Errorf("a table of zeros passes: %v", list)
	}
}

// ldtOf is a round cosine of 1000/π cd per 1000 lm on its axis (so that the whole gives 1000 lm per
// 1000 lm, closed form), times share, with an output ratio in per cent and sets of lamps (number,
// flux).
func ldtOf(share, ratio float64, sets ...[2]float64) string {
	l := []string{"c", "1", "1", "1", "0", "91", "1", "", "n", "", "", "", "100", "0", "0", "100", "0", "0", "0", "0",
		"0", "100",
		fmt.Sprint(ratio), "1", "0", fmt.Sprint(len(sets))}
	for _, s := range sets {
		l = append(l, fmt.Sprint(s[0]), "tube", fmt.Sprint(s[1]), "", "", "18")
	}
	for range 10 {
		l = append(l, "0")
	}
	l = append(l, "0")
	for g := range 91 {
		l = append(l, fmt.Sprint(g))
	}
	for g := range 91 {
		l = append(l, fmt.Sprint(math.Max(0, share*1000/math.Pi*math.Cos(float64(g)*rad))))
	}
	return strings.Join(l, "\n")
}

// TestStatedFlux: 700 lm of 1000 at 70 % agree; 650 lm of the same are 7 % short and said with both
// figures; 690 lm (1.4 %) are what rounding explains.
func TestStatedFlux(t *testing.T) {
	for _, c := range []struct {
		share, ratio float64
		told         bool
	}{{0.7, 70, false}, {0.69, 70, false}, {0.65, 70, true}, {0.75, 70, true}, {0.7, 0, false}, {1, 100, false}} {
		w, list := eulumdat("f.ldt", []byte(ldtOf(c.share, c.ratio, [2]float64{1, 1000})))
		m := oneOf(t, list, "photometry.flux")
		if w == nil || (m != nil) != c.told {
			t.Errorf("%.2f of the lamps at %g %%: %v", c.share, c.ratio, list)
			continue
		}
		if m != nil && (m.Severity != diag.Caution || m.Pos.Line != 23 || !strings.Contains(m.Text,
			fmt.Sprintf("%.4g lm", w.Flux())) || !strings.Contains(m.Text, "700 lm")) {
			t.Errorf("%v at line %d: %s", m.Severity, m.Pos.Line, m.Text)
		}
	}
	// LM-63 states bare lamps only: a luminaire may give less, not more.
	src := "IESNA:LM-63-2002\nTILT=NONE\n1 %d 1 3 1 1 2 0 0 0\n1 1 100\n0 45 90\n0\n100 70.7 0\n" // about 300 lm
	for lumens, told := range map[int]bool{200: true, 305: false, 900: false} {
		_, list := lm63("f.ies", fmt.Appendf(nil, src, lumens))
		if m := oneOf(t, list, "photometry.flux"); (m != nil) != told {
			t.Errorf("%d lm of lamps: %v", lumens, list)
		}
	}
}

// TestLampSets: the first set counts where none is asked, the asked one else, and which is said; a
// set that is not there is an error.
func TestLampSets(t *testing.T) {
	src := []byte(ldtOf(0.7, 70, [2]float64{1, 1000}, [2]float64{2, 3200}))
	for set, want := range map[int]float64{0: 700, 1: 700, 2: 2240} {
		w, list := Options{LampSet: set}.Parse("s.ldt", src)
		m := oneOf(t, list, "photometry.sets")
		// 1 degree tables lose 0.0025 %
		if w == nil || math.Abs(w.Flux()-want) > 0.001*want || m == nil || len(list) != 1 {
			t.Fatalf("set %d: %v", set, list)
		}
		taken := max(1, set)
		if !strings.Contains(m.Text, fmt.Sprintf("set %d is taken", taken)) || m.Pos.Line != 27+6*(taken-1) {
			t.Errorf("set %d: line %d: %s", set, m.Pos.Line, m.Text)
		}
	}
	if w, list := (Options{LampSet: 3}).Parse("s.ldt", src); w != nil || !list.Has(diag.Error) {
		t.Errorf("set 3 of two passes")
	}
}

// TestSense: LM-63-2002 defines horizontal angles as counterclockwise in a horizontal plane for
// type C and clockwise for types A and B, seen from above. Luminaires with one bright side only
// show it: a ceiling luminaire (N down, S = +x: frame (x, -y, -z)) bright at C = 90 lights +y; a
// floodlight that looks along +y (N = +y, T = up, so S = -x) bright at H > 0 lights +x, its right.
func TestSense(t *testing.T) {
	w, err := New(TypeC, []float64{0, 90}, []float64{0, 90, 180, 270, 360}, [][]float64{{1, 1}, {1, 9}, {1, 1}, {1, 0},
		{1, 1}})
	if err != nil {
		t.Fatal(err)
	}
	world := func(x, y, z float64) float64 { v := Direction(0, 0); v.X, v.Y, v.Z = x, -y, -z; return w.Candela(v) }
	if plus, minus := world(0, 1, 0), world(0, -1, 0); math.Abs(plus-9) > 1e-9 || minus > 1e-9 {
		t.Errorf("C90 gives %g cd towards +y and %g towards -y on the plan; want 9 and 0", plus, minus)
	}
	for _, kind := range []Kind{TypeB, TypeA} {
		w, err := New(kind, []float64{-90, 0, 90}, []float64{-90, 0, 90}, [][]float64{{0, 0, 0}, {0, 5, 0}, {0, 9, 0}})
		if err != nil {
			t.Fatal(err)
		}
		level := func(x, y, z float64) float64 { v := Direction(0, 0); v.X, v.Y, v.Z = -x, z, y; return w.Candela(v) }
		if right, left := level(0.5, 0.8, 0), level(-0.5, 0.8, 0); !(right > 5 && left < 5) {
			t.Errorf("type %v: %g cd to the right, %g to the left; H grows to the right", kind, right, left)
		}
	}
}
