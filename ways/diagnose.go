package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/geom"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/stage"
)

// CauseKind is why a target is missed.
type CauseKind string

// The known causes.
const (
	Frontal    CauseKind = "too frontal"  // one light lights both cheeks
	Broad      CauseKind = "too broad"    // its source wraps round
	TooHard    CauseKind = "too hard"     // its source is too small to wrap round to the other cheek
	TooSoft    CauseKind = "too soft"     // and too large, though not so broad
	RoomFill   CauseKind = "room fill"    // light off near surfaces fills
	OtherLight CauseKind = "other light"  // another light of the set is in the way
	Spill      CauseKind = "spill"        // a light meant for something else
	WhiteOff   CauseKind = "white"        // the camera's white is wrong for the lamp there
	Diluted    CauseKind = "diluted"      // light of another colour is too much of it
	NoDimmer   CauseKind = "no dimmer"    // a light of the house
	WrongLight CauseKind = "wrong light"  // the light meant for the point does not reach it
	Unlit      CauseKind = "unlit"        // nothing is meant for the point
	AtFullOut  CauseKind = "out of power" // full and not enough
	AtLeastOut CauseKind = "out of steps" // at its lowest and too much
	Coarse     CauseKind = "coarse steps" // between two steps
	Inverted   CauseKind = "inverted"     // the side that should be darker is the brighter
	NotKnown   CauseKind = "not known"    // missed by less than the prediction is known to
	Against    CauseKind = "against"      // another target pulls the other way
)

// Cause is one reason for a miss, in words of the trade, with a remedy.
type Cause struct {
	Kind   CauseKind
	Light  int    // layer, or −1
	Words  string // what is so: 'key lights both cheeks from 20° round from the nose'
	Remedy string // what to do about it: 'bring it round to about 50°'; empty where the words say it
	Buys   q.Stops
	at     int // the point that gets too much or too little, of an Unlit or a Spill
	// Around is the angle from the nose at which a light that is too frontal should stand; 0 where
	// that does not apply.
	Around q.Degrees
}

// Said is the whole cause: what is so, and what to do about it.
func (c *Cause) Said() string {
	if c.Remedy == "" {
		return c.Words
	}
	return c.Words + ": " + c.Remedy
}

// causes returns why target i is missed at the settings found, the most important first. Empty
// where the target is met.
func (b *Balanced) causes(i int) (out []Cause) {
	t, o := &b.Problem.Targets[i], &b.Solution.Targets[i]
	if o.Met {
		return nil
	}
	if o.Unknown {
		out = []Cause{{Kind: NotKnown, Light: -1,
			Words:  fmt.Sprintf("that is within what this kit is known to (± %.1f st)", t.Sigma),
			Remedy: "meter it first"}}
		if c, ok := b.between(i); ok {
			out = append(out, c)
		}
		if c, ok := b.ended(i); ok {
			out = append(out, c)
		}
		return out
	}
	high := o.Residual > 0
	switch t.Kind {
	case balance.ReadingAbove, balance.LevelAbove:
		// The brighter point wanted, the darker one, and the difference that is missing.
		lit, shade := t.Point, t.To
		want, got := (t.Lo+t.Hi)/2, o.Predicted
		if want < 0 {
			lit, shade, want, got = shade, lit, -want, -got
		}
		switch {
		case !b.cheeks(lit, shade):
			// The two points are lit by two lights: what the brighter one lacks, or has too much
			// of.
			if got < want {
				if out = append(out, b.shortOf(lit, want-got)...); len(out) == 0 {
					out = append(out, b.tooMuch(shade, want-got)...)
				}
			} else {
				if out = append(out, b.tooMuch(lit, got-want)...); len(out) == 0 {
					out = append(out, b.shortOf(shade, got-want)...)
				}
			}
		case want > 0.15 && got < -0.15:
			out = append(out, Cause{Kind: Inverted, Light: b.strongest(shade),
				Words: fmt.Sprintf("%s is %.1f st brighter than %s, where it should be darker",
					b.pointName(shade), -got, b.pointName(lit))})
			out = append(out, b.fillers(shade, lit, want, got)...)
		case got < want:
			out = append(out, b.fillers(shade, lit, want, got)...)
			if len(out) == 0 {
				out = append(out, b.shortOf(lit, want-got)...)
			}
			if c, ok := b.size(lit, shade, want, got); ok {
				out = append(out, c)
			}
		default:
			out = append(out, b.shortOf(shade, got-want)...)
			if c, ok := b.size(lit, shade, want, got); ok {
				out = append(out, c)
			}
		}
	case balance.Reading, balance.Level:
		if high {
			out = append(out, b.tooMuch(t.Point, float64(o.Residual))...)
		} else {
			out = append(out, b.shortOf(t.Point, -float64(o.Residual))...)
		}
	case balance.Colour, balance.Warmth:
		out = append(out, b.strays(i)...)
	case balance.Ambient:
		out = append(out, b.ambient(t.Point, high)...)
	case balance.Veil:
		out = append(out, Cause{Kind: RoomFill, Light: -1,
			Words: "the haze itself lifts it", Remedy: "less of it, or keep light from crossing the air before it"})
	}
	for _, c := range o.Conflicts {
		out = append(out, Cause{Kind: Against, Light: -1, Words: "it pulls against '" + b.aims[c].words + "'"})
	}
	if c, ok := b.between(i); ok {
		out = append([]Cause{c}, out...)
	} else if len(out) == 0 && o.Between {
		out = append(out, Cause{Kind: Coarse, Light: -1, Words: "between two steps of the heads"})
	}
	return out
}

// ended returns the cause of a miss that is less than the uncertainty of the kit, where the light
// is at the end of its range in the direction needed. It says what is left to do if the meter
// confirms the miss.
func (b *Balanced) ended(i int) (c Cause, ok bool) {
	t, o := &b.Problem.Targets[i], &b.Solution.Targets[i]
	if t.Kind != balance.Reading && t.Kind != balance.Level {
		return c, false
	}
	l := b.toolFor(t.Point)
	if _, _, share := b.part(max(l, 0), t.Point); l < 0 || share < 0.5 {
		l = b.strongest(t.Point)
	}
	if l < 0 || b.Stage.Layers[l].Light < 0 || b.Problem.Lights[l].Lock || len(b.Problem.Lights[l].Levels.List) < 2 ||
		len(b.Stage.Layers[l].Bodies) == 0 {
		return c, false
	}
	ly := &b.Stage.Layers[l]
	d := b.Stage.Points[t.Point].At.Sub(ly.Bodies[0].At).Len()
	to := d * math.Exp2(float64(o.Residual)/2)
	p, set := &b.Problem.Lights[l], &b.Solution.Lights[l]
	switch {
	case o.Residual > 0 && set.Level <= p.Levels.Min+0.01:
		return Cause{Kind: AtLeastOut, Light: l, Buys: o.Residual,
			Words: ly.Name + " is at its lowest and cannot go down",
			Remedy: fmt.Sprintf("if the meter says so too, move it back from %.1f to about %.1f m, or put neutral "+
				"density on the head or on the lens", d, to)}, true
	case o.Residual < 0 && set.Level >= p.Levels.Max-0.01:
		return Cause{Kind: AtFullOut, Light: l, Buys: -o.Residual,
			Words: ly.Name + " is at full",
			Remedy: fmt.Sprintf("if the meter says so too, bring it in from %.1f to about %.1f m, or raise the "+
				"sensitivity", d, to)}, true
	}
	return c, false
}

func (b *Balanced) pointName(p int) string { return b.Problem.Points[p].Name }

// sitterSides reports whether two points are both on the sitter.
func (b *Balanced) sitterSides(x, y int) bool {
	return b.Stage.Points[x].Sitter && b.Stage.Points[y].Sitter
}

// cheekPairs are the names of the two sides of a face: by the key, by the sitter, by the camera.
var cheekPairs = [][2]string{{"key side", "shadow side"}, {"key cheek", "shadow cheek"},
	{"cheek left", "cheek right"}, {"near cheek", "far cheek"}}

// cheeks reports whether two points are the two sides of the face.
func (b *Balanced) cheeks(x, y int) bool {
	side := func(p int, word string) bool { return strings.Contains(strings.ToLower(b.pointName(p)), word) }
	return b.sitterSides(x, y) && slices.ContainsFunc(cheekPairs, func(w [2]string) bool {
		return side(x, w[0]) && side(y, w[1]) || side(y, w[0]) && side(x, w[1])
	})
}

// shaded reports whether a point is on the side of the face away from the key: by its name, or by
// where a cheek looks.
func (b *Balanced) shaded(p int) bool {
	pt := &b.Stage.Points[p]
	name := strings.ToLower(pt.Name)
	if strings.Contains(name, "shadow") {
		return true
	}
	k := b.Stage.LayerNamed("key")
	if !pt.Sitter || !strings.Contains(name, "cheek") || strings.Contains(name, "key") || k < 0 ||
		len(b.Stage.Layers[k].Bodies) == 0 {
		return false
	}
	return b.Stage.Layers[k].Bodies[0].At.Sub(pt.At).Unit().Dot(pt.Normal) < 0.1
}

// part returns the direct and bounced light of a light at a point, at the settings found, and its
// share of the point's light (0 to 1).
func (b *Balanced) part(l, p int) (direct, bounced, share float64) {
	if p < 0 || p >= len(b.After) || l >= len(b.After[p].Lights) {
		return 0, 0, 0
	}
	x := &b.After[p].Lights[l]
	if sum := x.Direct + x.Bounced; sum > 0 {
		return x.Share * x.Direct / sum, x.Share * x.Bounced / sum, x.Share
	}
	return 0, 0, 0
}

// strongest returns the light with the greatest share at a point, −1 for none.
func (b *Balanced) strongest(p int) int {
	best, most := -1, 0.0
	for l := range b.Stage.Layers {
		if _, _, s := b.part(l, p); s > most {
			best, most = l, s
		}
	}
	return best
}

// fillers returns what lights the side that should be darker.
func (b *Balanced) fillers(shade, lit int, want, got float64) (out []Cause) {
	key := b.strongest(lit)
	if k := b.Stage.LayerNamed("key"); k >= 0 {
		if _, _, s := b.part(k, lit); s > 0.3 {
			key = k
		}
	}
	type filler struct {
		l              int
		direct, bounce float64
	}
	var list []filler
	room := 0.0
	for l := range b.Stage.Layers {
		d, r, _ := b.part(l, shade)
		list = append(list, filler{l, d, r})
		if l == key {
			room = r
		}
	}
	slices.SortStableFunc(list, func(a, b filler) int { return -cmp.Compare(a.direct+a.bounce, b.direct+b.bounce) })
	if c, ok := b.house(shade); ok {
		out = append(out, c)
	}
	for _, f := range list {
		ly := &b.Stage.Layers[f.l]
		name := ly.Name
		switch {
		case ly.Kind == stage.Practical:
		case f.l == key && f.direct > 0.3 && b.sitterSides(lit, shade):
			out = append(out, b.frontal(key, lit, shade, want))
		case f.l == key:
		case f.direct+f.bounce < 0.2:
		case ly.Light < 0:
			out = append(out, Cause{Kind: NoDimmer, Light: f.l, Buys: q.Stops(-math.Log2(1 - f.direct - f.bounce)),
				Remedy: "a faster shutter with the flash up, black beside that point, or cover it",
				Words: fmt.Sprintf("%s cannot be dimmed and gives %s %.0f %% of its light", name,
					b.pointName(shade), 100*(f.direct+f.bounce))})
		default:
			out = append(out, Cause{Kind: OtherLight, Light: f.l,
				Words: fmt.Sprintf("%s gives %s %.0f %% of its light%s", name, b.pointName(shade),
					100*(f.direct+f.bounce), b.why(f.l, false)), Remedy: b.offSaid(f.direct, f.bounce)})
		}
	}
	if room > 0.3 {
		words := fmt.Sprintf("%.0f %% of the light on %s is the %s thrown back by the room", 100*room,
			b.pointName(shade), b.Stage.Layers[key].Name)
		if near, d := b.nearWall(shade); near != "" && d < 2.5 {
			words += fmt.Sprintf(" (%s is %.1f m away)", near, d)
		}
		half := q.Stops(-math.Log2(1 - room/2))
		out = append(out, Cause{Kind: RoomFill, Light: key, Buys: half,
			Words: words, Remedy: fmt.Sprintf("black beside it that takes half of what the room gives buys %.1f st",
				float64(half))})
	}
	return out
}

// house returns the share of the lights of the place together at a point. ok is true from a fifth
// on.
func (b *Balanced) house(p int) (c Cause, ok bool) {
	var names []string
	var lights []int
	first, sum := -1, 0.0
	for l := range b.Stage.Layers {
		if _, _, s := b.part(l, p); b.Stage.Layers[l].Kind == stage.Practical && s > 0.01 {
			if sum += s; first < 0 {
				first = l
			}
			names = append(names, b.Stage.Layers[l].Name)
			lights = append(lights, l)
		}
	}
	if sum < 0.2 {
		return c, false
	}
	if n := len(names); n > 3 {
		names = append(names[:2], fmt.Sprintf("%d more", n-2))
	}
	one := len(lights) == 1
	can, remedy, _ := b.handled(lights...)
	words := fmt.Sprintf("the lights of the house (%s) make %.0f %% of the light on %s and %s", list(names), 100*sum,
		b.pointName(p), can)
	if one {
		words = fmt.Sprintf("%s %.0f %% of the light on %s and %s", makes(names[0]), 100*sum, b.pointName(p), can)
	}
	return Cause{Kind: NoDimmer, Light: first, Buys: q.Stops(math.Min(6, -math.Log2(math.Max(1e-3, 1-sum)))),
		Words: words, Remedy: remedy}, true
}

// why returns what keeps a light from being turned up (or down).
func (b *Balanced) why(l int, up bool) string {
	p, set := &b.Problem.Lights[l], &b.Solution.Lights[l]
	switch {
	case p.Lock:
		return " and is locked"
	case len(p.Levels.List) < 2:
		return " and has no dimmer here"
	case up && b.atFull(l):
		return " and is at full"
	case !up && set.Level <= p.Levels.Min+0.01:
		return " and is at its lowest"
	}
	return ""
}

// atFull reports whether a light that could be turned up is at its full power.
func (b *Balanced) atFull(l int) bool {
	p := &b.Problem.Lights[l]
	return !p.Lock && len(p.Levels.List) > 1 && b.Solution.Lights[l].Level >= p.Levels.Max-0.01
}

// frontal returns the cause 'one light lights both cheeks', with the angle from the nose that gives
// a difference of want stops. The direct light follows the cosine at both points, softened by the
// angular size of the light's face; all other light is held.
func (b *Balanced) frontal(key, lit, shade int, want float64) Cause {
	c := Cause{Kind: Frontal, Light: key, Words: b.Stage.Layers[key].Name + " lights both cheeks"}
	facts := factsOf(b.Stage, key)
	if facts == nil {
		c.Remedy = "bring it round, or add black or a second light"
		return c
	}
	around := math.Abs(float64(facts.Pattern.Around))
	c.Words = fmt.Sprintf("%s lights both cheeks from %.0f° round from the nose", b.Stage.Layers[key].Name, around)
	if facts.Covers > 60 {
		c.Kind = Broad
		c.Words += fmt.Sprintf(", with a face that covers %.0f°", float64(facts.Covers))
	}
	if b.Stage.Layers[key].Light < 0 { // of the place: it stands where it stands
		c.Words += ", and cannot be brought round"
		c.Remedy = "turn the sitter, add black on the shadow side, or light the face with a key"
		return c
	}
	to, reached := b.roundTo(key, lit, shade, want)
	c.Around = q.Degrees(to)
	ratio := math.Exp2(want)
	switch {
	case to > 0:
		c.Remedy = fmt.Sprintf("for %.2g:1 bring it round to about %.0f°, or add black on the shadow side, or a "+
			"second light and less of this one", ratio, to)
	default:
		if reached > 0.05 {
			c.Words += fmt.Sprintf(", and brought round to 80° it would give %.1f:1 of the %.2g:1 wanted",
				math.Exp2(reached), ratio)
		}
		c.Remedy = "add black on the shadow side, or a second light"
	}
	return c
}

// roundTo returns the angle from the nose in degrees at which a light alone gives a difference of
// want stops. It is 0 where 80° give less; reached is what they give.
func (b *Balanced) roundTo(key, lit, shade int, want float64) (degrees, reached float64) {
	s := b.Stage
	body := s.Layers[key].Bodies[0]
	face := s.Sitter.Landmarks["face"]
	facts := factsOf(s, key)
	half := float64(facts.Covers) / 2 * math.Pi / 180
	slant := func(p int, at geom.Vec) float64 {
		pt := &s.Points[p]
		d := at.Sub(pt.At)
		return wrapped(pt.Normal.Dot(d)/d.Len(), half) / d.Len2()
	}
	from := body.At
	dl, _, _ := b.part(key, lit)
	ds, _, _ := b.part(key, shade)
	start := math.Abs(float64(facts.Pattern.Around))
	sign := 1.0
	if facts.Pattern.Around < 0 {
		sign = -1
	}
	el, es := b.After[lit].Exposure, b.After[shade].Exposure
	level := float64(b.After[lit].FNumber.StopsOver(b.After[shade].FNumber)) - math.Log2(el/es) // of the receptors
	for a := math.Ceil(start/5)*5 + 5; a <= 80; a += 5 {
		turn := sign * (a - start) * math.Pi / 180
		at := turned(from, face.At, turn)
		if n := math.Abs(anglesOf(s, at)); math.Abs(n-a) > 3 {
			at = turned(from, face.At, -turn)
		}
		l := el * (1 - dl + dl*slant(lit, at)/math.Max(slant(lit, from), 1e-9))
		d := es * (1 - ds + ds*slant(shade, at)/math.Max(slant(shade, from), 1e-9))
		reached = math.Log2(l/d) + level
		if reached >= want-0.1 {
			return a, reached
		}
	}
	return 0, reached
}

// wrapped is the cosine-weighted share of a source of half-angle half on a surface; c is the cosine
// of the angle to its middle. It is exact for a sphere above the horizon and below it; between, a
// square is a smooth approximation.
func wrapped(c, half float64) float64 {
	s := math.Sin(math.Min(math.Max(half, 0.01), math.Pi/2))
	switch {
	case c >= s:
		return c
	case c <= -s:
		return 0
	}
	return (c + s) * (c + s) / (4 * s)
}

// turned rotates a place about a vertical axis through another, by radians.
func turned(p, about geom.Vec, angle float64) geom.Vec {
	d := p.Sub(about)
	s, c := math.Sincos(angle)
	return about.Add(geom.V(c*d.X-s*d.Y, s*d.X+c*d.Y, d.Z))
}

// nearWall returns the wall that a point faces and the distance to it along the facing, m.
func (b *Balanced) nearWall(p int) (string, float64) {
	corners, _ := stage.Outline(&b.Stage.Shoot.Room)
	pt := &b.Stage.Points[p]
	n := geom.V(pt.Normal.X, pt.Normal.Y, 0)
	if n.Len2() < 1e-6 {
		return "", 0
	}
	n = n.Unit()
	best, name := math.Inf(1), ""
	for i := range corners {
		a, c := corners[i], corners[(i+1)%len(corners)]
		e := c.Sub(a)
		cross := n.X*e.Y - n.Y*e.X
		if math.Abs(cross) < 1e-9 {
			continue
		}
		d := a.Sub(pt.At)
		t := (d.X*e.Y - d.Y*e.X) / cross
		u := (d.X*n.Y - d.Y*n.X) / cross
		if t > 0 && u >= 0 && u <= 1 && t < best {
			best, name = t, fmt.Sprintf("wall %d", i+1)
		}
	}
	return name, best
}

func pickText(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// tooMuch returns what gives a point too much.
func (b *Balanced) tooMuch(p int, over float64) (out []Cause) {
	type giver struct {
		l     int
		share float64
	}
	var list []giver
	for l := range b.Stage.Layers {
		if _, _, s := b.part(l, p); s > 0.2 {
			list = append(list, giver{l, s})
		}
	}
	slices.SortStableFunc(list, func(a, b giver) int { return -cmp.Compare(a.share, b.share) })
	tool := b.toolFor(p)
	house, lit := b.house(p)
	for _, g := range list {
		ly := &b.Stage.Layers[g.l]
		if lit && 1-(-house.Buys).Times() >= g.share { // the lights of the house together, by their share
			out, lit = append(out, house), false
		}
		if ly.Kind == stage.Practical {
			continue
		}
		buys := q.Stops(math.Min(6, -math.Log2(math.Max(1e-3, 1-g.share))))
		switch {
		case ly.Kind == stage.Daylight:
			out = append(out, Cause{Kind: NoDimmer, Light: g.l, Buys: buys,
				Words:  fmt.Sprintf("%s %.0f %% of the light there", makes(ly.Name), 100*g.share),
				Remedy: "a faster shutter, neutral density or a blind keeps it off"})
		case ly.Light < 0:
			out = append(out, Cause{Kind: NoDimmer, Light: g.l, Buys: buys,
				Words: fmt.Sprintf("%s cannot be dimmed and makes %.0f %% of the light there", ly.Name, 100*g.share)})
		case g.l == tool && b.why(g.l, false) != "":
			c := Cause{Kind: AtLeastOut, Light: g.l, Words: ly.Name + strings.TrimPrefix(b.why(g.l, false), " and")}
			if !b.Problem.Lights[g.l].Lock {
				c.Remedy = "further off, or neutral density on the head or on the lens"
			}
			out = append(out, c)
		case g.l != tool && !b.Stage.Points[p].Sitter:
			out = append(out, Cause{Kind: Spill, Light: g.l, Buys: buys, at: p,
				Words:  fmt.Sprintf("%s spills on it and gives %.0f %% of the light there", ly.Name, 100*g.share),
				Remedy: "a grid or a flag on it, or turn it away"})
		case g.l != tool:
			d, r, _ := b.part(g.l, p)
			out = append(out, Cause{Kind: OtherLight, Light: g.l, Buys: buys, at: p, Remedy: b.offSaid(d, r),
				Words: fmt.Sprintf("%s gives %s %.0f %% of its light%s", ly.Name, b.pointName(p), 100*g.share,
					b.why(g.l, false))})
		}
	}
	if lit {
		out = append(out, house)
	}
	return out
}

// missSaid returns by how much a target is missed: '0.4 st over'.
func (b *Balanced) missSaid(i int) string {
	t, o := &b.Problem.Targets[i], &b.Solution.Targets[i]
	amount := math.Abs(float64(o.Residual))
	if t.Kind != balance.Colour && t.Kind != balance.Warmth && t.Kind != balance.Ambient && amount > 60 {
		return "dark: nothing lights it"
	}
	up := o.Residual > 0
	switch t.Kind {
	case balance.Colour:
		words, _ := colourOff(o.UV, o.Wanted, b.Stage.White.XY())
		return words
	case balance.Warmth:
		return fmt.Sprintf("%.0f mired too %s", amount*30, pickText(up, "warm", "cool"))
	case balance.Ambient:
		off := 100 * math.Abs(o.Predicted-(t.Lo+t.Hi)/2)
		return fmt.Sprintf("%.0f %% of the light too %s", off, pickText(up, "much", "little"))
	case balance.ReadingAbove, balance.LevelAbove:
		if t.Lo == t.Hi && t.Lo != 0 {
			up = math.Abs(o.Predicted) > math.Abs(t.Lo) && o.Predicted*t.Lo > 0
			switch {
			case !b.cheeks(t.Point, t.To):
			case o.Predicted*t.Lo < 0 && math.Abs(o.Predicted) > 0.15:
				return fmt.Sprintf("%.1f st off, and the wrong way round", amount)
			default: // a ratio is neither bright nor dark
				return fmt.Sprintf("%.1f st too %s", amount, pickText(up, "contrasty", "flat"))
			}
			return fmt.Sprintf("%.1f st too %s", amount, pickText(o.Residual > 0, "bright", "dark"))
		}
	}
	return fmt.Sprintf("%.1f st %s", amount, pickText(up, "over", "short"))
}

// anglesOf is the angle from the nose to a place, on the plan, degrees, signed.
func anglesOf(s *stage.Stage, at geom.Vec) float64 {
	face := s.Sitter.Landmarks["face"]
	camera := at
	if s.View != nil {
		camera = s.View.At
	}
	return float64(optics.PatternOf(face.At, face.Normal, at, camera).Around)
}
