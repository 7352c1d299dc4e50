package record

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
)

// den is a small room unlike the demonstration.
const den = `halfstop: 1
shoot: {title: Den, date: 2026-02-01}
room:
  size: [5, 4, 2.6]
  surfaces: {walls: mid grey, floor: dark wood, ceiling: white emulsion}
  practicals:
    - {name: lamp, kind: bulb, at: [0.5, 0.5, 1.4], emitter: {shape: sphere, size: 80 mm, flux: 400 lm}, colour: 2700 K}
setups:
  - name: Chair
    camera: {at: [3.6, 2.0], height: 1.3 m, aim: sitter.eyes, lens: 60 mm, aperture: f/4,
             shutter: 1/60 s, iso: 400, white balance: 5200 K}
    sitter: {at: [1.6, 2.0], faces: camera, turn: 10 deg}
    lights:
      - {role: key, why: "the lamp, grown up", head: battery head 200,
         modifier: softbox 60x90, at: [2.6, 3.2], height: 1.9 m, power: 1/32}
      - {role: edge, head: battery head 200, modifier: standard reflector, grid: grid 20,
         at: [0.6, 0.7], height: 2.2 m, aim: sitter.hair, power: 1/64}
    look:
      - {point: face key side, reads: f/4}
`

func jobOf(t testing.TB, text string) *answer.Job {
	t.Helper()
	f, doc, list := shoot.Parse("test.yaml", []byte(text), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	return &answer.Job{File: f, Doc: doc}
}

func madeOf(t testing.TB, j *answer.Job, reads ...Read) *Made {
	t.Helper()
	m, list, err := Make(context.Background(), j, 0,
		Work{Meter: meter.Work{Seed: 1, Error: 0.05, Samples: 1 << 12}, Reads: reads})
	if err != nil || m == nil {
		t.Fatal(err, list.Text())
	}
	return m
}

func frameOf(t testing.TB, j *answer.Job, w, h int) *render.Frame {
	t.Helper()
	return frameSeeded(t, j, w, h, 1)
}

func frameSeeded(t testing.TB, j *answer.Job, w, h int, seed uint64) *render.Frame {
	t.Helper()
	f, list, err := j.Frame(context.Background(), 0, answer.FrameWork{
		Work: render.Work{Width: w, Height: h, Samples: 2, Seed: seed}})
	if err == nil && f != nil {
		err = f.Denoise(context.Background())
	}
	if err != nil || f == nil {
		t.Fatal(err, list.Text())
	}
	return f
}

// TestMake: what a record says of a setup, and that it reads back as it was written.
func TestMake(t *testing.T) {
	r := madeOf(t, jobOf(t, den), Read{Point: "face key side", N: 4}).Record
	if len(r.Lights) != 2 || r.Lights[0].Why != "the lamp, grown up" || len(r.House) != 1 ||
		r.House[0].Word != "bulb" {
		t.Errorf("lights %+v, house %+v", r.Lights, r.House)
	}
	p := r.Point("face key side")
	if p == nil || p.Metered != "f/4 + 0.0" || math.Abs(p.Off-2*math.Log2(4/p.N)) > 0.006 {
		t.Errorf("the reading is %+v", p)
	}
	var sum float64
	for _, s := range p.Shares {
		sum += s
	}
	if math.Abs(sum-1) > 0.005 { // shares under a thousandth are left out
		t.Errorf("the shares of the lights add up to %g", sum)
	}
	if r.Room.Length != 5 || r.Room.Height != 2.6 || !(r.Room.Ceiling > r.Room.Walls) {
		t.Errorf("the room is %+v", r.Room)
	}
	again, list := Decode("record.yaml", r.Encode())
	if again == nil || len(list) > 0 {
		t.Fatal(list.Text())
	}
	if !reflect.DeepEqual(r, again) {
		t.Errorf("read back it is\n%+v\nwant\n%+v", again, r)
	}
	if !bytes.Equal(again.Encode(), r.Encode()) {
		t.Error("written again it is another text")
	}
}

// TestNewer: a record of a newer version is refused with the version and what to do.
func TestNewer(t *testing.T) {
	_, list := Decode("record.yaml", []byte("halfstop record: 7\nsetup: A\nsome new key: 1\n"))
	if list.ExitCode() == 0 || list[0].Code != "record.newer" || !strings.Contains(list[0].Text, "version 7") {
		t.Errorf("it said %s", list.Text())
	}
}

// TestRemixed: layers kept and unpacked mix to the picture that was traced, within the rounding
// that the record states; turned by a stop, to what a trace of the turned setup gives.
func TestRemixed(t *testing.T) {
	j := jobOf(t, den)
	f := frameOf(t, j, 96, 64)
	data, l, err := Pack(f, Most)
	if err != nil {
		t.Fatal(err)
	}
	stage := func(j *answer.Job) *render.Frame {
		s, list := j.Stage(0, figure.Shadow)
		if s == nil {
			t.Fatal(list.Text())
		}
		return &render.Frame{Stage: s}
	}
	kept, err := l.Unpack(data, stage(j).Stage)
	if err != nil {
		t.Fatal(err)
	}
	near := func(name string, got, want *render.Frame) {
		a, b := got.Linear(-1), want.Linear(-1)
		for i := range a {
			// Each layer is within the rounding of each channel; what is small within a step.
			if d := math.Abs(a[i].Y - b[i].Y); d > 1.5*l.Within*b[i].Y+0.002 {
				t.Fatalf("%s: pixel %d has Y %g, want %g", name, i, a[i].Y, b[i].Y)
			}
		}
	}
	near("as recorded", kept, f)
	turned := jobOf(t, strings.Replace(strings.Replace(den, "power: 1/32", "power: 1/16", 1), "iso: 400",
		"iso: 200", 1))
	mixed, err := Remix(kept, stage(turned).Stage)
	if err != nil {
		t.Fatal(err)
	}
	// The same seed, but which rims of lamps get more samples goes by the levels: so a new trace
	// has other noise in places. It is far nearer than a trace with another seed.
	trace := func(seed uint64) []spectrum.XYZ { return frameSeeded(t, turned, 96, 64, seed).Linear(-1) }
	rms := func(a, b []spectrum.XYZ) float64 {
		var square float64
		for i := range a {
			d := (a[i].Y - b[i].Y) / (b[i].Y + 0.002)
			square += d * d
		}
		return math.Sqrt(square / float64(len(a)))
	}
	one := trace(1)
	if d, noise := rms(mixed.Linear(-1), one), rms(trace(2), one); d > noise/2 {
		t.Errorf("turned: %.2f %% off a new trace, two traces differ by %.2f %%", 100*d, 100*noise)
	}
	// Switched off, a light of the setup or of the house is a layer less: the picture is the
	// others' sum, and one that was off when it was recorded is refused.
	for _, c := range []struct{ name, text string }{
		{"edge", strings.Replace(den, "role: edge,", "role: edge, off: true,", 1)},
		{"lamp", strings.Replace(den, "    look:", "    off: [lamp]\n    look:", 1)},
	} {
		mixed, err := Remix(kept, stage(jobOf(t, c.text)).Stage)
		if err != nil {
			t.Errorf("%s off: %v", c.name, err)
			continue
		}
		all, gone, left := kept.Linear(-1), kept.Linear(kept.Stage.LayerNamed(c.name)), mixed.Linear(-1)
		for i := range left {
			if d := math.Abs(left[i].Y - (all[i].Y - gone[i].Y)); d > 1e-5*(1+all[i].Y) {
				t.Fatalf("%s off: pixel %d has Y %g, want %g", c.name, i, left[i].Y, all[i].Y-gone[i].Y)
			}
		}
		if _, err := Remix(mixed, stage(j).Stage); err == nil {
			t.Errorf("%s: a light that was off is mixed without a layer", c.name)
		}
	}
	again, _, err := Pack(kept, Most)
	if err != nil || !bytes.Equal(again, data) {
		t.Errorf("packed again it is another file (%v)", err)
	}
	moved := jobOf(t, strings.Replace(den, "at: [2.6, 3.2]", "at: [2.7, 3.3]", 1))
	if _, err := Remix(kept, stage(moved).Stage); err == nil || !strings.Contains(err.Error(), "key") {
		t.Errorf("a light that moved: %v", err)
	}
	if _, err := l.Unpack(data[:len(data)/2], stage(j).Stage); err == nil {
		t.Error("half a file is read without a word")
	}
}

// TestPackFits: layers are rounded, then halved, until they fit.
func TestPackFits(t *testing.T) {
	f := frameOf(t, jobOf(t, den), 96, 64)
	for _, most := range []int{20 << 10, 8 << 10, 4 << 10} {
		data, l, err := Pack(f, most)
		if err != nil || len(data) > most {
			t.Fatalf("%d bytes of %d: %v", len(data), most, err)
		}
		t.Logf("%d bytes: %d × %d, %d bits", len(data), l.Width, l.Height, l.Bits)
	}
}

// TestZones: shares of the zones add up to the picture, lights to each zone.
func TestZones(t *testing.T) {
	var whole float64
	for _, z := range Zones(frameOf(t, jobOf(t, den), 96, 64)) {
		whole += z.Share
		var sum float64
		for _, s := range z.Shares {
			sum += s
		}
		if math.Abs(sum-1) > 0.02 || z.Darkest > z.Top {
			t.Errorf("%+v", z)
		}
	}
	if math.Abs(whole-1) > 0.01 {
		t.Errorf("the zones are %g of the picture", whole)
	}
}

func ExampleDecode() {
	r, _ := Decode("record.yaml", []byte("halfstop record: 1\nsetup: Aisle\npoints:\n"+
		"  - {name: face key side, f-number: 4, level stops: 0.1}\n"))
	fmt.Println(r.Setup, r.Point("face key side").N)
	// Output: Aisle 4
}
