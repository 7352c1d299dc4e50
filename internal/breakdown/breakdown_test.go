package breakdown

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
	"halfstop/photo"
	"halfstop/record"
	"halfstop/render"
	"halfstop/shoot"
)

// planted are private facts of the shoot below and of its log, in every place that takes text.
var planted = []string{"Zebrowski", "Quillfeather", "Marigold", "Hollowgate", "Thornbury", "1987-06-05",
	"51.4321", "-2.5678",
	"Wimbleton", "18:47", "19:23", "Pemberton", "0123 456 7890", "q@marigold.example", "secret-mesh", "IMG_9911",
	"bring the cheque", "owes us money", "under the mat", "isolates it himself", "Europe/Zagreb", "Zagreb"}

const shootText = `halfstop: 1
shoot:
  title: Marigold Zebrowski for Hollowgate
  date: 1987-06-05
  place: {latitude: 51.4321, longitude: -2.5678, zone: Europe/Zagreb}
  hours: {access: "18:47", out: "19:23"}
  notes: bring the cheque
day: {people: [{name: Quillfeather, does: [photographer]}]}
accepted: [{code: day.way, reason: the owner isolates it himself}]
room:
  size: [5, 4, 2.6]
  surfaces: {walls: mid grey, floor: dark wood, ceiling: white emulsion}
  practicals:
    - {name: Wimbleton's lamp, kind: bulb, at: [0.5, 0.5, 1.4], emitter: {shape: sphere, size: 80 mm, flux: 400 lm},
       colour: 2700 K, whose: Wimbleton}
setups:
  - name: Zebrowski at 18:47
    notes: she owes us money
    camera: {at: [3.6, 2.0], height: 1.3 m, aim: sitter.eyes, lens: 60 mm, aperture: f/4, shutter: 1/60 s, iso: 400}
    sitter: {at: [1.6, 2.0], faces: camera, turn: 10 deg}
    lights:
      - {name: Quillfeather's key, role: key, why: "Marigold likes it, call 0123 456 7890 or q@marigold.example",
         head: battery head 200, modifier: softbox 60x90, at: [2.6, 3.2], height: 1.9 m, power: 1/32}
      - {role: edge, why: the sign carried on to the hair, head: battery head 200, at: [0.6, 0.7], height: 2.2 m,
         aim: sitter.hair, power: 1/64}
    points:
      - {name: mat of Thornbury, at: [1, 3, 0.9], facing: up}
`

// fixture is one record of the shoot, with a small picture.
var fixture = sync.OnceValues(func() (*Work, error) {
	f, doc, list := shoot.Parse("shoot.yaml", []byte(shootText), shoot.Options{})
	if list.Has(diag.Error) {
		return nil, fmt.Errorf("%s", list.Text())
	}
	job := &answer.Job{File: f, Doc: doc}
	work := meter.Work{Seed: 1, Error: 0.1, Samples: 1 << 10}
	m, _, err := record.Make(context.Background(), job, 0, record.Work{Meter: work})
	if err != nil {
		return nil, err
	}
	r := m.Record
	r.Log = []record.Entry{{Kind: "note", Text: "key is under the mat", Who: "Pemberton"},
		{Kind: "note", Text: "Thornbury"}}
	r.Pictures = []record.Picture{{File: "photos/IMG_9911.jpg", Says: "photograph"}}
	frame, _, err := job.Frame(context.Background(), 0,
		answer.FrameWork{Work: render.Work{Width: 96, Height: 64, Samples: 1,
			Seed: 1}})
	if err == nil {
		err = frame.Denoise(context.Background())
	}
	if err != nil {
		return nil, err
	}
	r.Zones = record.Zones(frame)
	_, plan, _, err := job.Plan(context.Background(), 0, answer.PlanWork{Meter: work})
	if err != nil {
		return nil, err
	}
	return &Work{Record: r, Job: job, Frame: frame, Plan: plan, Photos: [][]byte{photograph()}}, nil
})

func workOf(t testing.TB, keep ...string) Work {
	t.Helper()
	w, err := fixture()
	if err != nil {
		t.Fatal(err)
	}
	c := *w
	c.Private = PrivateOf(w.Job.File, w.Record, keep)
	plan := *w.Plan
	c.Plan = &plan
	return c
}

// photograph is a JPEG with EXIF: an orientation of 6, a maker's note of a name, coordinates.
func photograph() []byte {
	img := image.NewNRGBA(image.Rect(0, 0, 40, 20))
	for x := range 40 {
		for y := range 20 {
			img.Set(x, y, color.NRGBA{uint8(6 * x), 90, 90, 255})
		}
	}
	var b bytes.Buffer
	_ = jpeg.Encode(&b, img, nil)
	le := binary.LittleEndian
	name := "Pemberton at Thornbury\x00"
	tiff := []byte("II*\x00\x08\x00\x00\x00\x03\x00")
	field := func(tag, kind uint16, n, v uint32) {
		tiff = le.AppendUint16(le.AppendUint16(tiff, tag), kind)
		tiff = le.AppendUint32(le.AppendUint32(tiff, n), v)
	}
	field(0x0112, 3, 1, 6)
	field(0x013b, 2, uint32(len(name)), 8+2+3*12+4) // Artist
	field(0x8825, 4, 1, 8+2+3*12+4+uint32(len(name)))
	tiff = append(le.AppendUint32(tiff, 0), name...)
	tiff = append(tiff, "\x00\x00\x00\x00\x00\x00"...) // a GPS directory without entries
	app := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte{}, b.Bytes()[:2]...)
	out = append(out, 0xff, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(app)+2))
	return append(append(out, app...), b.Bytes()[2:]...)
}

// TestPrivate: no planted fact is in the page, in either form, nor in what its pictures say of
// themselves; all of it is there before, so the test can fail.
func TestPrivate(t *testing.T) {
	for _, teach := range []bool{false, true} {
		w := workOf(t)
		w.Teach = teach
		made, err := HTML(w)
		if err != nil {
			t.Fatal(err)
		}
		leaks(t, string(made.Data))
		pictures := regexp.MustCompile(`data:image/jpeg;base64,([A-Za-z0-9+/=]+)`)
		for _, m := range pictures.FindAllStringSubmatch(string(made.Data), -1) {
			data, err := base64.StdEncoding.DecodeString(m[1])
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(data, []byte("Exif")) || bytes.Contains(data, []byte("http://")) {
				t.Error("a picture says something of itself")
			}
			leaks(t, string(data))
		}
		if all := strings.Join(made.Strip, "\n"); !strings.Contains(all, "names of people") ||
			!strings.Contains(all, "EXIF") ||
			!strings.Contains(all, "coordinates") || !strings.Contains(all, "telephone") {
			t.Errorf("it lists only\n%s", all)
		}
		if !bytes.Contains(made.Data, []byte("the sign carried on to the hair")) {
			t.Error("the text of why a light is there is not in it")
		}
		if len(made.Data) > Most {
			t.Errorf("%d bytes", len(made.Data))
		}
	}
}

func leaks(t *testing.T, text string) {
	t.Helper()
	low := strings.ToLower(text)
	for _, p := range planted {
		if strings.Contains(low, strings.ToLower(p)) {
			t.Errorf("%q is in it", p)
		}
	}
}

// TestKept: what is to be kept is kept, and only that.
func TestKept(t *testing.T) {
	made, err := HTML(workOf(t, "title"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(made.Data, []byte("Zebrowski")) || bytes.Contains(made.Data, []byte("Quillfeather")) {
		t.Error("--keep title keeps something else than the title")
	}
}

// TestPDF: the paper form holds the figures and no planted fact, as Debian's pdftotext and pdfinfo
// read it.
func TestPDF(t *testing.T) {
	w := workOf(t)
	made, err := PDF(w)
	if err != nil {
		t.Fatal(err)
	}
	leaks(t, string(made.Data))
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("=== NO PDFTOTEXT: THE TEXT OF THE PDF IS NOT LOOKED THROUGH ===")
	}
	name := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(name, made.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(tool, "-layout", name, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	leaks(t, string(text))
	if !bytes.Contains(text, []byte("softbox 60x90")) || !bytes.Contains(text, []byte("face key side")) {
		t.Errorf("the figures are not in it:\n%s", text)
	}
	if lead := strings.Join(strings.Fields(w.lead()), " "); !strings.Contains(strings.Join(strings.Fields(string(text)),
		" "), lead) {
		t.Errorf("the lead %q is not whole in\n%s", lead, text)
	}
	if info, err := exec.Command("pdfinfo", name).CombinedOutput(); err == nil {
		leaks(t, string(info))
	}
}

// TestTeachOnPaper: the teaching form tells nothing of the settings before its answers.
func TestTeachOnPaper(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("=== NO PDFTOTEXT: THE TEXT OF THE PDF IS NOT LOOKED THROUGH ===")
	}
	w := workOf(t)
	w.Teach = true
	made, err := PDF(w)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(name, made.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(tool, "-layout", name, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	ask, tell, found := strings.Cut(string(text), "The answers")
	if !found || !strings.Contains(ask, "How hard is the") || !strings.Contains(tell, "softbox 60x90") {
		t.Fatalf("no questions, or no answers:\n%s", text)
	}
	for _, s := range []string{"softbox", "1/32", "1/64", "f/4", "ISO", "Stands"} {
		if strings.Contains(ask, s) {
			t.Errorf("%q is told before the answers", s)
		}
	}
}

// TestUpright: a photograph is turned as its EXIF says before that is left out.
func TestUpright(t *testing.T) {
	img, _, err := photo.Decode(photograph())
	if err != nil || img.Bounds().Dx() != 20 || img.Bounds().Dy() != 40 {
		t.Fatalf("%v, %v", img.Bounds(), err)
	}
	// Orientation 6: the camera's left edge is up. Red grows along it, so it grows downwards now.
	top, _, _, _ := img.At(10, 2).RGBA()
	low, _, _, _ := img.At(10, 37).RGBA()
	if top >= low {
		t.Error("it is turned the wrong way")
	}
}

// TestClean: whole words in any case go, parts of other words stay; forms of private things go.
func TestClean(t *testing.T) {
	p := &Private{keep: map[string]bool{}, hits: map[string]bool{}}
	p.person("Ann Pike, second assistant")
	for in, want := range map[string]string{
		"ANN's octa":                     "…'s octa",
		"annealed steel by the pike":     "annealed steel by the …",
		"assistant's flag":               "assistant's flag",
		"ring at 17:40, 020 7946 0000":   "ring at …, …",
		"51.45123, -2.59456":             "…",
		"see https://x.example/a?b":      "see …",
		"C:\\shoots\\a\\b.jpg and f/5.6": "… and f/5.6",
		"1/64 - 1.2 at 5600 K":           "1/64 - 1.2 at 5600 K",
	} {
		if got := p.Clean(in); got != want {
			t.Errorf("%q gives %q, want %q", in, got, want)
		}
	}
}
