package kit

import (
	"fmt"
	"math"
	"strings"

	q "halfstop/quantity"
)

// Dial is how a head is set: in stops under full (flash) or in per cent (continuous).
type Dial struct {
	Flash bool
	Range q.Stops // how far down it goes, 0 for a head that cannot be turned down
	Step  q.Stops // flash: one step
	Share q.Share // continuous: one step
}

// Dial of a head.
func (h Head) Dial() Dial {
	d := Dial{Flash: h.Kind == "flash", Range: h.Range, Step: h.Step, Share: h.StepShare}
	if d.Flash && d.Step <= 0 {
		d.Step = q.Stops(0.1)
	}
	if !d.Flash && d.Share > 0 && d.Range <= 0 {
		d.Range = -q.StopsOf(float64(d.Share))
	}
	return d
}

// Parse reads a setting as written ('1/8 + 0.3', 'full', '62 %') and returns it in stops against
// full, 0 or less, snapped to the dial's steps. Either way of writing serves either kind of head.
// Empty is full. Error: not a setting; above full; under the dial's lowest.
func (d Dial) Parse(text string) (q.Stops, error) {
	t := strings.TrimSpace(text)
	if t == "" {
		return 0, nil
	}
	var s q.Stops
	if strings.HasSuffix(t, "%") {
		share, err := q.ParseShare(t)
		if err != nil {
			return 0, unread(err)
		}
		s = q.StopsOf(float64(share))
	} else {
		p, err := q.ParsePower(t)
		if err != nil {
			return 0, unread(err)
		}
		s = q.Stops(p)
	}
	return d.Within(s, text)
}

// unread passes a quantity's message on.
func unread(err error) error {
	text, fix := q.Split(err)
	return &Problem{Code: "kit.power", Text: text, Fix: fix}
}

// Within snaps a level in stops against full, and refuses what the dial cannot do.
func (d Dial) Within(s q.Stops, text string) (q.Stops, error) {
	if math.IsNaN(float64(s)) || s > 0.05 {
		return 0, &Problem{Code: "kit.power-over", Text: fmt.Sprintf("the setting %q is over full power", text),
			Fix: "write " + d.Print(0) + " or less"}
	}
	if s < -d.Range-d.slack() && d.Range == 0 {
		return 0, &Problem{Code: "kit.power-under",
			Text: fmt.Sprintf(
				"the setting %q is under full power, and this head cannot be turned down as far as the kit says", text),
			Fix: "add range: (how many stops it can be turned down, like 8 st) to the head in the kit, or leave " +
				"the setting out"}
	}
	if s < -d.Range-d.slack() {
		return 0, &Problem{Code: "kit.power-under",
			Text: fmt.Sprintf("the setting %q lies under this head's lowest, %s", text, d.Print(-d.Range)),
			Fix:  "write " + d.Print(-d.Range) + " or more, or move the head back, or add a neutral gel"}
	}
	return d.Snap(s), nil
}

// slack lets a setting written in tenths stand for a step in thirds.
func (d Dial) slack() q.Stops {
	if d.Flash {
		return d.Step/2 + 1e-9
	}
	return 0.01
}

// Snap returns the nearest setting the dial has, in stops against full.
func (d Dial) Snap(s q.Stops) q.Stops {
	if !(s < 0) || d.Range <= 0 {
		return 0
	}
	if s < -d.Range {
		s = -d.Range
	}
	if d.Flash {
		// The lowest is counted from full: 8 stops in thirds are 24 steps.
		n := math.Round(float64(s / d.Step))
		if d.Step > 0.33 && d.Step < 0.34 {
			return max(q.Stops(n/3), -d.Range)
		}
		return max(q.Stops(math.Round(n*float64(d.Step)*1e6)/1e6), -d.Range)
	}
	if d.Share <= 0 {
		return s
	}
	n := math.Max(1, math.Round(s.Times()/float64(d.Share)))
	return max(q.StopsOf(math.Min(1, n*float64(d.Share))), -d.Range-1e-9)
}

// Print writes a level in the head's own unit: '1/8 + 0.3' or '62 %'.
func (d Dial) Print(s q.Stops) string {
	if d.Flash {
		return q.Power(math.Round(float64(s)*10) / 10).String()
	}
	return q.Share(math.Round(s.Times()*1000) / 1000).String()
}

// Steps lists all settings from full down, in stops against full.
func (d Dial) Steps() []q.Stops {
	out := []q.Stops{0}
	if d.Flash {
		if d.Step <= 0 {
			return out
		}
		for i := 1; ; i++ {
			s := -q.Stops(i) * d.Step
			if s < -d.Range-1e-3 || i > 1000 {
				return out
			}
			out = append(out, d.Snap(s))
		}
	}
	if d.Share <= 0 {
		return out
	}
	for i := int(math.Round(1/float64(d.Share))) - 1; i > 0; i-- {
		s := q.StopsOf(float64(i) * float64(d.Share))
		if s < -d.Range-1e-3 {
			break
		}
		out = append(out, s)
	}
	return out
}
