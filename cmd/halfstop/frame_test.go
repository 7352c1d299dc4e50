package main

import (
	"bytes"
	"context"
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// small is a place that a frame takes no time for: a grey card under one lamp and a second one, no
// sitter.
const small = `halfstop: 1
room:
  size: [3, 3, 2.5]
  surfaces: {all: 0.5}
setups:
  - name: one
    camera: {at: [0.3, 1.5, 1.2], aim: [3, 1.5, 1.2], lens: 35 mm, shutter: 1/60 s, iso: 400}
    lights:
      - {name: left, at: [1.5, 0.5, 2], aim: [3, 1.5, 1.2], emitter: {shape: disc, size: [0.3], intensity: 60 cd}}
      - {name: right, at: [1.5, 2.5, 2], aim: [3, 1.5, 1.2], emitter: {shape: disc, size: [0.3], intensity: 30 cd}}
  - name: two
    camera: {at: [0.3, 1.5, 1.2], aim: [3, 1.5, 1.2], lens: 35 mm, shutter: 1/60 s, iso: 400}
    lights:
      - {name: left, at: [1.5, 0.5, 2], aim: [3, 1.5, 1.2], emitter: {shape: disc, size: [0.3], intensity: 120 cd}}
`

// call runs one command line in dir on the small place.
func call(t *testing.T, ctx context.Context, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = execute(ctx, args, strings.NewReader(small), &o, &e)
	return code, o.String(), e.String()
}

func TestFrameFormats(t *testing.T) {
	dir := t.TempDir()
	for name, magic := range map[string]string{"a.png": "\x89PNG", "a.jpg": "\xff\xd8", "a.jpeg": "\xff\xd8",
		"a.tif": "II*", "a.exr": "v/1\x01"} {
		p := filepath.Join(dir, name)
		code, out, errs := call(t, t.Context(), "frame", "-", "--setup", "one", "--size", "24x16", "--samples", "2",
			"-o", p)
		data, err := os.ReadFile(p)
		if code != exitOK || err != nil || !bytes.HasPrefix(data, []byte(magic)) ||
			!strings.Contains(out, "24 × 16: one") {
			t.Errorf("%s: code %d, %v, %s%s", name, code, err, out, errs)
		}
	}
}

// The same seed gives the same picture; another seed another.
func TestFrameSeed(t *testing.T) {
	shot := func(seed string) string {
		code, out, errs := call(t, t.Context(), "frame", "-", "--setup", "one", "--size", "24x16", "--samples", "2",
			"--seed", seed, "-o", "-")
		if code != exitOK {
			t.Fatal(errs)
		}
		return out
	}
	a, again, b := shot("3"), shot("3"), shot("4")
	if a != again {
		t.Error("one seed, two pictures")
	}
	if a == b {
		t.Error("two seeds, one picture")
	}
}

func TestFrameViews(t *testing.T) {
	dir := t.TempDir()
	other := filepath.Join(dir, "other.yaml")
	if err := os.WriteFile(other, []byte(strings.ReplaceAll(small, "60 cd", "90 cd")), 0o644); err != nil {
		t.Fatal(err)
	}
	size := func(args ...string) image.Point {
		t.Helper()
		code, out, errs := call(t, t.Context(), append([]string{"frame", "-", "--size", "48x32", "--samples", "1", "-o",
			"-"}, args...)...)
		if code != exitOK {
			t.Fatalf("%v: %s", args, errs)
		}
		c, _, err := image.DecodeConfig(strings.NewReader(out))
		if err != nil {
			t.Fatalf("%v: %v", args, err)
		}
		return image.Pt(c.Width, c.Height)
	}
	if got := size("--setup", "one", "--crop", "0.25,0.5,0.75,1"); got != image.Pt(24, 16) {
		t.Errorf("crop %v", got)
	}
	if got := size("--setup", "one", "--solo", "right", "--noise", "--profile", "p3"); got != image.Pt(48, 32) {
		t.Errorf("solo %v", got)
	}
	if got := size("--setup", "one", "--stops"); got.Y <= 32 {
		t.Errorf("no key under the stops: %v", got)
	}
	for _, with := range []string{"two", other} {
		if got := size("--setup", "one", "--compare", with); got.X < 3*48 {
			t.Errorf("compare %v", got)
		}
	}
	if got := size("--sheet"); got.Y < 2*32 || got.X < 48+2*24 {
		t.Errorf("sheet %v", got)
	}
	if got := size("--setup", "one", "--error", "90%"); got != image.Pt(48, 32) {
		t.Errorf("error %v", got)
	}
}

func TestFrameMistakes(t *testing.T) {
	for want, args := range map[string][]string{
		"--crop 1,2: write": {"-o", "-", "--crop", "1,2"},
		"--error 5: write":  {"-o", "-", "--error", "5"},
		"write srgb or p3":  {"-o", "-", "--profile", "cmyk"},
		"neither a setup":   {"-o", "-", "--size", "16x16", "--samples", "1", "--compare", "nowhere"},
		"leave one out":     {"-o", "-", "--stops", "--noise"},
	} {
		code, out, errs := call(t, t.Context(), append([]string{"frame", "-"}, args...)...)
		if code != exitInput || !strings.Contains(errs, want) || out != "" {
			t.Errorf("%v: code %d, %q, want %q", args, code, errs, want)
		}
	}
}
