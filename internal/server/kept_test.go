package server

import (
	"context"
	"net/http"
	"path/filepath"
	"testing"

	"halfstop/answer"
	"halfstop/internal/records"
	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/record"
	"halfstop/render"
	"halfstop/shoot"
)

const keptShoot = `halfstop: 1
room: {size: [5, 4, 2.6], surfaces: {walls: mid grey, floor: dark wood, ceiling: white emulsion}}
setups:
  - name: Chair
    camera: {at: [3.6, 2.0, 1.3], aim: sitter.eyes, lens: 60 mm, aperture: f/4, shutter: 1/60 s, iso: 400}
    sitter: {at: [1.6, 2.0], faces: camera}
    lights:
      - {role: key, head: battery head 200, modifier: softbox 60x90, at: [2.6, 3.2, 1.9], power: 1/32}
`

// recorded writes a small record of a text's first setup below dir and gives its folder.
func recorded(t testing.TB, dir, text string, samples int) string {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(text), shoot.Options{})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	job := &answer.Job{File: f, Doc: doc}
	made, list, err := record.Make(context.Background(), job, 0,
		record.Work{Meter: meter.Work{Seed: 1, Error: 0.1, Samples: 1 << 10}})
	if err != nil || made == nil {
		t.Fatal(err, list.Text())
	}
	frame, list, err := job.Frame(context.Background(), 0, answer.FrameWork{
		Work: render.Work{Width: 96, Height: 64, Samples: samples, Seed: 1}})
	if err == nil && frame != nil {
		err = frame.Denoise(context.Background())
	}
	if err != nil || frame == nil {
		t.Fatal(err, list.Text())
	}
	files, err := records.Pictures(made.Record, frame)
	if err != nil {
		t.Fatal(err)
	}
	files = append(files, records.File{Name: records.DialledName, Data: []byte(text)},
		records.File{Name: records.PlannedName, Data: []byte(text)},
		records.File{Name: records.RecordName, Data: made.Record.Encode()})
	p, err := records.Write(dir, records.Slug(made.Record.Date, made.Record.Setup), files)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestKeptPicture: the workbench opens a record with the picture that was kept: of the record's
// size and samples, not of those that would be traced; another power is a factor, a light that is
// off a layer less, another place is traced.
func TestKeptPicture(t *testing.T) {
	dir := recorded(t, t.TempDir(), keptShoot, 3)
	s, err := store.Read(filepath.Join(dir, "shoot.yaml"), nil)
	if err != nil {
		t.Fatal(err)
	}
	c := start(t, Options{Shoot: s, Journals: t.TempDir(), Samples: 4})
	last := func() (head LayersHead, first []byte) {
		res, err := http.Get("http://" + c.s.Address + "/api/setup/0/layers?w=64")
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		passes(t, res.Body, func(h LayersHead, data []byte) bool {
			head, first = h, data
			return !h.Last
		})
		return head, first
	}
	was, bytes := last()
	if was.Samples != 3 || was.Width != 96 || was.Pass != 1 {
		t.Fatalf("not the kept picture: %d × %d, %d samples, pass %d", was.Width, was.Height, was.Samples, was.Pass)
	}
	c.edit("power", "", Edit{Set: "setups[0].lights[0].power", Value: "1/16"})
	now, after := last()
	if now.Samples != 3 || now.Layers[0].K < 1.9*was.Layers[0].K || string(bytes) != string(after) {
		t.Errorf("a stop more is no factor: %d samples, %g against %g", now.Samples, now.Layers[0].K, was.Layers[0].K)
	}
	c.edit("off", "", Edit{Set: "setups[0].lights[0].off", Value: "true"})
	if off, _ := last(); off.Samples != 3 || len(off.Layers) != len(was.Layers)-1 {
		t.Errorf("a light switched off is traced: %d samples, %d layers", off.Samples, len(off.Layers))
	}
	c.edit("on", "", Edit{Set: "setups[0].lights[0].off", Value: "false"})
	c.edit("place", "", Edit{Set: "setups[0].lights[0].at", Value: "[2.6, 3.0, 1.9]"})
	if moved, _ := last(); moved.Samples != 4 || moved.Width != 64 {
		t.Errorf("a light that moved is not traced: %d samples, %d wide", moved.Samples, moved.Width)
	}
}
