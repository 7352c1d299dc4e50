package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"halfstop/geom"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// panels proposes a white panel beside a point that is too dark, a black one beside a point that is
// too bright, and changes to the panels there.
func (g *generator) panels(point int, lift bool) {
	s := g.base.stage
	if s.Sitter == nil || point < 0 || !s.Points[point].Sitter || s.View == nil {
		return
	}
	// An edge is made by a light of its own, the lit side by the key: a white fills the other side.
	if a := areaOf(&s.Points[point]); a == edgeArea || lift && a != shadeArea {
		return
	}
	set := s.Setup
	for i := range set.Panels {
		p := &set.Panels[i]
		if !g.panelKind(p).Fills {
			continue
		}
		path := fmt.Sprintf("setups[%d].panels[%d]", g.setup, i)
		if !lift {
			needs, taken := g.needs("black 120x120")
			g.add(change{kind: "panel", words: "turn the " + p.Name + " to black", action: "panel",
				everything: true, needs: needs, taken: taken,
				apply: func(s *shoot.Setup) { s.Panels[i].Kind, s.Panels[i].Face = "black", "black" },
				edits: []yamltext.Edit{{Path: path + ".kind", Value: "black"}, {Path: path + ".face",
					Value: "black"}}})
			g.add(change{kind: "panel", words: "take the " + p.Name + " away", action: "panel", everything: true,
				apply: func(s *shoot.Setup) { s.Panels = slices.Delete(s.Panels, i, i+1) }, deletes: []string{path}})
			return
		}
		g.movePanel(i, &s.Points[point])
	}
	pt := &s.Points[point]
	n := geom.V(pt.Normal.X, pt.Normal.Y, 0)
	if n.Len2() < 1e-6 {
		return
	}
	boards := g.boards(pt.At, n.Unit(), lift, 1, 0.6)
	kind, face := "reflector", "white"
	if !lift {
		kind, face = "black", "black"
	}
	path := fmt.Sprintf("setups[%d].panels", g.setup)
	// at most this many places are held against room and frame
	builds := 0
	fits := func(c *change) bool {
		file, set := g.copy()
		c.apply(set)
		builds++
		var err error
		c.built, err = g.build(file)
		return err == nil
	}
	stock := map[bool]string{true: "reflector white 100x100", false: "black 120x120"}[lift]
	var first *board
	var one change
	for i := range boards {
		b := &boards[i]
		if builds == boardsBuilt || g.ctx.Err() != nil {
			return
		}
		panel, text := b.panel(kind, face, "")
		c := change{kind: "panel", words: fmt.Sprintf("a %s panel, %.1f m square, %s %s, %.1f m from it", face,
			b.side, b.where(pt.At), pt.Name, b.at.Sub(pt.At).Len()), action: "panel", everything: true,
			apply: func(s *shoot.Setup) { s.Panels = append(s.Panels, panel) },
			adds:  []yamltext.Edit{{Path: path, Value: text}}}
		c.needs, c.taken = g.needs(stock)
		if first == nil {
			if fits(&c) {
				first, one = b, c
				g.add(c)
			}
			continue
		}
		if b.at.Sub(first.at).Len() < (b.side+first.side)/2 {
			continue
		}
		two := c
		panel, text = b.panel(kind, face, " 2")
		two.words = fmt.Sprintf("two %s panels at %s: one %.1f m square, %s it, %.1f m off, and one %.1f m square, "+
			"%s it, %.1f m off", face, pt.Name, first.side, first.where(pt.At), first.at.Sub(pt.At).Len(), b.side,
			b.where(pt.At), b.at.Sub(pt.At).Len())
		two.apply = func(s *shoot.Setup) { one.apply(s); s.Panels = append(s.Panels, panel) }
		two.adds = []yamltext.Edit{one.adds[0], {Path: path, Value: text}}
		two.more = minutesOf("panel").minutes
		two.needs, two.taken = g.needsMore(stock, 2)
		if fits(&two) {
			g.add(two)
			return
		}
	}
}

// boardsBuilt is how many places of boards are held against room and frame for one point.
const boardsBuilt = 12

// board is a place for a square board beside a point of the face.
type board struct {
	at    geom.Vec
	side  float64 // metres
	worth float64 // what it can return, or take, against others
}

// panel returns a board as a panel of the setup, and as it is written.
func (b *board) panel(kind, face, more string) (shoot.Panel, string) {
	x, y, z := round(b.at.X), round(b.at.Y), round(b.at.Z)
	name := fmt.Sprintf("%s %.0fx%.0f%s", face, b.side*100, b.side*100, more)
	return shoot.Panel{Name: name, Kind: kind, Face: face, Size: [2]q.Metres{q.Metres(b.side), q.Metres(b.side)},
			At: []q.Metres{q.Metres(x), q.Metres(y)}, Height: q.Metres(z), Aim: shoot.Target{Name: "sitter.face"}},
		fmt.Sprintf("{name: %s, kind: %s, face: %s, size: [%g, %g], at: [%g, %g], height: %g m, aim: sitter.face}",
			name, kind, face, b.side, b.side, x, y, z)
}

// where says on which side of a point a board is.
func (b *board) where(p geom.Vec) string {
	if p.Z-b.at.Z > 0.3 {
		return "beside and under"
	}
	return "beside"
}

// boards returns the places beside a point of the face, square to the cheek or turned to the camera
// or past the cheek, level or under the frame, at which a board is out of the picture and in the
// room, the one of the most use first: by its form factor to the point, and for a white by the
// light of the key on it.
func (g *generator) boards(p, n geom.Vec, white bool, sizes ...float64) (out []board) {
	v := g.base.stage.View
	face, _ := g.face()
	toCamera := v.At.Sub(p)
	for _, d := range []float64{0.5, 0.6, 0.75, 0.9, 1.1, 1.3, 1.5} {
		for _, turn := range []float64{0, 20, 40, -20, -40} { // towards the camera, and away from it
			a := turn * math.Pi / 180
			dir := turned(n, geom.Vec{}, a)
			if o := turned(n, geom.Vec{}, -a); (o.Dot(toCamera) > dir.Dot(toCamera)) == (turn > 0) {
				dir = o
			}
			for _, down := range []float64{0, 0.4, 0.6} {
				for _, size := range sizes {
					at := p.AddMul(dir, d).Add(geom.V(0, 0, -down))
					front := face.Sub(at)
					across := geom.V(-front.Y, front.X, 0)
					if across.Len2() < 1e-6 || at.Z-size/2 < 0.05 || !g.clear(at) {
						continue
					}
					across, front = across.Unit(), front.Unit()
					up := front.Cross(across)
					fits := true
					for _, sx := range []float64{-0.5, -0.25, 0, 0.25, 0.5} {
						for _, sz := range []float64{-0.5, -0.25, 0, 0.25, 0.5} {
							c := at.AddMul(across, sx*size).AddMul(up, sz*size)
							fits = fits && !g.pictured(c, 0.02) && g.inRoom(c, 0.05)
						}
					}
					if !fits {
						continue
					}
					out = append(out, board{at, size, g.boardWorth(p, n, at, front, size, white)})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b board) int { return -cmp.Compare(a.worth, b.worth) })
	return out
}

// boardWorth is what a board at a place, its front facing along front, is worth for a point.
func (g *generator) boardWorth(p, n, at, front geom.Vec, size float64, white bool) float64 {
	to, key := at.Sub(p), g.base.stage.LayerNamed("key")
	worth := size * size * max(0, n.Dot(to.Unit())) / (math.Pi*to.Len2() + size*size)
	if white && key >= 0 && len(g.base.stage.Layers[key].Bodies) > 0 {
		l := g.base.stage.Layers[key].Bodies[0].At.Sub(at)
		worth *= max(0.02, front.Dot(l.Unit())) / max(0.1, l.Len2())
	}
	return worth
}

// worthMoving is how many times as much a white must do at another place before it is moved there
// (judgement).
const worthMoving = 1.25

// movePanel proposes another place for a white that stands there already, the one of the most use
// that fits: nearer, further round or aimed at the face.
func (g *generator) movePanel(i int, pt *stage.Point) {
	p, body := &g.base.stage.Setup.Panels[i], g.panelBody(i)
	n := geom.V(pt.Normal.X, pt.Normal.Y, 0)
	if body == nil || n.Len2() < 1e-6 {
		return
	}
	n = n.Unit()
	size := float64(max(p.Size[0], p.Size[1]))
	here := g.boardWorth(pt.At, n, body.At, body.Frame.N, math.Sqrt(float64(p.Size[0]*p.Size[1])), true)
	path := fmt.Sprintf("setups[%d].panels[%d].", g.setup, i)
	for k, b := range g.boards(pt.At, n, true, size) {
		if b.worth < worthMoving*here || k == boardsBuilt || g.ctx.Err() != nil {
			return
		}
		was, is := body.At.Sub(pt.At).Len(), b.at.Sub(pt.At).Len()
		x, y, z := round(b.at.X), round(b.at.Y), round(b.at.Z)
		c := change{kind: "panel", action: "panel", everything: true, detail: onPlan(b.at),
			words: fmt.Sprintf("move the %s %s %s, %.1f m from it (from %.1f m), its face to the sitter", p.Name,
				b.where(pt.At), pt.Name, is, was),
			apply: func(s *shoot.Setup) {
				o := &s.Panels[i]
				o.At, o.Height = []q.Metres{q.Metres(x), q.Metres(y)}, q.Metres(z)
				o.Aim, o.Roll = shoot.Target{Name: "sitter.face"}, 0
			},
			edits: []yamltext.Edit{{Path: path + "at", Value: fmt.Sprintf("[%g, %g]", x, y)},
				{Path: path + "height", Value: fmt.Sprintf("%g m", z)}, {Path: path + "aim", Value: "sitter.face"}}}
		if p.Roll != 0 {
			c.deletes = []string{path + "roll"}
		}
		file, set := g.copy()
		c.apply(set)
		var err error
		if c.built, err = g.build(file); err == nil {
			g.add(c)
			return
		}
	}
}

// panelBody is a panel of the setup as it hangs; nil where it was not built.
func (g *generator) panelBody(i int) *stage.PanelBody {
	for k := range g.base.stage.Panels {
		if b := &g.base.stage.Panels[k]; b.Panel == &g.base.stage.Setup.Panels[i] {
			return b
		}
	}
	return nil
}
