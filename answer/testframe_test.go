package answer

import (
	"context"
	"image"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/photo"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// TestFrameCauses makes photographs of known mistakes with the program's own pictures, at another
// size, with other noise and the sensor's grain: a head off, a cloth that is missing (0.7 st),
// another white balance, another exposure, a camera turned by 2°, and none. Heads are taken to be
// metered (0.15 st): by the catalogue alone 0.7 st is within what is not known.
//
// The constants of testframe were chosen on these rooms; TestFrameCausesElsewhere has others.
func TestFrameCauses(t *testing.T) {
	rooms, long := []string{"../zoo/backdrop.yaml"}, os.Getenv("HALFSTOP_LONG") != ""
	if long {
		rooms = append(rooms, "../internal/demo/launderette/shoot.yaml", "../zoo/bar.yaml", "../zoo/cove.yaml",
			"../zoo/office.yaml", "../zoo/curtain.yaml", "../zoo/corridor.yaml", "../zoo/tiles.yaml",
			"../zoo/mirrors.yaml", "../zoo/roof-bounce.yaml", "../zoo/car.yaml", "../zoo/pole-dusk.yaml")
	}
	causesFound(t, rooms, long, true)
}

// TestFrameCausesElsewhere is the same on rooms that no constant was chosen on, with photographs
// that are not denoised: what is left of the path tracer's noise comes on top of the sensor's.
func TestFrameCausesElsewhere(t *testing.T) {
	if os.Getenv("HALFSTOP_LONG") == "" {
		t.Skip("=== LONG: set HALFSTOP_LONG=1 ===")
	}
	causesFound(t, []string{"../zoo/stairwell.yaml", "../zoo/night-street.yaml", "../zoo/stage-haze.yaml"}, true, false)
}

// TestFrameCausesNew is the same on rooms that are unlike those of the zoo and that neither the
// model nor the tracer was made with: daylight from the roof, a gelled key in mixed light behind a
// curtain, haze; a café by day, a dark hall with two heads, an attic by day. What is asked was said
// before anything was looked at.
func TestFrameCausesNew(t *testing.T) {
	if os.Getenv("HALFSTOP_LONG") == "" {
		t.Skip("=== LONG: set HALFSTOP_LONG=1 ===")
	}
	causesFound(t, []string{"testdata/workshop.yaml", "testdata/hotel.yaml", "testdata/cellar.yaml",
		"testdata/cafe.yaml", "testdata/two-heads.yaml", "testdata/attic.yaml"}, true, false)
}

// causesFound holds frames of rooms against their predictions: nine mistakes in ten are found, one
// frame in twenty has one too many, and a level of which the frame says that it knows it to 0.07 st
// (one standard deviation) is within a tenth of a stop; of one that it knows less well the error is
// within three standard deviations.
func causesFound(t *testing.T, rooms []string, long, denoised bool) {
	t.Helper()
	samples := 16 // as the program does
	if !long {
		samples = 6
	}
	asked, found, alarms, clean, levels := 0, 0, 0, 0, 0
	worst := 0.0
	for _, room := range rooms {
		src, err := os.ReadFile(room)
		if err != nil {
			t.Fatal(err)
		}
		file, doc, list := shoot.Parse(room, src, shoot.Options{})
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		job := &Job{File: file, Doc: doc}
		ctx := context.Background()
		plan, err := job.FramePlan(ctx, 0, FrameWorkTest{Samples: samples, Seed: 1, Metered: 0.15}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, turned := range []bool{false, true} {
			if !long && !turned {
				continue
			}
			frame := taken(t, job, turned, denoised, samples)
			for k, c := range mistakes(frame, turned) {
				if !long && k != 0 && k != 3 {
					continue // the short form: a camera that was knocked, with and without a head that is off
				}
				got, err := plan.Test(ctx, c.shot(t, frame), photo.Exif{}, nil, nil)
				if err != nil {
					t.Fatal(err)
				}
				var words []string
				for _, x := range got.Causes {
					words = append(words, x.Light+": "+x.Words)
				}
				has := func(w string) bool { // one of several ways to say it
					for o := range strings.SplitSeq(w, "|") {
						if slices.ContainsFunc(words, func(s string) bool { return strings.Contains(s, o) }) {
							return true
						}
					}
					return false
				}
				for _, w := range c.want {
					asked++
					if has(w) {
						found++
					} else {
						t.Logf("%s, %s (turned %v): %q is not in %q; %+v", room, c.name, turned, w, words, got.Lights)
					}
				}
				clean++
				extra := len(words) - len(c.want)
				for _, w := range c.may {
					if has(w) {
						extra--
					}
				}
				if extra > 0 {
					alarms++
					t.Logf("%s, %s (turned %v): too much in %q; %+v", room, c.name, turned, words, got.Lights)
				}
				if c.name == "as planned" && !turned {
					for _, l := range got.Lights {
						off := math.Abs(math.Exp2(l.Stops) - 1)
						if l.Plan != "on" {
							continue
						}
						if l.Noise < 0.35 && off > 3*l.Noise { // of which something is shown
							t.Errorf("%s: %s is off by %.2f st, said to be known to ±%.0f %%", room, l.Name, l.Stops,
								100*l.Noise)
						}
						if l.Noise < 0.05 {
							levels++
							if math.Abs(l.Stops) > 0.1 {
								t.Logf("%s: %s is off by %.2f st, known to ±%.0f %%, %.0f %% of the frame", room,
									l.Name, l.Stops, 100*l.Noise, 100*l.Share)
							}
							worst = max(worst, math.Abs(l.Stops))
						}
					}
				}
			}
		}
	}
	t.Logf("%d of %d causes found, %d of %d frames with a false alarm, %d levels of lights within %.2f st",
		found, asked, alarms, clean, levels, worst)
	if float64(found) < 0.9*float64(asked) {
		t.Errorf("%d of %d causes found", found, asked)
	}
	if float64(alarms) > 0.05*float64(clean) {
		t.Errorf("%d of %d frames with a false alarm", alarms, clean)
	}
	if worst > 0.1 {
		t.Errorf("a light's level is off by %.2f st", worst)
	}
}

// taken exposes what the camera of the first setup sees, turned by 2° or not, denoised or with so
// many samples that its noise is under the sensor's in most places.
func taken(t *testing.T, job *Job, turned, denoised bool, samples int) *render.Frame {
	t.Helper()
	f := *job.File
	f.Setups = slices.Clone(f.Setups)
	cam := *f.Setups[0].Camera
	w, h := Pixels(&cam, 180)
	if turned {
		s, _ := job.Stage(0, 0)
		v := s.View
		aim := v.At.AddMul(v.Axis, 2).AddMul(v.Right, 2*math.Tan(1.6*math.Pi/180)).AddMul(v.Up,
			2*math.Tan(1.2*math.Pi/180))
		cam.Aim = shoot.Target{At: aim.Array()}
	}
	f.Setups[0].Camera = &cam
	if !denoised {
		samples *= 8
	}
	// A photograph has the sitter in all detail, however small it is kept.
	s, list := stage.Build(&f, job.Doc, 0, stage.Options{Detail: figure.Far})
	if s == nil {
		t.Fatal(list.Text())
	}
	fr, err := render.Expose(context.Background(), s, render.Work{Width: w, Height: h, Samples: samples, Seed: 77,
		Solo: -1})
	if err != nil {
		t.Fatal(err)
	}
	if !denoised {
		return fr
	}
	// A camera has the grain that shot adds; it has none of the path tracer's.
	if err := fr.Denoise(context.Background()); err != nil {
		t.Fatal(err)
	}
	return fr
}

// mistake is one way in which a photograph is not as planned.
type mistake struct {
	name      string
	weight    map[int]float64 // factors of layers
	all       float64
	white     spectrum.XYZ
	want, may []string
}

// mistakes lists what is tried with a frame: heads by the light that they leave in it.
func mistakes(f *render.Frame, turned bool) []mistake {
	base := mistake{name: "as planned", all: 1, white: f.Stage.White}
	if turned {
		base.want = []string{"looks elsewhere"}
	}
	warm := base
	warm.name = "white balance"
	// Of two, the white that is not the plan's.
	warm.white = spectrum.Planck(4000).XY().XYZ(1)
	if spectrum.DeltaUVPrime(warm.white.XY(), base.white.XY()) < 0.03 {
		warm.white = spectrum.Planck(6500).XY().XYZ(1)
	}
	warm.want = append(slices.Clone(base.want), "white balance")
	over := base
	over.name, over.all = "a stop over", 2
	over.may = []string{"inner cloth may be missing"} // where one light alone can be told
	over.want = append(slices.Clone(base.want), "brighter|dial a stop up")
	out := []mistake{base, warm, over}
	best, most := -1, 0.0
	for l := range f.Stage.Layers {
		if k := f.Stage.Layers[l].Light; k < 0 || f.Stage.Setup.Lights[k].Head == "" {
			continue // a shop front has no cloth
		}
		sum := 0.0
		for _, p := range f.Linear(l) {
			sum += p.Y
		}
		if sum > most {
			best, most = l, sum
		}
	}
	name := f.Stage.Layers[best].Name
	off, cloth := base, base
	off.name, off.weight = name+" off", map[int]float64{best: 0}
	off.want = append(slices.Clone(base.want), name+": ")
	cloth.name, cloth.weight = name+" without its cloth", map[int]float64{best: math.Exp2(0.7)}
	cloth.want = append(slices.Clone(base.want), "inner cloth may be missing")
	cloth.may = []string{"a grid may be off", "warming gel"}
	return append(out, off, cloth)
}

// shot develops a frame with a mistake in it, as a camera does.
func (m *mistake) shot(t *testing.T, f *render.Frame) *image.NRGBA {
	t.Helper()
	c := *f
	c.Mix.Weight = slices.Clone(f.Mix.Weight)
	for l, k := range m.weight {
		c.Mix.Weight[l] *= k
	}
	c.Mix.Exposure *= m.all
	px := c.Grain(c.Linear(-1), 9, 24)
	return picture.Develop(px, f.Film.W, f.Film.H, m.white, spectrum.SRGB, render.RenderingOf(f.Stage))
}
