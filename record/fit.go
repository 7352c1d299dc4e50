package record

import (
	"fmt"
	"math"
	"strings"

	"halfstop/geom"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
)

// fitted is one light as it goes into the new room.
type fitted struct {
	at       geom.Vec
	head     string
	modifier string
	grid     string
	setting  string // in the head's own unit
	flash    bool
	reason   string   // why it does not stand where it stood; empty: it does
	notes    []string // what the kit cannot do
}

// fitter puts the lights of a record into a new room.
type fitter struct {
	*finder
	m    move
	kit  *kit.Kit // of the new room's crew
	have func(list []string, name string) bool
	face geom.Vec // of the sitter, in the old room
}

// What it costs to put a light elsewhere than where it stood (judgement, no source): ten degrees
// are one clear difference, so is a light of half the apparent size.
const (
	costAngle    = 0.1  // a degree
	costSize     = 0.7  // a doubling of the apparent size
	costDistance = 0.15 // a doubling of the distance, which falls off faster or slower over the body
)

// about is what a light is there for: the face, or where it points.
func (f *fitter) about(l *stage.Layer) geom.Vec {
	set := &f.from.Setup.Lights[l.Light]
	if l.Target == nil || goesAlong(set.Aim.Name) && !strings.HasPrefix(set.Aim.Name, "panels.") {
		return f.face
	}
	return *l.Target
}

// fit places one light.
func (f *fitter) fit(l *stage.Layer) fitted {
	set := &f.from.Setup.Lights[l.Light]
	was, about := lightPlace(set), f.about(l)
	to := f.m.place(about)
	ideal := f.m.place(was)
	v := ideal.Sub(to)
	d := v.Len()
	out := fitted{at: ideal, head: set.Head, modifier: set.Modifier, grid: set.Grid, flash: l.Flash}
	tall := 0.1
	if len(l.Bodies) > 0 {
		b := &l.Bodies[0]
		h := b.Height
		if b.Shape == "disc" || b.Shape == "sphere" {
			h = b.Width
		}
		tall = h / 2 * math.Sqrt(max(0, 1-math.Pow(v.Z/max(d, 1e-6), 2)))
	}
	clear, ceiling := f.old.clearance(was), f.old.height-was.Z
	if f.old.height <= 0 {
		ceiling = math.Inf(1)
	}
	inThing, hidden := f.old.free(was) == 0, f.old.blocked(was, about)
	// tight says what keeps a place from being used.
	tight := func(p geom.Vec, size float64) string {
		switch {
		case f.room.height > 0 && f.room.height-p.Z < need(ceiling, tall*size+0.05):
			return "the ceiling is too low for it there"
		case f.room.clearance(geom.V(p.X, p.Y, min(p.Z, max(0.3, f.room.height/2)))) < need(clear, 0.2):
			return "there is a wall"
		case p.Z < 0.2:
			return "there is the floor"
		case !inThing && f.room.free(p) == 0:
			return "something stands there"
		case f.room.blocked(p, to) > hidden+1e-9:
			return "something stands between"
		}
		return ""
	}
	t := 1.0
	if out.reason = tight(ideal, 1); out.reason != "" {
		best := math.Inf(1)
		az, el := math.Atan2(v.Y, v.X), math.Asin(v.Z/max(d, 1e-6))
		for _, k := range []float64{1, 0.93, 0.86, 0.8, 0.72, 0.65, 0.58, 0.5, 0.43, 1.1, 1.2} {
			for da := -48.0; da <= 48; da += 4 {
				for de := -44.0; de <= 24; de += 4 {
					e := el + de*math.Pi/180
					if e > 1.5 || e < -1.2 {
						continue
					}
					a := az + da*math.Pi/180
					p := to.Add(geom.V(math.Cos(a)*math.Cos(e), math.Sin(a)*math.Cos(e), math.Sin(e)).Mul(k * d))
					cost := costAngle*math.Hypot(da*math.Cos(el), de) + costDistance*math.Abs(math.Log2(k))
					if cost >= best || tight(p, k) != "" || f.inFrame(p) && !f.wasInFrame(was) {
						continue
					}
					best, t, out.at = cost, k, p
				}
			}
		}
		if math.IsInf(best, 1) {
			out.notes = append(out.notes, fmt.Sprintf("%s does not fit near where it stood: %s", l.Name, out.reason))
		}
	}
	f.choose(l, set, &out, t*f.m.times(), d/f.m.times()*t)
	return out
}

// inFrame reports whether the camera in the new room sees a place.
func (f *fitter) inFrame(p geom.Vec) bool { return f.framed(f.m.place(f.eye), f.m.way(f.axis()), p) }

func (f *fitter) wasInFrame(p geom.Vec) bool { return f.framed(f.eye, f.axis(), p) }

func (f *fitter) axis() geom.Vec {
	if f.from.View == nil {
		return geom.V(1, 0, 0)
	}
	return f.from.View.Axis
}

// framed reports whether a place lies in the cone round the picture's corners, and a little more.
func (f *fitter) framed(eye, axis, p geom.Vec) bool {
	v := f.from.View
	if v == nil {
		return false
	}
	half := math.Atan(math.Hypot(float64(v.Format.Width), float64(v.Format.Height))/2/float64(v.Lens)) + 0.05
	return p.Sub(eye).Unit().Dot(axis) > math.Cos(half)
}

// choose takes head, modifier and setting from the new kit, so that the light covers the angle and
// has the level that it had. size is how large it should be against before, for the same angle.
func (f *fitter) choose(l *stage.Layer, set *shoot.Light, out *fitted, size, metres float64) {
	if l.Source == nil { // a bare emitter
		return
	}
	want, err := f.from.Wanted(set)
	if err != nil {
		out.notes = append(out.notes, err.Error())
		return
	}
	full := l.Source.AxialFull
	var heads, mods []string
	for i := range f.kit.Heads {
		heads = append(heads, f.kit.Heads[i].Name)
	}
	for i := range f.kit.Modifiers {
		mods = append(mods, f.kit.Modifiers[i].Name)
	}
	want.Power, want.Level, want.Stops = "", nil, nil
	zero := q.Stops(0)
	want.Stops = &zero
	if !f.have(heads, want.Head) {
		out.head = f.nearestHead(want, full, l.Flash)
		if out.head == "" {
			out.notes = append(out.notes, fmt.Sprintf("%s: the kit has no head for %s", l.Name, set.Head))
			out.head = set.Head
			return
		}
		out.notes = append(out.notes, fmt.Sprintf("%s: %s instead of %s, which is not in the kit", l.Name,
			out.head, set.Head))
		want.Head = out.head
	}
	out.modifier = f.nearestModifier(want, l, size, mods, out)
	want.Modifier = out.modifier
	src, err := f.kit.Resolve(want)
	if err != nil && want.Grid != "" {
		out.notes = append(out.notes, fmt.Sprintf("%s: no grid fits %s", l.Name, out.modifier))
		out.grid, want.Grid = "", ""
		src, err = f.kit.Resolve(want)
	}
	if err != nil {
		out.notes = append(out.notes, fmt.Sprintf("%s: %v", l.Name, err))
		return
	}
	about := f.about(l)
	was, now := lightPlace(set).Sub(about).Len(), out.at.Sub(f.m.place(about)).Len()
	stops := float64(l.Source.Setting) + 2*math.Log2(now/was) + math.Log2(full/src.AxialFull)
	dial := src.Dial
	switch lowest := -float64(dial.Range); {
	case stops > 0.05:
		out.notes = append(out.notes, fmt.Sprintf("%s is %.1f st short at full", l.Name, stops))
		stops = 0
	case dial.Range > 0 && stops < lowest-0.05:
		out.notes = append(out.notes, fmt.Sprintf("%s is %.1f st too strong at its lowest: take it back, or density",
			l.Name, lowest-stops))
		stops = lowest
	}
	out.setting = dial.Print(dial.Snap(q.Stops(min(0, stops))))
}

// nearestHead is the head of the same kind whose light comes nearest in level; empty where there is
// none.
func (f *fitter) nearestHead(want kit.Want, full float64, flash bool) (name string) {
	best := math.Inf(1)
	for i := range f.kit.Heads {
		h := &f.kit.Heads[i]
		if !f.have(nil, h.Name) {
			continue
		}
		want.Head = h.Name
		src, err := f.kit.Resolve(want)
		if err != nil {
			want.Modifier, want.Grid = "", ""
			src, err = f.kit.Resolve(want)
		}
		if err != nil || src.Flash != flash {
			continue
		}
		d := math.Log2(src.AxialFull / full)
		if d < 0 {
			d *= -2 // too weak is worse than too strong
		}
		if !src.InGamut {
			d += 4
		}
		if d < best {
			best, name = d, h.Name
		}
	}
	return name
}

// nearestModifier is the one that looks most like that of before at its new distance.
func (f *fitter) nearestModifier(want kit.Want, l *stage.Layer, size float64, mods []string, out *fitted) string {
	old, _ := f.from.Kit().FindModifier(want.Modifier)
	extent := func(s *kit.Source) (float64, float64) {
		w, h := float64(s.Width), float64(s.Height)
		if s.Shape == "disc" || s.Shape == "sphere" || h == 0 {
			h = w
		}
		return max(w, 0.02), max(h, 0.02)
	}
	w0, h0 := extent(l.Source)
	w0, h0 = w0*size, h0*size
	cost := func(name string) (c, off float64, ok bool) {
		try := want
		try.Modifier = name
		src, err := f.kit.Resolve(try)
		if err != nil {
			try.Grid = ""
			if src, err = f.kit.Resolve(try); err != nil {
				return 0, 0, false
			}
			c += 0.4
		}
		w, h := extent(&src)
		off = math.Log2(w*h/(w0*h0)) / 2
		m, _ := f.kit.FindModifier(name)
		if m.Kind != old.Kind {
			c += 0.3
		}
		return c + costSize*math.Abs(off) + 0.2*math.Abs(math.Log2(w/h*h0/w0)), off, true
	}
	known := want.Modifier == "" || strings.EqualFold(want.Modifier, "bare") || f.have(mods, want.Modifier)
	best, off, have := math.Inf(1), 0.0, want.Modifier
	if known {
		if c, o, ok := cost(want.Modifier); ok {
			best, off = c-0.25, o // what is there already stays unless another is clearly nearer
		}
	}
	for i := range f.kit.Modifiers {
		name := f.kit.Modifiers[i].Name
		if !f.have(nil, name) || strings.EqualFold(name, want.Modifier) {
			continue
		}
		if c, o, ok := cost(name); ok && c < best {
			best, off, have = c, o, name
		}
	}
	switch {
	case math.IsInf(best, 1):
		out.notes = append(out.notes, fmt.Sprintf("%s: the kit has nothing to put on %s", l.Name, want.Head))
		return ""
	case !strings.EqualFold(have, want.Modifier) && !known:
		out.notes = append(out.notes, fmt.Sprintf("%s: %s instead of %s, which is not in the kit", l.Name, have,
			want.Modifier))
	case !strings.EqualFold(have, want.Modifier):
		out.notes = append(out.notes, fmt.Sprintf("%s: %s instead of %s, to cover the same angle from there",
			l.Name, have,
			want.Modifier))
	}
	if off < -0.4 {
		out.notes = append(out.notes, fmt.Sprintf("%s: the kit has none large enough: %s covers %.0f %% of the angle",
			l.Name, have, 100*math.Exp2(off)))
	}
	return have
}
