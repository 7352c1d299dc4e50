package answer

import (
	"halfstop/shoot"
	"halfstop/stage"
)

// sunOf is how a point answers to a window.
type sunOf struct {
	sky, bounced float64 // lx at the point a lx on the pane; lx of the sun's bounced light a lm that comes in
	shone        bool    // bounced is the sun's own, as traced, and not judged by the sky's
}

// sunAnswers are how points answer to windows by a trace at one minute.
type sunAnswers struct {
	minute int
	of     [][]sunOf // by point and window
}

// sunAnswers reads them from a metered setup; d, where not nil, gets its points.
func (j *Job) sunAnswers(f *shoot.File, m *Metered, minute int, d *SunDay) (sunAnswers, error) {
	s := m.Stage
	out := sunAnswers{minute: minute}
	places := placesOf(s)
	for i := range m.Readings {
		r := &m.Readings[i]
		if r.Receptor == "spot" {
			continue
		}
		row := make([]sunOf, len(s.Glazings))
		for k, g := range s.Glazings {
			if g.Layer < 0 {
				continue
			}
			before, ok := g.Outdoors(f, ClockText(minute), "")
			if !ok {
				continue
			}
			l := r.Lights[g.Layer]
			sky, _, ground := before.Pane()
			if pane := sky + ground; pane > 0 {
				row[k].sky = (l.Direct + l.Bounced) / pane
				row[k].bounced = l.Bounced / (pane * g.Through() * g.Width * g.Height)
			}
			if lm := g.SunFlux(&before); g.SunLayer >= 0 && lm > 0 {
				l := r.Lights[g.SunLayer] // all but what comes straight, which is added by itself
				row[k].bounced = max(0, l.Direct+l.Bounced-places[len(out.of)].sun(s, &g, &before)) / lm
				row[k].shone = true
			}
		}
		out.of = append(out.of, row)
		if d == nil {
			continue
		}
		p := SunPoint{Name: r.Name}
		for l := range s.Layers {
			if s.Layers[l].Kind != stage.Daylight && !r.Lights[l].Flash {
				p.other += r.Lights[l].Direct + r.Lights[l].Bounced
			}
		}
		d.Points = append(d.Points, p)
	}
	return out, nil
}

// refStep is how far apart traces lie where the sky turns with the sun, minutes.
const refStep = 90

// otherRefs are the minutes besides ref at which to trace; none where no window's sky turns with
// the sun.
func otherRefs(s *stage.Stage, f *shoot.File, ref, from, to int) (out []int) {
	turns := false
	for i := range s.Glazings {
		o, ok := s.Glazings[i].Outdoors(f, ClockText(ref), "")
		turns = turns || ok && o.Weather.Sky().C > 0
	}
	if !turns {
		return nil
	}
	n := max(1, (to-from+refStep/2)/refStep)
	for i := range n + 1 {
		minute := from + (to-from)*i/n
		if stage.MomentOf(f, ClockText(minute)).Altitude > -6 && minute != ref {
			out = append(out, minute)
		}
	}
	return out
}

// answerAt is how a point answers to a window at a minute: straight between the traces, held beyond
// them.
func answerAt(a []sunAnswers, minute, point, window int) sunOf {
	at := func(of func(sunOf) float64, counts func(sunOf) bool) (v float64, ok bool) {
		var p *sunAnswers
		for i := range a {
			q := &a[i]
			y := q.of[point][window]
			if !counts(y) {
				continue
			}
			if q.minute > minute {
				if p == nil {
					return of(y), true
				}
				x := of(p.of[point][window])
				return x + float64(minute-p.minute)/float64(q.minute-p.minute)*(of(y)-x), true
			}
			p = q
		}
		if p == nil {
			return 0, false
		}
		return of(p.of[point][window]), true
	}
	all := func(sunOf) bool { return true }
	bounced := func(o sunOf) float64 { return o.bounced }
	var out sunOf
	out.sky, _ = at(func(o sunOf) float64 { return o.sky }, all)
	if out.bounced, out.shone = at(bounced, func(o sunOf) bool { return o.shone }); !out.shone {
		out.bounced, _ = at(bounced, all)
	}
	return out
}
