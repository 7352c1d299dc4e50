package ways

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// change is one change to try on a copy of the setup.
type change struct {
	kind   balance.WayKind
	words  string
	detail string
	action string    // what it takes, by the table of minutes
	more   q.Minutes // beside that
	extra  q.Stops
	needs  []string
	taken  []string

	apply      func(s *shoot.Setup)
	room       func(r *shoot.Room) // the same for the room, which all setups share
	white      q.Kelvin            // the camera's white is set to this; 0: it stays
	window     string              // the window that it covers or gels
	layers     []string            // lights whose own light changes by it
	everything bool                // all lights' light changes by it
	whole      bool                // it is traced whole, all lights to the error of what is listed
	tune       func(r *rig, p *balance.Problem)
	say        func(r *rig, sol balance.Solution) string
	write      func(sol balance.Solution) []yamltext.Edit // edits that depend on the settings found
	tell       func(sol balance.Solution) string          // the detail, where the settings found make it
	costs      func(sol balance.Solution) float64         // loss of the picture beside, the same
	flash      bool                                       // how the flash follows is said

	offs    []string // lights of the house that are switched off by it
	edits   []yamltext.Edit
	adds    []yamltext.Edit
	deletes []string

	light int          // of a place: the layer
	to    geom.Vec     // and where it goes
	built *stage.Stage // built and found to fit already

	on     *rig       // made already: a joined change stands on the traced one of its two
	root   *change    // of a joined change: that one
	of     [2]*change // of a joined change: its two
	rig    *rig       // as made
	cannot error      // why it could not be made
	levels []float64  // of full, of each light as the screening balanced it; for its whole trace
}

func (c *change) traced() bool { return c.everything || len(c.layers) > 0 }

// changes generates what is worth trying for the missed targets, what takes least time first.
func (f *finder) changes(missed []int) (out []*change) {
	g := &generator{finder: f, seen: map[string]bool{}}
	if len(f.cannot) > 0 {
		g.mends()
	}
	for _, t := range missed {
		if g.now.Solution.Targets[t].Unknown {
			g.forCauses(t)
			continue
		}
		g.forTarget(t)
		g.forCauses(t)
	}
	for l := range g.base.stage.Layers {
		if slices.ContainsFunc(missed, func(t int) bool { return !g.now.Solution.Targets[t].Unknown }) &&
			g.matters(l, missed) && len(f.cannot) == 0 {
			g.search(l)
		}
	}
	if len(f.cannot) > 0 {
		g.out = slices.DeleteFunc(g.out, func(c change) bool {
			return c.traced() && c.built == nil && c.kind != "bounce"
		})
	}
	slices.SortStableFunc(g.out, func(a, b change) int { return g.order(&a) - g.order(&b) })
	for i := range g.out {
		out = append(out, &g.out[i])
	}
	return out
}

// generator collects changes without duplicates.
type generator struct {
	*finder
	out  []change
	seen map[string]bool
}

// order ranks changes: first those without a trace, then those that trace one light, then those
// that trace all.
func (g *generator) order(c *change) int {
	switch {
	case c.everything:
		return 2
	case c.traced():
		return 1
	}
	return 0
}

func (g *generator) add(c change) {
	if !g.seen[c.words] {
		g.seen[c.words] = true
		g.out = append(g.out, c)
	}
}

// forTarget generates changes for one missed target.
func (g *generator) forTarget(t int) {
	target, o := &g.now.Problem.Targets[t], g.now.Solution.Targets[t]
	switch {
	case target.Kind == balance.Warmth && g.ownWarmth(target.Point):
		g.whites()
		g.recolour(target)
	case target.Kind == balance.Colour || target.Kind == balance.Warmth:
		g.whites()
		g.recolour(target)
		g.house(target.Point, 0.1)
		if target.Kind == balance.Colour || o.Residual > 0 { // too cool is not mended by less of what burns
			g.shutter(false, target.Point)
		}
		if l := g.lifter(target); l >= 0 {
			g.camera(true, target.Point)
			g.stronger(l)
		}
	case o.Residual < 0:
		g.camera(!g.burnsFill(t), target.Point)
		g.dimmer(target.Point, true)
		g.house(target.To, 0.15)
		if l := g.lifter(target); l >= 0 {
			g.stronger(l)
		}
		if _, shade := g.sides(target); shade == target.To && shade >= 0 {
			g.panels(shade, false)
		} else {
			g.panels(target.Point, true)
		}
	default:
		g.camera(false, target.Point)
		g.dimmer(target.Point, false)
		g.house(target.Point, 0.1)
		g.spill(target)
		if _, shade := g.sides(target); shade == target.To && shade >= 0 {
			g.panels(shade, true)
		} else {
			g.panels(target.Point, false)
		}
		g.apart(target)
	}
	if g.base.stage.Scene.Medium != nil && (target.Kind == balance.Veil || o.Residual > 0 &&
		target.Kind == balance.Level) {
		i := g.setup
		g.add(change{kind: "haze", words: "do without haze", action: "haze",
			detail: "clearing the room takes longest; beams are lost", extra: 0.5, everything: true,
			apply: func(s *shoot.Setup) { s.Haze = nil }, deletes: []string{fmt.Sprintf("setups[%d].haze", i)}})
		g.lessHaze()
	}
}

// lessHaze proposes half of the haze, and a quarter.
func (g *generator) lessHaze() {
	h := g.base.stage.Setup.Haze
	if h == nil {
		return
	}
	now := h.Extinction
	if now <= 0 {
		now = g.base.stage.Scene.Medium.Extinction
	}
	for _, part := range []float64{0.5, 0.25} {
		less := *h
		less.Visibility, less.Density, less.Extinction = 0, "", math.Round(now*part*1e4)/1e4
		path := fmt.Sprintf("setups[%d].haze.", g.setup)
		c := change{kind: "haze", action: "less haze",
			words: pickText(part == 0.5, "half the haze", "a quarter of the haze"),
			detail: fmt.Sprintf("let it settle until you see %.0f m through it, from %.0f m; beams are weaker",
				seen(less.Extinction), seen(now)),
			extra: 0.2, everything: true, apply: func(s *shoot.Setup) { x := less; s.Haze = &x },
			edits: []yamltext.Edit{{Path: path + "extinction", Value: fmt.Sprintf("%g", less.Extinction)}}}
		if h.Visibility > 0 {
			c.deletes = append(c.deletes, path+"visibility")
		}
		if h.Density != "" {
			c.deletes = append(c.deletes, path+"density")
		}
		g.add(c)
	}
}

// share is the share of a light in the exposure of a point at the balanced settings, 0 to 1.
func (g *generator) share(l, point int) float64 {
	if point < 0 || point >= len(g.now.After) || l >= len(g.now.After[point].Lights) {
		return 0
	}
	return g.now.After[point].Lights[l].Share
}

// lifter returns the light that at full does most for a point relative to the point it is compared
// with, of those that are there for it.
func (g *generator) lifter(t *balance.Target) int {
	best, most := -1, 0.0
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		if ly.Light < 0 || g.base.stage.Setup.Lights[ly.Light].Lock {
			continue
		}
		if own := g.now.Problem.Lights[l].For; own != nil && !slices.Contains(own, t.Point) {
			continue
		}
		v := g.share(l, t.Point) - 0.8*g.share(l, t.To)
		if t.Kind == balance.Colour {
			v = -g.now.Problem.Targets[0].Lo // only lights asked to have a colour
			if c := g.base.stage.Setup.Lights[ly.Light].Colour; c.Set() {
				v = g.share(l, t.Point)
			}
		}
		if v > most {
			best, most = l, v
		}
	}
	return best
}

func (g *generator) lightOf(l int) (*stage.Layer, *shoot.Light) {
	ly := &g.base.stage.Layers[l]
	return ly, &g.base.stage.Setup.Lights[ly.Light]
}

// camera proposes sensitivity, aperture and shutter, each as far as the look is best with it, with
// everything balanced again. more: the continuous light is too weak beside the flash, or all light
// is. point is where; what burns there shows movement where it is the sitter.
func (g *generator) camera(more bool, point int) {
	c := g.base.stage.Setup.Camera
	if c == nil {
		return
	}
	g.shutter(more, point)
	const most = q.Stops(4)
	low, high := c.ISO, min(12800, c.ISO*q.ISO(most.Times()))
	sign := -1.0
	if !more {
		low, high = min(c.ISO, max(100, c.ISO*q.ISO((-most).Times()))), c.ISO
		sign = 1
	}
	apertures := []q.FNumber{c.Aperture}
	for k := 1.0; k <= 3*float64(most); k++ {
		if a := engraved(c.Aperture * q.FNumber(math.Exp2(sign*k/6))); a > 1.38 && a < 22.7 && a != c.Aperture {
			apertures = append(apertures, a)
		}
	}
	if list := ISOs(low, high, 1.0/3); len(list) > 1 {
		g.add(change{kind: "sensitivity", words: "set another sensitivity", action: "camera", flash: true,
			say: func(_ *rig, sol balance.Solution) string {
				return fmt.Sprintf("set ISO %g", math.Round(float64(sol.ISO)))
			},
			tell: func(sol balance.Solution) string { return noise(c, sol.ISO) },
			tune: func(r *rig, p *balance.Problem) { p.Camera.ISOs = list }})
	}
	if len(apertures) > 1 {
		g.add(change{kind: "aperture", words: "set another aperture", action: "camera", flash: true,
			say:  func(_ *rig, sol balance.Solution) string { return "set " + sol.Aperture.String() },
			tell: func(sol balance.Solution) string { return g.depth(sol.Aperture) },
			tune: func(r *rig, p *balance.Problem) { p.Camera.Apertures = apertures }})
	}
}

// movement is the cost of each stop of shutter beyond 1/60 where what burns falls on the sitter:
// there it blurs, on a sign it does not (judgement).
const movement = 0.5

// shutter proposes slower shutters, or faster ones up to the sync speed, where something burns:
// they move that alone. Where the flash pulses beyond the sync speed a slower shutter is at the
// sync speed at the fastest, with high speed sync off: there the flash is whole.
func (g *generator) shutter(more bool, point int) {
	c := g.base.stage.Setup.Camera
	flash := func(l stage.Layer) bool { return l.Flash && l.Light >= 0 }
	burns := func(l stage.Layer) bool { return !l.Flash && l.K > 0 }
	flashed := slices.ContainsFunc(g.base.stage.Layers, flash)
	if c == nil || !flashed && !slices.ContainsFunc(g.base.stage.Layers, burns) {
		return
	}
	pulsed := more && flashed && c.HighSpeed && c.Sync > 0 && c.Shutter < c.Sync
	slow, fast := min(max(c.Shutter, 1.0/4), c.Shutter*8), c.Shutter
	if pulsed {
		slow, fast = min(1.0/4, c.Sync*8), c.Sync
	}
	if !more {
		slow, fast = c.Shutter, c.Shutter/8
		if c.Sync > 0 && flashed {
			fast = max(fast, c.Sync)
		}
	}
	list := Shutters(fast, slow, 1.0/3)
	if len(list) < 2 || fast >= slow {
		return
	}
	ch := change{kind: "shutter", words: pickText(more, "set a slower shutter", "set a faster shutter"),
		action: "camera", flash: true,
		say: func(_ *rig, sol balance.Solution) string {
			return "set " + sol.Shutter.String() + pickText(pulsed, ", high speed sync off", "")
		},
		tell: func(sol balance.Solution) string { return g.blur(sol.Shutter) },
		costs: func(sol balance.Solution) float64 {
			if point < 0 || !g.base.stage.Points[point].Sitter {
				return 0
			}
			return movement * max(0, math.Log2(float64(sol.Shutter)*60)-max(0, math.Log2(float64(c.Shutter)*60)))
		},
		tune: func(r *rig, p *balance.Problem) { p.Camera.Shutters = list }}
	if pulsed {
		ch.apply = func(s *shoot.Setup) { s.Camera.HighSpeed = false }
		ch.deletes = []string{fmt.Sprintf("setups[%d].camera.high speed sync", g.setup)}
	}
	g.add(ch)
}

// follows returns how the flash changes relative to the balanced settings without the way; empty
// where it stays.
func (f *finder) follows(r *rig, sol balance.Solution) string {
	var parts []string
	for l, s := range sol.Lights {
		if l >= len(f.now.Solution.Lights) || l >= len(r.stage.Layers) || r.stage.Layers[l].Light < 0 ||
			!r.stage.Layers[l].Flash {
			continue
		}
		if d := s.Level - f.now.Solution.Lights[l].Level; math.Abs(float64(d)) >= 0.15 {
			dir := "up"
			if d < 0 {
				dir = "down"
			}
			parts = append(parts, fmt.Sprintf("%s %s %.1f st", s.Name, dir, math.Abs(float64(d))))
		}
	}
	return strings.Join(parts, ", ")
}

func noise(c *shoot.Camera, iso q.ISO) string {
	s := optics.Sensor{FullWell: c.FullWell, ReadNoise: c.ReadNoise}
	return fmt.Sprintf("shadows clean down to %s, before %s", stopsText(s.Floor(iso, 10)),
		stopsText(s.Floor(c.ISO, 10)))
}

func (g *generator) depth(a q.FNumber) string {
	v := g.base.stage.View
	if v == nil {
		return ""
	}
	near, far := optics.Sharp(v.Lens, a, v.Format.Confusion(), v.Focus)
	if math.IsInf(float64(far), 1) {
		return fmt.Sprintf("sharp from %.2f m to the horizon", float64(near))
	}
	return fmt.Sprintf("sharp from %.2f to %.2f m", float64(near), float64(far))
}

// blur returns what a shutter time does to motion blur and flicker.
func (g *generator) blur(t q.Seconds) string {
	var parts []string
	if t > 1.0/50 {
		parts = append(parts, "camera on a tripod, sitter still: what burns shows movement")
	}
	for _, l := range g.base.stage.Layers {
		if l.Flicker.Hertz > 0 && l.K > 0 {
			if sw := optics.Swing(q.Share(l.Flicker.Ripple), q.Hertz(l.Flicker.Hertz), t); sw > 0.1 {
				parts = append(parts, fmt.Sprintf("%s may flicker by up to %.1f st", l.Name, float64(sw)))
			}
		}
	}
	return strings.Join(parts, "; ")
}

// house proposes to switch off lights of the place that have a share of at least least at a point.
func (g *generator) house(point int, least float64) {
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		if ly.Kind != stage.Practical || ly.K == 0 || g.share(l, point) < least || fixed(g.base.stage, l) {
			continue
		}
		name := ly.Name
		// A practical from which the look takes a colour is part of the look.
		if slices.ContainsFunc(g.base.stage.Setup.Look, func(w shoot.Wish) bool {
			return w.Colour != nil && strings.EqualFold(strings.TrimPrefix(w.Colour.Like, "practicals."), name)
		}) {
			continue
		}
		g.add(change{kind: "house lights", words: "switch off " + name, action: "house lights",
			detail: "ask " + whose(g.base.stage, l) + "; light enough to walk and work by must stay",
			tune: func(r *rig, p *balance.Problem) {
				for k := range p.Lights {
					if p.Lights[k].Name == name {
						p.Lights[k].Off = true
					}
				}
			},
			offs: []string{name}})
	}
}

// recolour proposes other gels and colours for the lights at a point.
func (g *generator) recolour(t *balance.Target) {
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		if ly.Light < 0 || ly.Source == nil || g.share(l, t.Point) < 0.1 {
			continue
		}
		if own := g.now.Problem.Lights[l].For; own != nil && !slices.Contains(own, t.Point) {
			continue // it spills there: its own colour is that of what it is for
		}
		name := ly.Name
		mixed := mixes(g.base.stage.Kit(), g.base.stage.Setup.Lights[ly.Light].Head)
		free := func(s *shoot.Setup) {
			m := shoot.May{Step: 1.0 / 3}
			if s.May != nil {
				m = *s.May
			}
			if mixed {
				m.Colour = append(slices.Clone(m.Colour), name)
			} else {
				m.Gel = append(slices.Clone(m.Gel), name)
			}
			s.May = &m
		}
		action, words := "gel", "change the gel of "+name
		if mixed {
			action, words = "colour", "another colour of "+name
		}
		g.add(change{kind: "colour", words: words, action: action, apply: free, say: func(r *rig,
			sol balance.Solution) string {
			if o := sol.Lights[l].Option; o < len(r.options[l]) && o > 0 {
				return words + ": " + r.options[l][o].name
			}
			return words
		}})
	}
}

// stronger proposes ways to more light from a light: nearer, another modifier or head, no grid,
// less cloth, a second one, another's place.
func (g *generator) stronger(l int) {
	ly, w := g.lightOf(l)
	if len(ly.Bodies) == 0 {
		return
	}
	if ly.Source == nil {
		return
	}
	g.modifiers(l, true)
	if w.Grid != "" {
		i := ly.Light
		g.add(change{kind: "grid", words: "take the grid off " + ly.Name, action: "grid",
			layers: []string{ly.Name}, apply: func(s *shoot.Setup) { s.Lights[i].Grid = "" },
			deletes: []string{ly.Path + ".grid"}})
	}
	g.cloth(w)
	g.otherHeads(l)
	g.second(l)
	g.trade(l)
}

// moveTo moves a light; lengths are rounded to the centimetre.
func moveTo(ly *stage.Layer, at [3]float64) (func(*shoot.Setup), []yamltext.Edit) {
	i := ly.Light
	return func(s *shoot.Setup) {
			l := &s.Lights[i]
			l.At, l.Height = []q.Metres{q.Metres(at[0]), q.Metres(at[1])}, q.Metres(at[2])
		}, []yamltext.Edit{{Path: ly.Path + ".at", Value: fmt.Sprintf("[%g, %g]", at[0], at[1])},
			{Path: ly.Path + ".height", Value: fmt.Sprintf("%g m", at[2])}}
}

func round(v float64) float64 { return math.Round(v*100) / 100 }

// inArea reports whether a light may go to a place.
func inArea(w *shoot.Light, p geom.Vec) bool {
	if len(w.Area) == 2 {
		x0, x1 := min(w.Area[0][0], w.Area[1][0]), max(w.Area[0][0], w.Area[1][0])
		y0, y1 := min(w.Area[0][1], w.Area[1][1]), max(w.Area[0][1], w.Area[1][1])
		if p.X < float64(x0) || p.X > float64(x1) || p.Y < float64(y0) || p.Y > float64(y1) {
			return false
		}
	}
	h := w.Heights
	return (h[0] == 0 || p.Z >= float64(h[0])) && (h[1] == 0 || p.Z <= float64(h[1])) && p.Z > 0.1
}

// spill proposes ways to keep a light off a point: a grid, nearer (steeper fall-off behind), a
// smaller modifier.
func (g *generator) spill(t *balance.Target) {
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		if ly.Light < 0 || ly.Source == nil || len(ly.Bodies) == 0 || g.share(l,
			t.Point) < 0.15 || g.base.stage.Setup.Lights[ly.Light].Lock || g.now.toolFor(t.Point) == l {
			continue // a grid keeps no light off what it is meant for
		}
		w, i, path, name := &g.base.stage.Setup.Lights[ly.Light], ly.Light, ly.Path, ly.Name
		if w.Grid == "" {
			for _, grid := range g.grids(w) {
				needs, taken := g.needs(grid)
				g.add(change{kind: "grid", words: fmt.Sprintf("put the %s on %s", grid, name), action: "grid",
					layers: []string{name}, needs: needs, taken: taken,
					apply: func(s *shoot.Setup) { s.Lights[i].Grid = grid },
					edits: []yamltext.Edit{{Path: path + ".grid", Value: grid}}})
			}
		}
	}
}

// grids returns one or two grids that fit the modifier of a light.
func (g *generator) grids(w *shoot.Light) []string {
	m, _ := g.base.stage.Kit().FindModifier(w.Modifier)
	if k, ok := kind.FindModifier(m.Kind); ok && k.Grid != "" {
		return []string{k.Grid}
	}
	return nil
}

// apart moves the sitter's set away from a background that is too bright.
func (g *generator) apart(t *balance.Target) {
	s := g.base.stage
	if s.View == nil || s.Sitter == nil || s.Points[t.Point].Sitter {
		return
	}
	// All that belongs to the sitter moves along the camera's axis.
	dir := geom.V(-s.View.Axis.X, -s.View.Axis.Y, 0)
	if dir.Len2() < 1e-6 {
		return
	}
	dir = dir.Unit()
	const by = 0.6
	set := s.Setup
	shift := func(at []q.Metres) []q.Metres {
		out := slices.Clone(at)
		out[0], out[1] = q.Metres(round(float64(at[0])+by*dir.X)), q.Metres(round(float64(at[1])+by*dir.Y))
		return out
	}
	atText := func(at []q.Metres) string {
		var p []string
		for _, v := range at {
			p = append(p, fmt.Sprintf("%g", float64(v)))
		}
		return "[" + strings.Join(p, ", ") + "]"
	}
	base := fmt.Sprintf("setups[%d].", g.setup)
	var edits []yamltext.Edit
	var lights, panels []int
	sit := shift(set.Sitter.At[:])
	cam := shift(set.Camera.At)
	edits = append(edits, yamltext.Edit{Path: base + "sitter.at", Value: atText(sit)},
		yamltext.Edit{Path: base + "camera.at", Value: atText(cam)})
	for i, l := range set.Lights {
		if strings.HasPrefix(l.Aim.Name, "sitter") || l.Aim.Name == "" && l.Aim.At == [3]float64{} {
			if len(l.At) >= 2 {
				lights = append(lights, i)
				edits = append(edits, yamltext.Edit{Path: fmt.Sprintf("%slights[%d].at", base, i),
					Value: atText(shift(l.At))})
			}
		}
	}
	for i, p := range set.Panels {
		if strings.HasPrefix(p.Aim.Name, "sitter") || p.Aim.Name == "" && p.Aim.At == [3]float64{} {
			panels = append(panels, i)
			edits = append(edits, yamltext.Edit{Path: fmt.Sprintf("%spanels[%d].at", base, i),
				Value: atText(shift(p.At))})
		}
	}
	g.add(change{kind: "sitter",
		words: fmt.Sprintf("move sitter, camera and their lights %.1f m from the background",
			by), action: "sitter", more: q.Minutes(1.5 * float64(len(lights))),
		everything: true, edits: edits, apply: func(c *shoot.Setup) {
			c.Sitter.At = [2]q.Metres{sit[0], sit[1]}
			c.Camera.At = cam
			for _, i := range lights {
				c.Lights[i].At = shift(c.Lights[i].At)
			}
			for _, i := range panels {
				c.Panels[i].At = shift(c.Panels[i].At)
			}
		}})
}
