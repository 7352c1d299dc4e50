package balance

import (
	"errors"
	"fmt"
	"math"
	"slices"

	q "halfstop/quantity"
)

// Problem is one setup, ready to be balanced. Indices into Points and Lights are used throughout.
type Problem struct {
	Points  []Point
	Lights  []Light
	Camera  Camera
	Targets []Target
}

// Point is a place where a level is predicted.
type Point struct {
	Name string
	// Light says that the contributions know the light that reaches the point, apart from what is
	// seen of the surface there: colours asked for are then of the light.
	Light bool
	C     float64 // incident meter constant of its receptor, lx·s; zero means 250, the flat receptor of ISO 2720:1974
}

// Contribution is what one light in one option brings to one point at full level: the meter part
// (incident) and the picture part (luminance toward the camera, as XYZ), each split into flash and
// continuous. All zero or more.
type Contribution struct {
	Flash           q.LuxSeconds // meter part of the flash
	Continuous      q.Lux        // meter part of the continuous light
	FlashXYZ        [3]float64   // picture part of the flash without haze; Y in cd·s/m²
	ContinuousXYZ   [3]float64   // picture part of the continuous light without haze; Y in cd/m²
	FlashVeil       [3]float64   // what haze adds to FlashXYZ on the way to the camera
	ContVeil        [3]float64   // what haze adds to ContinuousXYZ
	FlashLight      [3]float64   // XYZ of the light itself, lx·s; for points with Light
	ContinuousLight [3]float64   // the same of the continuous light, lx
}

// Option is one way a light can be equipped: a gel, a colour of an RGB head, a modifier.
type Option struct {
	Name string
	At   []Contribution // one for each point of the problem
	Cost float64        // loss of changing to this option, beside touching the light; zero or more
}

// Scale is the set of levels a head can be set to, in stops relative to full power: zero is full,
// negative below it. With a List, only its entries are levels (inside Min and Max where those are
// set). Otherwise Max, Max−Step, Max−2·Step … down to Min. The zero Scale is 'fixed at the present
// level'.
type Scale struct {
	Min, Max q.Stops
	Step     q.Stops
	List     []q.Stops
}

// Light is one light, or one thing that gives light (a window, the house lights).
type Light struct {
	Name    string
	Options []Option
	Held    string // why it has no setting here, after its name; empty: 'cannot be dimmed'

	// the present state
	Option int
	Level  q.Stops
	Off    bool

	// what may change
	Levels    Scale
	MayOption []int // options it may change to; empty: stays with the present one
	MaySwitch bool  // may be switched on or off
	Lock      bool  // nothing of it may change

	Recycle q.Seconds // to ready after a full flash; zero: not known

	// For lists the points that this light is there to light; nil: not known. Where it is known,
	// the light is driven by the targets at these points alone: what it spills on others is a cost,
	// not a means. An empty list that is not nil is a light that is there for none of them.
	For []int
}

// Camera holds the present exposure settings and the values that each may take; an empty list is
// 'fixed'.
type Camera struct {
	Aperture  q.FNumber
	Shutter   q.Seconds
	ISO       q.ISO
	Apertures []q.FNumber
	Shutters  []q.Seconds
	ISOs      []q.ISO

	Sync q.Seconds // shortest shutter time that sees the whole flash; zero: no limit
	// Pulsed is what is left of a flash at the sync speed where it pulses through faster shutters,
	// and so much less by each stop of shutter; zero: a faster shutter does not see the flash.
	Pulsed float64
	Every  q.Seconds // time between frames; zero: not known
	LensQ  float64   // q of H = q·L·t/N² (ISO 12232); zero means 0.65
}

// Tied reports whether the readings asked for go along with the aperture: where one of them is what
// the aperture is set to.
func (p *Problem) Tied() bool {
	a0 := 2 * math.Log2(float64(p.Camera.Aperture))
	return slices.ContainsFunc(p.Targets,
		func(t Target) bool { return t.Kind == Reading && math.Abs((t.Lo+t.Hi)/2-a0) < tiedBy })
}

// ErrProblem wraps every complaint about a problem that cannot be worked on.
var ErrProblem = errors.New("balance: problem")

// Largest sizes that Solve accepts, so that no input can hang it.
const (
	maxPoints  = 512
	maxLights  = 48
	maxOptions = 64
	maxTargets = 256
	maxSteps   = 512
)

// Check says what is wrong with a problem: sizes, indices, values that are not finite or are
// negative where light cannot be. All errors wrap ErrProblem; several are joined.
func (p Problem) Check() error {
	var errs []error
	bad := func(format string, a ...any) {
		if len(errs) < 20 {
			errs = append(errs, fmt.Errorf("%w: %s", ErrProblem, fmt.Sprintf(format, a...)))
		}
	}
	if len(p.Points) > maxPoints {
		bad("%d points, at most %d", len(p.Points), maxPoints)
	}
	if len(p.Lights) > maxLights {
		bad("%d lights, at most %d", len(p.Lights), maxLights)
	}
	if len(p.Targets) > maxTargets {
		bad("%d targets, at most %d", len(p.Targets), maxTargets)
	}
	for i, pt := range p.Points {
		if pt.C < 0 || !finite(pt.C) {
			bad("point %d %q: meter constant %g", i, pt.Name, pt.C)
		}
	}
	for i, l := range p.Lights {
		l.check(i, len(p.Points), bad)
	}
	p.Camera.check(bad)
	for i, t := range p.Targets {
		t.check(i, p, bad)
	}
	return errors.Join(errs...)
}

func (l Light) check(i, points int, bad func(string, ...any)) {
	if len(l.Options) == 0 || len(l.Options) > maxOptions {
		bad("light %d %q has %d options, 1 to %d are possible", i, l.Name, len(l.Options), maxOptions)
		return
	}
	if l.Option < 0 || l.Option >= len(l.Options) {
		bad("light %d %q: present option %d of %d", i, l.Name, l.Option, len(l.Options))
	}
	for _, k := range l.MayOption {
		if k < 0 || k >= len(l.Options) {
			bad("light %d %q may take option %d of %d", i, l.Name, k, len(l.Options))
		}
	}
	if !within(float64(l.Level), -40, 40) {
		bad("light %d %q: level %g st", i, l.Name, float64(l.Level))
	}
	l.Levels.check(i, l.Name, bad)
	for _, k := range l.For {
		if k < 0 || k >= points {
			bad("light %d %q is for point %d of %d", i, l.Name, k, points)
		}
	}
	for k, o := range l.Options {
		if len(o.At) != points {
			bad("light %d %q option %d: %d contributions for %d points", i, l.Name, k, len(o.At), points)
		}
		if o.Cost < 0 || !finite(o.Cost) {
			bad("light %d %q option %d: cost %g", i, l.Name, k, o.Cost)
		}
		for pt, c := range o.At {
			if !c.fit() {
				bad("light %d %q option %d at point %d: a contribution that is negative, too large or not a number",
					i, l.Name, k, pt)
			}
		}
	}
}

func (s Scale) check(i int, name string, bad func(string, ...any)) {
	if !within(float64(s.Min), -40, 40) || !within(float64(s.Max), -40, 40) || s.Min > s.Max {
		bad("light %d %q: levels from %g to %g st", i, name, float64(s.Min), float64(s.Max))
		return
	}
	if s.Step < 0 || !finite(float64(s.Step)) {
		bad("light %d %q: step %g st", i, name, float64(s.Step))
		return
	}
	if s.Step > 0 && float64(s.Max-s.Min)/float64(s.Step) > maxSteps {
		bad("light %d %q: more than %d steps", i, name, maxSteps)
	}
	if len(s.List) > maxSteps {
		bad("light %d %q: more than %d steps", i, name, maxSteps)
	}
	for _, v := range s.List {
		if !within(float64(v), -40, 40) {
			bad("light %d %q: level %g st in its list", i, name, float64(v))
		}
	}
}

func (c Contribution) fit() bool {
	ok := fitLight(float64(c.Flash)) && fitLight(float64(c.Continuous))
	for _, v := range [...][3]float64{c.FlashXYZ, c.ContinuousXYZ, c.FlashVeil, c.ContVeil,
		c.FlashLight, c.ContinuousLight} {
		ok = ok && fitLight(v[0]) && fitLight(v[1]) && fitLight(v[2])
	}
	return ok
}

func (c Camera) check(bad func(string, ...any)) {
	if !within(float64(c.Aperture), 0.1, 1000) {
		bad("aperture f/%g", float64(c.Aperture))
	}
	if !within(float64(c.Shutter), 1e-6, 1e5) {
		bad("shutter %g s", float64(c.Shutter))
	}
	if !within(float64(c.ISO), 0.1, 1e8) {
		bad("sensitivity %g", float64(c.ISO))
	}
	if len(c.Apertures) > maxSteps || len(c.Shutters) > maxSteps || len(c.ISOs) > maxSteps {
		bad("more than %d values of a camera setting", maxSteps)
	}
	for _, v := range c.Apertures {
		if !within(float64(v), 0.1, 1000) {
			bad("aperture f/%g among those allowed", float64(v))
		}
	}
	for _, v := range c.Shutters {
		if !within(float64(v), 1e-6, 1e5) {
			bad("shutter %g s among those allowed", float64(v))
		}
	}
	for _, v := range c.ISOs {
		if !within(float64(v), 0.1, 1e8) {
			bad("sensitivity %g among those allowed", float64(v))
		}
	}
	if c.Sync < 0 || !finite(float64(c.Sync)) || c.LensQ < 0 || !finite(c.LensQ) || !within(c.Pulsed, 0, 1) {
		bad("sync %g s, q %g", float64(c.Sync), c.LensQ)
	}
}

// FNumbers returns apertures from wide to small in equal steps, both ends included where the step
// divides the range.
func FNumbers(wide, small q.FNumber, step q.Stops) []q.FNumber {
	var out []q.FNumber
	for _, s := range stepped(2*math.Log2(float64(wide)), 2*math.Log2(float64(small)), float64(step)) {
		out = append(out, q.FNumber(math.Exp2(s/2)))
	}
	return out
}

// ShutterTimes returns times from the longest to the shortest in equal steps.
func ShutterTimes(longest, shortest q.Seconds, step q.Stops) []q.Seconds {
	var out []q.Seconds
	for _, s := range stepped(-math.Log2(float64(longest)), -math.Log2(float64(shortest)), float64(step)) {
		out = append(out, q.Seconds(math.Exp2(-s)))
	}
	return out
}

// Sensitivities returns ISO values from low to high in equal steps.
func Sensitivities(low, high q.ISO, step q.Stops) []q.ISO {
	var out []q.ISO
	for _, s := range stepped(math.Log2(float64(low)), math.Log2(float64(high)), float64(step)) {
		out = append(out, q.ISO(math.Exp2(s)))
	}
	return out
}

// stepped returns from, from+step … up to to, at most maxSteps of them; nil if the bounds are not
// finite or reversed.
func stepped(from, to, step float64) []float64 {
	if !finite(from) || !finite(to) || !(step > 0) || to < from {
		return nil
	}
	var out []float64
	for i := 0; i < maxSteps; i++ {
		v := from + float64(i)*step
		if v > to+1e-6 {
			break
		}
		out = append(out, v)
	}
	return out
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func within(x, lo, hi float64) bool { return x >= lo && x <= hi }

func fitLight(x float64) bool { return x >= 0 && x <= 1e12 }
