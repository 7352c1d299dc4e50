package ways

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/kind"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/yamltext"
)

// practicalOf returns the entry of a light of the place; nil for windows and lights of the set.
func practicalOf(s *stage.Stage, l int) *shoot.Practical {
	if l < 0 || s.Layers[l].Kind != stage.Practical {
		return nil
	}
	list := s.Shoot.Room.Practicals
	if i := slices.IndexFunc(list, func(p shoot.Practical) bool {
		return strings.EqualFold(p.Name, s.Layers[l].Name)
	}); i >= 0 {
		return &list[i]
	}
	return nil
}

// fixed reports whether a light of the place may not be switched off.
func fixed(s *stage.Stage, l int) bool {
	p := practicalOf(s, l)
	return p != nil && p.Control == "fixed"
}

// whose is who is asked about a light of the place.
func whose(s *stage.Stage, l int) string {
	if p := practicalOf(s, l); p != nil && p.Whose != "" {
		return p.Whose
	}
	return "the venue"
}

// handled says what lights of the place allow, in words that follow what they do, and what to do
// about them; dimmers is true where all have one.
func (b *Balanced) handled(lights ...int) (can, remedy string, dimmers bool) {
	one := len(lights) == 1
	dimmed, fix := 0, 0
	who := ""
	for _, l := range lights {
		p := practicalOf(b.Stage, l)
		switch {
		case p == nil:
		case p.Control == "fixed":
			fix++
		case p.Control == "dimmer":
			dimmed++
			who = whose(b.Stage, l)
		default:
			if p.Whose != "" {
				who = p.Whose
			}
		}
	}
	ask := pickText(who != "", " (ask "+who+")", "")
	switch {
	case dimmed == len(lights):
		return pickText(one, "has", "have") + " a dimmer", "down" + ask + ", or a faster shutter", true
	case fix == len(lights):
		return "may not be switched off", "a faster shutter, or more flash and a smaller aperture", false
	case fix > 0:
		return "cannot be dimmed", fmt.Sprintf("what may be off%s, or a faster shutter", ask), false
	}
	return "cannot be dimmed", "off if that may be" + ask + ", or a faster shutter", false
}

// filament proposes settings of a filament's dimmer a stop apart, each with the colour that it has
// there.
func (g *generator) filament(l int, name string, now float64, more bool) {
	s, ly := g.base.stage, &g.base.stage.Layers[l]
	was, _, known := spectrum.CCTOhno2013(ly.Spectrum.XY())
	for k := 1.0; k <= 3; k++ {
		share := now * math.Exp2(-k)
		if more {
			share = min(1, now*math.Exp2(k))
		}
		share = math.Round(100*share) / 100
		if share < 0.05 || math.Abs(share-now) < 0.02 {
			continue
		}
		dim := map[string]q.Share{name: q.Share(share)}
		for n, x := range s.Setup.Dim {
			if n = strings.TrimPrefix(n, "practicals."); !strings.EqualFold(n, name) {
				dim[n] = x
			}
		}
		words := fmt.Sprintf("set the dimmer of %s to %.0f %%, from %.0f %%", name, 100*share, 100*now)
		if to := stage.DimmedKelvin(was, share/now); known {
			words += fmt.Sprintf(": its filament turns %s, from %.0f to %.0f K", pickText(more, "whiter", "redder"),
				math.Round(was/10)*10, math.Round(to/10)*10)
		}
		g.add(change{kind: "dimmer", words: words, action: "house lights", detail: "ask " + whose(s, l),
			layers: []string{ly.Name}, apply: func(s *shoot.Setup) { s.Dim = dim },
			edits: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].dim", g.setup), Value: dimText(dim)}}})
	}
}

// dimText is a setup's dim as the file writes it.
func dimText(dim map[string]q.Share) string {
	var parts []string
	for n, share := range dim {
		parts = append(parts, fmt.Sprintf("%s: %g %%", yamltext.Quote(n, true), math.Round(1e4*float64(share))/100))
	}
	slices.Sort(parts)
	return "{" + strings.Join(parts, ", ") + "}"
}

// dimmer proposes another setting of the lights of the place that have a dimmer and tell at a
// point. A filament turns redder when dimmed, so each setting of one is traced by itself.
func (g *generator) dimmer(point int, more bool) {
	s := g.base.stage
	for l := range s.Layers {
		p := practicalOf(s, l)
		if p == nil || p.Control != "dimmer" || s.Layers[l].K == 0 || g.share(l, point) < 0.02 {
			continue
		}
		now := 1.0
		for n, share := range s.Setup.Dim {
			if strings.EqualFold(strings.TrimPrefix(n, "practicals."), p.Name) {
				now = float64(share)
			}
		}
		if k, ok := kind.FindPractical(p.Kind); ok && k.Filament {
			g.filament(l, p.Name, now, more)
			continue
		}
		var steps []float64
		for share := 0.05; share < 1.001; share += 0.05 {
			if more == (share > now+0.01) && math.Abs(share-now) > 0.01 {
				steps = append(steps, share)
			}
		}
		if len(steps) == 0 || !(now > 0) {
			continue
		}
		name, level := p.Name, g.now.Problem.Lights[l].Level
		list := []q.Stops{level}
		for _, share := range steps {
			list = append(list, level+q.StopsOf(share/now))
		}
		slices.Sort(list)
		set := func(sol balance.Solution) float64 {
			return math.Round(100 * now * (sol.Lights[l].Level - level).Times())
		}
		g.add(change{kind: "dimmer", words: "dim " + name + " otherwise", action: "house lights",
			detail: "ask " + whose(s, l), flash: true,
			say: func(_ *rig, sol balance.Solution) string {
				return fmt.Sprintf("set the dimmer of %s to %.0f %%, from %.0f %%", name, set(sol), 100*now)
			},
			tune: func(_ *rig, p *balance.Problem) {
				p.Lights[l].Levels = balance.Scale{Min: list[0], Max: list[len(list)-1], List: list}
			},
			write: func(sol balance.Solution) []yamltext.Edit {
				dim := map[string]float64{name: set(sol)}
				for n, share := range s.Setup.Dim {
					if n = strings.TrimPrefix(n, "practicals."); !strings.EqualFold(n, name) {
						dim[n] = 100 * float64(share)
					}
				}
				var parts []string
				for n, share := range dim {
					parts = append(parts, fmt.Sprintf("%s: %g %%", yamltext.Quote(n, true), share))
				}
				slices.Sort(parts)
				return []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].dim", g.setup),
					Value: "{" + strings.Join(parts, ", ") + "}"}}
			}})
	}
}
