//go:build unix

package speed

import (
	"context"
	"flag"
	"fmt"
	"math"
	"slices"
	"syscall"
	"testing"
	"time"

	"halfstop/figure"
	"halfstop/internal/demo"
	"halfstop/internal/zoo"
	"halfstop/meter"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/trace"
)

var (
	frames = flag.Bool("frames", false, "measure the frames of the demonstration")
	rooms  = flag.String("rooms", "demonstration", "whose frames: demonstration or zoo")
	long   = flag.Int("long", 640, "pixels on the long side")
	ref    = flag.Int("ref", 64, "samples of each half of the reference")
	most   = flag.Int("most", 64, "most samples of the picture measured")
)

// cpu is the processor time used by this process so far: the clock on the wall says little on a
// shared machine.
func cpu() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// luminance mixes a frame to luminance.
func luminance(f *render.Frame) []float64 {
	px := f.Linear(-1)
	out := make([]float64, len(px))
	for i, p := range px {
		out[i] = p.Y
	}
	return out
}

// relative is the relative root mean square error of x against a reference known as two independent
// halves: (x−a)(x−b) has the truth's error on average, without the halves' own noise. Differences
// are taken over the reference's level, 1 % of the mean at least. most is the same without the
// hundredth of the pixels that is worst: where a tube thinner than a pixel glows, an error of one
// pixel is many times that of all others.
func relative(x, a, b []float64) (all, most float64) {
	level := make([]float64, len(x))
	for i := range x {
		level[i] = (a[i] + b[i]) / 2
	}
	return relativeBeside(x, [2][]float64{a, b}, level)
}

// relativeBeside is relative of a part of a picture, its differences over a level given.
func relativeBeside(x []float64, part [2][]float64, level []float64) (all, most float64) {
	mean := total(level) / float64(len(x))
	e := make([]float64, len(x))
	for i, r := range level {
		e[i] = (x[i] - part[0][i]) * (x[i] - part[1][i]) / (r*r + 1e-4*mean*mean)
	}
	slices.Sort(e)
	sum := 0.0
	for i, v := range e {
		if sum += v; i == len(e)*99/100 {
			most = math.Sqrt(max(0, sum/float64(len(e))))
		}
	}
	return math.Sqrt(max(0, sum/float64(len(e)))), most
}

func total(x []float64) (sum float64) {
	for _, v := range x {
		sum += v
	}
	return
}

// when interpolates the time at which an error falls under a level, on logarithmic scales; 0 where
// it does not.
func when(at []time.Duration, err []float64, level float64) time.Duration {
	for k := range err {
		if err[k] > level {
			continue
		}
		if k == 0 {
			return at[0]
		}
		f := math.Log(err[k-1]/level) / math.Log(err[k-1]/err[k])
		return time.Duration(math.Exp(math.Log(float64(at[k-1]))*(1-f) + math.Log(float64(at[k]))*f))
	}
	return 0
}

func TestFrames(t *testing.T) {
	if !*frames {
		t.Skip("run with -frames: it takes minutes")
	}
	var stages []*stage.Stage
	if *rooms == "zoo" {
		all, err := zoo.Load("../../zoo")
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range all {
			s, list := stage.Build(r.Job.File, r.Job.Doc, 0, stage.Options{Pixels: [2]int{*long, *long * 427 / 640}})
			if s == nil {
				t.Fatal(list.Text())
			}
			stages = append(stages, s)
		}
	} else {
		file, doc, list := shoot.Parse(demo.Name, demo.Shoot(), shoot.Options{})
		if file == nil {
			t.Fatal(list.Text())
		}
		for i := range file.Setups {
			s, _ := stage.Build(file, doc, i, stage.Options{Detail: figure.Far})
			stages = append(stages, s)
		}
	}
	ctx := context.Background()
	for _, s := range stages {
		cam := meter.CameraOf(s)
		lens := render.LensOf(s, cam)
		w, h := *long, *long*427/640
		if s.View.Format.Height > s.View.Format.Width {
			w, h = h, w
		}
		frame := func(cells float64) *render.Frame {
			f := &render.Frame{Stage: s, Film: trace.NewFilm(w, h, len(s.Layers), lens), Mix: render.MixOf(s, cam, -1)}
			f.Film.CacheCell = cells
			return f
		}
		var halves [2][]float64
		c0 := cpu()
		for k := range halves {
			// finer cells than what is measured; TestFrames tells what whole paths say to the sum
			f := frame(render.CacheCellSize(s, 128))
			if err := s.Scene.Expose(ctx, f.Film, *ref, uint64(1000+k), nil, nil); err != nil {
				t.Fatal(err)
			}
			halves[k] = luminance(f)
		}
		whole := frame(0)
		if err := s.Scene.Expose(ctx, whole.Film, 4, 7, nil, nil); err != nil {
			t.Fatal(err)
		}
		fmt.Printf("  the reference's light is %.3f of that of whole paths (4 samples, their noise in it)\n",
			total(halves[0])/total(luminance(whole)))
		rate := float64(2**ref*w*h) / (cpu() - c0).Seconds()
		fmt.Printf("%s, %d × %d, %d layers, %d triangles: %.3f M paths a processor second\n", s.Setup.Name, w, h,
			len(s.Layers), s.Scene.Triangles(), rate/1e6)
		film := frame(render.CacheCellSize(s, 0))
		var spent, cleaned time.Duration
		var at, atClean []time.Duration
		var raw, clean []float64
		full := 640. * 427 / float64(w*h) / 2 // to 640 × 427 on two processors
		for n := 1; n <= *most; n *= 2 {
			c := cpu()
			if err := s.Scene.Expose(ctx, film.Film, n-film.Film.Samples, 1, nil, nil); err != nil {
				t.Fatal(err)
			}
			if n == 1 {
				if err := render.RefineEmitterEdges(ctx, s.Scene, film.Film, &film.Mix, 1); err != nil {
					t.Fatal(err)
				}
			}
			spent += cpu() - c
			r, rm := relative(luminance(film), halves[0], halves[1])
			c = cpu()
			f := &render.Frame{Stage: s, Film: film.Film, Mix: film.Mix}
			if err := f.Denoise(ctx); err != nil {
				t.Fatal(err)
			}
			cleaned = cpu() - c
			d, dm := relative(luminance(f), halves[0], halves[1])
			raw, clean = append(raw, rm), append(clean, dm)
			scale := func(d time.Duration) time.Duration { return time.Duration(float64(d) * full) }
			at, atClean = append(at, scale(spent)), append(atClean, scale(spent+cleaned))
			fmt.Printf("  %3d samples: raw %.3f (99 of 100 pixels %.3f) at %.2f s, denoised %.3f (%.3f) at %.2f s\n", n,
				r, rm, at[len(at)-1].Seconds(), d, dm, atClean[len(at)-1].Seconds())
		}
		for _, level := range []float64{0.2, 0.1, 0.05} {
			fmt.Printf("  99 of 100 pixels to %.0f %%: raw %.1f s, denoised %.1f s (0: not within %d samples)\n",
				100*level, when(at, raw, level).Seconds(), when(atClean, clean, level).Seconds(), *most)
		}
		for _, l := range []int{len(s.Layers) - 1} {
			c := cpu()
			f := trace.NewFilm(w, h, len(s.Layers), lens)
			f.CacheCell = render.CacheCellSize(s, 0)
			if err := s.Scene.Expose(ctx, f, 2, 1, []int{l}, nil); err != nil {
				t.Fatal(err)
			}
			fmt.Printf("  the layer of %q alone, 2 samples: %.2f s\n", s.Layers[l].Name, (cpu()-c).Seconds()*full)
		}
	}
}
