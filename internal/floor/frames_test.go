package floor

import (
	"bytes"
	"context"
	"encoding/binary"
	"image/jpeg"
	"math"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
)

// exposed is a JPEG with its exposure data (EXIF 2.3): f/4, 1/125 s, ISO 100, and when it was
// taken by the camera's clock.
func exposed(t testing.TB, img []byte, taken time.Time) []byte {
	t.Helper()
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	b.WriteString("II")
	put(uint16(42))
	put(uint32(8))
	put(uint16(1)) // a pointer to the EXIF directory at 26
	put([]uint16{0x8769, 4})
	put([]uint32{1, 26, 0})
	put(uint16(4)) // ends at 26+2+48+4 = 80
	put([]uint16{0x829A, 5})
	put([]uint32{1, 80})
	put([]uint16{0x829D, 5})
	put([]uint32{1, 88})
	put([]uint16{0x8827, 3})
	put(uint32(1))
	put([]uint16{100, 0})
	put([]uint16{0x9003, 2})
	put([]uint32{20, 96})
	put(uint32(0))
	put([]uint32{1, 125, 4, 1})
	b.WriteString(taken.Format("2006:01:02 15:04:05") + "\x00")
	seg := append([]byte("Exif\x00\x00"), b.Bytes()...)
	out := binary.BigEndian.AppendUint16([]byte{0xFF, 0xD8, 0xFF, 0xE1}, uint16(len(seg)+2))
	return append(append(out, seg...), img[2:]...)
}

// told reports whether a frame's lights are told apart.
func told(v *View, frame int) bool { return v.Frames[frame].Ready && !v.Frames[frame].First }

// TestFrames drops files into the watched folder as tethering software does, one of them in two
// halves: a frame with its key off, an hour behind by the camera's clock. It comes to the setup
// that is on, its cause is named, its pictures can be had, and it can be put to another setup. A
// letter with a picture's name is said; another run of the program writes nothing twice.
func TestFrames(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	// One room, two sensitivities: a frame of ISO 100 is of the first by its settings.
	text := small[:strings.Index(small, "  - name: Second")]
	one, second := text[strings.Index(text, "  - name: First"):], "  - name: Second"
	second += strings.Replace(one[len("  - name: First"):], "iso: 100", "iso: 800", 1)
	job := parse(t, text+second)
	watched := filepath.Join(dir, "in")
	if err := os.Mkdir(watched, 0o755); err != nil {
		t.Fatal(err)
	}
	run := func() *Floor {
		f := startWith(t, dir, nil, job)
		f.Watch(watched)
		return f
	}
	f := run()
	v := until(t, f, "predictions", func(v *View) bool { return ready(v, 0) && v.Watching })
	if len(v.Setups) != 2 {
		t.Fatalf("%+v", v.Setups)
	}
	w, h := answer.Pixels(job.File.Setups[0].Camera, 240)
	fr, list, err := job.Frame(ctx, 0, answer.FrameWork{Work: render.Work{Width: w, Height: h, Samples: 8,
		Seed: 5}})
	if err != nil || fr == nil {
		t.Fatal(err, list.Text())
	}
	for l := range fr.Stage.Layers {
		if fr.Stage.Layers[l].Role == "key" {
			fr.Mix.Weight[l] = 0
		}
	}
	img := picture.Develop(fr.Grain(fr.Linear(-1), 3, 24), w, h, fr.Stage.White, spectrum.SRGB,
		render.RenderingOf(fr.Stage))
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	put := func(name string, b []byte) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(watched, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	hour := func() time.Time { return time.Now().Add(-time.Hour) }
	second1 := exposed(t, b.Bytes(), hour().Add(-2*time.Second))
	put("two.jpg", second1)
	first := exposed(t, b.Bytes(), hour())
	put("one.jpg", first[:len(first)/2])
	until(t, f, "the whole one", func(v *View) bool { return len(v.Frames) == 1 && v.Frames[0].Seq > 0 })
	put("one.jpg", first)
	v = until(t, f, "both, and the camera's clock", func(v *View) bool {
		return len(v.Frames) == 2 && told(v, 0) && told(v, 1) && v.Frames[0].Seq > 0
	})
	if d := v.Camera - 3600; d < -6 || d > 10 { // an hour; the file's seconds are whole, one came 5 s late
		t.Errorf("the camera's clock is %d s behind", v.Camera)
	}
	x := v.Frames[0]
	if x.Name != "one.jpg" || x.Setup != "First" ||
		!strings.Contains(x.How, "settings") || x.Settings != "f/4, 1/125 s, ISO 100" {
		t.Errorf("%+v", x)
	}
	if len(x.Causes) == 0 || x.Causes[0].Light != "key" || !strings.Contains(x.Causes[0].Text, "did not fire") {
		t.Errorf("causes %+v", x.Causes)
	}
	if x.Working || x.Stopped || x.Pictures < 2 { // those of the first look, and these
		t.Errorf("%+v", x)
	}
	for frame, want := range map[string]bool{x.ID: true, "?": false} {
		if err := f.StopFrame(ctx, bob, StopFrame{Frame: frame}); (err == nil) != want {
			t.Error(frame, err)
		}
	}
	// A point is marked by hand in the frame that was taken first: the later one is followed
	// from there. Then it is marked there as well, where it is not: each frame is placed by its
	// own mark.
	was := x.Points[0]
	placed := func(v *View, frame int, x float64, followed bool) bool {
		p := v.Frames[frame]
		return told(v, frame) && p.Marked != "" && strings.Contains(p.Marked, "followed") == followed &&
			math.Abs(p.Points[0].X-x) < 0.04 // what is matched near to a mark may lie 4 pixels of 120 from it
	}
	if err := f.Mark(ctx, bob, Mark{Frame: v.Frames[1].ID, Point: was.Name, X: was.X, Y: was.Y}); err != nil {
		t.Fatal(err)
	}
	until(t, f, "the later frame is followed from the mark", func(v *View) bool {
		return placed(v, 0, was.X, true) && placed(v, 1, was.X, false)
	})
	if err := f.Mark(ctx, bob, Mark{Frame: x.ID, Point: was.Name, X: was.X + 0.06, Y: was.Y}); err != nil {
		t.Fatal(err)
	}
	until(t, f, "each is placed by its own mark", func(v *View) bool {
		return placed(v, 0, was.X+0.06, false) && placed(v, 1, was.X, false)
	})
	for name, m := range map[string]Mark{"a point outside": {x.ID, was.Name, 1.2, 0.5},
		"no such point": {x.ID, "?", 0, 0},
		"no such frame": {"?", was.Name, 0, 0}} {
		if f.Mark(ctx, bob, m) == nil {
			t.Error(name, "was marked")
		}
	}
	if len(x.Points) == 0 || len(x.Lights) != 2 {
		t.Errorf("%+v", x)
	}
	for _, kind := range []string{"photo", "predicted", "difference"} {
		rec := httptest.NewRecorder()
		if err := f.getFrame(rec, httptest.NewRequest("GET", "http://x/api/frame?id="+x.ID+"&kind="+kind, nil),
			eve); err != nil || rec.Body.Len() < 500 {
			t.Error(kind, err, rec.Body.Len())
		}
	}
	for _, q := range []string{"", "id=..%2fday.db&kind=photo", "id=" + x.ID + "&kind=..", "id=" + x.ID} {
		if err := f.getFrame(httptest.NewRecorder(), httptest.NewRequest("GET", "http://x/api/frame?"+q, nil),
			eve); err == nil {
			t.Error(q, "gave something")
		}
	}
	// It is of the other setup: the entry that said this one stays, reversed.
	const other = "Second"
	if err := f.Assign(ctx, bob, Assign{Frame: x.ID, Setup: "Third"}); err == nil {
		t.Error("a setup that is not there")
	}
	if err := f.Assign(ctx, bob, Assign{Frame: x.ID, Setup: other}); err != nil {
		t.Fatal(err)
	}
	v = until(t, f, "the other setup", func(v *View) bool {
		return len(v.Frames) == 2 && v.Frames[0].Setup == other
	})
	if v.Frames[0].How != "as Bob said" {
		t.Errorf("%+v", v.Frames[0])
	}
	put("letter.jpg", []byte("dear sitter"))
	v = until(t, f, "that it is no picture", func(v *View) bool {
		return len(v.Frames) == 3 && v.Frames[0].Problem != ""
	})
	if !strings.Contains(v.Frames[0].Problem, "no picture") {
		t.Error(v.Frames[0].Problem)
	}
	// Somebody sets the clock right.
	if err := f.SetCamera(ctx, bob, CameraClock{Behind: 7200}); err != nil {
		t.Fatal(err)
	}
	until(t, f, "the clock as said", func(v *View) bool { return v.Camera == 7200 && v.CameraSaid })
	f.Close()
	g := run()
	until(t, g, "the same in another run", func(v *View) bool {
		n := 0
		for _, x := range v.Frames {
			if x.Seq > 0 {
				n++
			}
		}
		return n == 2
	})
	l, err := g.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	all, err := l.List(ctx, daylog.Filter{Kind: daylog.Frame, All: true})
	if err != nil || len(all) != 3 { // two, and the one that was put elsewhere
		t.Errorf("%d frames in the log, %v", len(all), err)
	}
	if d := time.Since(all[0].At); d > 45*time.Minute { // 5 s when nothing else runs, an hour by the camera
		t.Errorf("the first frame is of %v ago: the camera's clock was not corrected", d)
	}
}

// TestFrameGoesOn: on a slow machine a frame ends at its first look, before its setup's picture is
// predicted. When that is there it is taken up, unless somebody stopped it.
func TestFrameGoesOn(t *testing.T) {
	first := &answer.FrameTest{First: true}
	late := &shot{setup: "First", test: first, ended: true}
	none := &shot{setup: "First", none: "in 20s its picture could not be predicted", ended: true}
	stopped := &shot{setup: "First", test: first, ended: true, stopped: "Ann"}
	whole := &shot{setup: "First", test: &answer.FrameTest{}, ended: true}
	other := &shot{setup: "Second", test: first, ended: true}
	f := &Floor{shots: []*shot{late, none, stopped, whole, other}}
	w := &worker{f: f, job: parse(t, small), plans: map[int]*answer.FramePlan{}, unseen: map[int]error{}}
	w.frameTaken(tested{setup: 0, plan: &answer.FramePlan{}})
	if late.ended || none.ended || !stopped.ended || !whole.ended || !other.ended {
		t.Errorf("ended: %v %v %v %v %v", late.ended, none.ended, stopped.ended, whole.ended, other.ended)
	}
}
