package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/geom"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// impossible are the codes of findings that say that something cannot stand where it is written, by
// the room and by bodies; what is only seen in the picture is not among them.
var impossible = []string{"stage.outside", "stage.through-ceiling", "stage.through-floor", "stage.through-wall",
	"stage.in-object", "stage.in-sitter", "stage.same-place", "stage.stand-in-object", "stage.stand-feet",
	"stage.arm-in-sitter", "stage.stand-height"}

// cannotStand returns the messages of a stage that say that a light cannot stand where it is.
func cannotStand(list diag.List) (out diag.List) {
	for _, m := range list {
		if m.Severity == diag.Finding && slices.Contains(impossible, m.Code) {
			out = append(out, m)
		}
	}
	return out
}

const (
	mendsBuilt = 60 // places of one light that cannot stand that are held against the room
	mendsTried = 2  // of one light with one modifier that are traced
)

// mends proposes other places, and smaller modifiers of the shoot's kit, for the lights that cannot
// stand where they are: the least change of the picture first (trade case 14: a smaller box nearer,
// the key lower, never a light through the ceiling).
func (g *generator) mends() {
	for l := range g.base.stage.Layers {
		ly := &g.base.stage.Layers[l]
		if ly.Light < 0 || len(ly.Bodies) == 0 ||
			!slices.ContainsFunc(g.cannot, func(m diag.Message) bool {
				at := g.job.Doc.PathAt(m.Pos.Line, m.Pos.Col)
				return at == ly.Path || strings.HasPrefix(at, ly.Path+".")
			}) {
			continue
		}
		w := &g.base.stage.Setup.Lights[ly.Light]
		g.mend(l, w, "")
		for _, m := range g.spare() {
			if !strings.EqualFold(m, w.Modifier) && w.Modifier != "" && g.smaller(l, m) {
				g.mend(l, w, m)
			}
		}
		if slices.ContainsFunc(g.cannot, func(m diag.Message) bool { return m.Code == "stage.through-ceiling" }) {
			g.bounce(l)
		}
	}
}

// smaller reports whether a modifier has a smaller face than what is on a light.
func (g *generator) smaller(l int, modifier string) bool {
	ly, w := g.lightOf(l)
	want, err := g.base.stage.Wanted(w)
	if err != nil {
		return false
	}
	want.Modifier, want.Grid = modifier, ""
	src, err := g.base.stage.Kit().Resolve(want)
	return err == nil && ly.Source != nil && max(src.Width, src.Height) < 0.9*max(ly.Source.Width, ly.Source.Height)
}

// mend proposes the places nearest to that of a light at which it can stand, with what is on it or
// with another modifier.
func (g *generator) mend(l int, w *shoot.Light, modifier string) {
	ly, _ := g.lightOf(l)
	from, about := ly.Bodies[0].At, g.about(l)
	type spot struct {
		at   geom.Vec
		cost float64
	}
	var spots []spot
	for _, r := range []float64{0, -10, 10, -20, 20, -30, 30} {
		for _, u := range []float64{0, -5, -10, -15, -20, -30} {
			for _, n := range []float64{1, 0.9, 0.8, 0.65, 0.5, 1.15} {
				at, ok := g.placed(from, about, r, u, n, false)
				if !ok || at.Z > highest || !inArea(w, at) || !g.clear(at) || !g.inRoom(at, 0.1) {
					continue
				}
				cost := g.changed(l, from, at) + 0.5*math.Abs(math.Log2(n)) + (math.Abs(r)+math.Abs(u))/30
				spots = append(spots, spot{at, cost})
			}
		}
	}
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.cost, b.cost) })
	var taken []geom.Vec
	builds := 0
	for _, s := range spots {
		if builds == mendsBuilt || len(taken) == mendsTried || g.ctx.Err() != nil {
			return
		}
		if slices.ContainsFunc(taken, func(o geom.Vec) bool { return o.Sub(s.at).Len() < 0.3 }) {
			continue
		}
		c := g.place(l, s.at)
		if modifier != "" {
			i, move := ly.Light, c.apply
			c.kind = "modifier"
			c.words = fmt.Sprintf("%s on %s instead of %s, and %s", modifier, ly.Name, orDefault(w.Modifier, "bare"),
				c.words)
			c.more = minutesOf("modifier").minutes
			c.needs, c.taken = g.needs(modifier)
			c.apply = func(s *shoot.Setup) { move(s); s.Lights[i].Modifier, s.Lights[i].Grid = modifier, "" }
			c.edits = append(c.edits, yamltext.Edit{Path: ly.Path + ".modifier", Value: modifier})
			if w.Grid != "" {
				c.deletes = append(c.deletes, ly.Path+".grid")
			}
		}
		file, set := g.copy()
		c.apply(set)
		builds++
		var err error
		if c.built, err = g.build(file); err != nil {
			continue
		}
		taken = append(taken, s.at)
		c.extra = q.Stops(g.changed(l, from, s.at))
		g.add(c)
	}
}

// fits reports whether a way leaves nothing where it cannot stand.
func (f *finder) fits(v *balance.Way) bool {
	if len(f.cannot) == 0 {
		return true
	}
	if v.Candidate < 0 {
		return false
	}
	c := f.list[v.Candidate]
	if c.root != nil {
		c = c.root
	}
	return c.traced()
}

// cannotSaid is what cannot stand, the first of it in words.
func (f *Found) cannotSaid() string {
	if len(f.Cannot) == 0 {
		return ""
	}
	out := capital(f.Cannot[0])
	if n := len(f.Cannot) - 1; n > 0 {
		out += fmt.Sprintf(", and %d more cannot stand as written", n)
	}
	return out + ". That comes first. "
}
