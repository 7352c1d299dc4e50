package photometry

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/geom"
)

func read(t testing.TB, name string) *Web {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	w, list := Options{}.Parse(name, src)
	if w == nil {
		t.Fatalf("%s: %s", name, list.Text())
	}
	for _, m := range list {
		t.Errorf("%s", m)
	}
	return w
}

func dir(gamma, c float64) geom.Vec { return Direction(gamma, c) }

func lm63(name string, src []byte) (*Web, diag.List) { return parseLM63(open(name, src), Options{}) }

func eulumdat(name string, src []byte) (*Web, diag.List) {
	return parseEULUMDAT(open(name, src), Options{})
}

// The fixtures are our own: closed forms, sampled. Flux in closed form: cosine 100 π = 314.159
// (J2.1: 313.96 by the table); spot 1000 cos⁸: 2000 π/9; batwing 100 (cos + 3 sin² cos cos²C): 175
// π; flood 1000 cos⁴H cos⁶V in type B: 1000 · 16/15 · 5π/16; leaning cosines 100 π. Tolerance: what
// linear interpolation loses at the step of each table (h²/12 of the curvature).
func TestFixturesFlux(t *testing.T) {
	for _, c := range []struct {
		name      string
		want, tol float64
	}{
		{"cosine.ies", 313.9597417766711, 0.001}, {"cosine.ldt", 313.9597417766711, 0.001},
		{"spot.ies", 2000 * math.Pi / 9, 0.3}, {"spot.ldt", 2000 * math.Pi / 9, 0.3},
		{"batwing.ies", 175 * math.Pi, 1.2}, {"batwing.ldt", 175 * math.Pi, 1.2},
		{"flood.ies", 1000.0 * 16 / 15 * 5 * math.Pi / 16, 2}, {"flood.ldt", 1000.0 * 16 / 15 * 5 * math.Pi / 16, 3},
		{"lean2.ldt", 100 * math.Pi, 0.1}, {"lean3.ldt", 100 * math.Pi, 0.1},
	} {
		if got := read(t, c.name).Flux(); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: %.4f lm, want %.4f", c.name, got, c.want)
		}
	}
}

// J2.2: zonal constants 2π (cos a − cos b) times the zone's mean, here of its two ends: 314.159,
// exact for a cosine since the sum telescopes.
func TestZonalFlux(t *testing.T) {
	if got := read(t, "cosine.ies").ZonalFlux(); math.Abs(got-314.15926535897927) > 1e-3 {
		t.Errorf("%.4f lm, want 314.1593", got)
	}
}

// B11.1 to B11.3: even all round, cosine, sharp cone.
func TestClosedForms(t *testing.T) {
	even := make([]float64, 181)
	for i := range even {
		even[i] = 100
	}
	if got := Rotational(even).Flux(); math.Abs(got-1256.6370614359173) > 1e-9 {
		t.Errorf("B11.1: %.6f lm", got)
	}
	if got := Cone(1000, 20).Flux(); math.Abs(got-378.92243899248774) > 0.01 {
		t.Errorf("B11.3: %.6f lm", got)
	}
	fine := make([]float64, 3601)
	for i := 0; i <= 1800; i++ {
		fine[i] = 100 * math.Cos(float64(i)*0.05*rad)
	}
	if got := Rotational(fine).Flux(); math.Abs(got-314.1592653589793) > 0.01 {
		t.Errorf("B11.2: %.6f lm", got)
	}
}

func batwing(g, c float64) float64 {
	return 100 * (math.Cos(g*rad) + 3*math.Pow(math.Sin(g*rad), 2)*math.Cos(g*rad)*math.Pow(math.Cos(c*rad), 2))
}

func TestCandelaOnTheTable(t *testing.T) {
	for _, name := range []string{"batwing.ies", "batwing.ldt"} {
		w := read(t, name)
		for g := 0.0; g <= 89; g += 7 {
			for c := 0.0; c < 360; c += 15 {
				if got, want := w.Candela(dir(g, c)), batwing(g, c); math.Abs(got-want) > 1e-4 {
					t.Fatalf("%s at gamma %g, C %g: %.5f cd, want %.5f", name, g, c, got, want)
				}
			}
		}
		if got := w.Candela(dir(120, 30)); got != 0 {
			t.Errorf("%s: %g cd outside the table", name, got)
		}
	}
	lean2, lean3 := read(t, "lean2.ldt"), read(t, "lean3.ldt")
	for c := 0.0; c < 360; c += 15 {
		base := 100 * math.Cos(50*rad)
		if got, want := lean2.Candela(dir(50, c)), base*(1+0.5*math.Sin(50*rad)*math.Cos(c*rad)); math.Abs(
			got-want) > 1e-4 {
			t.Errorf("Isym 2 at C %g: %.5f, want %.5f", c, got, want)
		}
		if got, want := lean3.Candela(dir(50, c)), base*(1+0.5*math.Sin(50*rad)*math.Sin(c*rad)); math.Abs(
			got-want) > 1e-4 {
			t.Errorf("Isym 3 at C %g: %.5f, want %.5f", c, got, want)
		}
	}
}

// The flood is given in type B with half of V stored, and sampled into type C: both are one
// distribution. Tolerance: steps of 2 degrees lose h²/8 of the curvature 10 · 1000 cd: 1.5 cd; in C
// the plane step of 5 degrees adds to that.
func TestTypeBIsTurned(t *testing.T) {
	b, c := read(t, "flood.ies"), read(t, "flood.ldt")
	for g := 0.0; g < 85; g += 5 {
		for a := 0.0; a < 360; a += 10 {
			d := dir(g, a)
			h, v := math.Asin(d.X), math.Atan2(d.Y, d.Z)
			want := 1000 * math.Pow(math.Cos(h), 4) * math.Pow(math.Cos(v), 6)
			if got := b.Candela(d); math.Abs(got-want) > 1.6 {
				t.Errorf("type B at gamma %g, C %g: %.3f, want %.3f", g, a, got, want)
			}
			if got := c.Candela(d); math.Abs(got-want) > 2 {
				t.Errorf("type C at gamma %g, C %g: %.3f, want %.3f", g, a, got, want)
			}
		}
	}
	// Type A is the same table with the axes changed over.
	av := make([][]float64, len(b.Vertical))
	for j := range av {
		av[j] = make([]float64, len(b.Horizontal))
		for i := range b.Horizontal {
			av[j][i] = b.Table[i][j]
		}
	}
	a, err := New(TypeA, b.Horizontal, b.Vertical, av)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.Flux()-b.Flux()) > 1e-9*b.Flux() {
		t.Errorf("type A flux %.6f, type B %.6f", a.Flux(), b.Flux())
	}
	for _, d := range []geom.Vec{geom.V(0.3, 0.1, 0.9), geom.V(-0.5, 0.2, 0.7), geom.V(0, -0.4, 0.6)} {
		if x, y := a.Candela(geom.V(d.Y, d.X, d.Z)), b.Candela(d); math.Abs(x-y) > 1e-9*y {
			t.Errorf("type A towards %v: %g, type B %g", d, x, y)
		}
	}
}

// J2.3: 250 cd/klm, 2 lamps of 1200 lm, factor 1: 600 cd. J2.4: 800 × 1.25 × 0.9 × 1 = 900 cd.
func TestFactors(t *testing.T) {
	lines := strings.Split(
		"c\n1\n1\n1\n0\n2\n90\n\nn\n\n\n\n0\n0\n0\n0\n0\n0\n0\n0\n0\n100\n100\n1\n"+
			"0\n1\n2\nlamp\n2400\n\n\n100\n0\n0\n0\n0\n0\n0\n0\n0\n0\n0\n0\n0\n90\n250\n0", "\n")
	w, list := eulumdat("j23.ldt", []byte(strings.Join(lines, "\n")))
	if w == nil {
		t.Fatal(list.Text())
	}
	if got := w.Axial(); math.Abs(got-600) > 1e-9 {
		t.Errorf("J2.3: %g cd", got)
	}
	if w.Lamps != 2 || w.Lumens != 1200 {
		t.Errorf("J2.3: %g lamps of %g lm", w.Lamps, w.Lumens)
	}
	w, list = lm63("j24.ies",
		[]byte("IESNA:LM-63-1995\nTILT=NONE\n1 1000 1.25 2 1 1 2 0 0 0\n0.9 1 100\n0 90\n0\n800 0\n"))
	if w == nil {
		t.Fatal(list.Text())
	}
	if got := w.Axial(); math.Abs(got-900) > 1e-9 {
		t.Errorf("J2.4: %g cd", got)
	}
	// From 2002 on the number in the second place is no factor.
	w, _ = lm63("later.ies",
		[]byte("IES:LM-63-2019\nTILT=NONE\n1 1000 1.25 2 1 1 2 0 0 0\n0.9 1.10010 100\n0 90\n0\n800 0\n"))
	if got := w.Axial(); math.Abs(got-900) > 1e-9 {
		t.Errorf("2019: %g cd", got)
	}
}

func TestFixtureDetails(t *testing.T) {
	spot := read(t, "spot.ies")
	if spot.Name != "Spot, I = 1000 cos^8(gamma), hölzern for tests only" {
		t.Errorf("name %q", spot.Name)
	}
	if spot.Tilt == nil || math.Abs(spot.Tilt.Factor(60)-(0.95-0.05/3)) > 1e-12 {
		t.Errorf("tilt %+v", spot.Tilt)
	}
	if o := spot.Opening; o.Shape != ShapeDisc || math.Abs(o.Width-0.1524) > 1e-12 {
		t.Errorf("opening %+v: half a foot was written in the way of 1995", o)
	}
	if got := read(t, "spot.ldt").Name; got != "Spot, hölzern" {
		t.Errorf("name %q", got)
	}
	// One luminaire 0.3 m wide and 1.2 m long along the plane C0, in both formats.
	a, b := read(t, "batwing.ies").Opening, read(t, "batwing.ldt").Opening
	if a.Shape != ShapeRectangle || b.Shape != ShapeRectangle || math.Abs(a.Width-b.Width) > 1e-12 ||
		math.Abs(a.Length-b.Length) > 1e-12 {
		t.Errorf("openings %+v and %+v", a, b)
	}
}

// cos⁸ is half at 23.56 degrees, a tenth at 41.44: closed form; table of 1 degree: 0.05.
func TestBeamAngle(t *testing.T) {
	w := read(t, "spot.ies")
	for share, want := range map[float64]float64{0.5: 2 * math.Acos(math.Pow(0.5, 1.0/8)) / rad,
		0.1: 2 * math.Acos(math.Pow(0.1, 1.0/8)) / rad} {
		if got := w.BeamAngle(30, share); math.Abs(got-want) > 0.05 {
			t.Errorf("angle at %g: %.3f, want %.3f", share, got, want)
		}
	}
}

// same compares what is stored, intensities to a relative tolerance.
func same(t *testing.T, name string, a, b *Web, tol float64) {
	t.Helper()
	if a.Kind != b.Kind || !reflect.DeepEqual(a.Vertical, b.Vertical) || !reflect.DeepEqual(a.Horizontal,
		b.Horizontal) {
		t.Fatalf("%s: angles changed: %v %v", name, a.Horizontal, b.Horizontal)
	}
	for i := range a.Table {
		for j := range a.Table[i] {
			if d := math.Abs(a.Table[i][j] - b.Table[i][j]); !(d <= tol*a.Table[i][j]) {
				t.Fatalf("%s: [%d][%d] %v became %v", name, i, j, a.Table[i][j], b.Table[i][j])
			}
		}
	}
	if a.Lumens != b.Lumens && math.Abs(a.Lumens-b.Lumens) > 1e-9*a.Lumens {
		t.Errorf("%s: lumens %g became %g", name, a.Lumens, b.Lumens)
	}
}

var all = []string{"cosine.ies", "spot.ies", "batwing.ies", "flood.ies", "cosine.ldt", "spot.ldt", "batwing.ldt",
	"flood.ldt", "lean2.ldt", "lean3.ldt"}

func TestWriteLM63RoundTrip(t *testing.T) {
	for _, name := range all {
		a := read(t, name)
		b, list := lm63(name, WriteLM63(a))
		if b == nil {
			t.Fatalf("%s: %s", name, list.Text())
		}
		same(t, name, a, b, 0)
		if a.Opening.Shape != b.Opening.Shape || math.Abs(a.Opening.Width-b.Opening.Width) > 1e-12 || a.Name != b.Name {
			t.Errorf("%s: %+v %q became %+v %q", name, a.Opening, a.Name, b.Opening, b.Name)
		}
	}
}

func TestWriteEULUMDATRoundTrip(t *testing.T) {
	for _, name := range all {
		a := read(t, name)
		if a.Kind != TypeC {
			a = a.TypeC(2.5, 5)
		}
		b, list := eulumdat(name, WriteEULUMDAT(a))
		if b == nil {
			t.Fatalf("%s: %s", name, list.Text())
		}
		same(t, name, a, b, 1e-12)
	}
}

func TestErrorsHavePlaces(t *testing.T) {
	good := "IESNA:LM-63-2002\nTILT=NONE\n1 1000 1 3 1 1 2 0 0 0\n1 1 100\n0 45 90\n0\n100 70 0\n"
	for _, c := range []struct {
		from, to  string
		line, col int
	}{
		{"1 1000 1 3", "1 1000 x 3", 3, 8}, {"0 45 90", "0 95 90", 5, 6}, {"100 70 0", "100 -70 0", 7, 5},
		{"100 70 0", "100 70", 7, 1},
		{" 3 1 1 2 ", " 3 1 7 2 ", 3, 14}, {"TILT=NONE\n", "", 6, 1}, {" 3 1 1 ", " 300000 1 1 ", 3, 10},
	} {
		src := strings.Replace(good, c.from, c.to, 1)
		w, list := lm63("x.ies", []byte(src))
		if w != nil || len(list) == 0 {
			t.Errorf("%q for %q passed", c.to, c.from)
			continue
		}
		m := list[0]
		if m.Pos.File != "x.ies" || m.Pos.Line != c.line || m.Pos.Col != c.col || m.Severity != diag.Error {
			t.Errorf("%q for %q: at %d:%d, want %d:%d: %s", c.to, c.from, m.Pos.Line, m.Pos.Col, c.line, c.col, m.Text)
		}
	}
	src, err := os.ReadFile(filepath.Join("testdata", "lean2.ldt"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(src), "\r\n")
	for line, bad := range map[int]string{3: "7", 4: "x", 6: "1", 24: "0", 26: "0", 43: "10", 100: "-", 200: "-5"} {
		l := append([]string(nil), lines...)
		l[line-1] = bad
		w, list := eulumdat("x.ldt", []byte(strings.Join(l, "\r\n")))
		if w != nil || len(list) == 0 || list[0].Pos.Line == 0 {
			t.Errorf("line %d as %q passed: %v", line, bad, list)
		}
	}
}

func TestTiltFile(t *testing.T) {
	src := []byte("IESNA:LM-63-2002\nTILT=lamp.tlt\n1 1000 1 2 1 1 2 0 0 0\n1 1 100\n0 90\n0\n100 0\n")
	w, list := lm63("x.ies", src)
	if w != nil || len(list) != 1 || list[0].Severity != diag.Error || list[0].Pos.Line != 2 {
		t.Errorf("a tilt file nobody fetches: %v", list)
	}
	gone := Options{Files: func(string) ([]byte, error) { return nil, os.ErrNotExist }}
	if w, list = gone.Parse("x.ies", src); w != nil || list[0].Pos.Line != 2 {
		t.Errorf("a tilt file that is absent: %v", list)
	}
	w, list = Options{Files: func(string) ([]byte, error) {
		return []byte("2\n2\n0 90\n1.0 0.8\n"),
			nil
	}}.Parse("x.ies", src)
	if w == nil || len(list) != 0 || w.Tilt.Factor(45) != 0.9 {
		t.Errorf("tilt file: %v", list)
	}
}
