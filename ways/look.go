package ways

import (
	"fmt"
	"math"
	"strings"

	"halfstop/balance"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
)

// aim is the origin of a target in the look.
type aim struct {
	wish  int // of the look
	words string
	// nearest is how the nearest colour that can be had differs from the one wished, where that
	// cannot be had with these lights; see reach.
	nearest string
}

// colourTolerance is the distance Δu'v' within which a colour of the look counts as reached where
// no tolerance is written: about the difference of two lamps of one make (common practice, no
// source).
const colourTolerance = 0.006

// targets turns the look into targets. A wish that compares incident points compares what a meter
// reads there. Where one of the two is a spot, it compares levels in the picture.
func (r *rig) targets(lights []balance.Light) (out []balance.Target, aims []aim, notes []string) {
	s := r.stage
	for i := range s.Setup.Look {
		w := &s.Setup.Look[i]
		p := s.PointNamed(w.Point)
		note := func(format string, a ...any) {
			notes = append(notes, fmt.Sprintf("look, entry %d: ", i+1)+fmt.Sprintf(format, a...))
		}
		if p < 0 {
			note("there is no point called %q in this setup", w.Point)
			continue
		}
		if r.measured.Incident[p] == nil && r.measured.Seen[p] == nil {
			note("%s is not measured: it is seen by nothing", w.Point)
			continue
		}
		add := func(t balance.Target, words string) {
			t.Name = words
			t.Priority, t.Weight, t.Strict = priorityOf(w.Priority), w.Weight, w.Strict
			if t.Kind != balance.Colour {
				t.Within = within(w, t.Kind)
			}
			out, aims = append(out, t), append(aims, aim{wish: i, words: words})
		}
		if w.Reads != nil && w.Reads.N > 0 {
			add(balance.ReadsAt(p, w.Reads.N), fmt.Sprintf("%s reads %s", w.Point, fText(w.Reads.N)))
		}
		if w.Stops != nil {
			add(balance.LevelAt(p, *w.Stops), fmt.Sprintf("%s at %s", w.Point, stopsText(*w.Stops)))
		}
		for _, c := range []struct {
			other, word string
			sign        q.Stops
		}{{w.Above, "above", 1}, {w.Below, "below", -1}} {
			if c.other == "" {
				continue
			}
			to := s.PointNamed(c.other)
			if to < 0 {
				note("there is no point called %q in this setup", c.other)
				continue
			}
			words := fmt.Sprintf("%s %.1f st %s %s", w.Point, float64(w.By), c.word, c.other)
			if s.Points[p].Incident != nil && s.Points[to].Incident != nil {
				add(balance.ReadsAbove(p, to, c.sign*w.By), words)
			} else {
				add(balance.Above(p, to, c.sign*w.By), words+" in the picture")
			}
		}
		switch {
		case w.Darkest != nil && w.Brightest != nil:
			t := balance.LevelAt(p, 0)
			t.Lo, t.Hi = float64(min(*w.Darkest, *w.Brightest)), float64(max(*w.Darkest, *w.Brightest))
			add(t, fmt.Sprintf("%s from %s to %s", w.Point, stopsText(*w.Darkest), stopsText(*w.Brightest)))
		case w.Darkest != nil:
			add(balance.Darkest(p, *w.Darkest), fmt.Sprintf("%s not under %s", w.Point, stopsText(*w.Darkest)))
		case w.Brightest != nil:
			add(balance.Brightest(p, *w.Brightest), fmt.Sprintf("%s not over %s", w.Point, stopsText(*w.Brightest)))
		}
		if w.Ratio != "" {
			if t, words, err := r.ratio(w, p); err != nil {
				note("%v", err)
			} else {
				add(t, words)
			}
		}
		if w.Colour != nil && w.Colour.Set() {
			if c, err := s.LightOf(*w.Colour); err != nil {
				note("%v", err)
			} else {
				add(r.colourTarget(w, p, c), fmt.Sprintf("%s in the colour of %s", w.Point, colourSaid(*w.Colour)))
			}
		}
		if w.Warmer != nil {
			if k, _, ok := spectrum.CCTOhno2013(s.White.XY()); !ok {
				note("the camera's white has no colour temperature to be warmer than")
			} else {
				add(balance.WarmerThan(p, q.Mired(1e6/k), *w.Warmer),
					fmt.Sprintf("%s %s than the camera's white", w.Point,
						WarmerSaid(*w.Warmer)))
			}
		}
		if w.Haze != nil {
			if r.measured.Seen[p] == nil {
				note("the camera does not see %s, so haze before it cannot be judged", w.Point)
			} else {
				add(balance.VeilAtMost(p, *w.Haze), fmt.Sprintf("haze lifts %s by at most %s", w.Point,
					stopsText(*w.Haze)))
			}
		}
		if w.Ambient != nil {
			add(balance.AmbientShare(p, *w.Ambient, *w.Ambient),
				fmt.Sprintf("%s ambient at %s", w.Ambient, w.Point))
		}
	}
	return out, aims, notes
}

// within is the tolerance that a wish states, in the unit of a kind; 0 where it states none.
func within(w *shoot.Wish, k balance.Kind) float64 {
	switch {
	case k == balance.Warmth && w.Within.Unit == "mired":
		return w.Within.Value
	case k == balance.Ambient && w.Within.Unit == "%":
		return w.Within.Value / 100
	}
	return float64(w.Within.Stops()) * k.UnitPerStop()
}

// ToleranceOf is by how much a wish may be missed and still count as met, in the unit of a kind
// other than a colour: what it states, or else what balance takes by its priority.
func ToleranceOf(w *shoot.Wish, k balance.Kind) float64 {
	t := balance.Target{Kind: k, Priority: priorityOf(w.Priority), Strict: w.Strict, Within: within(w, k)}
	return t.Tolerance()
}

// colourTarget is the target for the colour of the light at a point. A stop corresponds to a
// hundredth in u'v' near white, and for a deep colour to a sixth of the way to the camera's white
// (judgement: a deep colour that is a little paler is still that colour).
func (r *rig) colourTarget(w *shoot.Wish, p int, c spectrum.Curve) balance.Target {
	u, v := c.XY().UVPrime()
	deep := spectrum.DeltaUVPrime(c.XY(), r.stage.White.XY())
	per := math.Max(balance.Colour.UnitPerStop(), deep/6)
	within := colourTolerance
	if s := w.Within.Stops(); s > 0 {
		within = float64(s) * per
	}
	t := balance.ColourAt(p, u, v, within)
	t.PerStop = per
	return t
}

// ratio reads 'ratio: 4:1 sides', relative to another point. 'sides' is the ratio of the readings
// at the two points. 'lights' is key alone to fill alone; with a fill that reaches both sides,
// sides = 1 + lights.
func (r *rig) ratio(w *shoot.Wish, p int) (balance.Target, string, error) {
	v, convention, ok := shoot.ParseRatio(w.Ratio)
	if !ok {
		return balance.Target{}, "", fmt.Errorf("%q is no ratio", w.Ratio)
	}
	if convention == "" {
		convention = strings.ToLower(r.stage.Shoot.House.Ratio)
	}
	to := r.stage.PointNamed(w.To)
	if to < 0 {
		return balance.Target{}, "", fmt.Errorf("there is no point called %q in this setup", w.To)
	}
	sides := v
	words := fmt.Sprintf("%s to %s %g:1 (%.1f st)", w.Point, w.To, v, math.Log2(v))
	if convention == "lights" {
		sides = v + 1
		words = fmt.Sprintf("%s to %s %g:1 for key : fill %g:1 (%.1f st)", w.Point, w.To, sides, v, math.Log2(sides))
	}
	return balance.ReadsAbove(p, to, q.StopsOf(sides)), words, nil
}

func priorityOf(word string) balance.Priority {
	switch strings.ToLower(word) {
	case "must":
		return balance.Must
	case "nice":
		return balance.Nice
	}
	return balance.Want
}

func stopsText(s q.Stops) string {
	return signed(float64(s), 1) + " st"
}

func colourSaid(c shoot.Spectrum) string {
	switch {
	case c.Like != "":
		return strings.TrimPrefix(c.Like, "practicals.")
	case c.Kelvin > 0:
		return c.Kelvin.String()
	case c.Name != "":
		return c.Name
	case c.RGB != "":
		return c.RGB
	case c.XY[1] > 0:
		return fmt.Sprintf("xy %.3f, %.3f", c.XY[0], c.XY[1])
	}
	return "of its own spectrum"
}

// WarmerSaid is a shift of colour in words: '40 mired warmer'.
func WarmerSaid(m q.Mired) string {
	return fmt.Sprintf("%.0f mired %s", math.Abs(float64(m)), pickText(m < 0, "cooler", "warmer"))
}
