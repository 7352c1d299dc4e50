package record

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Retouch is the note for who works on the frames: levels, white, where light is mixed, what was
// out of range. Plain text, one fact a line.
func Retouch(r *Record) string {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say("Retouch note: %s", r.Setup)
	c := &r.Camera
	say("\nCamera: %s, %s, ISO %s, %.0f mm. White balance %s.", c.Set.Aperture, c.Set.Shutter, c.Set.ISO,
		c.LensMM, c.White)
	say("The sensor clips at %+.1f st over mid-grey and ends in noise at %+.1f st.", r.Facts.Clip, r.Facts.Floor)
	say("\nLevels, stops to mid-grey (lit by):")
	for i := range r.Points {
		p := &r.Points[i]
		if p.Dark {
			say("  %s: dark", p.Name)
			continue
		}
		var by []string
		for k, l := range p.Lights {
			if p.Shares[k] >= 0.1 {
				by = append(by, fmt.Sprintf("%s %.0f %%", l, 100*p.Shares[k]))
			}
		}
		line := fmt.Sprintf("  %s: %+.1f st (%s)", p.Name, p.Level, strings.Join(by, ", "))
		switch {
		case p.Level > r.Facts.Clip:
			line += "; CLIPPED"
		case p.Level < r.Facts.Floor:
			line += "; under the noise"
		}
		say("%s", line)
	}
	if mixed := r.mixed(); len(mixed) > 0 {
		say("\nMixed light (colours more than 40 mired apart, each a tenth of the light or more):")
		for _, m := range mixed {
			say("  %s", m)
		}
	}
	for _, z := range r.Zones {
		if z.Clipped >= 0.001 {
			say("\nThe %s is out of range in %.1f %% of its pixels: shoot or keep a darker plate for it.",
				z.Name, 100*z.Clipped)
		}
	}
	return b.String()
}

// mixed lists the points where lights of different colour meet.
func (r *Record) mixed() (out []string) {
	kelvin := map[string]float64{}
	for _, l := range r.Lights {
		kelvin[l.Name] = l.Colour.Kelvin
	}
	for _, h := range r.House {
		kelvin[h.Name] = h.Colour.Kelvin
	}
	for _, p := range r.Points {
		for i, a := range p.Lights {
			for j := i + 1; j < len(p.Lights); j++ {
				b := p.Lights[j]
				if p.Shares[i] < 0.1 || p.Shares[j] < 0.1 {
					continue
				}
				x, y := kelvin[a], kelvin[b]
				switch {
				case x == 0 || y == 0:
					out = append(out, fmt.Sprintf("%s: %s and %s, one of them coloured", p.Name, a, b))
				case math.Abs(1e6/x-1e6/y) > 40:
					out = append(out, fmt.Sprintf("%s: %s at %.0f K, %s at %.0f K", p.Name, a, x, b, y))
				}
			}
		}
	}
	return out
}

// Invoice is what a bill can be written from: heads and modifiers used, the time that the log
// spans, frames. Prices and hire are not known here.
func Invoice(r *Record) string {
	var b strings.Builder
	what := slices.DeleteFunc([]string{r.Title, r.Setup, r.Date}, func(s string) bool { return s == "" })
	fmt.Fprintf(&b, "Facts for the invoice: %s\n\nUsed:\n", strings.Join(what, ", "))
	count := map[string]int{}
	for _, l := range r.Lights {
		for _, w := range append([]string{l.Head, l.Modifier, l.Grid}, l.Gels...) {
			if w != "" && w != "bare" {
				count[w]++
			}
		}
	}
	for _, p := range r.Panels {
		size := strings.Join(strings.Fields(strings.Trim(fmt.Sprint(p.Size), "[]")), " × ")
		count[fmt.Sprintf("%s %s m", p.Kind, size)]++
	}
	var names []string
	for n := range count {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		fmt.Fprintf(&b, "  %d × %s\n", count[n], n)
	}
	frames := 0
	for _, e := range r.Log {
		if e.Kind == "frame" {
			frames++
		}
	}
	if n := len(r.Log); n > 0 {
		fmt.Fprintf(&b, "\nThe log of the setup runs from %s to %s: %d entries, %d frames.\n", r.Log[0].At,
			r.Log[n-1].At, n, frames)
	} else {
		b.WriteString("\nNothing was logged, so hours and frames are not known.\n")
	}
	return b.String()
}
