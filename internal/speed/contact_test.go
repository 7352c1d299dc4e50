//go:build unix

package speed

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image/jpeg"
	"os"
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

var contact = flag.String("contact", "", "file into which TestContactSheet writes the zoo as it comes, JPEG")

// What a contact sheet's pictures are measured for: seconds of two processors at 640 × 427.
const (
	contactSide  = 160 // pixels on the long side: a first picture's own size
	contactCells = 4   // times the usual size of a cell, for a first picture
	contactRef   = 16  // samples of each half of a reference
)

// TestContactSheet writes a picture of every room of the zoo as a person sees it come: the first
// picture, then what is there after 1, 3 and 10 s of two processors at 640 × 427, and a reference.
// The pictures are small, so that the sheet takes minutes: what grows with the pixels (samples,
// denoiser) is counted for 640 × 427, what does not (cells) as it is. Where one sample takes longer
// than a column allows it is shown with the seconds that it takes. Errors are those of TestFrames.
func TestContactSheet(t *testing.T) {
	if *contact == "" {
		t.Skip("run with -contact FILE.jpg: it takes minutes")
	}
	all, err := zoo.Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]picture.Shot
	for _, r := range all {
		s, list := stage.Build(r.Job.File, r.Job.Doc, 0, stage.Options{Pixels: [2]int{640, 427}})
		if s == nil {
			t.Fatal(list.Text())
		}
		row := contactRow(t, s)
		row[0].Words = r.Name + ", " + row[0].Words
		for _, p := range row {
			t.Logf("%s: %s", r.Name, p.Words)
		}
		rows = append(rows, row)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, picture.Mount(rows), &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*contact, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func contactRow(t *testing.T, s *stage.Stage) []picture.Shot {
	ctx := context.Background()
	lens, mix := render.LensOf(s, meter.CameraOf(s)), render.MixOf(s, meter.CameraOf(s), -1)
	w, h := render.Size(s, contactSide)
	film := func(cells float64) *trace.Film {
		f := trace.NewFoldedFilm(w, h, mix.Folds, lens)
		f.CacheCell = cells
		return f
	}
	expose := func(f *trace.Film, n int, seed uint64, want func(int) bool) time.Duration {
		c := cpu()
		if err := s.Scene.ExposeMasked(ctx, f, n, seed, nil, want, nil); err != nil {
			t.Fatal(err)
		}
		return cpu() - c
	}
	none := func(int) bool { return false } // gathers cells and takes no sample
	denoised := func(f *trace.Film) (*render.Frame, time.Duration) {
		c := cpu()
		g := &render.Frame{Stage: s, Film: f, Mix: mix, Samples: f.Samples}
		if err := g.Denoise(ctx); err != nil {
			t.Fatal(err)
		}
		return g, cpu() - c
	}
	show := func(f *render.Frame, words string) picture.Shot {
		p := picture.Render(f.Linear(-1), w, h, s.White, spectrum.SRGB, render.RenderingOf(s))
		return picture.Shot{Image: picture.Flat(p), Words: words}
	}
	// References: two halves on finer cells; the first is shown without its grain.
	var halves [2][]float64
	var reference *render.Frame
	for k := range halves {
		f := film(render.CacheCellSize(s, 32))
		expose(f, contactRef, uint64(1000+k), nil)
		halves[k] = luminance(&render.Frame{Stage: s, Film: f, Mix: mix})
		if k == 0 {
			reference, _ = denoised(f)
		}
	}
	relativeTo := func(f *render.Frame) float64 {
		all, _ := relative(luminance(f), halves[0], halves[1])
		return 100 * all
	}
	first := film(contactCells * render.CacheCellSize(s, 0))
	took := expose(first, 1, 1, nil)
	g, more := denoised(first)
	row := []picture.Shot{show(g, fmt.Sprintf("%.2f s", (took+more).Seconds()/2))}
	f := film(render.CacheCellSize(s, 0))
	cells := expose(f, 1, 1, none)
	share := float64(w*h) / (640 * 427)
	at := func(d time.Duration) float64 { return (cells.Seconds() + d.Seconds()/share) / 2 }
	// Of each number of samples the picture and its time, until ten seconds are over.
	type stop struct {
		f       *render.Frame
		seconds float64
	}
	var stops []stop
	for spent := time.Duration(0); len(stops) == 0 || stops[len(stops)-1].seconds < 10; {
		spent += expose(f, max(1, f.Samples), 1, nil)
		if f.Samples == 1 {
			c := cpu()
			if err := render.RefineEmitterEdges(ctx, s.Scene, f, &mix, 1); err != nil {
				t.Fatal(err)
			}
			spent += cpu() - c
		}
		g, more := denoised(f)
		// The frame mixes what was denoised, which later samples leave as it is.
		stops = append(stops, stop{g, at(spent + more)})
	}
	for _, limit := range []float64{1, 3, 10} {
		k := 0
		for k+1 < len(stops) && stops[k+1].seconds <= limit {
			k++
		}
		row = append(row, show(stops[k].f, fmt.Sprintf("%d at %.1f s, %.0f %%", stops[k].f.Samples, stops[k].seconds,
			relativeTo(stops[k].f))))
	}
	return append(row, show(reference, "reference"))
}
