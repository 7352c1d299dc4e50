package record

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"halfstop/geom"
	"halfstop/stage"
)

// spot is a place for the whole setup in a new room, with what it costs: 1 is a difference that a
// photographer would see at once.
type spot struct {
	pose   Pose
	mirror bool
	scale  float64
	cost   float64
}

// What things cost when a place is chosen (judgement, no source): a stop's worth of distance to a
// wall is one clear difference, a mirrored picture a small one, for its light is the same.
const (
	costHorizon  = 1.0  // mean change of the distances to the walls, log2
	costBehind   = 1.0  // change of the distance to the background, log2
	costHouse    = 0.6  // windows and practicals that fall from elsewhere
	costMirror   = 0.12 // the picture with left and right changed
	costOutside  = 3.0  // a light that has no room where it was
	costTaken    = 5.0  // the sitter in a thing, the camera in a wall
	costNoSeat   = 0.5  // what was sat or leaned on is not there
	costUnmarked = 0.03 // a place that has no simple relation to the walls
)

// finder looks for places in a new room for what stood in an old one.
type finder struct {
	old, room *space
	from      *stage.Stage
	pose      Pose
	scale     float64
	things    []geom.Vec // lights and panels, in the old room
	clear     []float64  // how far each was from the walls there
	hidden    []float64  // how much of the way from each to the head lay in things
	eye       geom.Vec
	horizon   [16]float64
	falls     [2]float64
	stood     float64
	blocked   float64
	eyeClear  float64
}

func finderOf(s *stage.Stage, pose Pose, old, room *space, scale float64) *finder {
	f := &finder{old: old, room: room, from: s, pose: pose, scale: scale}
	for i := range s.Layers {
		if l := &s.Layers[i]; l.Light >= 0 {
			f.things = append(f.things, lightPlace(&s.Setup.Lights[l.Light]))
		}
	}
	for i := range s.Panels {
		f.things = append(f.things, s.Panels[i].At)
	}
	for _, v := range f.things {
		f.clear = append(f.clear, old.clearance(v))
		f.hidden = append(f.hidden, old.blocked(v, geom.V(pose.X, pose.Y, 1.5)))
	}
	f.eye = geom.V(pose.X, pose.Y, 1.4)
	if s.View != nil {
		f.eye = s.View.At
	}
	f.horizon = old.horizon(pose.X, pose.Y, pose.Angle, false)
	f.falls = old.falls(pose.X, pose.Y, pose.Angle, false)
	f.stood = old.stands(pose.X, pose.Y)
	f.blocked = old.blocked(f.eye, geom.V(pose.X, pose.Y, 1.4))
	f.eyeClear = old.clearance(f.eye)
	return f
}

// need is the room that a thing should have to the walls: that of before, at most this.
func need(before, most float64) float64 { return max(0, min(before, most)) - 1e-3 }

// judge says what a place costs.
func (f *finder) judge(s *spot) float64 {
	m := move{from: f.pose, to: s.pose, mirror: s.mirror, scale: f.scale}
	cost := 0.0
	if s.mirror {
		cost += costMirror
	}
	at := geom.V(s.pose.X, s.pose.Y, 1.2)
	if c := f.room.clearance(at); c < 0.25 {
		cost += costTaken * (1 + min(4, 0.25-c))
	}
	stood := f.room.stands(s.pose.X, s.pose.Y)
	cost += costTaken * max(0, stood-f.stood)
	if f.stood > 0.1 && stood < 0.1 {
		cost += costNoSeat
	}
	eye := m.place(f.eye)
	if c := f.room.clearance(eye); c < need(f.eyeClear, 0.2) {
		cost += costTaken * (1 + min(4, 0.2-c))
	}
	if f.room.free(eye) == 0 && f.old.free(f.eye) > 0 {
		cost += costTaken
	}
	cost += 4 * max(0, f.room.blocked(eye, geom.V(s.pose.X, s.pose.Y, 1.4*m.times()))-f.blocked)
	for i, v := range f.things {
		to := m.place(v)
		if c := f.room.clearance(to); c < need(f.clear[i], 0.2) {
			// A ceiling that is too low is too low everywhere: it does not choose the place.
			level := geom.V(to.X, to.Y, min(to.Z, max(0.5, f.room.height-0.3)))
			if f.room.height <= 0 {
				level = to
			}
			if c := f.room.clearance(level); c < need(f.clear[i], 0.2) {
				cost += costOutside / float64(len(f.things)) * (0.3 + min(1, 0.2-c))
			}
		}
		head := geom.V(s.pose.X, s.pose.Y, 1.5)
		if f.room.free(to) == 0 && f.old.free(v) > 0 || f.room.blocked(to, head) > f.hidden[i] {
			cost += costOutside / float64(len(f.things))
		}
	}
	if len(f.room.corners) > 2 && len(f.old.corners) > 2 {
		h := f.room.horizon(s.pose.X, s.pose.Y, s.pose.Angle, s.mirror)
		sum := 0.0
		for k := range h {
			sum += math.Abs(math.Log2(h[k] / (f.horizon[k] * m.times())))
		}
		cost += costHorizon*sum/16 + costBehind*math.Abs(math.Log2(h[8]/(f.horizon[8]*m.times())))
	}
	g := f.room.falls(s.pose.X, s.pose.Y, s.pose.Angle, s.mirror)
	a, b := math.Hypot(g[0], g[1]), math.Hypot(f.falls[0], f.falls[1])
	if a+b > 1e-6 {
		cost += costHouse * math.Hypot(g[0]-f.falls[0], g[1]-f.falls[1]) / (a + b) * min(1, (a+b)/0.2)
	}
	return cost
}

// find gives the best places, best first: those in the same relation to a wall as before, and a
// grid of others.
func (f *finder) find(most int) []spot {
	var out []spot
	add := func(x, y, angle float64, mirror, marked bool) {
		s := spot{pose: Pose{x, y, math.Remainder(angle, 2*math.Pi)}, mirror: mirror, scale: f.scale}
		if s.cost = f.judge(&s); !marked {
			s.cost += costUnmarked
		}
		out = append(out, s)
	}
	if len(f.room.corners) < 3 || len(f.old.corners) < 3 {
		if len(f.room.corners) < 3 {
			return []spot{{pose: f.pose, scale: f.scale}}
		}
	}
	for i := range f.old.corners {
		a, dir, length, in, ok := stage.Wall(f.old.corners, i+1)
		if !ok {
			continue
		}
		way := math.Atan2(dir.Y, dir.X)
		d := geom.V(f.pose.X-a.X, f.pose.Y-a.Y, 0)
		along, off := d.Dot(dir), d.Dot(in)
		for j := range f.room.corners {
			b, to, other, inside, ok := stage.Wall(f.room.corners, j+1)
			if !ok {
				continue
			}
			for _, mirror := range [2]bool{false, true} {
				turn, start := math.Atan2(to.Y, to.X)+f.pose.Angle-way, along
				if mirror {
					turn, start = math.Atan2(to.Y, to.X)+math.Pi-(f.pose.Angle-way), length-along
				}
				for _, s := range [4]float64{start * f.scale, other - (length-start)*f.scale, start / length * other,
					other / 2} {
					for _, o := range [2]float64{off * f.scale, off} {
						p := b.AddMul(to, s).AddMul(inside, o)
						add(p.X, p.Y, turn, mirror, true)
					}
				}
			}
		}
	}
	lo, hi := f.room.corners[0], f.room.corners[0]
	for _, c := range f.room.corners {
		lo, hi = geom.V(min(lo.X, c.X), min(lo.Y, c.Y), 0), geom.V(max(hi.X, c.X), max(hi.Y, c.Y), 0)
	}
	step := max(0.25, math.Sqrt((hi.X-lo.X)*(hi.Y-lo.Y)/400)) // 400 places, whatever the room
	for x := lo.X + step/2; x < hi.X; x += step {
		for y := lo.Y + step/2; y < hi.Y; y += step {
			if f.room.clearance(geom.V(x, y, 1.2)) < 0.25 {
				continue
			}
			for k := range 16 {
				add(x, y, f.pose.Angle+float64(k)*math.Pi/8, false, false)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b spot) int { return cmp.Compare(a.cost, b.cost) })
	// The best, and others clearly elsewhere.
	var best []spot
	for _, s := range out {
		if !slices.ContainsFunc(best, func(o spot) bool {
			return o.mirror == s.mirror && math.Hypot(o.pose.X-s.pose.X, o.pose.Y-s.pose.Y) < 0.4 &&
				math.Abs(math.Remainder(o.pose.Angle-s.pose.Angle, 2*math.Pi)) < 0.3
		}) {
			best = append(best, s)
		}
		if len(best) == most {
			break
		}
	}
	return best
}

// tooSmall says what the picture wants and how much of it the room gives: the longest way from a
// place for the sitter to one for the camera, and the lens that keeps the crop from there.
func (f *finder) tooSmall() error {
	if len(f.room.corners) == 0 {
		return ErrNobodyFits
	}
	lo, hi := f.room.corners[0], f.room.corners[0]
	for _, c := range f.room.corners {
		lo, hi = geom.V(min(lo.X, c.X), min(lo.Y, c.Y), 0), geom.V(max(hi.X, c.X), max(hi.Y, c.Y), 0)
	}
	step := max(0.1, math.Sqrt((hi.X-lo.X)*(hi.Y-lo.Y)/400)) // 400 places, whatever the room
	var sitters, cameras []geom.Vec
	for x := lo.X + step/2; x < hi.X; x += step {
		for y := lo.Y + step/2; y < hi.Y; y += step {
			p := geom.V(x, y, 1.2)
			c := f.room.clearance(p)
			if c >= 0.25 && f.room.stands(x, y) <= f.stood+0.05 {
				sitters = append(sitters, p)
			}
			if c >= 0.15 && f.room.free(p) > 0 {
				cameras = append(cameras, p)
			}
		}
	}
	wants := math.Hypot(f.eye.X-f.pose.X, f.eye.Y-f.pose.Y) * f.scale
	if len(sitters) == 0 {
		return fmt.Errorf("%w: there is no place half a metre wide for the sitter", ErrNobodyFits)
	}
	gives := 0.0
	for _, a := range sitters {
		for _, b := range cameras {
			gives = max(gives, math.Hypot(a.X-b.X, a.Y-b.Y))
		}
	}
	if gives >= wants || gives < 0.3 || f.from.View == nil {
		return fmt.Errorf("%w: it wants %.2f m from sitter to camera, and wherever the room gives that, something "+
			"stands in the way: clear a place", ErrNobodyFits, wants)
	}
	lens := float64(f.from.View.Lens) * 1000
	return fmt.Errorf("%w: it wants %.2f m from sitter to camera, the room gives %.2f m; from there %.0f mm in place "+
		"of %.0f mm keep the crop, not the perspective", ErrNobodyFits, wants, gives, lens*gives/wants, lens)
}
