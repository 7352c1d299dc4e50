package day

import (
	"fmt"
	"math"

	"halfstop/kit"
	"halfstop/shoot"
)

// carried is the mass of a light, kg: head, modifier, grid.
func (k *packer) carried(l *shoot.Light) float64 {
	h, _ := k.kit.FindHead(l.Head)
	m, _ := k.kit.FindModifier(l.Modifier)
	g, _ := k.kit.FindGrid(l.Grid)
	return float64(h.Weight + m.Weight + g.Weight)
}

// support chooses stands, bags and counterweights.
func (k *packer) support(order []int) {
	stands, bags := map[string]int{}, map[string]int{}
	for _, i := range order {
		here, bag := map[string]int{}, map[string]int{}
		s := &k.f.Setups[i]
		for j := range s.Lights {
			l := &s.Lights[j]
			if l.Head == "" {
				continue
			}
			st, ok := k.stand(l.Stand, k.carried(l), height(l.At, l.Height))
			if !ok {
				k.p.Notes = append(k.p.Notes,
					fmt.Sprintf("%s, %s: no stand of the kit carries %.1f kg at %.2f m: hang it, lower it, or hire one",
						s.Name, called(l.Name, l.Role), k.carried(l), height(l.At, l.Height)))
				continue
			}
			here[st.Name]++
			n, name := Bags(st, k.carried(l), k.overhang(l))
			bag[name] += n
			if st.Kind == "boom" {
				counter := k.carried(l) * float64(st.Reach) / 0.6
				k.p.Notes = append(k.p.Notes,
					fmt.Sprintf(
						"%s, %s: about %.0f kg of counterweight on the short arm of the %s (0.6 m, common practice, "+
							"no source); second fixing for what hangs above people", s.Name, called(l.Name, l.Role),
						math.Ceil(counter), st.Name))
			}
		}
		for j := range s.Panels {
			p := &s.Panels[j]
			if p.Size[0] > 1.05 || p.Size[1] > 1.05 {
				here["light stand"] += 2
				bag["sandbag"] += 2
				continue
			}
			if st, ok := k.stand(p.Stand, 2, height(p.At, p.Height)); ok {
				here[st.Name]++
				bag["sandbag"]++
			}
		}
		for name, n := range here {
			stands[name] = max(stands[name], n)
		}
		for name, n := range bag {
			bags[name] = max(bags[name], n)
		}
	}
	for _, name := range sortedKeys(stands) {
		st, _ := k.kit.FindStand(name)
		k.need("stands", name, stands[name], st.Have, float64(st.Weight),
			"by load and height; the most of any setup")
	}
	for _, name := range sortedKeys(bags) {
		t, _ := k.kit.FindThing(name)
		k.need("weights", name, bags[name], t.Have, float64(t.Weight),
			"twice the moment that would tip the stand, and one on everything that carries")
	}
}

// stand is the one that a light names, or the lightest that carries it so high.
func (k *packer) stand(name string, load, high float64) (kit.Stand, bool) {
	if st, ok := k.kit.FindStand(name); ok {
		return st, true
	}
	var best kit.Stand
	found := false
	for _, st := range k.kit.Stands {
		if st.Kind == "boom" || st.Kind == "clamp" || st.Highest <= 0 {
			continue
		}
		if float64(st.Load) >= load && float64(st.Highest) >= high-0.05 && float64(st.Lowest) <= high &&
			(!found || st.Weight < best.Weight) {
			best, found = st, true
		}
	}
	return best, found
}

// overhang is how far a light's mass stands from its column, metres.
func (k *packer) overhang(l *shoot.Light) float64 {
	m, _ := k.kit.FindModifier(l.Modifier)
	return 0.05 + float64(m.Depth)/2*massShare(float64(m.Weight), k.carried(l))
}

func massShare(part, whole float64) float64 {
	if whole <= 0 {
		return 0
	}
	return part / whole
}

// Ballast gives the mass to lay on a stand's middle, kg, that the moment of its own mass and of the
// ballast over the nearest edge of its feet is margin times the load's about that edge. load and
// own mass in kg; reach of the load and edge from the column, metres; under 0: it stands without.
//
// Check: I3.1, I3.2.
func Ballast(load, reach, edge, own, margin float64) float64 {
	return margin*load*max(0, reach-edge)/edge - own
}

// Bags gives how many sandbags a stand needs: the moment of its own mass and of the bags over the
// shortest radius of its feet is at least twice the load's over its reach, and one bag stands on
// everything that carries. load in kg, overhang in metres from the column.
//
// Common practice, no source.
func Bags(st kit.Stand, load, overhang float64) (n int, name string) {
	name, each := "sandbag", 6.8
	if st.Kind == "grip" || st.Kind == "boom" || st.Kind == "roller" {
		name, each = "sandbag heavy", 11.3
	}
	reach := overhang
	if st.Kind == "boom" {
		reach += float64(st.Reach)
	}
	// The feet of three legs stand inside half the circle's radius between two of them.
	leg := float64(st.Footprint) / 4
	if leg <= 0 {
		return 1, name
	}
	if st.Kind != "boom" {
		reach += leg // the load hangs outside the column, over any edge of the feet
	}
	n = int(math.Ceil(Ballast(load, reach, leg, float64(st.Weight), tipMargin) / each))
	return min(20, max(1, n)), name
}
