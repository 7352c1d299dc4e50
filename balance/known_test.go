package balance

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	q "halfstop/quantity"
)

// fine is a scale without steps to speak of, so that closed forms can be met to a thousandth of a
// stop.
var fine = Scale{Min: -5.1, Max: 0, Step: 0.01}

// flashes makes a light whose flash gives the listed lux·s at the points; its picture part is that
// of an 18 % card.
func flashes(name string, levels Scale, at ...float64) Light {
	l := Light{Name: name, Levels: levels, Level: levels.Max}
	o := Option{}
	for _, h := range at {
		Y := h * 0.18 / math.Pi
		o.At = append(o.At, Contribution{Flash: q.LuxSeconds(h), FlashXYZ: [3]float64{Y * 0.95, Y, Y * 1.09}})
	}
	l.Options = []Option{o}
	return l
}

// burns makes a continuous light by lux.
func burns(name string, levels Scale, at ...float64) Light {
	l := Light{Name: name, Levels: levels, Level: levels.Max}
	o := Option{}
	for _, e := range at {
		Y := e * 0.18 / math.Pi
		o.At = append(o.At, Contribution{Continuous: q.Lux(e), ContinuousXYZ: [3]float64{Y * 0.95, Y, Y * 1.09}})
	}
	l.Options = []Option{o}
	return l
}

var cam100 = Camera{Aperture: 8, Shutter: 1. / 160, ISO: 100}

func mustSolve(t *testing.T, p Problem) Solution {
	t.Helper()
	sol, err := Solve(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	return sol
}

func near3(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.5f, want %.5f ± %g", what, got, want, tol)
	}
}

// Two lights, two targets, closed form: f/8 at ISO 100 needs 160 lx·s (C = 250); the shadow side
// two stops under gets 40, all of it from the fill, which gives 100 at full; the lit side gets 40
// more from the fill and the rest from the key.
func TestTwoLightsTwoTargets(t *testing.T) {
	p := Problem{Points: []Point{{Name: "lit"}, {Name: "shadow"}}, Camera: cam100,
		Lights:  []Light{flashes("key", fine, 1000, 0), flashes("fill", fine, 100, 100)},
		Targets: []Target{ReadsAt(0, 8), ReadsAbove(1, 0, -2)}}
	sol := mustSolve(t, p)
	near3(t, "key", float64(sol.Lights[0].Level), math.Log2(120./1000), 0.03) // a want is nearly flat about its middle
	near3(t, "fill", float64(sol.Lights[1].Level), math.Log2(40./100), 0.03)
	near3(t, "reading", float64(sol.Targets[0].Predicted), 6, 0.01) // 2·log2 8
}

// TestPredictedReading: published-form checks A6.11 and A6.12 (flash 80 lx·s with ambient 2,000 lx,
// ISO 100, C = 250) and the share of flash A6.13.
func TestPredictedReading(t *testing.T) {
	p := Problem{Points: []Point{{}}, Camera: cam100,
		Lights:  []Light{flashes("flash", Scale{}, 80), burns("room", Scale{}, 2000)},
		Targets: []Target{ReadsAt(0, 6), AmbientShare(0, 0, 1)}}
	sol := mustSolve(t, p)
	near3(t, "A6.11", math.Exp2(sol.Targets[0].Predicted/2), 6.08276, 0.001)
	near3(t, "A6.13", 1-sol.Targets[1].Predicted, 0.864865, 0.0001)
	p.Camera.Shutter = 1. / 80
	near3(t, "A6.12", math.Exp2(mustSolve(t, p).Targets[0].Predicted/2), 6.48074, 0.001)
}

// TestMidGrey: an 18 % card exposed by a flat reading lands at −0.10 st, by a dome's at +0.30
// (engine design, section 1: log2(q·0.18/π·C/10)).
func TestMidGrey(t *testing.T) {
	for _, c := range []struct{ C, want float64 }{{250, -0.10}, {330, 0.30}} {
		h := c.C * 64 / 100 // reads f/8
		p := Problem{Points: []Point{{C: c.C}}, Camera: cam100, Lights: []Light{flashes("key", Scale{}, h)},
			Targets: []Target{LevelAt(0, 0), ReadsAt(0, 8)}}
		sol := mustSolve(t, p)
		near3(t, "card", sol.Targets[0].Predicted, c.want, 0.005)
		near3(t, "reading", sol.Targets[1].Predicted, 6, 1e-9)
	}
}

// A light that is 1.3 stops too weak: at full, the miss is what it is, one more stop buys one stop,
// the line says so, and the other target is met exactly.
func TestBoundActive(t *testing.T) {
	p := Problem{Points: []Point{{Name: "face"}, {Name: "hair"}}, Camera: cam100,
		Lights:  []Light{flashes("key", fine, 1000, 0), flashes("accent", fine, 0, 160*math.Exp2(-1.3))},
		Targets: []Target{ReadsAt(0, 8), ReadsAt(1, 8)}}
	p.Lights[1].Level = -2
	sol := mustSolve(t, p)
	o := sol.Targets[1]
	near3(t, "miss", float64(o.Residual), -1.3, 1e-6)
	if sol.Lights[1].Level != 0 || o.Met || !sol.Targets[0].Met {
		t.Errorf("%+v", sol)
	}
	near3(t, "key", float64(sol.Lights[0].Level), math.Log2(.16), 0.0051)
	if len(o.Limits) == 0 || o.Limits[0].Kind != AtFull || o.Limits[0].Light != 1 {
		t.Fatalf("limits %+v", o.Limits)
	}
	near3(t, "one more stop buys", float64(o.Limits[0].Buys), 1, 0.01)
	if o.Reason != "accent at full: 1.3 st short" {
		t.Errorf("reason %q", o.Reason)
	}
	if len(sol.Targets[0].Limits) != 0 {
		t.Errorf("a met target has limits")
	}
}

// The same point wanted at f/8 and at f/11.3: it is split, nearer to the heavier, and each names
// the other.
func TestConflict(t *testing.T) {
	a, b := ReadsAt(0, 8), ReadsAt(0, q.FNumber(8*math.Sqrt2))
	a.Name, b.Name, b.Weight = "face at f/8", "face at f/11", 2
	p := Problem{Points: []Point{{}}, Camera: cam100, Lights: []Light{flashes("key", fine, 4000)},
		Targets: []Target{a, b}}
	sol := mustSolve(t, p)
	over, short := float64(sol.Targets[0].Residual), -float64(sol.Targets[1].Residual)
	near3(t, "between them", over+short, 1, 1e-9)
	if short < 0.1 || short > 0.4 {
		t.Errorf("the heavier is %.2f st short", short)
	}
	if c := sol.Targets[0].Conflicts; len(c) != 1 || c[0] != 1 {
		t.Errorf("conflicts %v", c)
	}
	if r := sol.Targets[0].Reason; !strings.HasPrefix(r, "pulls against face at f/11") {
		t.Errorf("reason %q", r)
	}
}

// A strict target outweighs any number of wants against it, and a must one of them; musts outweigh
// nices.
func TestPriorities(t *testing.T) {
	must, want := ReadsAt(0, 8), ReadsAt(0, 4)
	must.Priority, must.Strict = Must, true
	p := Problem{Points: []Point{{}}, Camera: cam100, Lights: []Light{flashes("key", fine, 1000)},
		Targets: []Target{must}}
	for range 10 {
		p.Targets = append(p.Targets, want)
	}
	sol := mustSolve(t, p)
	if !sol.Targets[0].Met {
		t.Error("a must was outvoted by wants")
	}
	p.Targets = p.Targets[:2]
	p.Targets[0].Strict = false
	if !mustSolve(t, p).Targets[0].Met {
		t.Error("a must was given for a want")
	}
	for i := range p.Targets {
		p.Targets[i].Priority++ // must → nice, want → must
	}
	if mustSolve(t, p).Targets[0].Met {
		t.Error("a nice held against musts")
	}
}

// TestUnreachableDoesNotDrag: a target five stops out of reach, shared lights or not, leaves the
// others exactly met.
func TestUnreachableDoesNotDrag(t *testing.T) {
	far := LevelAt(2, 5)
	for _, spill := range []float64{0, 0.5, 5} {
		p := Problem{Points: []Point{{}, {}, {}}, Camera: cam100,
			Lights:  []Light{flashes("key", fine, 1000, 20, spill), flashes("fill", fine, 100, 120, spill)},
			Targets: []Target{ReadsAt(0, 8), ReadsAbove(1, 0, -2), far}}
		sol := mustSolve(t, p)
		if !sol.Targets[0].Met || !sol.Targets[1].Met || sol.Targets[2].Met {
			t.Errorf("spill %g: %+v", spill, sol.Targets)
		}
	}
}

// Two gels and a colour: the right one is taken, and its loss is made good by the level.
func TestGelOfTwo(t *testing.T) {
	l := flashes("accent", fine, 640)
	warm, cool := l.Options[0], l.Options[0]
	tinted := func(o Option, x, z, loss float64) Option {
		c := o.At[0]
		c.Flash *= q.LuxSeconds(loss)
		Y := c.FlashXYZ[1] * loss
		c.FlashXYZ = [3]float64{Y * x, Y, Y * z}
		return Option{At: []Contribution{c}}
	}
	l.Options = []Option{l.Options[0], tinted(warm, 1.1, 0.35, 0.6), tinted(cool, 0.95, 1.6, 0.3)}
	l.MayOption = []int{0, 1, 2}
	u, v := uvOf(1.1, 1, 0.35)
	p := Problem{Points: []Point{{}}, Camera: cam100, Lights: []Light{l},
		Targets: []Target{ReadsAt(0, 8), ColourAt(0, u, v, 0.002)}}
	sol := mustSolve(t, p)
	if sol.Lights[0].Option != 1 || !sol.Targets[1].Met {
		t.Fatalf("%+v", sol)
	}
	near3(t, "level", float64(sol.Lights[0].Level), math.Log2(160/(640*.6)), 0.0051)
	p.Lights[0].MayOption = nil
	if sol = mustSolve(t, p); sol.Lights[0].Option != 0 || sol.Targets[1].Met {
		t.Error("an option was changed that may not change")
	}
}

func TestLock(t *testing.T) {
	p := Problem{Points: []Point{{}}, Camera: cam100,
		Lights: []Light{flashes("key", fine, 1000), flashes("fill", fine, 100)}, Targets: []Target{ReadsAt(0, 8)}}
	p.Lights[0].Lock, p.Lights[0].Level = true, -3.537 // off its steps, and kept so
	sol := mustSolve(t, p)
	if sol.Lights[0].Level != -3.537 || sol.Lights[0].Changed {
		t.Errorf("%+v", sol.Lights[0])
	}
	// inside the tolerance of the reading
	near3(t, "fill", float64(sol.Lights[1].Level), math.Log2((160-1000*math.Exp2(-3.537))/100), 0.25)
	p.Lights[1].Lock, p.Lights[1].Level = true, -3
	sol = mustSolve(t, p)
	if k := sol.Targets[0].Limits; len(k) == 0 || k[0].Kind != Locked {
		t.Errorf("limits %+v", k)
	}
}

// Heads with whole stops, a list and a switch: the answer is among their values, and is the best of
// all combinations.
func TestSteps(t *testing.T) {
	p := Problem{Points: []Point{{}, {}}, Camera: cam100,
		Lights: []Light{flashes("coarse", Scale{Min: -6, Max: 0, Step: 1}, 900, 30),
			flashes("list", Scale{List: []q.Stops{0, -0.7, -1.9, -3.3}}, 20, 300), flashes("switch", Scale{}, 25, 25)},
		Targets: []Target{ReadsAt(0, 8), ReadsAbove(1, 0, -1)}}
	p.Lights[2].MaySwitch = true
	s, _, got := solved(t, p)
	_, best := s.enumerate()
	if got > best+0.01 {
		t.Errorf("%v, best of all %v", got, best)
	}
}

// Ambient by the shutter: flash alone meets the face; the room is wanted two stops under it; only
// the shutter moves.
func TestShutterForAmbient(t *testing.T) {
	p := Problem{Points: []Point{{Name: "face"}, {Name: "room"}},
		Camera: Camera{Aperture: 8, Shutter: 1. / 160, ISO: 100, Sync: 1. / 200,
			Shutters: ShutterTimes(1, 1./200, 1./3)},
		Lights:  []Light{flashes("key", fine, 1000, 0), burns("room", Scale{}, 0, 3200)},
		Targets: []Target{LevelAt(0, 0), Above(1, 0, -2)}}
	sol := mustSolve(t, p)
	// mid-grey needs H = 10/S·N²/q as luminance·time: the card of 18 % at E·t lx·s
	want := 10. / 100 * 64 / .65 / 4 / (3200 * .18 / math.Pi)
	if r := math.Log2(float64(sol.Shutter) / want); math.Abs(r) > 0.3 { // the tolerance and a little of a step
		t.Errorf("shutter %v, closed form %.4f s", sol.Shutter, want)
	}
	p.Targets[1] = Above(1, 0, -12)
	sol = mustSolve(t, p)
	if k := sol.Targets[1].Limits; !slices.ContainsFunc(k,
		func(l Limit) bool { return l.Kind == Sync && math.Abs(float64(l.Buys)-1) < 0.01 }) {
		t.Errorf("limits %+v (%v)", k, sol.Shutter)
	}
	p.Camera.Shutters, p.Camera.Shutter = nil, 1./1000
	if sol = mustSolve(t, p); !sol.FlashCut {
		t.Error("a shutter faster than sync does not say that the flash is cut")
	}
}

// What is right already stays; of two lights that could do it, one moves.
func TestFewestChanges(t *testing.T) {
	p := Problem{Points: []Point{{}}, Camera: cam100,
		Lights: []Light{flashes("a", fine, 640), flashes("b", fine, 640)}, Targets: []Target{ReadsAt(0, 8)}}
	p.Lights[0].Level, p.Lights[1].Level = -3, -3
	if sol := mustSolve(t, p); sol.Changed != 0 || sol.Means != 0 {
		t.Errorf("changed what was right: %+v", sol.Lights)
	}
	p.Targets[0] = ReadsAt(0, q.FNumber(8*math.Exp2(-0.3)))
	if sol := mustSolve(t, p); sol.Changed != 1 || !sol.Targets[0].Met {
		t.Errorf("%d changes: %+v", sol.Changed, sol.Lights)
	}
}

func TestVeil(t *testing.T) {
	l := flashes("back", fine, 100)
	l.Options[0].At[0].FlashVeil = [3]float64{0, l.Options[0].At[0].FlashXYZ[1], 0} // doubles it: one stop
	p := Problem{Points: []Point{{}}, Camera: cam100, Lights: []Light{l}, Targets: []Target{VeilAtMost(0, 0.4)}}
	sol := mustSolve(t, p)
	near3(t, "lift", sol.Targets[0].Predicted, 1, 1e-9)
	near3(t, "miss", float64(sol.Targets[0].Miss), 0.6-wantTolerance, 1e-9)
	if !strings.Contains(sol.Targets[0].Reason, "haze lifts it 0.6 st too much") {
		t.Errorf("%q", sol.Targets[0].Reason)
	}
}

// TestMiredOfIlluminants: CIE 15 white points of A (2,856 K) and D65 (6,504 K, nearest black body);
// D65 lies off the locus, so a mired of tolerance covers the approximation of 9e-5 in u, v.
func TestMiredOfIlluminants(t *testing.T) {
	for _, c := range []struct{ x, y, kelvin float64 }{{0.44758, 0.40745, 2855.5}, {0.31272, 0.32903, 6503.6}} {
		u, v := uvOf(c.x/c.y, 1, (1-c.x-c.y)/c.y)
		near3(t, "mired", miredOf(u, v), 1e6/c.kelvin, 1)
	}
}

// TestUnitPerStop: 30 mired from 5,000 K to warmer is about 0.01 in u'v', by the locus itself.
func TestUnitPerStop(t *testing.T) {
	u0, v0 := planckUV(5000)
	u1, v1 := planckUV(1e6 / (200 + 30))
	near3(t, "du'v'", math.Hypot(u1-u0, (v1-v0)*1.5), Colour.UnitPerStop(), 0.004)
	if Warmth.UnitPerStop() != 30 {
		t.Error("30 mired is a stop")
	}
}

func TestBadProblems(t *testing.T) {
	good := Problem{Points: []Point{{}}, Camera: cam100, Lights: []Light{flashes("key", fine, 100)},
		Targets: []Target{ReadsAt(0, 8)}}
	for name, spoil := range map[string]func(p *Problem){
		"negative light":  func(p *Problem) { p.Lights[0].Options[0].At[0].Flash = -1 },
		"no number":       func(p *Problem) { p.Lights[0].Options[0].At[0].FlashXYZ[2] = math.NaN() },
		"point index":     func(p *Problem) { p.Targets[0].Point = 7 },
		"no second point": func(p *Problem) { p.Targets[0] = Above(0, -1, 1) },
		"no options":      func(p *Problem) { p.Lights[0].Options = nil },
		"f/0":             func(p *Problem) { p.Camera.Aperture = 0 },
		"reversed":        func(p *Problem) { p.Targets[0].Lo, p.Targets[0].Hi = 1, 0 },
		"endless steps":   func(p *Problem) { p.Lights[0].Levels.Step = 1e-9 },
	} {
		p := good
		p.Lights = []Light{flashes("key", fine, 100)}
		p.Targets = []Target{ReadsAt(0, 8)}
		spoil(&p)
		if _, err := Solve(context.Background(), p); !errors.Is(err, ErrProblem) {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Solve(ctx, good); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// FuzzSolve builds a problem from a seed and awkward numbers: never a panic, a hang, a NaN, a
// broken lock or a step missed.
func FuzzSolve(f *testing.F) {
	for i := range 12 {
		f.Add(uint64(i), uint8(i), uint8(3*i), 0.1*float64(i), float64(i)-6)
	}
	f.Add(uint64(99), uint8(1), uint8(1), 0.0, 1e300)
	f.Add(uint64(98), uint8(2), uint8(2), 1e-300, -40.0)
	f.Fuzz(func(t *testing.T, seed uint64, lights, targets uint8, strength, wanted float64) {
		d := dice(seed)
		p := d.problem(2, 1+int(lights)%4, 1+int(targets)%6, 2, 0.5, d.yes(0.3))
		for g := range p.Lights {
			for k := range p.Lights[g].Options {
				c := &p.Lights[g].Options[k].At[0]
				c.Flash *= q.LuxSeconds(strength)
				c.Continuous *= q.Lux(strength)
				for i := range 3 {
					c.FlashXYZ[i] *= strength
					c.ContinuousXYZ[i] *= strength
				}
			}
		}
		p.Targets[0].Hi = p.Targets[0].Lo + math.Abs(wanted)
		sol, err := Solve(context.Background(), p)
		if err != nil {
			return
		}
		if _, ok := newSlow(p).pickedOf(sol); !ok {
			t.Fatal("off the steps")
		}
		for _, o := range sol.Targets {
			if math.IsNaN(o.Predicted) || math.IsNaN(float64(o.Miss)) || math.IsNaN(float64(o.Residual)) {
				t.Fatalf("%+v", o)
			}
		}
		if math.IsNaN(sol.Loss+sol.Means) || float64(sol.Aperture) <= 0 || float64(sol.Shutter) <= 0 ||
			float64(sol.ISO) <= 0 {
			t.Fatalf("%+v", sol)
		}
	})
}
