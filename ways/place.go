package ways

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync/atomic"

	"halfstop/balance"
	"halfstop/geom"
	"halfstop/optics"
	"halfstop/parallel"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// The grid of the search for places: steps round from the nose and up in degrees, and factors of
// the distance. The least move is 5° or 10 cm.
var (
	stepsRound = []float64{-60, -45, -30, -20, -10, -5, 0, 5, 10, 20, 30, 45, 60}
	stepsUp    = []float64{-20, -10, -5, 0, 5, 10, 20}
	stepsNear  = []float64{0.55, 0.7, 0.85, 1, 1.2, 1.5, 2}
)

const (
	placesTried = 3  // places of one light that are traced
	placesBuilt = 16 // places of one light that are held against room and frame
	leastMove   = 0.1
	wallGap     = 0.35 // a light's middle keeps so far from the walls, metres
	feetGap     = 0.56 // where no stand is named: the feet of the usual one need a circle of 1.1 m
	highest     = 3.2  // a stand reaches so high where none is named, metres (common practice, no source)
)

// spot is one candidate place for a light.
type spot struct {
	at    geom.Vec
	score float64
	extra float64
}

// search finds places of a light that bring the whole look nearer: round the face (or what the
// light points at), higher and lower, nearer and further, on the other side. Each is scored by the
// balance of a problem in which the light's direct part follows the cosine and the inverse square,
// while its bounced part is held. The few best that lie apart are then built, checked against room
// and frame, and traced. Places outside the light's area, the room and its stand's reach, and near
// an exit or a detector are not tried.
func (g *generator) search(l int) {
	ly, w := g.lightOf(l)
	if len(ly.Bodies) == 0 || w.Lock || !g.mayMove(l) || w.Through != "" {
		return
	}
	from := ly.Bodies[0]
	about := g.about(l)
	bar := math.Inf(1)
	for _, v := range g.all {
		bar = min(bar, v.Score)
	}
	act := minutesOf("move")
	var spots []spot
	add := func(round, up, near float64, other bool) {
		at, ok := g.placed(from.At, about, round, up, near, other)
		if ok && at.Sub(from.At).Len() >= leastMove && inArea(w, at) && g.stands(ly, at) {
			spots = append(spots, spot{at: at, extra: g.changed(l, from.At, at)})
		}
	}
	for _, r := range stepsRound {
		for _, u := range stepsUp {
			if math.Abs(u) < 20 || r == 0 {
				add(r, u, 1, false)
			}
		}
		for _, n := range stepsNear {
			if n != 1 && math.Abs(r) <= 30 && math.Abs(r) != 5 {
				add(r, 0, n, false)
			}
		}
	}
	for _, r := range []float64{-20, 0, 20} {
		add(r, 0, 1, true)
	}
	var group parallel.Group
	var next atomic.Int64
	for range g.threads() {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(spots); i = int(next.Add(1)) - 1 {
				s := &spots[i]
				c := balance.Candidate{Kind: "place", Problem: g.moved(l, s.at), Minutes: act.minutes,
					Extra: s.extra + 0.03*s.at.Sub(from.At).Len()}
				v, ok := g.score.Try(g.ctx, c, 0, true)
				if s.score = v.Score; !ok {
					s.score = math.Inf(1)
				}
			}
		})
	}
	group.Wait()
	spots = slices.DeleteFunc(spots, func(s spot) bool { return !(s.score < bar-0.1) })
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.score, b.score) })
	var taken []geom.Vec
	builds := 0
	for _, s := range spots {
		if len(taken) == placesTried || builds == placesBuilt || g.ctx.Err() != nil {
			break
		}
		apart := 0.25 * from.At.Sub(about).Len()
		if slices.ContainsFunc(taken, func(o geom.Vec) bool { return o.Sub(s.at).Len() < max(0.3, apart) }) {
			continue
		}
		c := g.place(l, s.at)
		file, set := g.copy()
		c.apply(set)
		builds++
		var err error
		if c.built, err = g.build(file); err != nil {
			boomed, ok := g.boomed(c, err)
			if !ok {
				g.refuse(c.kind, c.words, err)
				continue
			}
			c = boomed
		}
		taken = append(taken, s.at)
		g.add(c)
	}
}

// boomed is a place that furniture or a wall denies to a stand, with the light on a boom that
// reaches over it. ok is false where that is not what is wrong, or a boom finds no room either.
func (g *generator) boomed(c change, why error) (_ change, ok bool) {
	var m misfit
	ly, w := g.lightOf(c.light)
	if !errors.As(why, &m) || m.Code != "stage.stand-in-object" && m.Code != "stage.stand-feet" || w.Stand == boom {
		return c, false
	}
	i, move := ly.Light, c.apply
	c.apply = func(s *shoot.Setup) { move(s); s.Lights[i].Stand = boom }
	c.words += ", on a boom"
	c.more += minutesOf("boom").minutes
	c.edits = append(c.edits, yamltext.Edit{Path: ly.Path + ".stand", Value: boom})
	c.needs, c.taken = g.needs(boom)
	file, set := g.copy()
	c.apply(set)
	var err error
	c.built, err = g.build(file)
	return c, err == nil
}

// boom is the stand that reaches over things.
const boom = "boom stand"

// place is the change that puts a light elsewhere.
func (g *generator) place(l int, at geom.Vec) change {
	ly, _ := g.lightOf(l)
	from := ly.Bodies[0].At
	c := change{kind: "place", words: g.said(ly, from, at, g.about(l)), detail: onPlan(at), action: "move",
		layers: []string{ly.Name},
		extra:  q.Stops(g.changed(l, from, at)), light: l, to: at}
	c.apply, c.edits = moveTo(ly, [3]float64{round(at.X), round(at.Y), round(at.Z)})
	return c
}

// between returns a place on the way to one that overshoots: the trace shows a difference that was
// missed on one side missed on the other. ok is false where it does not, or where no light fits.
func (g *generator) between(c *change, v balance.Way, missed []int) (*change, bool) {
	for _, t := range missed {
		was, is := g.now.Solution.Targets[t], v.Solution.Targets[t]
		if was.Met || is.Met || was.Residual*is.Residual >= 0 || math.Abs(float64(is.Residual)) < 0.3 {
			continue
		}
		k := math.Abs(float64(was.Residual)) / math.Abs(float64(was.Residual-is.Residual))
		ly, w := g.lightOf(c.light)
		about, from := g.about(c.light), ly.Bodies[0].At
		a, b := from.Sub(about), c.to.Sub(about)
		at := about.AddMul(a.Lerp(b, k).Unit(), a.Len()+k*(b.Len()-a.Len()))
		if at.Sub(from).Len() < leastMove || !inArea(w, at) || !g.stands(ly, at) {
			return nil, false
		}
		n := g.place(c.light, at)
		file, set := g.copy()
		n.apply(set)
		var err error
		if n.built, err = g.build(file); err != nil {
			return nil, false
		}
		return &n, true
	}
	return nil, false
}

// about returns the centre of a light's moves: the sitter's face where the light points there, else
// its aim.
func (g *generator) about(l int) geom.Vec {
	b := g.base.stage.Layers[l].Bodies[0]
	if face, ok := g.face(); ok {
		if d := face.Sub(b.At); d.Unit().Dot(b.Frame.N) > 0.85 {
			return face
		}
	}
	return b.At.AddMul(b.Frame.N, 2)
}

// placed rotates a place about another, round and up in degrees, at a factor of the distance. other
// mirrors it in the plane of the camera's axis.
func (g *generator) placed(from, about geom.Vec, round, up, near float64, other bool) (geom.Vec, bool) {
	p := turned(from, about, round*math.Pi/180)
	if other {
		v := g.base.stage.View
		if v == nil {
			return p, false
		}
		n := geom.V(-v.Axis.Y, v.Axis.X, 0)
		if n.Len2() < 1e-6 {
			return p, false
		}
		n = n.Unit()
		p = p.AddMul(n, -2*p.Sub(about).Dot(n))
	}
	d := p.Sub(about)
	flat := math.Hypot(d.X, d.Y)
	r := d.Len() * near
	if flat < 1e-3 || r < 0.45 {
		return p, false
	}
	e := math.Atan2(d.Z, flat) + up*math.Pi/180
	if math.Abs(e) > 80*math.Pi/180 {
		return p, false
	}
	return about.Add(geom.V(d.X/flat*r*math.Cos(e), d.Y/flat*r*math.Cos(e), r*math.Sin(e))), true
}

// stands reports whether a light can be put there: in the room, under the ceiling, within the reach
// of its stand, away from exits and detectors.
func (g *generator) stands(ly *stage.Layer, at geom.Vec) bool {
	ceiling := stage.CeilingAt(&g.base.stage.Shoot.Room, at.X, at.Y)
	gap := wallGap
	if ly.Light < 0 || ly.Light < len(g.base.stage.Setup.Lights) && g.base.stage.Setup.Lights[ly.Light].Stand == "" {
		gap = feetGap
	}
	half := max(ly.Bodies[0].Width, ly.Bodies[0].Height) / 2
	if at.Z < 0.3 || at.Z > highest || ceiling > 0 && at.Z+0.7*half > ceiling-0.05 {
		return false
	}
	return g.inRoom(at, gap) && g.clear(at)
}

// inRoom reports whether a place is within the walls and at least gap metres from them.
func (g *generator) inRoom(at geom.Vec, gap float64) bool {
	corners, _ := stage.Outline(&g.base.stage.Shoot.Room)
	if len(corners) < 3 {
		return true
	}
	in := false
	for i := range corners {
		a, b := corners[i], corners[(i+1)%len(corners)]
		if (a.Y > at.Y) != (b.Y > at.Y) && at.X < (b.X-a.X)*(at.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
		e := b.Sub(a)
		t := math.Max(0, math.Min(1, at.Sub(a).Dot(geom.V(e.X, e.Y, 0))/math.Max(1e-9, e.X*e.X+e.Y*e.Y)))
		if math.Hypot(at.X-a.X-t*e.X, at.Y-a.Y-t*e.Y) < gap {
			return false
		}
	}
	return in
}

// moved is the base's problem with a light at another place, by the inverse square law and without
// a trace.
func (g *generator) moved(l int, at geom.Vec) balance.Problem {
	p := g.now.Problem
	s := g.base.stage
	body := s.Layers[l].Bodies[0]
	p.Lights = slices.Clone(p.Lights)
	light := &p.Lights[l]
	light.Options = slices.Clone(light.Options)
	size := max(body.Width, body.Height, 0.05)
	to := func(i int, from geom.Vec) float64 {
		d := from.Sub(s.Points[i].At)
		r := max(0.2, d.Len())
		slant := 1.0
		if n := s.Points[i].Normal; n.Len2() > 0.25 && s.Points[i].Receptor != "dome" {
			slant = wrapped(n.Unit().Dot(d)/r, math.Atan(size/2/r))
		}
		return slant / (r*r + size*size/4)
	}
	// The point that the light reaches best now is the reference for the others.
	best, most := -1, 0.0
	direct := make([]float64, len(s.Points))
	for i := range s.Points {
		if direct[i] = g.straight(l, i); direct[i] > most {
			best, most = i, direct[i]
		}
	}
	for o := range light.Options {
		opt := light.Options[o]
		was := opt.At
		opt.At = slices.Clone(was)
		for i := range opt.At {
			before, after := to(i, body.At), to(i, at)
			f := direct[i] * ratioOf(after, before)
			if before < 1e-3 && best >= 0 { // not reached now: by what the best one has
				f = after / math.Max(to(best, body.At),
					1e-6) * most * valueOf(&was[best]) / math.Max(valueOf(&was[i]), 1e-12)
			}
			scale(&opt.At[i], 1-direct[i]+math.Min(f, 1e4))
		}
		light.Options[o] = opt
	}
	return p
}

func ratioOf(a, b float64) float64 {
	if b < 1e-9 {
		return 1
	}
	return a / b
}

func valueOf(c *balance.Contribution) float64 { return float64(c.Flash) + float64(c.Continuous) }

func scale(c *balance.Contribution, by float64) {
	c.Flash *= q.LuxSeconds(by)
	c.Continuous *= q.Lux(by)
	for i := range 3 {
		c.FlashXYZ[i] *= by
		c.ContinuousXYZ[i] *= by
		c.FlashLight[i] *= by
		c.ContinuousLight[i] *= by
	}
}

// straight is the share of a light's own light at a point that is direct, 0 to 1.
func (g *generator) straight(l, point int) float64 {
	m := g.base.measured
	t := m.Incident[point]
	if t == nil {
		t = m.Seen[point]
	}
	if t == nil {
		return 0
	}
	fold := &g.base.stage.Layers[l].Fold
	d, b := fold.Apply(&t.Direct[l]), fold.Apply(&t.Bounced[l])
	if sum := d[1] + b[1]; sum > 0 {
		return d[1] / sum
	}
	return 0
}

// said describes a move in words of the trade.
func (g *generator) said(ly *stage.Layer, from, to, about geom.Vec) string {
	var parts []string
	a, b := to.Sub(about), from.Sub(about)
	if s := g.base.stage; s.Sitter != nil && about == s.Sitter.Landmarks["face"].At {
		was, is := anglesOf(s, from), anglesOf(s, to)
		switch {
		case was*is < 0 && math.Abs(was) > 8 && math.Abs(is) > 8:
			parts = append(parts, fmt.Sprintf("to the other side, %.0f° from the nose", math.Abs(is)))
		case math.Abs(math.Abs(is)-math.Abs(was)) >= 3:
			parts = append(parts, fmt.Sprintf("%s to %.0f° from the nose (was %.0f°)",
				pickText(math.Abs(is) > math.Abs(was), "round", "in"), math.Abs(is), math.Abs(was)))
		}
	} else if turn := math.Abs(math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)) * 180 / math.Pi; turn >= 3 {
		parts = append(parts, fmt.Sprintf("round by %.0f°", turn))
	}
	if d := to.Z - from.Z; math.Abs(d) >= 0.05 {
		parts = append(parts, fmt.Sprintf("%s to %.2f m high (was %.2f m)", pickText(d > 0, "up", "down"), to.Z,
			from.Z))
	}
	if r := a.Len() / b.Len(); math.Abs(r-1) > 0.03 {
		parts = append(parts, fmt.Sprintf("%s, to %.1f m (was %.1f m)", pickText(r < 1, "nearer", "back"), a.Len(),
			b.Len()))
	}
	if len(parts) == 0 {
		parts = []string{"a little"}
	}
	return "move " + ly.Name + " " + list(parts)
}

// onPlan says where a light stands for the tape: what words leave open.
func onPlan(at geom.Vec) string { return fmt.Sprintf("on the plan x %.2f m, y %.2f m", at.X, at.Y) }

// mayMove reports whether a light may be moved. Without a list in the look all may.
func (g *generator) mayMove(l int) bool {
	may := g.base.stage.Setup.May
	return may == nil || len(may.Place) == 0 || names(may.Place, &g.base.stage.Layers[l])
}

func (g *generator) keyLight(l int) bool { return g.base.stage.LayerNamed("key") == l }

// face returns the position of the sitter's face.
func (g *generator) face() (geom.Vec, bool) {
	if g.base.stage.Sitter == nil {
		return geom.Vec{}, false
	}
	return g.base.stage.Sitter.Landmarks["face"].At, true
}

// clear reports whether a place is at least 1 m from exits and 0.5 m from detectors.
func (g *generator) clear(at geom.Vec) bool {
	for _, x := range g.base.stage.Shoot.Room.Exits {
		if math.Hypot(float64(x[0])-at.X, float64(x[1])-at.Y) < 1 {
			return false
		}
	}
	for _, d := range g.base.stage.Shoot.Room.Detectors {
		if at.Sub(geom.V(float64(d[0]), float64(d[1]), float64(d[2]))).Len() < 0.5 {
			return false
		}
	}
	return true
}

// The cost of another pattern of the key, or of its lost catchlight (judgement). Where more
// difference between the cheeks is asked for, the pattern follows from that: it costs little up to
// 25°, and in proportion beyond. Where less is asked for, a fill or a white gives it, and the key
// stays: one brought in to the nose flattens the face.
const (
	patternLoss   = 0.25
	askedPattern  = 0.05
	farPattern    = 0.006
	filledPattern = 1.3
	filledTurn    = 10.0 // degrees towards the nose that cost as much as another pattern
	eyeLoss       = 0.3
)

// Another place of a light that is not the key costs so much, and so much for each doubling or
// halving of its distance: it falls off otherwise over what it lights (judgement).
const (
	otherPlace   = 0.15
	otherFallOff = 0.3
)

// changed is the cost to the picture of a light at another place; of a key that to the face.
func (g *generator) changed(l int, from, to geom.Vec) (cost float64) {
	s := g.base.stage
	if !g.keyLight(l) {
		about := g.about(l)
		return otherPlace + otherFallOff*math.Abs(math.Log2(to.Sub(about).Len()/from.Sub(about).Len()))
	}
	if s.Sitter == nil || s.View == nil {
		return 0
	}
	face := s.Sitter.Landmarks["face"]
	other := optics.PatternOf(face.At, face.Normal, from, s.View.At).Name !=
		optics.PatternOf(face.At, face.Normal, to, s.View.At).Name
	was, is := math.Abs(anglesOf(s, from)), math.Abs(anglesOf(s, to))
	asked := false
	for i := range g.now.Problem.Targets {
		t := &g.now.Problem.Targets[i]
		if t.To < 0 || !g.now.sitterSides(t.Point, t.To) ||
			!strings.Contains(strings.ToLower(g.now.pointName(t.Point)+g.now.pointName(t.To)), "shadow") {
			continue
		}
		asked = true
		if o := &g.now.Solution.Targets[i]; o.Met || math.Abs(o.Predicted) < math.Abs(t.Lo+t.Hi)/2 {
			if other {
				cost += askedPattern + farPattern*math.Max(0, math.Abs(is-was)-25)
			}
		} else if is < was-3 {
			cost += filledPattern * math.Min(1, (was-is)/filledTurn)
		} else if other {
			cost += filledPattern
		}
		break
	}
	if other && !asked {
		cost += patternLoss
	}
	eye := s.Sitter.Landmarks["eye left"]
	if r := s.Sitter.Landmarks["eye right"]; r.At.Sub(s.View.At).Len2() < eye.At.Sub(s.View.At).Len2() {
		eye = r
	}
	const corneaRadius = 0.0078 // textbook eye, from memory
	lit := func(at geom.Vec) bool {
		c, ok := optics.CatchlightOf(eye.At.AddMul(eye.Normal, -corneaRadius), at, s.View.At, s.View.Up)
		return ok && c.OnIris
	}
	if lit(from) && !lit(to) {
		cost += eyeLoss
	}
	return cost
}
