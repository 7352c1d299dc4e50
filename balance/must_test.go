package balance

import (
	"math"
	"testing"
)

// TestMustsAreKept: the face that must read f/4 reads f/4, whatever is wanted elsewhere and stays
// missed all the same: nobody takes a fifth of a stop from the face so that a hair light 1.7 stops
// short is 1.5 short. What the file itself leaves by `within` is free to be used (common practice,
// no source).
func TestMustsAreKept(t *testing.T) {
	led := func(name string, at ...float64) Light {
		var h []float64
		for _, v := range at {
			h = append(h, f4*125*v)
		}
		return Light{Name: name, Levels: Scale{Min: -6, Max: 0, Step: 0.1}, Options: burns(name, Scale{}, h...).Options}
	}
	camera := faceCamera(4, 1./125)
	within := func(x Target, v float64) Target { x.Within = v; return x }
	for _, c := range []struct {
		name  string
		p     Problem
		reads float64 // what the face comes to, stops from what it must have
		by    float64 // and how near to that
	}{
		{"an edge panel at full, 1.7 short", Problem{Points: points("face", "edge"), Camera: camera,
			Lights:  []Light{at(flashes("key", tenths, f4*st(6), 0), -6), led("edge", 0, st(-1.7))},
			Targets: []Target{known(must(ReadsAt(0, 4)), 0.5), known(ReadsAbove(1, 0, 0), 0.6)}}, 0, 0.05},
		{"the same, kit metered", Problem{Points: points("face", "edge"), Camera: camera,
			Lights:  []Light{at(flashes("key", tenths, f4*st(6), 0), -6), led("edge", 0, st(-1.7))},
			Targets: []Target{known(must(ReadsAt(0, 4)), 0.1), known(ReadsAbove(1, 0, 0), 0.1)}}, 0, 0.05},
		{"a bulb and a sign, both far under", Problem{Points: points("face", "bulb", "sign"), Camera: camera,
			Lights: []Light{at(flashes("key", tenths, f4*st(4), 0, 0), -4), burns("bulb", Scale{}, 0, f4*125*st(-3), 0),
				burns("sign", Scale{}, 0, 0, f4*125*st(-2.5))},
			Targets: []Target{known(must(ReadsAt(0, 4)), 0.5), ReadsAbove(1, 0, 0), ReadsAbove(2, 0, 0)}}, 0, 0.05},
		{"the key spills on a wall, and the hair is short", Problem{Points: points("face", "wall", "hair"),
			Camera: camera,
			Lights: []Light{at(flashes("key", tenths, f4*st(5), f4*st(5-1.1), 0), -5), led("hair", 0, 0, st(-0.9))},
			Targets: []Target{known(must(ReadsAt(0, 4)), 0.4), known(ReadsAbove(1, 0, -2), 0.3),
				known(ReadsAbove(2, 0, 0), 0.6)}}, 0, 0.1},
		{"the key is to be set anyway", Problem{Points: points("face", "edge"), Camera: camera,
			Lights:  []Light{at(flashes("key", tenths, f4*st(4), 0), -1), led("edge", 0, st(-2))},
			Targets: []Target{known(must(ReadsAt(0, 4)), 0.5), known(ReadsAbove(1, 0, 0), 0.6)}}, 0, 0.11},
		{"a level in the picture, three wants far off", Problem{Points: points("face", "a", "b", "c"), Camera: camera,
			Lights: []Light{at(flashes("key", tenths, f4*st(4), 0, 0, 0), -4), led("a", 0, st(-2), 0, 0),
				led("b", 0, 0, st(-2), 0), led("c", 0, 0, 0, st(-2))},
			Targets: []Target{must(LevelAt(0, -0.1)), ReadsAbove(1, 0, 0), ReadsAbove(2, 0, 0),
				ReadsAbove(3, 0, 0)}}, 0, 0.11},
		{"two musts that contradict by 0.4 share it", Problem{Points: points("face", "hand", "edge"), Camera: camera,
			Lights:  []Light{at(flashes("key", tenths, f4*st(4), f4*st(4-0.4), 0), -4), led("edge", 0, 0, st(-2))},
			Targets: []Target{must(ReadsAt(0, 4)), must(ReadsAt(1, 4)), ReadsAbove(2, 0, 0)}}, 0.2, 0.1},
		{"0.3 st are left by the file", Problem{Points: points("face", "edge"), Camera: camera,
			Lights: []Light{at(flashes("key", tenths, f4*st(6), 0), -6), led("edge", 0, st(-1.7))},
			Targets: []Target{known(within(must(ReadsAt(0, 4)), 0.3), 0.1),
				known(ReadsAbove(1, 0, 0), 0.1)}}, -0.3, 0.1},
	} {
		t.Run(c.name, func(t *testing.T) {
			sol := mustSolve(t, c.p)
			o := sol.Targets[0]
			want := (c.p.Targets[0].Lo + c.p.Targets[0].Hi) / 2
			if off := o.Predicted - want; math.Abs(off-c.reads) > c.by {
				t.Errorf("the must comes to %+.2f st, not %+.2f; key %.1f", off, c.reads, float64(sol.Lights[0].Level))
			}
		})
	}
}
