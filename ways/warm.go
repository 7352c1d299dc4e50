package ways

import (
	"fmt"
	"math"
	"slices"

	"halfstop/balance"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// ownWarmth reports whether a lamp of the place makes most of the light at a point: then the wish
// is for that lamp's warmth, and no shutter drowns it and nobody switches it off for that.
func (g *generator) ownWarmth(point int) bool {
	l := g.now.strongest(point)
	return l >= 0 && g.base.stage.Layers[l].Kind == stage.Practical
}

// whites proposes a white balance between lamps and flash with the flash gelled towards it: about
// 4,000 K with half orange, 4,600 K with quarter (trade case 13; the halves and quarters made for
// flash, +81 and +42 mired, lead 5,600 K to 3,850 and 4,530 K). Full orange and 3,200 K turn what
// daylight there is deep blue: they are tried where that is what a wish wants, and cost more.
func (g *generator) whites() {
	set := g.base.stage.Setup
	if set.Camera == nil || !slices.ContainsFunc(g.now.Problem.Targets, func(t balance.Target) bool {
		return t.Kind == balance.Warmth
	}) {
		return
	}
	var flashes []string
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		if ly.Light >= 0 && ly.Flash && ly.Source != nil && !set.Lights[ly.Light].Lock {
			flashes = append(flashes, ly.Name)
		}
	}
	if len(flashes) == 0 {
		return
	}
	for _, w := range []struct {
		kelvin q.Kelvin
		extra  q.Stops
	}{{4000, 0}, {4600, 0.05}, {3200, 0.5}} {
		kelvin := w.kelvin
		if now := set.Camera.WhiteBalance.Kelvin; now > 0 && math.Abs(float64(now-kelvin)) < 150 {
			continue
		}
		free := func(s *shoot.Setup) {
			m := shoot.May{Step: 1.0 / 3}
			if s.May != nil {
				m = *s.May
			}
			m.White, m.Gel = false, append(slices.Clone(m.Gel), flashes...)
			s.May = &m
			s.Camera.WhiteBalance = shoot.Spectrum{Kelvin: kelvin}
		}
		words := fmt.Sprintf("white balance %.0f K, and the flash gelled towards it", float64(kelvin))
		g.add(change{kind: "white", words: words, action: "gel", apply: free, white: kelvin, extra: w.extra,
			detail: "what is daylight turns bluer",
			say: func(r *rig, sol balance.Solution) string {
				text := ""
				for l, x := range sol.Lights {
					if l < len(r.options) && x.Option > 0 && x.Option < len(r.options[l]) && x.Changed {
						if text != "" {
							text += ", "
						}
						text += r.options[l][x.Option].name + " on " + x.Name
					}
				}
				if text == "" {
					return fmt.Sprintf("set the white balance to %.0f K", float64(kelvin))
				}
				return fmt.Sprintf("%s, and the white balance at %.0f K", text, float64(kelvin))
			},
			edits: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].camera.white balance", g.setup),
				Value: fmt.Sprintf("%.0f K", float64(kelvin))}}})
	}
}
