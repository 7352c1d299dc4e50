package kit

import (
	"fmt"
	"math"

	"halfstop/photometry"
	q "halfstop/quantity"
	"halfstop/yamltext"
)

// Readings is one reading or a list of them.
type Readings []Reads

// UnmarshalNode takes one reading written without a list.
func (r *Readings) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	if n.Kind == yamltext.Map {
		*r = make(Readings, 1)
		d.Into(n, &(*r)[0])
		return
	}
	d.Into(n, (*[]Reads)(r))
}

// readingSD is how well one careful reading fixes a level: a meter's step of a tenth, the distance
// to 2 cm at 2 m, the recycling of the head (common practice, no source), in stops.
const readingSD = 0.1

// measured returns the axial intensity at full that a reading tells of the pair it was taken with.
func (k *Kit) measured(h Head, r Reads, e emitter, web *photometry.Web, flatC, domeC float64) (float64, error) {
	bad := func(key, text, fix string) (float64, error) {
		return 0, &Problem{Code: "kit.reading", List: "heads", Name: h.Name, Key: "reads", Text: key + ": " + text,
			Fix: fix}
	}
	if !(r.From > 0) || r.From > 100 {
		return bad("from", fmt.Sprintf("a reading from %s cannot be", r.From),
			"write the distance from the face, such as 2 m")
	}
	c, dome := flatC, false
	if c == 0 {
		c = 250
	}
	switch r.Receptor {
	case "", "flat":
	case "dome":
		dome, c = true, domeC
		if c == 0 {
			c = 330
		}
	default:
		return bad("receptor", fmt.Sprintf("%q is no receptor", r.Receptor), "write flat or dome")
	}
	iso := float64(r.ISO)
	if iso == 0 {
		iso = 100
	}
	exposure := c * float64(r.FNumber) * float64(r.FNumber) / iso // lx·s
	flash := h.Kind == "flash"
	switch {
	case flash && r.Lux != 0:
		return bad("lux", "a flash gives lux seconds, not lux", "write its f-number")
	case !flash && r.Lux != 0 && r.FNumber != 0:
		return bad("lux", "both an f-number and lux are said", "leave one")
	case !flash && r.Lux != 0:
		exposure = float64(r.Lux)
	case !flash:
		if !(r.Shutter > 0) {
			return bad("shutter", "an f-number of a continuous head needs its shutter time",
				"write shutter: 1/60 s, or lux")
		}
		exposure /= float64(r.Shutter)
	}
	if !(exposure > 0) || math.IsInf(exposure, 0) {
		return bad("f-number", "the reading says no level", "write f-number: f/8 + 0.3")
	}
	setting, err := h.Dial().Parse(r.Power)
	if err != nil {
		return bad("power", err.Error(), "")
	}
	per := on(e, float64(r.From), dome)
	if web != nil {
		per = 1 / float64(r.From*r.From)
	}
	return exposure / per / setting.Times(), nil
}

// learn brings own readings in: the reading of this very pair fixes it; one of the same modifier
// without the grid fixes all but the grid; readings with other modifiers shift the head by what is
// likely the head's share of their surprise.
//
// With prior sd s of the head and sd m of each modifier, surprises r_i (stops, read minus expected)
// have variance s² for the head and v_i = m_i² + sd² for the rest, so the head's shift is
// Σ(r_i/v_i) / (1/s² + Σ1/v_i).
func (k *Kit) learn(h Head, w Want, p *pair) error {
	var num, den float64
	n := 0
	without := -1.0 // axial with the grid, from a reading of the same modifier without it
	var said Reads
	for _, r := range h.Reads {
		other, err := k.pair(h, r.Modifier, r.Grid, w.Files)
		if err != nil {
			return err
		}
		axial, err := k.measured(h, r, other.emitter, other.web, w.FlatC, w.DomeC)
		if err != nil {
			return err
		}
		if key(or(r.Modifier, "bare")) == key(or(w.Modifier, "bare")) {
			if key(r.Grid) == key(w.Grid) {
				p.why = append(p.why, fmt.Sprintf("own reading %s: %s against what the figures say", r.text(),
					signed(math.Log2(axial/p.axial))))
				p.axial, p.sd, p.reads = axial, readingSD, 1
				return nil
			}
			if r.Grid == "" && without < 0 {
				without, said = axial*p.axial/other.axial, r
			}
		}
		own := math.Sqrt(math.Max(0, other.sd*other.sd-float64(h.Uncertainty*h.Uncertainty)))
		v := own*own + readingSD*readingSD
		num += math.Log2(axial/other.axial) / v
		den += 1 / v
		n++
	}
	if g, ok := k.FindGrid(w.Grid); ok && without > 0 {
		p.why = append(p.why, fmt.Sprintf("own reading %s, without the grid: %s against what the figures say",
			said.text(), signed(math.Log2(without/p.axial))))
		p.axial, p.sd, p.reads = without, math.Hypot(readingSD, float64(g.Uncertainty)), 1
		return nil
	}
	s := float64(h.Uncertainty)
	if n == 0 || s == 0 || h.level() == "" {
		return nil
	}
	shift := num / (1/(s*s) + den)
	p.axial *= math.Exp2(shift)
	p.reads = n
	p.sd = math.Sqrt(math.Max(0, p.sd*p.sd-s*s+1/(1/(s*s)+den)))
	p.why = append(p.why, fmt.Sprintf("own readings with other modifiers: %s on the head", signed(shift)))
	return nil
}

// ratedByReading serves a head that has readings only: its level is that of the first, with that
// reading's modifier.
func (k *Kit) ratedByReading(h Head) (rating, error) {
	r := h.Reads[0]
	// One candela second with that modifier tells what the grid takes and which face it was read
	// from.
	probe := h
	probe.Reads, probe.Kind, probe.RatedWith = nil, "flash", or(r.Modifier, "bare")
	probe.Guide, probe.GuideC, probe.GuideISO = 1, 100, 100
	p, err := k.pair(probe, r.Modifier, r.Grid, nil)
	if err != nil {
		return rating{}, err
	}
	axial, err := k.measured(h, r, p.emitter, nil, 0, 0)
	if err != nil {
		return rating{}, err
	}
	return rating{axial: axial / p.axial, with: or(r.Modifier, "bare"), why: "own reading " + r.text()}, nil
}

// text is the reading in words.
func (r Reads) text() string {
	said := r.FNumber.String()
	if r.Lux != 0 {
		said = r.Lux.String()
	}
	iso := r.ISO
	if iso == 0 {
		iso = 100
	}
	s := fmt.Sprintf("%s at ISO %g from %s with %s", said, float64(iso), r.From, or(r.Modifier, "bare"))
	if r.Grid != "" {
		s += " and " + r.Grid
	}
	if r.Power != "" {
		s += ", set to " + r.Power
	}
	return s
}

// Expect is what a flat receptor reads on the axis at dist metres from the face: lux, or lux
// seconds for flash. The near field of the face is in it. Check: TestOwnReading.
func (s Source) Expect(dist q.Metres) float64 {
	if s.Web != nil {
		return s.Axial / float64(dist*dist)
	}
	return s.Axial * on(emitter{s.Shape, float64(s.Width), float64(s.Height), s.Profile}, float64(dist), false)
}
