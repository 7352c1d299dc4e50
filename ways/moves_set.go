package ways

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/geom"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// matters reports whether a light serves a point of a missed target, or gives much to one that has
// too much. A light is not moved to lend its spill.
func (g *generator) matters(l int, missed []int) bool {
	if g.base.stage.Layers[l].Light < 0 {
		return false
	}
	for _, i := range missed {
		t := &g.now.Problem.Targets[i]
		if t.Kind == balance.Colour || t.Kind == balance.Warmth {
			continue
		}
		for _, p := range []int{t.Point, t.To} {
			if p < 0 {
				continue
			}
			much := (g.now.Solution.Targets[i].Residual > 0) == (p == t.Point) // this point has too much
			own := g.now.Problem.Lights[l].For == nil || slices.Contains(g.now.Problem.Lights[l].For, p)
			if much && own && p == t.To && !g.now.cheeks(t.Point, t.To) {
				continue // a light is not moved off its own work for what another point lacks
			}
			if g.now.toolFor(p) == l || g.share(l, p) >= 0.1 && (own || much) {
				return true
			}
		}
	}
	return false
}

// forCauses generates the remedies for the causes of one missed target.
func (g *generator) forCauses(i int) {
	t := &g.now.Problem.Targets[i]
	for _, c := range g.now.causes(i) {
		switch c.Kind {
		case Frontal, Broad, Inverted:
			g.turnSitter(c.Kind == Inverted)
			if c.Light >= 0 && g.base.stage.Layers[c.Light].Light >= 0 {
				g.bounce(c.Light)
			}
			if _, shade := g.sides(t); shade >= 0 {
				g.panels(shade, false)
			}
		case RoomFill:
			if _, shade := g.sides(t); shade >= 0 {
				g.panels(shade, false)
			}
		case Spill, OtherLight:
			p := t.Point
			if c.Light >= 0 && t.To >= 0 && g.share(c.Light, t.To) > g.share(c.Light, p) {
				p = t.To
			}
			if c.Light >= 0 && g.base.stage.Layers[c.Light].Light >= 0 {
				g.feather(c.Light, p)
				g.flag(c.Light, p)
			}
		case AtLeastOut:
			if c.Light >= 0 && g.base.stage.Layers[c.Light].Light >= 0 {
				over := g.now.Solution.Targets[i].Residual
				g.density(c.Light, over)
				g.distance(c.Light, t.Point, over)
				g.filter(over)
			}
		case AtFullOut:
			if c.Light >= 0 && g.base.stage.Layers[c.Light].Light >= 0 && t.To < 0 {
				g.distance(c.Light, t.Point, g.now.Solution.Targets[i].Residual)
			}
		case NoDimmer:
			if c.Light >= 0 && g.base.stage.Layers[c.Light].Kind == stage.Daylight {
				g.blind(c.Light)
				g.window(c.Light, t, g.now.Solution.Targets[i].Residual)
				g.later()
				g.faster()
				if r := g.now.Solution.Targets[i].Residual; slices.Contains([]balance.Kind{balance.Level,
					balance.LevelAbove}, t.Kind) {
					g.filter(r)
				}
			}
			if c.Light >= 0 && g.base.stage.Layers[c.Light].Kind == stage.Practical {
				g.houseOff()
			}
		case WrongLight:
			g.aimAt(c.Light, t.Point)
		case Unlit:
			p := c.at
			if lit, shade := g.sides(t); shade >= 0 && g.now.cheeks(lit, shade) {
				p = shade
				g.panels(p, true)
			}
			g.ownLight(p)
		}
	}
}

// sides returns the brighter and the darker point wanted of a difference; −1 where the target is
// none.
func (g *generator) sides(t *balance.Target) (lit, shade int) {
	if t.To < 0 || t.Kind != balance.ReadingAbove && t.Kind != balance.LevelAbove {
		return -1, -1
	}
	if t.Lo+t.Hi < 0 {
		return t.To, t.Point
	}
	return t.Point, t.To
}

// turnSitter proposes to turn the sitter away from the light and towards it; where the wrong side
// of the face is lit also to the other side of the camera by as much.
func (g *generator) turnSitter(other bool) {
	set := g.base.stage.Setup
	if set.Sitter == nil {
		return
	}
	angles := []float64{-20, 20}
	if now := float64(set.Sitter.Turn); other && math.Abs(now) >= 5 && math.Abs(now) <= 90 {
		angles = append(angles, -2*now, -1.5*now)
	}
	for _, angle := range angles {
		to := set.Sitter.Turn + q.Degrees(angle)
		g.add(change{kind: "turn", words: fmt.Sprintf("turn the sitter by %.0f° to %s", math.Abs(angle),
			pickText(angle > 0, "the sitter's left", "the sitter's right")), action: "sitter",
			detail: "the face is seen from another side", extra: 0.3, everything: true,
			apply: func(s *shoot.Setup) { s.Sitter.Turn = to },
			edits: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].sitter.turn", g.setup),
				Value: fmt.Sprintf("%g deg", float64(to))}}})
	}
}

// feather proposes to aim a light past what it lights, away from a point on which it spills.
func (g *generator) feather(l, point int) {
	ly, w := g.lightOf(l)
	if len(ly.Bodies) == 0 || w.Lock || w.Through != "" {
		return
	}
	b := ly.Bodies[0]
	away := g.base.stage.Points[point].At.Sub(b.At)
	for _, angle := range []float64{15, 25} {
		// Rotated about the vertical, to the side away from the point.
		turn := angle * math.Pi / 180
		n := turned(b.At.Add(b.Frame.N), b.At, turn).Sub(b.At)
		if o := turned(b.At.Add(b.Frame.N), b.At, -turn).Sub(b.At); o.Dot(away) < n.Dot(away) {
			n = o
		}
		g.aim(l, b.At.AddMul(n, 2), "feather", fmt.Sprintf("feather %s by %.0f° away from %s", ly.Name, angle,
			g.base.stage.Points[point].Name))
	}
}

// aimAt proposes to aim a light at the point that it serves.
func (g *generator) aimAt(l, point int) {
	if l >= 0 {
		g.aim(l, g.base.stage.Points[point].At, "aim", fmt.Sprintf("aim %s at %s", g.base.stage.Layers[l].Name,
			g.base.stage.Points[point].Name))
	}
}

func (g *generator) aim(l int, at geom.Vec, kind balance.WayKind, words string) {
	ly, w := g.lightOf(l)
	if w.Lock || w.Through != "" {
		return
	}
	i := ly.Light
	to := [3]float64{round(at.X), round(at.Y), round(at.Z)}
	g.add(change{kind: kind, words: words, action: "aim", layers: []string{ly.Name},
		apply: func(s *shoot.Setup) {
			s.Lights[i].Aim = shoot.Target{At: [3]float64{to[0], to[1], to[2]}}
		},
		edits: []yamltext.Edit{{Path: ly.Path + ".aim", Value: fmt.Sprintf("[%g, %g, %g]", to[0], to[1], to[2])}}})
}

// flag proposes a black flag half a metre before a light, between it and a point on which it
// spills.
func (g *generator) flag(l, point int) {
	ly := &g.base.stage.Layers[l]
	if len(ly.Bodies) == 0 || ly.Light < 0 {
		return
	}
	b := ly.Bodies[0]
	to := g.base.stage.Points[point].At.Sub(b.At)
	if to.Len() < 1.2 || to.Unit().Dot(b.Frame.N) < 0.1 {
		return
	}
	face, ok := g.face()
	if ok && to.Unit().Dot(face.Sub(b.At).Unit()) > 0.93 {
		return // it would stand before the face as well
	}
	at := b.At.AddMul(to.Unit(), 0.25+max(b.Width, b.Height)/2)
	needs, taken := g.needs("flag 45x60")
	name := "flag at " + ly.Name
	panel := shoot.Panel{Name: name, Kind: "flag", Size: [2]q.Metres{0.6, 0.9},
		At: []q.Metres{q.Metres(round(at.X)), q.Metres(round(at.Y))}, Height: q.Metres(round(at.Z)),
		Aim: shoot.Target{At: [3]float64{round(b.At.X), round(b.At.Y), round(b.At.Z)}}}
	g.add(change{kind: "flag", words: fmt.Sprintf("a flag, 0.6 × 0.9 m, between %s and %s", ly.Name,
		g.base.stage.Points[point].Name), action: "flag", everything: true, needs: needs, taken: taken,
		apply: func(s *shoot.Setup) { s.Panels = append(s.Panels, panel) },
		adds: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].panels", g.setup),
			Value: fmt.Sprintf(
				"{name: %s, kind: flag, size: [0.6, 0.9], at: [%g, %g], height: %g m, aim: [%g, %g, %g]}",
				name, round(at.X), round(at.Y), round(at.Z), round(b.At.X), round(b.At.Y), round(b.At.Z))}}})
}

// density proposes neutral density on a head that is at its lowest: the two strengths of the kit
// nearest to the excess.
func (g *generator) density(l int, over q.Stops) {
	if l < 0 || g.base.stage.Layers[l].Light < 0 {
		return
	}
	ly, w := g.lightOf(l)
	if ly.Source == nil {
		return
	}
	i := ly.Light
	for _, name := range g.densities(over) {
		if slices.Contains(w.Gel, name) {
			continue
		}
		stack := append(slices.Clone([]string(w.Gel)), name)
		needs, taken := g.needs(name)
		g.add(change{kind: "density", words: name + " on " + ly.Name, action: "gel", layers: []string{ly.Name},
			needs: needs, taken: taken,
			apply: func(s *shoot.Setup) { s.Lights[i].Gel = stack },
			edits: []yamltext.Edit{{Path: ly.Path + ".gel", Value: gelText(slices.Clone(stack))}}})
	}
}

// distance proposes to move a light along its axis, back by its excess or in by its lack: a stop is
// 1.4 times the distance.
func (g *generator) distance(l, point int, over q.Stops) {
	ly, w := g.lightOf(l)
	if len(ly.Bodies) == 0 || w.Lock || !g.mayMove(l) || w.Through != "" {
		return
	}
	from, about := ly.Bodies[0].At, g.base.stage.Points[point].At
	for _, share := range []float64{1, 0.6} {
		at := about.AddMul(from.Sub(about), math.Exp2(float64(over)*share/2))
		if at.Sub(from).Len() < leastMove || !inArea(w, at) || !g.stands(ly, at) {
			continue
		}
		c := g.place(l, at)
		c.detail = pickText(over > 0, "harder: its face covers less", "softer, and it falls off faster") + "; " +
			c.detail
		g.add(c)
		return
	}
}

// blind proposes to black out a window.
func (g *generator) blind(l int) {
	name, extra := g.base.stage.Layers[l].Name, 0.2
	for i := range g.job.File.Room.Windows {
		if w := &g.job.File.Room.Windows[i]; strings.EqualFold(w.Name, name) {
			extra = g.viewLost(w, 2)
		}
	}
	g.add(change{kind: "blind", window: name, words: "black out " + name, action: "blind",
		detail: "what is seen through it is lost", extra: q.Stops(extra),
		tune: func(r *rig, p *balance.Problem) {
			for k := range p.Lights {
				if p.Lights[k].Name == name {
					p.Lights[k].Off = true
				}
			}
		},
		offs: []string{name}})
}

// houseOff proposes to switch off all lights of the place from which no colour is taken.
func (g *generator) houseOff() {
	var off []string
	gone := map[string]bool{}
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		liked := slices.ContainsFunc(g.base.stage.Setup.Look, func(w shoot.Wish) bool {
			return w.Colour != nil && strings.EqualFold(strings.TrimPrefix(w.Colour.Like, "practicals."), ly.Name)
		})
		if ly.Kind == stage.Practical && ly.K > 0 && !liked && !fixed(g.base.stage, l) {
			off = append(off, ly.Name)
			gone[ly.Name] = true
		}
	}
	if len(gone) < 2 {
		return
	}
	g.add(change{kind: "house lights", words: fmt.Sprintf("switch off the lights of the house (%d)", len(gone)),
		action: "house lights",
		detail: "ask the venue; light enough to walk and work by must stay",
		tune: func(r *rig, p *balance.Problem) {
			for k := range p.Lights {
				if gone[p.Lights[k].Name] {
					p.Lights[k].Off = true
				}
			}
		},
		offs: off})
}

// ownLight proposes a light of its own for a point that no light serves: behind the sitter on
// either side for the sitter's edge, near the surface for a wall. The head is a free one of the
// shoot, else a small one of the catalogue.
func (g *generator) ownLight(point int) {
	s := g.base.stage
	pt := &s.Points[point]
	if s.View == nil {
		return
	}
	head := "battery head 200"
	for _, h := range s.Kit().Heads {
		if n := g.count(h.Name); h.Kind == "flash" && n > uses(s.Setup, h.Name) {
			head = h.Name
			break
		}
	}
	needs, taken := g.needs(head)
	back := geom.V(s.View.Axis.X, s.View.Axis.Y, 0)
	if back.Len2() < 1e-6 {
		return
	}
	back = back.Unit()
	side := geom.V(-back.Y, back.X, 0)
	name, aim := "hair", "sitter.hair"
	var places []geom.Vec
	small := &stage.Layer{Light: -1, Bodies: []stage.Body{{Width: 0.2, Height: 0.2}}}
	fill := areaOf(pt) == shadeArea
	try := func(p geom.Vec) bool {
		for h := 0.1; h < p.Z; h += 0.2 { // its stand
			if g.pictured(geom.V(p.X, p.Y, h), 0.05) {
				return false
			}
		}
		if !g.stands(small, p) || fill && !g.inRoom(p, 0.8) || g.framed(p) {
			return false
		}
		places = append(places, p)
		return true
	}
	if fill {
		// In front, on the shadow side, as near the camera as the frame allows.
		name, aim = "fill", "sitter.face"
		if side.Dot(pt.Normal) < 0 {
			side = side.Mul(-1)
		}
	search:
		for _, around := range []float64{20, 30, 40, 50, 60} {
			for _, d := range []float64{1.8, 1.4, 2.2} {
				a := around * math.Pi / 180
				if try(pt.At.AddMul(back, -d*math.Cos(a)).AddMul(side, d*math.Sin(a)).Add(geom.V(0, 0, 0.1))) {
					break search
				}
			}
		}
	}
	// On either side, the nearest place out of the picture and in the room; for a surface the
	// nearest to it, from further off where the picture is wide there.
	depths := []float64{0.9}
	if !pt.Sitter {
		depths = []float64{1.2, 1.8, 2.6, 3.5}
	}
	for _, sign := range []float64{-1, 1} {
	places:
		for _, deep := range depths {
			for _, d := range []float64{0.6, 0.9, 1.2, 1.5, 1.8, 2.2} {
				for _, up := range []float64{0.4, 0.6, 0.8, 1} {
					p := pt.At.AddMul(back, deep).AddMul(side, sign*d).Add(geom.V(0, 0, up))
					if !pt.Sitter {
						p = pt.At.AddMul(pt.Normal, deep).AddMul(side, sign*d)
						p.Z = 0.4 + up
					}
					if fill || try(p) {
						break places
					}
				}
			}
		}
	}
	if !pt.Sitter {
		name, aim = "background", fmt.Sprintf("[%g, %g, %g]", round(pt.At.X), round(pt.At.Y), round(pt.At.Z))
	}
	role := name
	for _, side := range []string{" left", " right"} {
		if low := strings.ToLower(pt.Name); pt.Sitter && !fill && strings.HasSuffix(low, side) {
			name += side // each side of the sitter may have its own
			aim = "sitter." + low
		}
	}
	if s.LayerNamed(name) >= 0 || role == name && slices.ContainsFunc(s.Layers, func(o stage.Layer) bool {
		return o.Light >= 0 && strings.EqualFold(o.Role, role)
	}) {
		return
	}
	for _, p := range places {
		n := shoot.Light{Name: name, Role: role, Head: head, At: []q.Metres{q.Metres(round(p.X)),
			q.Metres(round(p.Y))}, Height: q.Metres(round(p.Z)), Power: "1/32"}
		if h, ok := s.Kit().FindHead(head); ok && h.Mount == "bayonet" {
			n.Modifier = pickText(fill, "softbox 60x90", "standard reflector")
		}
		n.Aim = shoot.Target{Name: aim}
		if !pt.Sitter {
			n.Aim = shoot.Target{At: [3]float64{round(pt.At.X), round(pt.At.Y), round(pt.At.Z)}}
		}
		text := fmt.Sprintf("{role: %s, head: %s", role, yamltext.Quote(head, true))
		if name != role {
			text = fmt.Sprintf("{role: %s, name: %s, head: %s", role, name, yamltext.Quote(head, true))
		}
		if n.Modifier != "" {
			text += ", modifier: " + n.Modifier
		}
		text += fmt.Sprintf(", at: [%g, %g], height: %g m, aim: %s, power: 1/32}", round(p.X), round(p.Y),
			round(p.Z), aim)
		off := p.Sub(pt.At)
		where := pickText(off.Dot(s.View.Frame.S) > 0, "the picture's left", "the picture's right")
		g.add(change{kind: "new light",
			words: fmt.Sprintf("a %s of its own for %s, %s, %.1f m from it and %.2f m high", head, pt.Name,
				pickText(fill, "beside the camera on "+where, pickText(pt.Sitter, "from behind on ", "on ")+where),
				off.Len(), p.Z), action: "head", detail: onPlan(p), layers: []string{name}, needs: needs, taken: taken,
			apply: func(x *shoot.Setup) { x.Lights = append(x.Lights, n) },
			adds:  []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].lights", g.setup), Value: text}}})
	}
}

// framed reports whether a head at p would be in the picture, with a margin of 0.15 m.
func (g *generator) framed(p geom.Vec) bool { return g.pictured(p, 0.15) }

// pictured reports whether something at p would be in the picture; about is its half size, m.
func (g *generator) pictured(p geom.Vec, about float64) bool {
	v := g.base.stage.View
	d := v.Frame.In(p.Sub(v.At))
	if d.Z <= 0 {
		return false
	}
	x, y := float64(v.Format.Width/v.Lens)/2, float64(v.Format.Height/v.Lens)/2
	return math.Abs(d.X/d.Z) < x*1.05+about/d.Z && math.Abs(d.Y/d.Z) < y*1.05+about/d.Z
}
