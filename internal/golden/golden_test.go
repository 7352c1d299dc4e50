package golden

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

var update = os.Getenv("HALFSTOP_UPDATE") != ""

// program builds halfstop once and gives its path.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "golden")
	if err != nil {
		return "", err
	}
	at := filepath.Join(dir, "halfstop")
	out, err := exec.Command("go", "build", "-o", at, "halfstop/cmd/halfstop").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, out)
	}
	return at, err
})

func TestMain(m *testing.M) {
	code := m.Run()
	if at, err := program(); err == nil {
		os.RemoveAll(filepath.Dir(at))
	}
	os.Exit(code)
}

// run gives what a command line prints; exit code 1 (findings) is as good as 0.
func run(t *testing.T, args ...string) []byte {
	t.Helper()
	at, err := program()
	if err != nil {
		t.Fatal(err)
	}
	var errs bytes.Buffer
	c := exec.Command(at, args...)
	c.Stderr = &errs
	out, err := c.Output()
	if err != nil && c.ProcessState.ExitCode() != 1 {
		t.Fatalf("halfstop %s: %v\n%s", strings.Join(args, " "), err, errs.String())
	}
	return out
}

// kept reads a file of testdata, or writes it where the test is told to update.
func kept(t *testing.T, name string, now []byte) []byte {
	t.Helper()
	path := filepath.Join("testdata", name)
	if update {
		if err := os.WriteFile(path, now, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; HALFSTOP_UPDATE=1 writes it", err)
	}
	return b
}

// subjects are the shoots looked at: the demonstration, which has flash,
// practicals, a window, a silk and haze, and rooms unlike it.
var subjects = map[string]string{
	"demonstration": "", "white-room": "testdata/white-room.yaml", "dark-bar": "testdata/dark-bar.yaml",
	"window-only": "testdata/window-only.yaml",
}

// one is a reading as it is kept: level in stops (2 log2 of the f-number) and its standard error.
type one struct {
	Stops float64 `json:"stops"`
	Error float64 `json:"error"`
}

// TestReadings: every reading is where it was. Both were computed with errors
// of their own, so a reading may lie four of their joint standard errors off,
// and 0.01 st for rounding: of some seventy readings one in 10,000 would go
// further by chance (normal distribution, two sides, times seventy:
// 0.4 % of runs with fresh seeds; with the seed fixed it happens never or always).
func TestReadings(t *testing.T) {
	now := map[string]one{}
	for name, path := range subjects {
		args := []string{"meter", "--json", "--error", "0.04"}
		if path != "" {
			args = append(args, path)
		}
		var v struct {
			Setups []struct {
				Name   string
				Points []struct {
					Name  string
					FNum  float64 `json:"f_number"`
					Error float64 `json:"error_stops"`
				}
			}
		}
		if err := json.Unmarshal(run(t, args...), &v); err != nil {
			t.Fatal(err)
		}
		for _, s := range v.Setups {
			for _, p := range s.Points {
				if p.FNum > 0 {
					now[name+", "+s.Name+", "+p.Name] = one{round(2 * math.Log2(p.FNum)), round(p.Error)}
				}
			}
		}
	}
	text, err := json.MarshalIndent(now, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	was := map[string]one{}
	if err := json.Unmarshal(kept(t, "readings.json", append(text, '\n')), &was); err != nil {
		t.Fatal(err)
	}
	for name, w := range was {
		n, ok := now[name]
		if !ok {
			t.Errorf("%s is not metered any more", name)
			continue
		}
		if d := n.Stops - w.Stops; math.Abs(d) > 4*math.Hypot(n.Error, w.Error)+0.01 {
			t.Errorf("%s: %+.3f st against what it was, with errors of %.3f and %.3f st", name, d, n.Error, w.Error)
		}
	}
	for name := range now {
		if _, ok := was[name]; !ok {
			t.Errorf("%s is new: update on purpose", name)
		}
	}
}

func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// TestPictures: small pictures look as they did. Blocks of 6 × 6 pixels are compared by their
// means, 8 bit, since grain may fall otherwise: a block may differ by 10, which is a quarter of a
// stop in the midtones, and all of them by 1.5 on average.
func TestPictures(t *testing.T) {
	for name, path := range subjects {
		args := []string{"frame", "-o", "-", "--size", "48x48", "--samples", "16"}
		if path != "" {
			args = append(args, path)
		}
		data := run(t, args...)
		now, was := decode(t, data), decode(t, kept(t, name+".png", data))
		if now.Bounds() != was.Bounds() {
			t.Errorf("%s: %v, it was %v", name, now.Bounds(), was.Bounds())
			continue
		}
		sum, n, worst := 0.0, 0, 0.0
		for y := 0; y < 48; y += 6 {
			for x := 0; x < 48; x += 6 {
				a, b := mean(now, x, y), mean(was, x, y)
				for c := range 3 {
					d := math.Abs(a[c] - b[c])
					sum, n, worst = sum+d, n+1, max(worst, d)
				}
			}
		}
		if worst > 10 || sum/float64(n) > 1.5 {
			t.Errorf("%s: blocks differ by %.1f at most, %.2f on average", name, worst, sum/float64(n))
		}
	}
}

func decode(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// mean is the mean of a block of 6 × 6 pixels, 0 to 255.
func mean(img image.Image, x, y int) (m [3]float64) {
	for j := y; j < y+6; j++ {
		for i := x; i < x+6; i++ {
			r, g, b, _ := img.At(i, j).RGBA()
			m[0], m[1], m[2] = m[0]+float64(r)/257/36, m[1]+float64(g)/257/36, m[2]+float64(b)/257/36
		}
	}
	return m
}

// TestSheet: a sheet without chance in it is the same to the byte: point lamps in a black room.
func TestSheet(t *testing.T) {
	now := run(t, "plan", "testdata/black-room.yaml", "--format", "svg", "-o", "-", "--picture=false")
	if was := kept(t, "black-room.svg", now); !bytes.Equal(now, was) {
		t.Errorf("the sheet is another: %d bytes, it had %d; first at byte %d", len(now), len(was), differAt(now, was))
	}
}

func differAt(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

// TestShapes: what --json prints keeps its keys and their kinds (docs/json.md promises that keys
// are added, not changed or dropped, while the version stays).
func TestShapes(t *testing.T) {
	keys := map[string]bool{}
	for _, args := range [][]string{
		{"meter", "--samples", "32"}, {"check"}, {"kit", "list"},
		{"balance", "--setup", "Window bench", "--samples", "32"},
		{"match", "practicals.sign"}, {"ways", "testdata/dark-bar.yaml", "--samples", "32"},
	} {
		var v any
		if err := json.Unmarshal(run(t, append(args, "--json")...), &v); err != nil {
			t.Fatal(args, err)
		}
		walk(keys, args[0], v)
	}
	var now []string
	for k := range keys {
		now = append(now, k)
	}
	slices.Sort(now)
	was := strings.Fields(string(kept(t, "shapes.txt", []byte(strings.Join(now, "\n")+"\n"))))
	for _, k := range was {
		if !keys[k] {
			t.Errorf("%s is gone, or of another kind", k)
		}
	}
	for _, k := range now {
		if !slices.Contains(was, k) {
			t.Errorf("%s is new: update on purpose, and say so in docs/json.md", k)
		}
	}
}

// walk gathers 'meter.setups[].name:string' and the like. null says nothing of a kind.
func walk(keys map[string]bool, at string, v any) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			walk(keys, at+"."+strings.ReplaceAll(k, " ", "_"), x)
		}
	case []any:
		for _, x := range v {
			walk(keys, at+"[]", x)
		}
	case string:
		keys[at+":string"] = true
	case float64:
		keys[at+":number"] = true
	case bool:
		keys[at+":bool"] = true
	}
}
