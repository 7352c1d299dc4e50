package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/yamltext"
)

// allSetups is the remark on a change of the room.
const allSetups = "it is the room's: the other setups see it too"

// window proposes a net and a blind before a window, neutral density on its pane by the excess
// over, and where a colour is wanted the gels of the kit that bring the light there nearest to it.
func (g *generator) window(l int, t *balance.Target, over q.Stops) {
	name := g.base.stage.Layers[l].Name
	i := slices.IndexFunc(g.job.File.Room.Windows, func(w shoot.Window) bool { return strings.EqualFold(w.Name, name) })
	if i < 0 {
		return
	}
	w := &g.job.File.Room.Windows[i]
	path := fmt.Sprintf("room.windows[%d]", i)
	gelled := func(gel, detail string) {
		stack := append(slices.Clone(w.Gel), gel)
		needs, taken := g.needs(gel)
		g.add(change{kind: "window gel", window: name, words: gel + " on the pane of " + name,
			action: "pane", detail: detail,
			layers: []string{name}, needs: needs, taken: taken,
			room:  func(r *shoot.Room) { r.Windows[i].Gel = stack },
			edits: []yamltext.Edit{{Path: path + ".gel", Value: gelText(slices.Clone(stack))}}})
	}
	if t.Kind == balance.Colour || t.Kind == balance.Warmth {
		for _, gel := range g.nearestGels(l, t) {
			gelled(gel, allSetups)
		}
		return
	}
	if over <= 0 {
		return
	}
	for _, d := range g.densities(over) {
		gelled(d, "what is seen through it darkens by as much; "+allSetups)
	}
	for _, cover := range []string{"net", "blind"} {
		if w.Cover != "" {
			break
		}
		g.add(change{kind: "cover", window: name,
			words:  pickText(cover == "net", "a net before ", "close the blind of ") + name,
			action: "blind", detail: "what is seen through it is lost in part; " + allSetups, everything: true,
			extra: q.Stops(g.viewLost(w, map[string]float64{"net": 0.4, "blind": 0.8}[cover])),
			room:  func(r *shoot.Room) { r.Windows[i].Cover = cover },
			edits: []yamltext.Edit{{Path: path + ".cover", Value: cover}}})
	}
}

// viewLost is the cost of a cover before a window: that of the view where the camera sees it.
func (g *generator) viewLost(w *shoot.Window, view float64) float64 {
	corners, _ := stage.Outline(&g.base.stage.Shoot.Room)
	if g.base.stage.View == nil || w.Wall < 1 || w.Wall > len(corners) {
		return 0.1
	}
	a, b := corners[w.Wall-1], corners[w.Wall%len(corners)]
	along := b.Sub(a).Unit()
	for _, k := range []float64{0.1, 0.5, 0.9} {
		for _, h := range []float64{0.1, 0.5, 0.9} {
			p := a.AddMul(along, float64(w.From)+k*float64(w.Width))
			p.Z = float64(w.Sill) + h*float64(w.Head-w.Sill)
			if g.pictured(p, 0) {
				return view
			}
		}
	}
	return 0.1
}

// densities returns the two neutral densities of the kit nearest to over stops.
func (g *generator) densities(over q.Stops) (out []string) {
	type sheet struct {
		name string
		off  float64
	}
	var sheets []sheet
	for _, name := range g.base.stage.Kit().GelNames() {
		if !strings.HasPrefix(strings.ToLower(name), "neutral density") {
			continue
		}
		if c, _, err := g.base.stage.Kit().Transmittance(name); err == nil {
			white := spectrum.White(5600)
			takes := -math.Log2(max(1e-6, white.Mul(c).XYZ().Y/white.XYZ().Y))
			sheets = append(sheets, sheet{name, math.Abs(takes - float64(over))})
		}
	}
	slices.SortStableFunc(sheets, func(a, b sheet) int { return cmp.Compare(a.off, b.off) })
	for _, s := range sheets[:min(2, len(sheets))] {
		out = append(out, s.name)
	}
	return out
}

// nearestGels returns the two gels of the kit for one light that bring the colour at a target's
// point nearest to the one wanted, with all other lights as balanced.
func (g *generator) nearestGels(l int, t *balance.Target) (out []string) {
	if t.Kind != balance.Colour {
		return []string{"half orange", "full orange"}
	}
	var rest spectrum.XYZ
	r := &g.now.After[t.Point]
	if l >= len(r.Lights) {
		return nil
	}
	for k := range r.Lights {
		sh := &r.Lights[k]
		if k == l || sh.XYZ.Y <= 0 {
			continue
		}
		f := sh.Share / sh.XYZ.Y
		rest = spectrum.XYZ{X: rest.X + f*sh.XYZ.X, Y: rest.Y + f*sh.XYZ.Y, Z: rest.Z + f*sh.XYZ.Z}
	}
	type gel struct {
		name string
		off  float64
	}
	var gels []gel
	day := g.base.stage.Layers[l].Spectrum
	if day.Empty() {
		day = spectrum.White(6500)
	}
	for _, name := range g.base.stage.Kit().GelNames() {
		c, _, err := g.base.stage.Kit().Transmittance(name)
		if err != nil || strings.HasPrefix(strings.ToLower(name), "neutral") {
			continue
		}
		x := day.Mul(c).XYZ()
		bare := day.XYZ()
		f := r.Lights[l].Share / max(1e-12, bare.Y)
		sum := spectrum.XYZ{X: rest.X + f*x.X, Y: rest.Y + f*x.Y, Z: rest.Z + f*x.Z}
		u, v := sum.XY().UVPrime()
		gels = append(gels, gel{name, math.Hypot(u-t.UV[0], v-t.UV[1])})
	}
	slices.SortStableFunc(gels, func(a, b gel) int { return cmp.Compare(a.off, b.off) })
	for _, x := range gels[:min(2, len(gels))] {
		out = append(out, x.name)
	}
	return out
}

// later proposes the setup later in the day, where daylight follows the clock: an hour later, and
// about dusk.
func (g *generator) later() {
	var h, m int
	at := g.base.stage.Setup.At
	if n, _ := fmt.Sscanf(at, "%d:%d", &h, &m); n != 2 {
		return
	}
	now := h*60 + m
	clock := func(t int) string { return fmt.Sprintf("%02d:%02d", t/60, t%60) }
	sunset := -1
	for t := now; t < 24*60; t++ {
		if stage.MomentOf(g.job.File, clock(t)).Altitude < 0 {
			sunset = t
			break
		}
	}
	try := func(t int, words string) {
		if t <= now || t >= 24*60 {
			return
		}
		to := clock(t)
		g.add(change{kind: "hour", words: "wait until " + to + words, action: "wait",
			detail: "what the day allows is for the plan to say", extra: 0.3, everything: true,
			apply: func(s *shoot.Setup) { s.At = to },
			edits: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].time", g.setup), Value: `"` + to + `"`}}})
	}
	try(now+60, "")
	if sunset >= 0 {
		try(sunset, " (sunset)")
		try(sunset+20, " (dusk, 20 min after sunset)")
		try(sunset+40, " (dusk, 40 min after sunset)")
	}
}

// burnsFill reports whether what should be darker of a difference is lit by what burns and has no
// dimmer: then the flash gains on it by a faster shutter, not by a slower one.
func (g *generator) burnsFill(t int) bool {
	_, shade := g.sides(&g.now.Problem.Targets[t])
	return shade >= 0 && slices.ContainsFunc(g.now.causes(t), func(c Cause) bool {
		return c.Kind == NoDimmer && c.Light >= 0 && !g.base.stage.Layers[c.Light].Flash
	})
}

// faster proposes shutters beyond the sync speed with high speed sync, where a flash lights the
// set.
func (g *generator) faster() {
	c := g.base.stage.Setup.Camera
	flash := func(l stage.Layer) bool { return l.Flash && l.Light >= 0 }
	if c == nil || c.Sync <= 0 || c.HighSpeed || !slices.ContainsFunc(g.base.stage.Layers, flash) {
		return
	}
	for n := q.Stops(1); n <= 3; n++ {
		_, t, over := (c.Sync * q.Seconds((-n).Times())).Engraved()
		if t <= 0 || math.Abs(float64(over)) > 0.15 || t >= c.Shutter {
			continue
		}
		g.add(change{kind: "high speed sync", words: "set " + t.String() + " with high speed sync", action: "camera",
			flash: true, extra: 0.4,
			detail: fmt.Sprintf("the flash pulses: %.0f st of it lost; only heads that can",
				2+math.Log2(float64(c.Sync/t))),
			apply: func(s *shoot.Setup) { s.Camera.HighSpeed = true },
			tune:  func(r *rig, p *balance.Problem) { p.Camera.Shutters = []q.Seconds{t} },
			edits: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].camera.high speed sync", g.setup), Value: "true"}}})
	}
}

// filter proposes neutral density on the lens, in whole stops up to three. A wish that means
// 'correctly exposed' (reads f/4 with the camera at f/4) changes with it, since the meter does not
// see the filter.
func (g *generator) filter(over q.Stops) {
	c := g.base.stage.Setup.Camera
	if c == nil || over <= 0 {
		return
	}
	tied := g.now.Problem.Tied()
	for n := q.Stops(1); n <= 3; n++ {
		if float64(n) > float64(over)+1 {
			break
		}
		nd := c.ND + n
		ch := change{kind: "lens filter", words: fmt.Sprintf("neutral density, %.0f st, on the lens", float64(n)),
			action: "camera", flash: true, extra: 0.2 + 0.06*n,
			detail: "the viewfinder darkens by as much; the meter " +
				"does not see it",
			needs: []string{fmt.Sprintf("lens filter %.0f st", float64(n))},
			edits: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].camera.nd", g.setup),
				Value: fmt.Sprintf("%g st", float64(nd))}}}
		ch.apply = func(s *shoot.Setup) { s.Camera.ND = nd }
		if tied {
			by := q.FNumber((n / 2).Times())
			reads := map[int]q.FNumber{}
			for i, w := range g.base.stage.Setup.Look {
				if w.Reads != nil && w.Reads.N > 0 {
					reads[i] = exactly(w.Reads.N * by)
					ch.edits = append(ch.edits, yamltext.Edit{Path: fmt.Sprintf("setups[%d].look[%d].reads", g.setup,
						i),
						Value: shoot.Reading{N: reads[i]}.String()})
				}
			}
			ch.apply = func(s *shoot.Setup) {
				s.Camera.ND = nd
				for i, n := range reads {
					r := *s.Look[i].Reads
					r.N = n
					s.Look[i].Reads = &r
				}
			}
			for _, n := range reads {
				ch.detail += fmt.Sprintf(", so %s on it is now rightly exposed", fText(n))
				break
			}
		}
		g.add(ch)
	}
}

// A reflector that is aimed at a wall or a ceiling still lights what stands off its axis: with a
// beam of 55° (half at 27.5°, by a power of the cosine) −2.2 st at 40°, −4.3 at 55° and −8.9 at
// 70° of what it gives on its axis. Light off paint comes some 4 st under the head's own at that
// distance (common practice, no source: −2 and the longer path), so nearer the axis than this the
// face is lit straight, by a hard light.
const (
	ceilingSpill = 70 // degrees off the axis from which on the spill does not tell
	wallSpill    = 50
)

// offAxis is the angle at a light between where it is aimed and a place, degrees.
func offAxis(from, aim, place geom.Vec) float64 {
	c := aim.Sub(from).Unit().Dot(place.Sub(from).Unit())
	return math.Acos(min(1, max(-1, c))) * 180 / math.Pi
}

// overhead returns where on the ceiling a light is bounced from: halfway to the face, or as far
// towards it as keeps the face out of the light's own beam.
func (g *generator) overhead(from, face geom.Vec) (p geom.Vec, ok bool) {
	for share := 0.5; share > -0.31; share -= 0.1 {
		p = from.AddMul(face.Sub(from), share)
		p.Z = stage.CeilingAt(&g.base.stage.Shoot.Room, p.X, p.Y)
		if p.Z < face.Z+0.4 || p.Z > face.Z+2 {
			continue
		}
		at := from
		if len(g.cannot) > 0 {
			at.Z = min(at.Z, stage.CeilingAt(&g.base.stage.Shoot.Room, at.X, at.Y)-bounceGap)
		}
		if offAxis(at, p, face) >= ceilingSpill {
			return p, true
		}
	}
	return p, false
}

// bounceGap is how far under a ceiling a head points up at it, metres (judgement).
const bounceGap = 0.6

// bounce proposes to point a light at the wall that returns it from further round, and at the
// ceiling: larger, weaker, of the surface's colour.
func (g *generator) bounce(l int) {
	ly, w := g.lightOf(l)
	face, ok := g.face()
	if !ok || len(ly.Bodies) == 0 || w.Lock || w.Through != "" {
		return
	}
	from := ly.Bodies[0].At
	corners, ceiling := stage.Outline(&g.base.stage.Shoot.Room)
	type spot struct {
		words string
		at    geom.Vec
		round float64
	}
	var spots []spot
	was := math.Abs(anglesOf(g.base.stage, from))
	for i := range corners {
		a, b := corners[i], corners[(i+1)%len(corners)]
		e := b.Sub(a)
		k := face.Sub(a).Dot(geom.V(e.X, e.Y, 0)) / max(1e-9, e.X*e.X+e.Y*e.Y)
		p := a.AddMul(e, k)
		p.Z = face.Z + 0.3
		d := math.Hypot(p.X-face.X, p.Y-face.Y)
		round := math.Abs(anglesOf(g.base.stage, p))
		if k < 0 || k > 1 || d > 3 || d < 0.6 || round < was+15 || round > 110 || g.pictured(p, 0.3) ||
			offAxis(from, p, face) < wallSpill {
			continue
		}
		spots = append(spots, spot{fmt.Sprintf("wall %d", i+1), p, round})
	}
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.round, b.round) })
	spots = spots[:min(2, len(spots))]
	if ceiling > 0 {
		if p, ok := g.overhead(from, face); ok {
			spots = append(spots, spot{words: "the ceiling", at: p})
		}
	}
	modifier, grid := w.Modifier, w.Grid
	if h, ok := g.base.stage.Kit().FindHead(w.Head); ok {
		if m, _ := kind.FindMount(h.Mount); m.Reflector {
			modifier, grid = "standard reflector", ""
		}
	}
	i := ly.Light
	for _, sp := range spots {
		to := [3]float64{round(sp.at.X), round(sp.at.Y), round(sp.at.Z)}
		c := change{kind: "bounce", words: fmt.Sprintf("bounce %s off %s", ly.Name, sp.words), action: "modifier",
			detail: "larger and weaker, of that surface's colour", layers: []string{ly.Name}, extra: 0.2,
			apply: func(s *shoot.Setup) {
				s.Lights[i].Aim, s.Lights[i].Feather = shoot.Target{At: to}, 0
				s.Lights[i].Modifier, s.Lights[i].Grid = modifier, grid
			},
			edits: []yamltext.Edit{{Path: ly.Path + ".aim", Value: fmt.Sprintf("[%g, %g, %g]", to[0], to[1], to[2])}}}
		if modifier != w.Modifier {
			c.words += " with the " + modifier
			c.edits = append(c.edits, yamltext.Edit{Path: ly.Path + ".modifier", Value: modifier})
		}
		if grid != w.Grid {
			c.deletes = append(c.deletes, ly.Path+".grid")
		}
		if w.Feather != 0 {
			c.deletes = append(c.deletes, ly.Path+".feather")
		}
		if top := stage.CeilingAt(&g.base.stage.Shoot.Room, from.X, from.Y); len(g.cannot) > 0 && top > 0 {
			// It hangs through the ceiling: lower, where the reflector has room to point up.
			z := round(min(from.Z, top-bounceGap))
			aim := c.apply
			c.apply = func(s *shoot.Setup) { aim(s); s.Lights[i].Height = q.Metres(z) }
			c.words += fmt.Sprintf(", from a height of %.2f m", z)
			c.edits = append(c.edits, yamltext.Edit{Path: ly.Path + ".height", Value: fmt.Sprintf("%g m", z)})
		}
		c.needs, c.taken = g.needs(modifier)
		if modifier == w.Modifier {
			c.needs, c.taken = nil, nil
		}
		g.add(c)
	}
}

// pace returns the recycling time of a head near full and the flashes in one charge; empty where
// neither matters.
func pace(h kit.Head, level q.Stops) string {
	if level < -1.01 || h.Recycle <= 0 {
		return ""
	}
	out := fmt.Sprintf("ready again in %.1f s", float64(h.Recycle)*level.Times())
	if h.Pops > 0 {
		out += fmt.Sprintf(", about %.0f flashes on a charge", float64(h.Pops)/level.Times())
	}
	return out
}

// seen is how far one sees through haze, to two figures: by Koschmieder's 2 % contrast.
func seen(extinction float64) float64 {
	m := 3.912 / extinction
	p := math.Pow(10, math.Floor(math.Log10(m))-1)
	return math.Round(m/p) * p
}
