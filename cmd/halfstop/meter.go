package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/stage"
	"halfstop/ways"
)

func meterCommand(e *env) *cobra.Command {
	return command(e, words{use: "meter [SHOOT]", most: 1, short: "what the meter will read at every point",
		long: `meter predicts what a hand-held meter reads at every point of every setup: the f-number with
tenths at the setup's sensitivity and shutter, the level in the picture in stops to mid-grey, how
far the reading may be off, and the lights that make it. What is wrong against the setup's look
stands first. --lights adds lux (continuous light) or lux seconds (flash), every light's share,
and where each light stands from the face.

The first answer is computed to a standard error of 0.03 stops, with at most 16384 paths of light
a point; in haze to 0.1 stops where 8192 paths do not bring that. --error asks for another; --fine
works to 0.005 stops for straight light and 0.015 stops for the whole, which takes ten times as
long. --samples and --time bound the work. Where they end it early the table says so.`}, &meterOptions{})
}

type meterOptions struct {
	work
	json, fine, lights bool
	soon               bool // see meter.Work
	error              float64
}

// The first answer: what a photographer can use (a dial moves in tenths of a stop) within three
// seconds for a room with three setups.
const (
	firstError = 0.03
	firstPaths = 16384
)

func (o *meterOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	flagJSON(f, &o.json)
	f.Float64Var(&o.error, "error", 0, "standard error to work to, in stops, like 0.05 (default 0.03)")
	f.BoolVar(&o.fine, "fine", false,
		"as fine as the published checks: 0.005 st for straight light, 0.015 st for the whole")
	f.BoolVar(&o.lights, "lights", false, "every light at every point, with lux and where it stands from the face")
}

// first is the measuring behind a first answer, within --samples.
func (w *work) first(step step) meter.Work {
	m := meter.Work{Seed: w.seed, Samples: w.samples, Error: firstError, Soon: true, Progress: step}
	if m.Samples == 0 {
		m.Samples = firstPaths
	}
	return m
}

func (o *meterOptions) read() error {
	if err := o.check(); err != nil {
		return err
	}
	switch {
	case !(o.error >= 0 && o.error <= 2):
		return badInput(fmt.Errorf("--error %g: give stops from 0.001 to 2", o.error))
	case o.fine && o.error > 0:
		return badInput(errors.New("--fine and --error both say how fine to work: leave one out"))
	case !o.fine && o.error == 0:
		o.error = firstError
		if o.soon = true; o.samples == 0 {
			o.samples = firstPaths
		}
	}
	return nil
}

func (o *meterOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.read(); err != nil {
		return err
	}
	job, err := e.shoot(args)
	if err != nil {
		return err
	}
	out := answer.Readings{Version: 1, Shoot: job.File.Shoot.Title, Meter: job.ConstantsOf(),
		Setups: []answer.SetupReadings{}}
	err = each(ctx, e, &o.work, job, "metering", func(ctx context.Context, i int, step step) (*answer.Metered,
		diag.List, error) {
		m, list, err := job.Meter(ctx, i, meter.Work{Seed: o.seed, Samples: o.samples, Error: q.Stops(o.error),
			Soon: o.soon, Progress: step})
		if m == nil || err != nil {
			return nil, list, err
		}
		return m, list, m.Compare(context.WithoutCancel(ctx)) // it takes a moment, also when --time is over
	}, func(n int, m *answer.Metered) error {
		if o.json {
			out.Setups = append(out.Setups, m.JSON())
			return nil
		}
		e.between(n)
		o.print(e, m)
		return nil
	})
	if err == nil && o.json {
		err = e.json(out)
	}
	return err
}

// signed writes a number with its sign, and a true minus.
func signed(v float64, digits int) string {
	p := math.Pow10(digits)
	s := fmt.Sprintf("%+.*f", digits, math.Round(v*p)/p+0) // −0 + 0 is 0
	return strings.Replace(s, "-", "−", 1)
}

func (o *meterOptions) print(e *env, m *answer.Metered) {
	c := m.Camera
	assumed := ""
	if c.Assumed {
		assumed = " (no camera in this setup: usual settings)"
	}
	e.line(0, fmt.Sprintf("%s   ISO %g · %s · %s%s", m.Stage.Setup.Name, float64(c.ISO), c.Shutter,
		answer.FText(c.Aperture), assumed))
	said, of := lookWords(m.Look)
	if said != "" {
		e.line(0, said)
	}
	for _, j := range m.Judge() {
		if j.Code == "camera.face" && of != nil && of.Kind == "reading" && of.Point == "face key side" {
			continue // that says it
		}
		e.line(0, strings.ToUpper(j.Text[:1])+j.Text[1:]+".")
	}
	fmt.Fprintln(e.out)
	t := table{head: []string{"point", "reads", "in the picture", "±", "made by"}}
	for i := range m.Readings {
		r := &m.Readings[i]
		known := errorText(r)
		if r.Uncertainty > 0 {
			known += ", " + r.Basis.Short()
		}
		t.row(pointName(r), answer.FText(r.FNumber), pictureLevel(r, &m.Facts), known, madeBy(r, 3))
	}
	e.table(&t)
	o.printAccuracy(e, m)
	if o.lights {
		printLights(e, m)
	}
	o.printFacts(e, m)
}

// lookWords says in one sentence how the setup stands against its look, and which wish that is of,
// where it misses one; "" where it has none.
func lookWords(look []ways.TargetNow) (said string, worst *ways.TargetNow) {
	missed, unsettled := 0, 0
	for i := range look {
		t := &look[i]
		if t.Met {
			continue
		}
		missed++
		if t.Unsettled() {
			unsettled++
		}
		if worst == nil || !t.Unsettled() && worst.Unsettled() ||
			t.Unsettled() == worst.Unsettled() && weighed(t) > weighed(worst) {
			worst = t
		}
	}
	switch {
	case len(look) == 0:
		return "", nil
	case missed == 0 && len(look) == 1:
		return fmt.Sprintf("As set, the look is met: %s.", look[0].Words), nil
	case missed == 0 && len(look) == 2:
		return "As set, the look is met: both wishes.", nil
	case missed == 0:
		return fmt.Sprintf("As set, the look is met: all %d wishes.", len(look)), nil
	}
	s := map[bool]string{true: "To be metered first: ",
		false: "Not as the look asks: "}[unsettled == missed] + "'" + worst.Words + "'"
	if worst.Kind == "colour" { // told by how it differs from the one that is wanted
		s += " comes out " + worst.Off
	} else {
		s += fmt.Sprintf(" comes to %s, %s", worst.Predicted, worst.Off)
	}
	switch more := missed - 1; {
	case more == 1:
		s += fmt.Sprintf("; one more of %d wishes is missed too", len(look))
	case more > 1:
		s += fmt.Sprintf("; %d more of %d wishes are missed too", more, len(look))
	}
	switch {
	case unsettled == missed:
		return s + fmt.Sprintf(". The kit is known to ± %.1f st only, so a meter reading settles it.",
			float64(worst.Known)), worst
	case unsettled > 0:
		s += fmt.Sprintf(" (%d of them by less than the kit is known to, so meter first)", unsettled)
	}
	return s + ". halfstop balance and halfstop ways say what can be done.", worst
}

// weighed orders missed targets: a must before a want before a nice, then by stops.
func weighed(t *ways.TargetNow) float64 {
	return math.Abs(float64(t.Residual)) * map[string]float64{"must": 10, "want": 3}[t.Priority]
}

func pointName(r *meter.Reading) string {
	if r.Receptor == "spot" {
		return r.Name + ", spot"
	}
	return r.Name
}

// pictureLevel is a point's level in the picture, and whether the sensor shows it as black or
// white.
func pictureLevel(r *meter.Reading, f *meter.Facts) string {
	if r.Dark {
		if r.Below > 0 {
			unit := "lx·s"
			if r.Receptor == "spot" {
				unit = "cd·s/m²"
			}
			return fmt.Sprintf("dark (under %.2g %s)", r.Below, unit)
		}
		return "dark"
	}
	s := signed(float64(r.Stops), 1) + " st"
	switch {
	case black(r, f):
		s += " (black)"
	case r.Stops > f.Clip:
		s += " (clips)"
	case r.StopsOf == "card":
		s += " (card)"
	}
	return s
}

// black reports whether a point lies under what the sensor tells from its own noise: nobody sees
// how far under.
func black(r *meter.Reading, f *meter.Facts) bool { return r.Dark || r.Stops < f.Floor }

// errorText is how far a reading may be off: one standard deviation of the computation and of the
// figures behind it together.
func errorText(r *meter.Reading) string {
	d := math.Hypot(float64(r.Error), float64(r.Uncertainty))
	if d < 0.095 {
		return fmt.Sprintf("%.2f st", d)
	}
	return fmt.Sprintf("%.1f st", d)
}

// madeBy names the lights that make a reading, the strongest first, at most so many and none under
// a twentieth.
func madeBy(r *meter.Reading, most int) string {
	lights := slices.Clone(r.Lights)
	slices.SortStableFunc(lights, func(a, b meter.LightShare) int { return cmp.Compare(b.Share, a.Share) })
	var parts []string
	for i, l := range lights {
		if i == most || l.Share < 0.05 && i > 0 || l.Share <= 0 {
			break
		}
		parts = append(parts, figured(l.Name, fmt.Sprintf("%.0f %%", l.Share*100)))
	}
	return strings.Join(parts, ", ")
}

// figured is a name with a figure behind it: where it ends in one of its own, 'panel 8 (27 %)'.
func figured(name, figure string) string {
	if n := len(name); n > 0 && name[n-1] >= '0' && name[n-1] <= '9' {
		return name + " (" + figure + ")"
	}
	return name + " " + figure
}

// printAccuracy says how fine the computation is, and what the rest of ± is.
func (o *meterOptions) printAccuracy(e *env, m *answer.Metered) {
	said := o.accuracySaid(m)
	if len(said) == 0 {
		return
	}
	for _, s := range said {
		e.line(0, s)
	}
	if s := answer.RestsOn(m.JSON().Layers); s != "" {
		e.line(0, s)
	}
	printAssumed(e, m.Assumed())
}

// printAssumed says what the file leaves open, and how much hangs on it.
func printAssumed(e *env, list []answer.Assumption) {
	for _, a := range list {
		e.line(2, fmt.Sprintf("%s%s: ± %.1f st at %s.", strings.ToUpper(a.Words[:1]), a.Words[1:], a.Stops, a.Point))
	}
}

// accuracySaid returns how fine the computation is, and what is black.
func (o *meterOptions) accuracySaid(m *answer.Metered) (out []string) {
	worst, kit, over, under := 0.0, 0.0, 0, false
	for i := range m.Readings {
		r := &m.Readings[i]
		if black(r, &m.Facts) {
			under = under || !r.Dark
			continue
		}
		worst, kit = max(worst, float64(r.Error)), max(kit, float64(r.Uncertainty))
		if o.error > 0 && float64(r.Error) > o.error {
			over++
		}
	}
	if worst == 0 && kit == 0 {
		return nil
	}
	digits := 2
	if worst < 0.0095 {
		digits = 3
	}
	s := fmt.Sprintf("± is one standard deviation. Computed to %.*f st or better", digits, worst)
	switch {
	case over > 0:
		s += fmt.Sprintf(" (%s not yet to %g st", counted(over, "point", "points"), o.error)
		switch {
		case m.Measured.Capped && o.samples != firstPaths:
			s += ": stopped at the most paths a point; --samples allows more"
		case !o.fine:
			s += "; --fine goes on"
		}
		s += ")"
	case (m.Measured.Stopped || m.Measured.Capped) && !under:
		s += " (stopped by --time or --samples before every point was settled)"
	case !o.fine:
		s += " (--fine goes on)"
	}
	if kit > worst {
		s += "; the rest of ± is the figures of kit, house and room, and what most of it comes from stands beside it"
	}
	out = append(out, s+".")
	if under {
		out = append(out, fmt.Sprintf("Black: under %s st, where the sensor's noise is as strong as the light.",
			signed(float64(m.Facts.Floor), 1)))
	}
	return out
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// printLights gives every light's part at every point, in the meter's units.
func printLights(e *env, m *answer.Metered) {
	c := &m.Camera
	fmt.Fprintln(e.out)
	for i := range m.Readings {
		r := &m.Readings[i]
		e.line(0, fmt.Sprintf("%s (%s): %s, computed to %.3f st", r.Name, r.Receptor, amounts(r), float64(r.Error)))
		e.line(2, shares(r))
	}
	e.line(0, fmt.Sprintf("C %g lx·s flat, %g lx·s dome · K %g · q %g", c.FlatC, c.DomeC, c.K, c.Q))
}

func amounts(r *meter.Reading) string {
	unit, unitS := "lx", "lx·s"
	if r.Receptor == "spot" {
		unit, unitS = "cd/m²", "cd·s/m²"
	}
	var parts []string
	if r.LuxSeconds > 0 {
		parts = append(parts, sig(r.LuxSeconds)+" "+unitS)
	}
	if r.Lux > 0 {
		parts = append(parts, sig(r.Lux)+" "+unit)
	}
	if len(parts) == 0 {
		return "0 " + unit
	}
	return strings.Join(parts, " + ")
}

// sig prints three significant digits without an exponent.
func sig(v float64) string {
	if v == 0 {
		return "0"
	}
	d := 2 - int(math.Floor(math.Log10(math.Abs(v))))
	if d < 0 {
		p := math.Pow(10, float64(-d))
		return fmt.Sprintf("%.0f", math.Round(v/p)*p)
	}
	return fmt.Sprintf("%.*f", min(d, 6), v)
}

func shares(r *meter.Reading) string {
	var parts []string
	for _, l := range r.Lights {
		if l.Share < 0.005 {
			continue
		}
		s := figured(l.Name, fmt.Sprintf("%.0f %%", l.Share*100))
		if v := l.Direct + l.Bounced; v > 0 {
			if b := l.Bounced / v; b > 0.05 && b < 0.95 {
				s += fmt.Sprintf(" (%.0f %% bounced)", b*100)
			} else if b >= 0.95 {
				s += " (bounced)"
			}
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, ", ")
}

// printFacts says what follows for the face, the lens and the sensor. Without --lights only the key
// is placed.
func (o *meterOptions) printFacts(e *env, m *answer.Metered) {
	f := &m.Facts
	fmt.Fprintln(e.out)
	if r := f.Ratio; r != nil {
		s := fmt.Sprintf("ratio  %.1f:1 lit side : shadow side (%s st), %s; ", r.Sides,
			signed(float64(r.LitOverShade), 1), r.Words)
		e.line(2, s+r.LightsSaid())
	}
	key := m.Stage.LayerNamed("key")
	for i := range f.Lights {
		l := &f.Lights[i]
		at := m.Stage.LayerNamed(l.Name)
		if at >= 0 && m.Stage.Layers[at].Light >= 0 && (o.lights || at == key) {
			e.line(2, lightFact(l))
		}
	}
	if f.Distance > 0 {
		far := fmt.Sprintf("%.2f m", float64(f.Far))
		if math.IsInf(float64(f.Far), 1) {
			far = "the horizon"
		}
		s := fmt.Sprintf("sharp  from %.2f m to %s, focused at %.2f m", float64(f.Near), far, float64(f.Distance))
		if f.Blur > 0 {
			s += fmt.Sprintf("; background at %.1f m blurred to %.2f mm on the sensor", float64(f.Background),
				float64(f.Blur)*1000)
		}
		e.line(2, s)
	}
	if o.lights {
		e.line(2, fmt.Sprintf("sensor clips at %s st; noise equals signal at %s st, a tenth of it at %s st",
			signed(float64(f.Clip), 1), signed(float64(f.Floor), 1), signed(float64(f.Clean), 1)))
	}
	if f.Lit < 1 && slices.ContainsFunc(m.Stage.Layers, func(l stage.Layer) bool { return l.Flash }) {
		e.line(2, fmt.Sprintf("shutter beyond sync: the flash reaches %.0f %% of the frame", f.Lit*100))
	}
	for _, k := range f.Flicker {
		e.line(2, "flicker  "+answer.FlickerWords(&k))
	}
}

// lightFact says where a light stands from the face and what it does there.
func lightFact(l *meter.LightFacts) string {
	above := math.Round(float64(l.Pattern.Above))
	s := fmt.Sprintf("%s  %.2f m, %s: %.0f° round from the nose, ", l.Name, float64(l.Distance), l.Pattern.Words(),
		math.Abs(float64(l.Pattern.Around)))
	switch {
	case above > 0:
		s += fmt.Sprintf("%.0f° above", above)
	case above < 0:
		s += fmt.Sprintf("%.0f° below", -above)
	default:
		s += "level with the face"
	}
	if l.Pattern.Cheek != "" {
		s += ", " + l.Pattern.Cheek
	}
	if l.Catchlight != nil && l.Catchlight.OnIris {
		s += fmt.Sprintf("; catchlight at %.0f o'clock", math.Round(l.Catchlight.Hour))
	}
	return s + fmt.Sprintf("; covers %.0f°, nose shadow's edge %.0f mm, %s", float64(l.Covers),
		float64(l.Penumbra)*1000, l.Softness)
}
