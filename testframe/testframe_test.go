package testframe_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"halfstop/testframe"
)

// scene is a picture of patches with detail, lit by one light from a place across the frame.
func scene(at, level float64, colour [3]float64) testframe.Image {
	m := testframe.Image{W: 96, H: 64}
	r := rand.New(rand.NewPCG(3, 4))
	var patch [12 * 8]float64
	for i := range patch {
		patch[i] = 0.2 + 0.7*r.Float64()
	}
	for i := range m.W * m.H {
		x, y := i%m.W, i/m.W
		d := (float64(x) - at*96) / 40
		v := level * patch[y/8*12+x/8] / (1 + d*d)
		m.RGB = append(m.RGB, [3]float64{v * colour[0], v * colour[1], v * colour[2]})
	}
	return m
}

func sum(list ...testframe.Image) testframe.Image {
	out := list[0].Times(0)
	for _, m := range list {
		for i := range m.RGB {
			for c := range m.RGB[i] {
				out.RGB[i][c] += m.RGB[i][c]
			}
		}
	}
	return out
}

// TestBetween: a frame that lies 5 pixels across and 3 up from another is found there, with a light
// a stop under as well; a frame of something else is not alike.
func TestBetween(t *testing.T) {
	a := sum(scene(0.2, 0.4, [3]float64{1, 1, 1}), scene(0.9, 0.2, [3]float64{1, 0.8, 0.6}))
	b := sum(scene(0.2, 0.2, [3]float64{1, 1, 1}), scene(0.9, 0.2, [3]float64{1, 0.8, 0.6}))
	moved := b.Times(1)
	for y := range b.H {
		for x := range b.W {
			i, j := min(b.W-1, max(0, x-5)), min(b.H-1, max(0, y+3))
			moved.RGB[y*b.W+x] = b.RGB[j*b.W+i]
		}
	}
	s, alike := testframe.Between(&a, &moved)
	if math.Abs(s.X*96-5) > 0.5 || math.Abs(s.Y*64+3) > 0.5 || alike < 0.9 {
		t.Errorf("%+v, alike %.2f", s, alike)
	}
	r := rand.New(rand.NewPCG(1, 1))
	other := a.Times(1)
	for i := range other.RGB {
		v := 0.05 + 0.5*r.Float64()
		other.RGB[i] = [3]float64{v, v, v}
	}
	if _, alike := testframe.Between(&a, &other); alike >= testframe.Alike {
		t.Errorf("another picture is alike by %.2f", alike)
	}
}

// TestGlance: a frame that is a stop over, warmer, with somebody before a third of it, is a stop
// over and warmer at a first look.
func TestGlance(t *testing.T) {
	plan := scene(0.4, 0.2, [3]float64{1, 1, 1})
	photo := scene(0.4, 0.4, [3]float64{1.2, 1, 0.7})
	for i := range photo.RGB {
		if i%photo.W < photo.W/3 {
			photo.RGB[i] = [3]float64{0.02, 0.02, 0.03}
		}
	}
	g := testframe.Glance(&photo, &plan, testframe.Shift{})
	if y := 0.2126*1.2 + 0.7152 + 0.0722*0.7; math.Abs(g.Level-1-math.Log2(y)) > 0.02 || g.Low > -0.5 ||
		math.Abs(g.Gain[0]/g.Gain[2]-1.2/0.7) > 0.02 {
		t.Errorf("%+v", g)
	}
	if g := testframe.Glance(&photo, &testframe.Image{W: 96, H: 64, RGB: make([][3]float64, 96*64)},
		testframe.Shift{}); g.Told != 0 {
		t.Errorf("against nothing: %+v", g)
	}
}

// TestFitStops: whoever watches a fit sees all of it, and can end it.
func TestFitStops(t *testing.T) {
	m := scene(0.4, 0.2, [3]float64{1, 1, 1})
	layers := []testframe.Layer{{Name: "key", SD: 0.15, Image: m}}
	at, last := 0, 0
	if _, err := testframe.Fit(t.Context(), &m, layers, testframe.Work{Step: func(done, of int) {
		if done < at {
			t.Fatalf("%d after %d", done, at)
		}
		at, last = done, of
	}}); err != nil || at != last {
		t.Errorf("%v, %d of %d", err, at, last)
	}
	ctx, stop := context.WithCancel(t.Context())
	_, err := testframe.Fit(ctx, &m, layers, testframe.Work{Step: func(done, _ int) {
		if done == 100 {
			stop()
		}
		at = done
	}})
	if !errors.Is(err, context.Canceled) || at != 100 {
		t.Errorf("%v at %d", err, at)
	}
}

// TestLampsThatAgree: three lamps of the place that nobody metered, each a stop over, with a head
// that is a stop over too, are the exposure's doing; one lamp a stop over is that lamp's level, and
// nothing is told.
func TestLampsThatAgree(t *testing.T) {
	pictures := []testframe.Image{scene(0.1, 0.2, [3]float64{1.2, 0.9, 0.4}), scene(0.4, 0.15, [3]float64{0.8, 1, 1.3}),
		scene(0.7, 0.2, [3]float64{1, 1, 0.9}), scene(1, 0.15, [3]float64{1, 1, 1})}
	var layers []testframe.Layer
	for i, m := range pictures[:3] {
		layers = append(layers, testframe.Layer{Name: string(rune('a' + i)), House: true, Image: m})
	}
	layers = append(layers, testframe.Layer{Name: "key", Flash: true, SD: 0.15, Image: pictures[3]})
	all := sum(pictures...)
	over := all.Times(2)
	f, _ := testframe.Fit(t.Context(), &over, layers, testframe.Work{})
	if c := f.Causes(layers); len(c) != 1 || !strings.Contains(c[0].Words, "everything is 1.0 stops brighter") {
		t.Errorf("a stop over: %+v", c)
	}
	one := sum(pictures[0].Times(2), pictures[1], pictures[2], pictures[3])
	f, _ = testframe.Fit(t.Context(), &one, layers, testframe.Work{})
	if c := f.Causes(layers); len(c) != 0 {
		t.Errorf("one lamp a stop over: %+v", c)
	}
}

// TestCensored: where a tenth of what a pixel stands for clips, its mean is believed only as far as
// that; a light as planned stays as planned.
func TestCensored(t *testing.T) {
	m := scene(0.3, 0.5, [3]float64{1, 1, 1})
	photo := m.Times(1)
	photo.SD = make([]float64, len(photo.RGB))
	for i := range photo.RGB {
		if i%3 == 0 {
			photo.SD[i] = 0.7
			for c := range 3 {
				photo.RGB[i][c] += 0.35
			}
		}
	}
	f, _ := testframe.Fit(t.Context(), &photo, []testframe.Layer{{Name: "key", SD: 0.15, Image: m}}, testframe.Work{})
	if math.Abs(math.Log2(f.Weight[0])) > 0.05 {
		t.Errorf("%.2f st", math.Log2(f.Weight[0]))
	}
}
