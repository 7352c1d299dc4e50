package day

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// stand is one thing of the own kit in the place of another, for as many lights as are short.
type stand struct {
	name  string
	spare float64 // stops left at full once it gives what is asked; under 0: it is short
	width float64 // of its face against the one that is missing
}

// instead names what of the own kit could stand in for a head or a modifier that is missing, and
// what that costs the look: stops, and how wide the edges of shadows come out. Both are by the
// source model that light is traced with (kit.Resolve): intensity on axis and size of the face.
func (k *packer) instead(it *Item) {
	var found []stand
	try := func(name string, change func(l *shoot.Light)) {
		if s, ok := k.standIn(it, change); ok {
			s.name = name
			found = append(found, s)
		}
	}
	switch it.Group {
	case "heads":
		want, _ := k.kit.FindHead(it.Name)
		for _, h := range k.kit.Heads {
			if h.Name == want.Name || h.Kind != want.Kind || h.Mount != want.Mount ||
				!k.free(it.Group, h.Name, h.Have) {
				continue
			}
			try(h.Name, func(l *shoot.Light) { l.Head = h.Name })
		}
	case "modifiers":
		for _, m := range k.kit.Modifiers {
			if strings.EqualFold(m.Name, it.Name) || m.Face == nil || !k.free(it.Group, m.Name, m.Have) {
				continue
			}
			try(m.Name, func(l *shoot.Light) { l.Modifier = m.Name })
		}
	}
	// One that reaches the level before one that does not; then the least change of softness.
	slices.SortStableFunc(found, func(a, b stand) int {
		return cmp.Or(cmp.Compare(max(0, -a.spare), max(0, -b.spare)),
			cmp.Compare(math.Abs(math.Log2(a.width)), math.Abs(math.Log2(b.width))))
	})
	if len(found) == 0 || math.Abs(math.Log2(found[0].width)) > 1 {
		return
	}
	best := found[0]
	it.Instead, it.Cost = best.name, fmt.Sprintf("reaches it with %.1f st in hand", best.spare)
	if best.spare < 0 {
		it.Cost = fmt.Sprintf("%.1f st short at full: open up or raise the sensitivity", -best.spare)
	}
	if math.Abs(best.width-1) > 0.05 {
		it.Cost += fmt.Sprintf("; shadow edges %.2f times as wide", best.width)
	} else {
		it.Cost += "; as soft as now"
	}
}

func (k *packer) free(group, name string, have int) bool {
	return have > 0 && k.used(group, name) < have
}

// standIn finds what a change of the lights that use a missing thing costs. In each setup the thing
// at hand goes to the lights that need it most; the others are changed.
func (k *packer) standIn(it *Item, change func(*shoot.Light)) (worst stand, ok bool) {
	for i := range k.f.Setups {
		var here []stand
		for _, l := range k.f.Setups[i].Lights {
			if it.Group == "heads" && !strings.EqualFold(l.Head, it.Name) ||
				it.Group == "modifiers" && !strings.EqualFold(l.Modifier, it.Name) {
				continue
			}
			other := l
			change(&other)
			was, err := k.kit.Resolve(wanted(&l))
			if err != nil {
				continue
			}
			// At full: what it can give at most.
			other.Power, other.Level = "", nil
			now, err := k.kit.Resolve(wanted(&other))
			if err != nil || !(was.Axial > 0) || was.Width <= 0 {
				return worst, false
			}
			here = append(here, stand{spare: math.Log2(now.AxialFull / was.Axial),
				width: math.Sqrt(area(&now) / area(&was))})
		}
		if len(here) <= it.Have {
			continue
		}
		slices.SortFunc(here, func(a, b stand) int { return cmp.Compare(b.spare, a.spare) })
		if s := here[len(here)-it.Have-1]; !ok || s.spare < worst.spare {
			worst, ok = s, true
		}
	}
	return worst, ok
}

// wanted is what a light asks of the kit.
func wanted(l *shoot.Light) kit.Want {
	return kit.Want{Head: l.Head, Modifier: l.Modifier, Grid: l.Grid, Gels: l.Gel, Power: l.Power, Level: l.Level,
		Zoom: l.Zoom, Colour: kit.Ask{Kelvin: q.Kelvin(l.Colour.Kelvin)}}
}

// area is that of a face, or of the square round a disc, m².
func area(s *kit.Source) float64 {
	return math.Max(1e-6, float64(s.Width)*float64(cmp.Or(s.Height, s.Width)))
}
