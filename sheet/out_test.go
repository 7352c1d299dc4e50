package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func mustDraw(t *testing.T, p Plan, opt Options) *Drawing {
	t.Helper()
	d, err := Draw(p, opt)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Equal plans give equal bytes, drawn anew; the date is the caller's or none.
func TestPDFIsRepeatable(t *testing.T) {
	a, b := mustDraw(t, crowded(7), Options{}), mustDraw(t, crowded(7), Options{})
	if !bytes.Equal(a.PDF(), b.PDF()) || !bytes.Equal(a.PDF(), a.PDF()) {
		t.Error("two drawings of one plan give different PDF bytes")
	}
	if !bytes.Equal(a.SVG(), b.SVG()) {
		t.Error("two drawings of one plan give different SVG bytes")
	}
	if bytes.Contains(a.PDF(), []byte("CreationDate")) {
		t.Error("a date nobody gave")
	}
	d := mustDraw(t, aisle(), Options{Date: "20261125170100"})
	if !bytes.Contains(d.PDF(), []byte("/CreationDate(D:20261125170100)")) {
		t.Error("the date given is not in the PDF")
	}
}

// Every entry of the cross-reference table points at its object, and streams are as long as they
// say (ISO 32000-1, 7.5.4).
func TestPDFStructure(t *testing.T) {
	b := mustDraw(t, odd()["many"], Options{}).PDF()
	at := regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`).FindSubmatch(b)
	if at == nil {
		t.Fatal("no startxref")
	}
	start, _ := strconv.Atoi(string(at[1]))
	lines := strings.Split(string(b[start:]), "\n")
	var n int
	if _, err := fmt.Sscanf(lines[1], "0 %d", &n); err != nil || lines[0] != "xref" {
		t.Fatalf("table head %q %q", lines[0], lines[1])
	}
	for i := 1; i < n; i++ {
		if len(lines[2+i]) != 19 {
			t.Errorf("entry %d is %d letters and a line feed, want 19 and one", i, len(lines[2+i]))
		}
		off, _ := strconv.Atoi(lines[2+i][:10])
		if !bytes.HasPrefix(b[off:], []byte(fmt.Sprintf("%d 0 obj\n", i))) {
			t.Errorf("object %d is not at %d", i, off)
		}
	}
	for _, m := range regexp.MustCompile(`/Length (\d+)>>\nstream\n`).FindAllSubmatchIndex(b, -1) {
		l, _ := strconv.Atoi(string(b[m[2]:m[3]]))
		if !bytes.HasPrefix(b[m[1]+l:], []byte("\nendstream")) {
			t.Errorf("a stream at %d is not %d long", m[1], l)
		}
	}
}

// The readers of another project find the words, the typeface and no fault. Skipped where they are
// not installed.
func TestPDFIsReadBack(t *testing.T) {
	for _, tool := range []string{"pdftotext", "pdffonts", "pdfinfo"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed", tool)
		}
	}
	file := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(file, mustDraw(t, aisle(), Options{}).PDF(), 0o644); err != nil {
		t.Fatal(err)
	}
	run := func(name string, arg ...string) string {
		out, err := exec.Command(name, arg...).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, out)
		}
		return string(out)
	}
	text := run("pdftotext", "-layout", file, "-")
	for _, want := range []string{"Launderette at dusk", "Aisle", "7.20", "Ø 1.50", "1/16 + 0.7", "f/2.8⁷", "−1.1",
		"60×90 softbox", "Key stand stands in the walkway", "1:50", "17:22, 25 Nov", "2.23", "4800", "lens"} {
		if !strings.Contains(text, want) {
			t.Errorf("pdftotext does not find %q", want)
		}
	}
	// Haloes must not double the words.
	if n := strings.Count(text, "0.90 × 0.60"); n != 1 {
		t.Errorf("the size of the fill is found %d times", n)
	}
	fonts := run("pdffonts", file)
	if n := strings.Count(fonts, "yes yes yes"); n != 3 {
		t.Errorf("want three fonts embedded, subset and with Unicode:\n%s", fonts)
	}
	info := run("pdfinfo", file)
	if !strings.Contains(info, "A4") || !strings.Contains(info, "Launderette at dusk: Aisle") ||
		strings.Contains(info, "rror") {
		t.Errorf("pdfinfo: %s", info)
	}
}

// The SVG is well-formed, names nothing outside itself, and holds every run of text.
func TestSVGIsWellFormed(t *testing.T) {
	p := aisle()
	p.Title.Setup = `A<b> & "c"`
	d := mustDraw(t, p, Options{})
	dec := xml.NewDecoder(bytes.NewReader(d.SVG()))
	var texts []string
	in := false
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			in = e.Name.Local == "text"
			for _, a := range e.Attr {
				if a.Name.Local == "href" && !strings.HasPrefix(a.Value, "data:") {
					t.Errorf("%s points outside: %s", e.Name.Local, a.Value)
				}
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Errorf("%s has %s=%q", e.Name.Local, a.Name.Local, a.Value)
				}
			}
		case xml.CharData:
			if in {
				texts = append(texts, string(e))
			}
		case xml.EndElement:
			in = false
		}
	}
	n := 0
	for _, it := range d.pages[0].items {
		if it.text != "" {
			if n >= len(texts) || texts[n] != it.text {
				t.Fatalf("text %d is not %q", n, it.text)
			}
			n++
		}
	}
	if n < 100 {
		t.Errorf("%d runs of text", n)
	}
}

// Chrome has no hue: every ink that is not a light's is
// grey; the only colours are those the plan gives.
func TestNoHueButLight(t *testing.T) {
	p := aisle()
	p.Picture = nil
	for i := range p.Lights {
		p.Lights[i].Colour = [3]float64{0.8, 0.8, 0.8}
	}
	p.Room.Windows[0].Colour = [3]float64{}
	for _, it := range mustDraw(t, p, Options{}).pages[0].items {
		for _, c := range []ink{it.fill, it.stroke} {
			if c.r != c.g || c.g != c.b {
				t.Errorf("an ink of %v", c)
			}
		}
	}
}

// PNG and the drawing agree: the wall's inner corners are
// black outside and white inside, at 7.20 m over 1:50.
func TestPNGShowsTheWall(t *testing.T) {
	p := aisle()
	p.Lights, p.Panels, p.Objects, p.Camera, p.Readings, p.Cautions = nil, nil, nil, nil, nil, nil
	p.Room.Outlets = nil
	d := mustDraw(t, p, Options{Scale: 50})
	w, err := fit(&p, Options{Scale: 50}, margin, margin, 194, (281-titleMM)*0.67)
	if err != nil {
		t.Fatal(err)
	}
	m := d.PNG(1, 254) // ten dots a millimetre
	dark := func(x, y float64) bool {
		r, _, _, _ := m.At(int(x*10), int(y*10)).RGBA()
		return r < 0x4000
	}
	y := w.plan.y1 - 0.6*w.k // 0.6 m up: no window, no door
	for _, c := range []struct {
		x    float64
		dark bool
	}{{w.plan.x0 - 0.3, true}, {w.plan.x0 + 0.3, false}, {w.plan.x1 - 0.3, false}, {w.plan.x1 + 0.3, true},
		{w.plan.x0 - w.wall - 0.3, false}} {
		if dark(c.x, y) != c.dark {
			t.Errorf("at %.2f, %.2f mm: dark %v, want %v", c.x, y, dark(c.x, y), c.dark)
		}
	}
	if got := m.Bounds(); got != image.Rect(0, 0, 2100, 2970) {
		t.Errorf("A4 at 254 dpi is %v", got)
	}
}

// A plan that cannot be drawn is refused in words that say what and what to do; all faults at once.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		change func(p *Plan, o *Options)
		want   []string
	}{
		{func(p *Plan, o *Options) { p.Lights[0].Bodies[0].At.X = math.NaN() },
			[]string{`light 1 "Key", its place is not a number`, "give metres"}},
		{func(p *Plan, o *Options) { p.Room.Outline[1][0] = 7200 },
			[]string{"corner 2 of the room is 7200", "not millimetres"}},
		{func(p *Plan, o *Options) { p.Room.Windows[0].Wall = 9 }, []string{`window 1 "street window" is in wall 9`,
			"walls 1 to 4"}},
		{func(p *Plan, o *Options) { p.Room.Doors[0].Width = 5 },
			[]string{`door 1 "door" runs from 0.90 to 5.90 m along wall 2, which is 3.80 m long`}},
		{func(p *Plan, o *Options) { p.Lights[1].Field.Stops = p.Lights[1].Field.Stops[1:] },
			[]string{"values: give one a node"}},
		{func(p *Plan, o *Options) { p.Lights[1].Field.DX = 0 }, []string{"steps of 0"}},
		{func(p *Plan, o *Options) { p.Sitters[0].Pose = "flying" },
			[]string{`the pose "flying": write standing, seated or leaning`}},
		{func(p *Plan, o *Options) { p.Room.Outline = p.Room.Outline[:2] }, []string{"has 2 corners"}},
		{func(p *Plan, o *Options) { p.Room.Outline = box(0, 0, 600, 400) },
			[]string{"600.0 × 400.0 m", "too large for A4 even at 1:500"}},
		{func(p *Plan, o *Options) { o.Date = "today" }, []string{"YYYYMMDDhhmmss"}},
		{func(p *Plan, o *Options) { p.Lights[0].Stand.Radius = 42; p.Lights[2].Bodies[0].Shape = "blob" },
			[]string{"radius: give metres", `the shape "blob"`}},
	} {
		p, o := aisle(), Options{}
		c.change(&p, &o)
		_, err := Draw(p, o)
		if err == nil {
			t.Errorf("want %q, got no error", c.want)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("error %q does not say %q", err, w)
			}
		}
	}
}

// FuzzDraw throws figures and words at a plan: an error or a sheet, never a panic, and no NaN in
// what is written.
func FuzzDraw(f *testing.F) {
	f.Add(7.2, 3.8, 2.75, 3.4, 1.95, 1.62, 0.5, "Key", uint8(0))
	f.Add(math.NaN(), 3.8, 2.75, 3.4, 1.95, 1.62, 0.5, "Key", uint8(1))
	f.Add(1e300, -1e300, math.Inf(1), 0.0, 0.0, 0.0, 0.0, "\x00\xff\u2028", uint8(2))
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, "", uint8(3))
	f.Add(999.0, 0.001, 0.001, 999.0, -999.0, 999.0, 1e-9, strings.Repeat("W", 300), uint8(4))
	f.Add(1e-3, 1e-3, 1e-3, 1e-3, 1e-3, 1e-3, 1e-3, "漢字 кириллица", uint8(5))
	f.Add(-7.2, 3.8, 1e-300, 3.4, 5e-324, 1.62, 1e-200, "a b", uint8(6))
	f.Fuzz(func(t *testing.T, w, d, h, x, y, z, size float64, word string, kind uint8) {
		p := aisle()
		p.Room = Room{Outline: box(0, 0, w, d), Ceiling: h}
		if kind%3 == 1 {
			p.Room = Room{}
		}
		p.Objects = []Object{{Name: word, Foot: box(x, y, size, size), Lo: z, Hi: h}}
		p.Sitters[0].At, p.Sitters[0].Facing, p.Sitters[0].Pose = [2]float64{x, y}, z,
			[]Pose{PoseStanding, PoseSeated, PoseLeaning}[kind%3]
		p.Camera.At.X, p.Camera.Aim.Y, p.Camera.HalfWidth, p.Camera.Far = x, y, size, d
		p.Lights = p.Lights[:2]
		l := &p.Lights[0]
		l.Role, l.Words, l.Dial = word, word, word
		l.Bodies = []Body{l.Bodies[0]}
		b := &l.Bodies[0]
		b.At.X, b.At.Y, b.At.Z, b.Width, b.Depth, b.Roll = x, y, z, size, size, x
		b.Shape = []Shape{Round, Octagon, Rectangle, Ball, Tube, Umbrella, ""}[kind%7]
		l.Colour = [3]float64{x, y, z}
		l.Field = &Field{X0: x, Y0: y, DX: size, DY: size, NX: 3, NY: 3,
			Stops: []float64{x, y, z, w, d, h, math.NaN(), math.Inf(-1), math.Inf(1)}}
		p.Title.Setup, p.Title.For = word, word
		p.Cautions = []string{word}
		p.Readings[0].Over, p.Readings[0].Point = 1, word
		dr, err := Draw(p, Options{Paper: Paper(kind % 2), Feet: kind%4 > 1})
		if err != nil {
			if !strings.Contains(err.Error(), "plan cannot be drawn") && !strings.Contains(err.Error(), "too large") {
				t.Errorf("error without words: %v", err)
			}
			return
		}
		for _, g := range dr.pages {
			for _, it := range g.items {
				for _, s := range it.subs {
					for _, q := range s.pts {
						if math.IsNaN(q.x+q.y) || math.IsInf(q.x+q.y, 0) {
							t.Fatalf("a point that is no number in %+v", it)
						}
						if math.Abs(q.x) > 5e4 || math.Abs(q.y) > 5e4 {
							t.Fatalf("a point 50 m off the sheet: %v", q)
						}
					}
				}
			}
		}
		dr.PDF()
		dr.PNG(1, 36)
		if err := xml.Unmarshal(dr.SVG(), new(struct{})); err != nil {
			t.Errorf("SVG: %v", err)
		}
	})
}
