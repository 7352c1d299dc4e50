package stage

import (
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/shoot"
)

// contact gives a sitter who sits something to sit on, and one who leans something to lean on.
func (s *Stage) contact(m *figure.Mesh, at, dir geom.Vec, p figure.Params, path string) {
	switch p.Pose {
	case figure.Seated, figure.Stool:
		if !s.opt.Empty && !s.seatUnder(at, float64(p.Seat)) {
			s.stool(at, dir, float64(p.Seat))
		}
	case figure.Leaning:
		s.lean(m, at, dir, path)
	}
}

// seatUnder reports whether a box of furniture at about the seat's height is under the sitter.
func (s *Stage) seatUnder(at geom.Vec, seat float64) bool {
	for _, b := range s.boxes() {
		if at.X > b.Lo.X-0.1 && at.X < b.Hi.X+0.1 && at.Y > b.Lo.Y-0.1 && at.Y < b.Hi.Y+0.1 &&
			math.Abs(b.Hi.Z-at.Z-seat) < 0.08 {
			return true
		}
	}
	return false
}

// footing is the height of what feet stand on: the top of a platform, a step of a flight, or the
// floor; what lies higher than under is no floor there.
func (s *Stage) footing(at geom.Vec, under float64) float64 {
	top, _ := shoot.Footing(at.X, at.Y, under, s.Shoot.Room.Objects, s.Setup.Objects)
	return top
}

// boxes are the room's and the setup's boxes that stand square.
func (s *Stage) boxes() (out []geom.Box) {
	for _, o := range append(s.Shoot.Room.Objects[:len(s.Shoot.Room.Objects):len(s.Shoot.Room.Objects)],
		s.Setup.Objects...) {
		if o.Box == nil || o.Box.Inside || o.Turn != 0 {
			continue
		}
		lo := place(o.Box.At, 0)
		out = append(out, geom.Box{Lo: lo, Hi: lo.Add(vec3(o.Box.Size))})
	}
	return out
}

// stool is what a portrait sitter sits on where the shoot names nothing: a round seat of 36 cm on
// four splayed legs with a ring. Sizes are common practice, no source.
func (s *Stage) stool(at, dir geom.Vec, h float64) {
	r := kind.NewSolid(at, geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)})
	wood, metal := r.Surface("light wood lacquered"), r.Surface("black gloss")
	r.Turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, h - 0.035}, {0.165, h - 0.035}, {0.18, h - 0.025}, {0.18,
		h - 0.008}, {0.172, h - 0.001}, {0, h - 0.001}}, 40, wood)
	turn := math.Atan2(dir.Y, dir.X) + math.Pi/4
	var legs [4][2]geom.Vec
	for k := range legs {
		sn, cs := math.Sincos(turn + float64(k)*math.Pi/2)
		legs[k] = [2]geom.Vec{geom.V(0.12*cs, 0.12*sn, h-0.03), geom.V(0.2*cs, 0.2*sn, 0)}
		r.Bar(legs[k][0], legs[k][1], 0.014, 10, metal)
	}
	if h > 0.35 {
		for k := range legs {
			a, b := legs[k], legs[(k+1)%4]
			r.Bar(a[0].Lerp(a[1], 0.62), b[0].Lerp(b[1], 0.62), 0.008, 8, metal)
		}
	}
	if err := s.Scene.AddMesh(s.mesh(r, 0, "sitter")); err != nil {
		s.problem(diag.Error, "stage.sitter", "", "", "the stool cannot be built: %v", err)
	}
}

// reachOfLean is how far the hips may be from what is leaned on: with the feet 45 cm out a person
// still stands (common practice, no source).
const reachOfLean = 0.45

// lean slides hips and trunk to the nearest wall, or the nearest piece of furniture of hip height,
// behind or beside the sitter, the feet staying where they are: the legs slant, the trunk stays
// upright against it. A finding where there is nothing in reach. Check: TestLeaning.
func (s *Stage) lean(m *figure.Mesh, at, dir geom.Vec, path string) {
	dir = geom.V(dir.X, dir.Y, 0)
	if dir.Len2() < 1e-12 {
		dir = geom.V(0, 1, 0)
	}
	dir = dir.Unit()
	tall := m.Bounds().Hi.Z - at.Z
	hip := 0.53 * tall // over the feet, as all heights below
	best, way := math.Inf(1), geom.Vec{}
	try := func(p, out geom.Vec, top float64) { // a face through p that looks along out, as high as top
		if out.Dot(dir) < -0.5 { // before the sitter
			return
		}
		lo, hi := min(hip*0.9, top-at.Z-0.18), min(top-at.Z, 0.8*tall)
		gap := math.Inf(1)
		for _, v := range m.Pos {
			if z := float64(v[2]) - at.Z; z > lo && z < hi {
				gap = min(gap, (geom.V(float64(v[0]), float64(v[1]), z+at.Z).Sub(p).Dot(out)-0.002)/min(1,
					z/hip)) // as far as the hips may go
			}
		}
		if gap > -0.25 && gap < best {
			best, way = gap, out.Neg()
		}
	}
	corners, _ := Outline(&s.Shoot.Room)
	for n := 1; n <= len(corners); n++ {
		if a, along, l, in, ok := Wall(corners, n); ok {
			if t := at.Sub(a).Dot(along); t > -0.2 && t < l+0.2 && !s.openAt(n, t, at.Z+hip*1.3) {
				try(a, in, math.Inf(1))
			}
		}
	}
	for _, b := range s.boxes() {
		if b.Hi.Z < at.Z+0.75*hip || b.Lo.Z > at.Z+hip {
			continue
		}
		inX, inY := at.X > b.Lo.X && at.X < b.Hi.X, at.Y > b.Lo.Y && at.Y < b.Hi.Y
		switch {
		case inX && at.Y <= b.Lo.Y:
			try(b.Lo, geom.V(0, -1, 0), b.Hi.Z)
		case inX && at.Y >= b.Hi.Y:
			try(b.Hi, geom.V(0, 1, 0), b.Hi.Z)
		case inY && at.X <= b.Lo.X:
			try(b.Lo, geom.V(-1, 0, 0), b.Hi.Z)
		case inY && at.X >= b.Hi.X:
			try(b.Hi, geom.V(1, 0, 0), b.Hi.Z)
		}
	}
	if best > reachOfLean {
		s.problem(diag.Finding, "stage.leaning", path+".at",
			"stand the sitter with the back or a side within 0.4 m of a wall or a counter, or write pose: standing",
			"the sitter leans, and nothing to lean on is in reach")
		return
	}
	shift := func(z float64) geom.Vec { return way.Mul(best * min(1, max(0, (z-at.Z)/hip))) }
	for i, v := range m.Pos {
		d := shift(float64(v[2]))
		m.Pos[i] = [3]float32{v[0] + float32(d.X), v[1] + float32(d.Y), v[2]}
	}
	for k, l := range m.Landmarks {
		l.At = l.At.Add(shift(l.At.Z))
		m.Landmarks[k] = l
	}
}

// openAt reports whether wall n has a window or an open door at t along it and at height z.
func (s *Stage) openAt(n int, t, z float64) bool {
	r := &s.Shoot.Room
	for i := range r.Windows {
		w := &r.Windows[i]
		if w.Wall == n && !w.InCeiling && t > float64(w.From) && t < float64(w.From+w.Width) && z > float64(w.Sill) &&
			z < float64(w.Head) && strings.EqualFold(w.Glass, "none") {
			return true
		}
	}
	return false
}
