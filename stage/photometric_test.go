package stage

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/photometry"
	"halfstop/shoot"
)

// withFiles builds a shoot whose files lie in a map.
func withFiles(t *testing.T, yaml string, files map[string]string) (*Stage, diag.List) {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(yaml), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	return Build(f, doc, 0, Options{Detail: figure.Shadow, Files: func(name string) ([]byte, error) {
		if s, ok := files[name]; ok {
			return []byte(s), nil
		}
		return nil, os.ErrNotExist
	}})
}

const track = "halfstop: 1\nroom:\n  size: [4, 5, 2.7]\n  practicals:\n    - {name: track, at: [2, 2.5, 2.6], " +
	"photometry: lamps/track.ies%s}\nsetups:\n  - name: s\n"

// sided is a downlight bright towards C90 only (cd).
const sided = "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 5 1 2 0 0 0\n1 1 100\n0 90\n0 90 180 270 360\n5 1\n5 9\n5 " +
	"1\n5 0\n5 1\n"

// TestPlaneC0OnThePlan: LM-63-2002 counts the C planes counterclockwise in a horizontal plane. Of a
// practical that shines down C0 lies towards +x and C90 towards +y of the plan; `turn` turns both
// anticlockwise; one that is aimed level has C0 at its left and C90 below, seen from behind.
func TestPlaneC0OnThePlan(t *testing.T) {
	for _, c := range []struct {
		extra string
		at    geom.Vec // the direction of C90
	}{
		{"", geom.V(0, 1, 0)},
		{", turn: 30 deg", geom.V(-math.Sin(30*deg), math.Cos(30*deg), 0)},
		{", turn: -90 deg", geom.V(1, 0, 0)},
		{", aim: [2, 5, 2.6]", geom.V(0, 0, -1)},
		{", aim: [2, 5, 2.6], turn: 90 deg", geom.V(1, 0, 0)},
	} {
		s, list := withFiles(t, fmt.Sprintf(track, c.extra), map[string]string{"lamps/track.ies": sided})
		if s == nil {
			t.Fatal(list.Text())
		}
		p := &s.Shoot.Room.Practicals[0]
		at := vec3(*p.At)
		w, _ := photometry.Options{}.Parse("x", []byte(sided))
		f := webFactor(w, s.practicalFrame(p, at, ""))
		if got, back := f(c.at), f(c.at.Mul(-1)); math.Abs(got-9.0/5) > 1e-9 || back > 1e-9 {
			t.Errorf("%q: %.3f of the axis towards C90 and %.3f against it; want 1.8 and 0", c.extra, got, back)
		}
	}
}

// TestPhotometricNotes: what the reader of a photometric file noted reaches the list of messages
// with file and line; a file that does not agree with itself stops the setup.
func TestPhotometricNotes(t *testing.T) {
	over := strings.Replace(sided, "1 -1 1", "1 2 1", 1)
	s, list := withFiles(t, fmt.Sprintf(track, ""), map[string]string{"lamps/track.ies": over})
	if s == nil || !strings.Contains(list.Text(), "lamps/track.ies:3:1: caution: the table gives") {
		t.Errorf("more light than its lamps: %s", list.Text())
	}
	for what, file := range map[string]string{
		"track.ies:10:3": strings.Replace(sided, "1 2 5 1 2", "1 2 4 1 2", 1),
		"track.ies:2:1":  strings.Replace(sided, "NONE", "gone.tlt", 1),
	} {
		s, list := withFiles(t, fmt.Sprintf(track, ""), map[string]string{"lamps/track.ies": file})
		if s != nil || !strings.Contains(list.Text(), what) {
			t.Errorf("%s: %s", what, list.Text())
		}
	}
	// A tilt file is looked for beside the photometric file, and its loss counts by the angle from
	// straight down.
	tilted := strings.Replace(sided, "NONE", "lamp.tlt", 1)
	if s, list := withFiles(t, fmt.Sprintf(track, ""),
		map[string]string{"lamps/track.ies": tilted, "lamps/lamp.tlt": "1 2 0 90 1 0.5"}); s == nil {
		t.Fatal(list.Text())
	}
	w, _ := photometry.Options{Files: func(string) ([]byte, error) {
		return []byte("1 2 0 90 1 0.5"),
			nil
	}}.Parse("x", []byte(tilted))
	for _, c := range []struct{ z, want float64 }{{-1, 1}, {-math.Cos(45 * deg), 0.75}, {0, 0.5}, {1, 0.5}} {
		if got := tiltFactor(w, geom.V(math.Sqrt(1-c.z*c.z), 0, c.z)); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("tilted to z = %.2f: %.4f, want %.4f", c.z, got, c.want)
		}
	}
}

// TestLampSetOfAHead: a head of the kit carries the notes of its file too.
func TestLampSetOfAHead(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "photometry", "testdata", "cosine.ldt"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(src), "\r\n")
	set := append([]string{}, lines[26:32]...)
	set[2] = "2000"
	two := append(append(append([]string{}, lines[:25]...), "2"),
		append(append([]string{}, lines[26:32]...), append(set, lines[32:]...)...)...)
	yaml := "halfstop: 1\nkit:\n  heads: [{name: panel, kind: continuous, photometry: p.ldt, lamp set: " +
		"%d}]\nroom: {size: [4, 5, 2.7]}\nsetups:\n  - name: s\n    lights: [{name: key, head: panel, at: [2, 2, " +
		"2], aim: [2, 4, 1]}]\n"
	var axial [3]float64
	for set := 1; set <= 2; set++ {
		s, list := withFiles(t, fmt.Sprintf(yaml, set), map[string]string{"p.ldt": strings.Join(two, "\r\n")})
		if s == nil || !strings.Contains(list.Text(), fmt.Sprintf("set %d is taken", set)) {
			t.Fatalf("set %d: %s", set, list.Text())
		}
		axial[set] = s.Layers[len(s.Layers)-1].Source.AxialFull
	}
	if r := axial[2] / axial[1]; math.Abs(r-2) > 1e-9 {
		t.Errorf("2000 lm against 1000 lm of lamps: ratio %g", r)
	}
}
