package day

import (
	"fmt"
	"math"
	"strings"

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
			st, on, ok := k.stood(s, l)
			if !ok {
				k.p.Notes = append(k.p.Notes,
					fmt.Sprintf("%s, %s: no stand of the kit carries %.1f kg at %.2f m: hang it, lower it, or hire one",
						s.Name, called(l.Name, l.Role), k.carried(l), height(l.At, l.Height)))
				continue
			}
			here[st.Name]++
			if on != "" {
				k.p.Notes = append(k.p.Notes,
					fmt.Sprintf("%s, %s: a stand would stand in %s there: a clamp, on what carries it", s.Name,
						called(l.Name, l.Role), on))
			}
			if st.Kind == "clamp" {
				continue // nothing that a bag could hold down
			}
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
				if st, ok := k.stand("", 3, overPanel(k.f, s, p)+float64(p.Size[1])/2); ok {
					here[st.Name] += 2
					bag["sandbag"] += 2
				}
				continue
			}
			if st, ok := k.stand(p.Stand, 2, overPanel(k.f, s, p)); ok {
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

// stood is what carries a light: the stand that it names, or the lightest that may; a clamp where
// a stand's column would stand in a thing, which on names.
func (k *packer) stood(s *shoot.Setup, l *shoot.Light) (st kit.Stand, on string, ok bool) {
	high := over(k.f, s, l)
	if l.Stand == "" && len(l.At) >= 2 {
		if on = under(k.f, s, float64(l.At[0]), float64(l.At[1]), height(l.At, l.Height)); on != "" {
			for _, c := range k.kit.Stands {
				if c.Kind == "clamp" && c.Highest <= 0 && float64(c.Load) >= k.carried(l) {
					return c, on, true
				}
			}
		}
	}
	st, ok = k.stand(l.Stand, k.carried(l), high)
	return st, "", ok
}

// over is how far a light is over what its stand stands on: the floor, a platform, a tread. Metres.
func over(f *shoot.File, s *shoot.Setup, l *shoot.Light) float64 {
	high := height(l.At, l.Height)
	if len(l.At) < 2 {
		return high
	}
	top, _ := shoot.Footing(float64(l.At[0]), float64(l.At[1]), high, f.Room.Objects, s.Objects)
	return high - top
}

// overPanel is the same of a panel's middle.
func overPanel(f *shoot.File, s *shoot.Setup, p *shoot.Panel) float64 {
	high := height(p.At, p.Height)
	if len(p.At) < 2 {
		return high
	}
	top, _ := shoot.Footing(float64(p.At[0]), float64(p.At[1]), high, f.Room.Objects, s.Objects)
	return high - top
}

// step is the highest thing on a floor that a stand is still set upon, metres.
const step = 0.3

// under names the thing that lies between the floor and a light: one that a stand cannot be set
// upon; empty: none.
func under(f *shoot.File, s *shoot.Setup, x, y, high float64) string {
	for _, list := range [][]shoot.Object{s.Objects, f.Room.Objects} {
		for i := range list {
			b := list[i].Box
			if k := strings.ToLower(string(list[i].Kind)); b == nil || b.Inside || k == "platform" || k == "steps" {
				continue // a stand stands on what feet stand on
			}
			low := 0.0
			if len(b.At) > 2 {
				low = float64(b.At[2])
			}
			top := low + float64(b.Size[2])
			if low >= high || top <= step && low <= 0.02 {
				continue
			}
			if dx, dy := x-float64(b.At[0]), y-float64(b.At[1]); dx >= 0 && dy >= 0 && dx <= float64(b.Size[0]) &&
				dy <= float64(b.Size[1]) {
				return list[i].Name
			}
		}
	}
	return ""
}

// StandOf says what a light stands on: the stand of the kit that it names or that would do, and the
// bags on it. ok is false where the kit has none that carries it so high.
func StandOf(f *shoot.File, whole *kit.Kit, s *shoot.Setup, l *shoot.Light) (words string, ok bool) {
	k := &packer{f: f, kit: whole}
	st, on, ok := k.stood(s, l)
	switch {
	case !ok:
		return "", false
	case on != "":
		return st.Name + ": a stand would stand in " + on, true
	case st.Kind == "clamp":
		return st.Name, true
	}
	n, bag := Bags(st, k.carried(l), k.overhang(l))
	if n > 1 {
		return fmt.Sprintf("%s, %d × %s", st.Name, n, bag), true
	}
	return st.Name + ", " + bag, true
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
