package main

import (
	"context"
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
	q "halfstop/quantity"
)

func meterCommand(e *env) *cobra.Command {
	return command(e, words{use: "meter [SHOOT]", most: 1, short: "readings at every point, light by light",
		long: `meter predicts what a hand-held meter reads at every point of every setup: the f-number with tenths at the setup's
sensitivity and shutter, the level in the picture in stops to mid-grey, lux (continuous light) or lux seconds (flash), the
standard error of the computation, and the share of each light.

It works until every point's standard error is small: 0.005 stops for straight light, 0.015 stops for the whole, or what
--error asks; --samples and --time bound it.`}, &meterOptions{})
}

type meterOptions struct {
	work
	json  bool
	error float64
}

func (o *meterOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	flagJSON(f, &o.json)
	f.Float64Var(&o.error, "error", 0, "standard error to work to, in stops, like 0.05; 0 is as fine as the published checks need")
}

func (o *meterOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	if !(o.error >= 0 && o.error <= 2) {
		return badInput(fmt.Errorf("--error %g: give stops from 0.001 to 2", o.error))
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	e.warn(list)
	out := answer.Readings{Version: 1, Shoot: job.File.Shoot.Title, Meter: job.ConstantsOf(), Setups: []answer.SetupReadings{}}
	err = each(ctx, e, &o.work, job, "metering", func(ctx context.Context, i int, step step) (*answer.Metered, diag.List, error) {
		return job.Meter(ctx, i, meter.Work{Seed: o.seed, Samples: o.samples, Error: q.Stops(o.error), Progress: step})
	}, func(n int, m *answer.Metered) error {
		if o.json {
			out.Setups = append(out.Setups, m.JSON())
			return nil
		}
		e.between(n)
		e.printReadings(m)
		return nil
	})
	if err == nil && o.json {
		err = e.json(out)
	}
	return err
}

// signed writes a number with a true minus sign.
func signed(v float64, digits int) string {
	s := fmt.Sprintf("%+.*f", digits, v)
	return strings.Replace(s, "-", "−", 1)
}

func (e *env) printReadings(m *answer.Metered) {
	c := m.Camera
	s := m.Stage
	assumed := ""
	if c.Assumed {
		assumed = " (no camera in this setup: usual settings)"
	}
	fmt.Fprintf(e.out, "%s   ISO %g · %s · %s%s\n", s.Setup.Name, float64(c.ISO), c.Shutter, answer.FText(c.Aperture), assumed)
	fmt.Fprintf(e.out, "C %g lx·s flat, %g lx·s dome · K %g · q %g\n\n", c.FlatC, c.DomeC, c.K, c.Q)
	t := tabwriter.NewWriter(e.out, 2, 8, 2, ' ', 0)
	fmt.Fprintln(t, "point\treceptor\treads\tpicture\tlight\t±\twhat lights it")
	for _, r := range m.Readings {
		light := amounts(&r)
		stops := "dark"
		if !r.Dark {
			stops = signed(float64(r.Stops), 1) + " st"
			if r.StopsOf == "card" {
				stops += " (card)"
			}
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%.3f st\t%s\n", r.Name, r.Receptor, answer.FText(r.FNumber), stops, light, float64(r.Error), shares(&r))
	}
	t.Flush()
	e.printFacts(m)
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
		s := fmt.Sprintf("%s %.0f %%", l.Name, l.Share*100)
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

func (e *env) printFacts(m *answer.Metered) {
	f := &m.Facts
	fmt.Fprintln(e.out)
	if r := f.Ratio; r != nil {
		fmt.Fprintf(e.out, "ratio  %.1f:1 lit side : shadow side, %.1f:1 key : fill; lit side %s st over the shadow side, %s\n", r.Sides, r.Lights,
			signed(float64(r.LitOverShade), 1), r.Words())
	}
	for _, l := range f.Lights {
		if m.Stage.LayerNamed(l.Name) < 0 || m.Stage.Layers[m.Stage.LayerNamed(l.Name)].Light < 0 {
			continue
		}
		line := fmt.Sprintf("%s  %.2f m, %s: %.0f° round from the nose, %s° above", l.Name, float64(l.Distance), l.Pattern.Name, math.Abs(float64(l.Pattern.Around)),
			signed(float64(l.Pattern.Above), 0))
		if l.Pattern.Cheek != "" {
			line += ", " + l.Pattern.Cheek
		}
		if l.Catchlight != nil && l.Catchlight.OnIris {
			line += fmt.Sprintf("; catchlight at %.0f o'clock", math.Round(l.Catchlight.Hour))
		}
		line += fmt.Sprintf("; covers %.0f°, nose shadow's edge %.0f mm, %s", float64(l.Covers), float64(l.Penumbra)*1000, l.Softness)
		fmt.Fprintln(e.out, line)
	}
	if f.Distance > 0 {
		far := fmt.Sprintf("%.2f m", float64(f.Far))
		if math.IsInf(float64(f.Far), 1) {
			far = "the horizon"
		}
		fmt.Fprintf(e.out, "sharp  from %.2f m to %s, focused at %.2f m", float64(f.Near), far, float64(f.Distance))
		if f.Blur > 0 {
			fmt.Fprintf(e.out, "; background at %.1f m blurred to %.2f mm on the sensor", float64(f.Background), float64(f.Blur)*1000)
		}
		fmt.Fprintln(e.out)
	}
	fmt.Fprintf(e.out, "sensor clips at %s st; noise equals signal at %s st, a tenth of it at %s st\n", signed(float64(f.Clip), 1), signed(float64(f.Floor), 1), signed(float64(f.Clean), 1))
	if f.Lit < 1 {
		fmt.Fprintf(e.out, "shutter beyond sync: the flash reaches %.0f %% of the frame\n", f.Lit*100)
	}
	for _, k := range f.Flicker {
		fmt.Fprintf(e.out, "flicker  %s may swing by up to %.1f st from frame to frame; safe times near: %s, %s\n", k.Name, float64(k.Swing), k.Shorter, k.Longer)
	}
	if m.Measured.Stopped {
		fmt.Fprintln(e.out, "stopped by --time before every point was settled: see the ± column")
	}
}
