//go:build unix

package speed

import (
	"bytes"
	"cmp"
	"context"
	"encoding/gob"
	"flag"
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"halfstop/internal/zoo"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

var (
	zooDir   = flag.String("zoo", "", "folder of TestZooFrames: references are kept there, pictures written")
	zooRooms = flag.String("zoo.rooms", "", "rooms of TestZooFrames, separated by commas; none: all")
	zooMost  = flag.Int("zoo.most", 16, "most samples of TestZooFrames")
	zooLong  = flag.Int("zoo.long", 640, "pixels on the long side in TestZooFrames; seconds are for 640 × 427")
	zooRef   = flag.Int("zoo.ref", 24, "samples of each half of a reference of TestZooFrames")
)

// zooEnough is after how many seconds of two processors no further pass is taken.
const zooEnough = 16.

// A zooReference is the truth that a picture of a room is held against: two independent halves on
// cells of half the size, whole and the light of one layer alone, as luminance; and the mean of
// both without their grain: the level that errors are over, since a pixel that is dark by its
// reference's chance would count for many, and a picture to look at.
type zooReference struct {
	Whole, Layer [2][]float32
	Level        []float32
	Shown        []byte // PNG
}

// zooResult is what one room gives. Times are seconds of two processors.
type zooResult struct {
	room                              string
	first, ten, ten99, moved, moved99 float64 // of the first pass that is so; +Inf: none
	at                                []zooPass
}

type zooPass struct {
	samples                    int
	seconds, all, most99, flip float64
	flicker                    float64 // FLIP between this pass and the one before
}

// TestZooFrames measures every room of the zoo at 640 × 427, all layers, by processor time halved:
// when the first picture is there, when the denoised one is within 10 % over all pixels, when one
// moved light is, what FLIP says of each pass and how much two passes differ. In smaller pictures
// (-zoo.long), what grows with the pixels is counted for that size, and edges weigh more.
func TestZooFrames(t *testing.T) {
	if *zooDir == "" {
		t.Skip("run with -zoo FOLDER: it takes half an hour, the first time an hour")
	}
	all, err := zoo.Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	var results []zooResult
	for _, r := range all {
		if *zooRooms != "" && !slices.Contains(strings.Split(*zooRooms, ","), r.Name) {
			continue
		}
		s, list := stage.Build(r.Job.File, r.Job.Doc, 0, stage.Options{Pixels: [2]int{640, 427}})
		if s == nil {
			t.Fatal(list.Text())
		}
		z := zooRoom(t, r.Name, s)
		results = append(results, z)
		fmt.Printf("%s: first %.2f s, 10 %% after %.1f s (99 of 100 pixels %.1f s), a moved light %.2f s (%.2f s)\n",
			z.room, z.first, z.ten, z.ten99, z.moved, z.moved99)
		for _, p := range z.at {
			fmt.Printf("  %2d samples %5.1f s: %.1f %% (99 of 100 pixels %.1f %%), FLIP %.3f, flicker %.3f\n",
				p.samples, p.seconds, 100*p.all, 100*p.most99, p.flip, p.flicker)
		}
	}
	say := func(what string, of func(zooResult) float64) {
		slices.SortFunc(results, func(a, b zooResult) int { return cmp.Compare(of(a), of(b)) })
		n := len(results)
		fmt.Printf("%s: median %.3f, worst %.3f (%s)\n", what, (of(results[n/2])+of(results[(n-1)/2]))/2,
			of(results[n-1]), results[n-1].room)
	}
	say("first picture, s", func(z zooResult) float64 { return z.first })
	say("10 % over all pixels, s", func(z zooResult) float64 { return z.ten })
	say("10 % over 99 of 100, s", func(z zooResult) float64 { return z.ten99 })
	say("a moved light, s", func(z zooResult) float64 { return z.moved })
	say("a moved light, 99 of 100, s", func(z zooResult) float64 { return z.moved99 })
	for k := range results[0].at {
		at := func(z zooResult) zooPass { return z.at[min(k, len(z.at)-1)] }
		n := results[0].at[k].samples
		say(fmt.Sprintf("%d samples, s", n), func(z zooResult) float64 { return at(z).seconds })
		say(fmt.Sprintf("%d samples, error", n), func(z zooResult) float64 { return at(z).all })
		say(fmt.Sprintf("%d samples, error of 99 of 100", n), func(z zooResult) float64 { return at(z).most99 })
		say(fmt.Sprintf("%d samples, FLIP", n), func(z zooResult) float64 { return at(z).flip })
		say(fmt.Sprintf("%d samples, flicker", n), func(z zooResult) float64 { return at(z).flicker })
	}
}

func zooRoom(t *testing.T, name string, s *stage.Stage) zooResult {
	ctx := context.Background()
	lens, mix := render.LensOf(s, meter.CameraOf(s)), render.MixOf(s, meter.CameraOf(s), -1)
	w, h := *zooLong, *zooLong*427/640
	if s.View.Format.Height > s.View.Format.Width {
		w, h = h, w
	}
	check := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	frame := func(w, h int, cells float64) *render.Frame {
		f := &render.Frame{Stage: s, Film: trace.NewFoldedFilm(w, h, mix.Folds, lens), Mix: mix}
		f.Film.CacheCell = cells
		return f
	}
	expose := func(f *render.Frame, n int, seed uint64, layers []int) {
		check(s.Scene.Expose(ctx, f.Film, n, seed, layers, nil))
		f.Samples += n
	}
	show := func(px []spectrum.XYZ, w, h int) *image.NRGBA {
		return picture.Develop(px, w, h, s.White, spectrum.SRGB, render.RenderingOf(s))
	}
	write := func(img *image.NRGBA, words string) []byte {
		b, err := picture.PNG(img, spectrum.SRGB)
		check(err)
		check(os.WriteFile(filepath.Join(*zooDir, name+"-"+words+".png"), b, 0o644))
		return b
	}
	// The moved light is the one that does most.
	key := 0
	ref := zooReferenceOf(t, name, func() (ref zooReference) {
		var shown []spectrum.XYZ
		for k := range 2 {
			f := frame(w, h, render.CacheCellSize(s, 128))
			expose(f, *zooRef, uint64(1000+k), nil)
			ref.Whole[k] = narrow(luminance(f))
			if k == 0 {
				key = brightest(f)
			}
			ref.Layer[k] = narrow(layerOf(f, key))
			check(f.Denoise(ctx))
			for i, c := range f.Linear(-1) {
				if k == 0 {
					shown = append(shown, spectrum.XYZ{})
				}
				shown[i].X, shown[i].Y, shown[i].Z = shown[i].X+c.X/2, shown[i].Y+c.Y/2, shown[i].Z+c.Z/2
			}
		}
		for _, c := range shown {
			ref.Level = append(ref.Level, float32(c.Y))
		}
		ref.Shown = write(show(shown, w, h), "reference")
		return
	})
	truth, _, err := image.Decode(bytes.NewReader(ref.Shown))
	check(err)
	whole, layer := [2][]float64{widen(ref.Whole[0]), widen(ref.Whole[1])}, [2][]float64{}
	for k := range layer {
		layer[k] = widen(ref.Layer[k])
	}
	level := widen(ref.Level)
	z := zooResult{room: name, ten: math.Inf(1), ten99: math.Inf(1), moved: math.Inf(1),
		moved99: math.Inf(1)}
	// The first picture, as the desk makes it: 160 pixels on coarse cells.
	c := cpu()
	fw, fh := render.Size(s, contactSide)
	first := frame(fw, fh, contactCells*render.CacheCellSize(s, 0))
	expose(first, 1, 1, nil)
	check(first.Denoise(ctx))
	z.first = (cpu() - c).Seconds() / 2
	write(show(first.Linear(-1), fw, fh), "first")
	// Passes. What does not grow with the pixels, the cells, is taken apart.
	share := float64(w*h) / (640 * 427)
	cells := func(f *render.Frame, layers []int) float64 {
		c := cpu()
		check(s.Scene.ExposeMasked(ctx, f.Film, 1, 1, layers, func(int) bool { return false }, nil))
		return (cpu() - c).Seconds() / 2
	}
	f := frame(w, h, render.CacheCellSize(s, 0))
	fixed := cells(f, nil)
	var spent time.Duration
	var before *image.NRGBA
	for n := 1; n <= *zooMost; n *= 2 {
		c := cpu()
		expose(f, n-f.Samples, 1, nil)
		if n == 1 {
			check(render.RefineEmitterEdges(ctx, s.Scene, f.Film, &f.Mix, 1))
			key = brightest(f)
		}
		spent += cpu() - c
		c = cpu()
		g := *f
		check(g.Denoise(ctx))
		p := zooPass{samples: n, seconds: fixed + (spent+cpu()-c).Seconds()/2/share}
		p.all, p.most99 = relativeBeside(luminance(&g), whole, level)
		img := show(g.Linear(-1), w, h)
		write(img, fmt.Sprint(n))
		p.flip, _ = flip(img, truth)
		if before != nil {
			p.flicker, _ = flip(before, img)
		}
		before = img
		if p.all <= 0.1 {
			z.ten = min(z.ten, p.seconds)
		}
		if p.most99 <= 0.1 {
			z.ten99 = min(z.ten99, p.seconds)
		}
		z.at = append(z.at, p)
		if p.seconds > zooEnough {
			break
		}
	}
	// One light moved: its layer anew, cells and all, the others as they are. What is wrong is
	// counted beside the whole picture.
	m := frame(w, h, render.CacheCellSize(s, 0))
	fixed, spent = cells(m, []int{key}), 0
	for n := 1; n <= 4; n *= 2 {
		c := cpu()
		expose(m, n-m.Film.Planes[key].MinSamples(), 1, []int{key})
		spent += cpu() - c
		c = cpu()
		px, err := render.DenoiseLayers(ctx, s.Scene, m.Film, []int{key}, mix.Folds)
		check(err)
		took := fixed + (spent+cpu()-c).Seconds()/2/share
		x := make([]float64, w*h)
		for i := range x {
			x[i] = float64(px[0][i][1]) * mix.Weight[key] * mix.Exposure
		}
		all, most := relativeBeside(x, layer, level)
		if most <= 0.1 {
			z.moved99 = min(z.moved99, took)
		}
		if all <= 0.1 {
			z.moved = took
			break
		}
	}
	return z
}

// zooReferenceOf reads a room's reference, or makes and keeps it.
func zooReferenceOf(t *testing.T, name string, make func() zooReference) (ref zooReference) {
	path := filepath.Join(*zooDir, name+".ref")
	if b, err := os.ReadFile(path); err == nil {
		if err := gob.NewDecoder(bytes.NewReader(b)).Decode(&ref); err != nil {
			t.Fatal(err)
		}
		return ref
	}
	ref = make()
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(ref); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return ref
}

// brightest is the layer with most light in a frame.
func brightest(f *render.Frame) (key int) {
	most := 0.
	for l := range f.Film.Layers {
		if sum := total(layerOf(f, l)); sum > most {
			key, most = l, sum
		}
	}
	return
}

// layerOf is the luminance of one layer at its setting.
func layerOf(f *render.Frame, layer int) []float64 {
	out := make([]float64, f.Film.W*f.Film.H)
	for i := range out {
		c, veil := f.Film.XYZ(layer, i, &f.Mix.Folds[layer])
		out[i] = (c[1] + veil[1]) * f.Mix.Weight[layer] * f.Mix.Exposure
	}
	return out
}

func narrow(x []float64) (out []float32) {
	for _, v := range x {
		out = append(out, float32(v))
	}
	return
}

func widen(x []float32) (out []float64) {
	for _, v := range x {
		out = append(out, float64(v))
	}
	return
}
