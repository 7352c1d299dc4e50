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
	cleanRooms = flag.String("clean.rooms", "", "rooms of TestCleanByLayer, separated by commas; none: all, or few")
	cleanSide  = flag.Int("clean.side", 0, "pixels on the long side in TestCleanByLayer; 0: 48, or 96 in the long form")
)

// TestCleanByLayer holds what each layer leaves on a denoised picture against the same on its film,
// at few samples and at many: light that rare paths bring must not go with the grain, nor that of
// tubes thinner than a pixel. The bound is 2 % beside three standard errors of the film's own sum;
// a layer whose sum is known to less than 4 % can show nothing here and is told. Pixels are few,
// so edges weigh more than in a picture to look at.
func TestCleanByLayer(t *testing.T) {
	all, err := Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	long := os.Getenv("HALFSTOP_LONG") != ""
	some, samples, side, runs := []string{"bar", "night-street", "tiles"}, []int{4, 16}, 48, 2
	if long {
		samples, side, runs = []int{4, 16, 64}, 96, 4
	}
	if *cleanRooms != "" {
		some = strings.Split(*cleanRooms, ",")
	}
	if *cleanSide > 0 {
		side = *cleanSide
	}
	for _, r := range all {
		if (*cleanRooms != "" || !long) && !slices.Contains(some, r.Name) {
			continue
		}
		t.Run(r.Name, func(t *testing.T) {
			s, list := stage.Build(r.Job.File, r.Job.Doc, 0, stage.Options{Pixels: [2]int{side, side}})
			if s == nil {
				t.Fatal(list.Text())
			}
			type sums struct{ raw, variance, clean float64 }
			at := make([]sums, len(samples)*len(s.Layers))
			for run := range runs {
				exposeClean(t, s, side, samples, uint64(1+run), func(k, l int, raw, variance, clean float64) {
					p := &at[k*len(s.Layers)+l]
					p.raw, p.variance, p.clean = p.raw+raw, p.variance+variance, p.clean+clean
				})
			}
			for k, p := range at {
				if p.raw == 0 {
					continue
				}
				n, name := samples[k/len(s.Layers)], s.Layers[k%len(s.Layers)].Name
				off, e := p.clean/p.raw-1, math.Sqrt(p.variance)/p.raw
				t.Logf("%2d samples, %-16s %+6.2f %% ± %.2f", n, name, 100*off, 100*e)
				switch {
				case e > 0.04:
					t.Logf("%s is known to %.0f %% only at %d samples: nothing shown", name, 100*e, n)
				case math.Abs(off) > 0.02+3*e:
					t.Errorf("%s at %d samples: %+.1f %% ± %.1f", name, n, 100*off, 100*e)
				}
			}
		})
	}
}

// exposeClean takes a picture as the program does and tells, at each number of samples, what layer
// l leaves on the film, the variance of that, and what it leaves on the denoised picture.
func exposeClean(t *testing.T, s *stage.Stage, side int, samples []int, seed uint64,
	tell func(k, l int, raw, variance, clean float64)) {
	ctx := context.Background()
	w, h := render.Size(s, side)
	cam := meter.CameraOf(s)
	lens, mix := render.LensOf(s, cam), render.MixOf(s, cam, -1)
	f := trace.NewFoldedFilm(w, h, mix.Folds, lens)
	f.CacheCell = render.CacheCellSize(s, 0)
	var ids []int
	for l := range s.Layers {
		ids = append(ids, l)
	}
	expose := func(n int) {
		if err := s.Scene.Expose(ctx, f, n, seed, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	expose(1)
	if err := render.RefineEmitterEdges(ctx, s.Scene, f, &mix, seed); err != nil {
		t.Fatal(err)
	}
	for k, n := range samples {
		expose(n - f.Samples)
		out, err := render.DenoiseLayers(ctx, s.Scene, f, ids, mix.Folds)
		if err != nil {
			t.Fatal(err)
		}
		for l := range ids {
			raw, variance, clean := 0.0, 0.0, 0.0
			for i := range w * h {
				c, veil := f.XYZ(l, i, &mix.Folds[l])
				raw += c[1] + veil[1]
				_, v := f.Planes[l].Noise(i)
				variance += v
				clean += float64(out[l][i][1])
			}
			tell(k, l, raw, variance, clean)
		}
	}
}
