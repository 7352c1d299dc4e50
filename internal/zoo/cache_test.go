package zoo

import (
	"context"
	"flag"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"halfstop/meter"
	"halfstop/render"
	"halfstop/stage"
	"halfstop/trace"
)

var (
	cacheRooms   = flag.String("cache.rooms", "", "rooms of TestCacheByLayer, separated by commas; none: all, or few")
	cacheSamples = flag.Int("cache.samples", 0,
		"samples a pixel of a run of TestCacheByLayer, whole paths get twice as many; 0: 8, or 48 in the long form")
)

// cacheRuns is how many runs standard errors are of.
const cacheRuns = 8

// layerLight sums what each layer leaves on the pixels of a frame that see no lamp: from surfaces,
// then what haze adds.
func layerLight(t *testing.T, s *stage.Stage, w, h int, cell float64, n int, seed uint64) []float64 {
	f := trace.NewFilm(w, h, len(s.Layers), render.LensOf(s, meter.CameraOf(s)))
	f.CacheCell = cell
	if err := s.Scene.Expose(context.Background(), f, n, seed, nil, nil); err != nil {
		t.Fatal(err)
	}
	out := make([]float64, 2*len(s.Layers))
	for i, id := range f.Features.ID {
		if trace.HasEmitter(id) {
			continue
		}
		for l := range s.Layers {
			b, veil := f.Parts(l, i%w, i/w)
			for k := range b {
				out[2*l] += float64(b[k])
				out[2*l+1] += float64(veil[k])
			}
		}
	}
	return out
}

// TestCacheByLayer holds what each layer leaves on a picture whose paths end in the irradiance
// cache against whole paths, surfaces and airlight each for itself. The bound is 2 % beside three
// and a half standard errors of this many runs; a layer whose light is known to less than 4 %
// (light by way of rare reflections) can show nothing here and is told.
func TestCacheByLayer(t *testing.T) {
	all, err := Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	long := os.Getenv("HALFSTOP_LONG") != ""
	n := *cacheSamples
	switch {
	case n > 0:
	case long:
		n = 48
	default:
		n = 8
	}
	some := strings.Split(*cacheRooms, ",")
	if *cacheRooms == "" {
		some = []string{"cove", "corridor"} // a second or two each
	}
	for _, r := range all {
		if (*cacheRooms != "" || !long) && !slices.Contains(some, r.Name) {
			continue
		}
		t.Run(r.Name, func(t *testing.T) {
			w, h := 36, 24
			s, list := stage.Build(r.Job.File, r.Job.Doc, 0, stage.Options{Pixels: [2]int{w, h}})
			if s == nil {
				t.Fatal(list.Text())
			}
			if s.View.Format.Height > s.View.Format.Width {
				w, h = h, w
			}
			stats := func(cell float64, samples int, seed uint64) (mean, se []float64) {
				mean, se = make([]float64, 2*len(s.Layers)), make([]float64, 2*len(s.Layers))
				for k := range cacheRuns {
					for l, v := range layerLight(t, s, w, h, cell, samples, seed+uint64(k)) {
						mean[l] += v / cacheRuns
						se[l] += v * v / cacheRuns
					}
				}
				for l := range se {
					se[l] = math.Sqrt(max(0, se[l]-mean[l]*mean[l]) / (cacheRuns - 1))
				}
				return
			}
			quick, qe := stats(render.CacheCellSize(s, 0), n, 1)
			whole, xe := stats(0, 2*n, 1000)
			for l := range quick {
				if whole[l] == 0 {
					continue
				}
				name := s.Layers[l/2].Name + [2]string{"", ", airlight"}[l%2]
				off, e := quick[l]/whole[l]-1, math.Hypot(qe[l], xe[l])/whole[l]
				t.Logf("%-26s %+6.1f %% ± %.1f", name, 100*off, 100*e)
				switch {
				case e > 0.04:
					t.Logf("%s is known to %.0f %% only: nothing shown", name, 100*e)
				case math.Abs(off) > 0.02+3.5*e:
					t.Errorf("%s: %+.1f %% ± %.1f", name, 100*off, 100*e)
				}
			}
		})
	}
}
