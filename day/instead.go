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

// mostStandIns is how many are kept of a thing that is short.
const mostStandIns = 3

// instead names what of the own kit could stand in for a head or a modifier that is missing, and
// about what that costs the look: stops, and how wide the edges of shadows come out. Both are by
// the source model that light is traced with (kit.Resolve): intensity on axis and size of the face.
// StandIns of package answer lights the setups again with them.
func (k *packer) instead(it *Item) {
	var found []StandIn
	try := func(name string) {
		if s, ok := k.standIn(it, name); ok && math.Abs(math.Log2(s.Width)) <= 1 {
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
			try(h.Name)
		}
	case "modifiers":
		for _, m := range k.kit.Modifiers {
			if strings.EqualFold(m.Name, it.Name) || m.Face == nil || !k.free(it.Group, m.Name, m.Have) {
				continue
			}
			try(m.Name)
		}
	}
	// One that reaches the level before one that does not; then the least change of softness.
	slices.SortStableFunc(found, func(a, b StandIn) int {
		return cmp.Or(cmp.Compare(max(0, -a.Spare), max(0, -b.Spare)),
			cmp.Compare(math.Abs(math.Log2(a.Width)), math.Abs(math.Log2(b.Width))))
	})
	if len(found) == 0 {
		return
	}
	it.StandIns = found[:min(mostStandIns, len(found))]
	best := found[0]
	it.Instead, it.Cost = best.Name, fmt.Sprintf("about: reaches it with %.1f st in hand", best.Spare)
	if best.Spare < 0 {
		it.Cost = fmt.Sprintf("about: %.1f st short at full, so open up or raise the sensitivity", -best.Spare)
	}
	it.Cost += "; " + EdgesSaid(best.Width)
}

// EdgesSaid says how the edges of shadows change.
func EdgesSaid(ratio float64) string {
	if math.Abs(ratio-1) > 0.05 {
		return fmt.Sprintf("shadow edges %.2f times as wide", ratio)
	}
	return "as soft as now"
}

// PutIn puts a thing of one group of the kit list ('heads', 'modifiers') in a light's place.
func (s *StandIn) PutIn(group string, l *shoot.Light) {
	if group == "heads" {
		l.Head = s.Name
	} else {
		l.Modifier = s.Name
	}
}

func (k *packer) free(group, name string, have int) bool {
	return have > 0 && k.used(group, name) < have
}

// standIn finds what a thing at hand costs in the lights that use a missing one. In each setup the
// missing thing, as far as it is there, goes to the lights that need it most; the others are
// changed.
func (k *packer) standIn(it *Item, name string) (worst StandIn, ok bool) {
	worst.Name = name
	for i := range k.f.Setups {
		type one struct {
			light        int
			spare, width float64
		}
		var here []one
		for n, l := range k.f.Setups[i].Lights {
			if it.Group == "heads" && !strings.EqualFold(l.Head, it.Name) ||
				it.Group == "modifiers" && !strings.EqualFold(l.Modifier, it.Name) {
				continue
			}
			was, err := k.kit.Resolve(wanted(&l))
			if err != nil {
				continue
			}
			// At full: what it can give at most.
			other := l
			worst.PutIn(it.Group, &other)
			other.Power, other.Level = "", nil
			now, err := k.kit.Resolve(wanted(&other))
			if err != nil || !(was.Axial > 0) || was.Width <= 0 {
				return worst, false
			}
			here = append(here, one{n, math.Log2(now.AxialFull / was.Axial), math.Sqrt(area(&now) / area(&was))})
		}
		if len(here) <= it.Have {
			continue
		}
		slices.SortStableFunc(here, func(a, b one) int { return cmp.Compare(b.spare, a.spare) })
		here = here[:len(here)-it.Have]
		for _, h := range here {
			worst.Lights = append(worst.Lights, [2]int{i, h.light})
		}
		if s := here[len(here)-1]; !ok || s.spare < worst.Spare {
			worst.Spare, worst.Width, ok = s.spare, s.width, true
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
