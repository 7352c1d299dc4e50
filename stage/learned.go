package stage

import (
	"fmt"
	"math"
	"slices"

	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/trace"
)

// learned brings into the lights of the house what readings have taught of them (kit.Lesson): their
// level, and how surely it is known.
func (s *Stage) learned() {
	place := s.here()
	for l := range s.Layers {
		y := &s.Layers[l]
		if y.Source == nil {
			y.Basis = kit.Basis{Other: "the file's figures"}
		}
		if y.Light >= 0 {
			continue
		}
		stops, sd, n, ok := s.kit.Learned("house", place+": "+y.Name)
		if !ok || n == 0 {
			continue
		}
		y.K *= math.Exp2(stops)
		y.Uncertainty = q.Stops(sd)
		y.Basis.Readings = n
	}
}

// here names the place for lessons; nothing where there are none.
func (s *Stage) here() string {
	if len(s.kit.Lessons) == 0 {
		return ""
	}
	return s.Shoot.Here()
}

// roomGain is the factor on the reflectances of the room's shell that makes it give back what
// readings have taught: light that has bounced in a room goes as r/(1 - r) with its mean
// reflectance r (Ulbricht's sphere), so a factor f on it takes 1/(1 - r + f r) f on r. It notes how
// surely the room is known.
func (s *Stage) roomGain() float64 {
	s.RoomError, s.RoomReadings = kit.SurfaceError, 0
	for _, a := range s.AssumedSurfaces() {
		s.RoomError = math.Hypot(s.RoomError, a.Stops)
	}
	stops, sd, n, ok := s.kit.Learned("surfaces", s.here())
	if !ok || n == 0 {
		return 1
	}
	s.RoomError, s.RoomReadings = sd, n
	r := reflects(s.shellParts())
	if r == 0 {
		return 1
	}
	f := math.Exp2(stops)
	return f / (1 - r + f*r)
}

// gained multiplies what a material gives back in all directions; no more than 98 % comes back.
func gained(t trace.Material, k float64) trace.Material {
	if k == 1 {
		return t
	}
	for i, v := range t.Diffuse {
		room := 0.98 - float64(t.Mirror[i]+t.Trans[i]+t.Clear[i])
		t.Diffuse[i] = float32(min(float64(v)*k, max(float64(v), room)))
	}
	return t
}

// shellPart is a wall, the floor or the ceiling, with its area and its mean reflectance.
type shellPart struct {
	name    string // 'walls' for each of them
	area, r float64
	assumed bool
}

func (s *Stage) shellParts() (out []shellPart) {
	corners, z := Outline(&s.Shoot.Room)
	add := func(name string, area float64, keys ...string) {
		p := shellPart{name, area, 0, true}
		for _, k := range keys {
			if _, ok := s.Shoot.Room.Surfaces[k]; ok {
				p.assumed = false
			}
		}
		b := windowsOf(s.shellSurface(keys...).Diffuse)
		for _, v := range b {
			p.r += float64(v) / float64(len(b))
		}
		out = append(out, p)
	}
	floor := 0.0
	for i, c := range corners {
		d := corners[(i+1)%len(corners)]
		floor += (c.X*d.Y - d.X*c.Y) / 2
		if z > 0 {
			add("walls", d.Sub(c).Len()*z, fmt.Sprintf("wall %d", i+1), "walls", "all")
		}
	}
	if floor = math.Abs(floor); floor > 0 {
		add("floor", floor, "floor", "all")
		if z > 0 {
			add("ceiling", floor, "ceiling", "all")
		}
	}
	return out
}

// reflects is the mean reflectance of parts of the shell by their area.
func reflects(parts []shellPart) float64 {
	area, sum := 0.0, 0.0
	for _, p := range parts {
		area, sum = area+p.area, sum+p.area*p.r
	}
	if area == 0 {
		return 0
	}
	return sum / area
}

// AssumedSurface is a part of the room's shell of which the file says nothing.
type AssumedSurface struct {
	Part        string // 'floor'; 'walls' are all of which nothing is said
	Reflectance float64
	Stops       float64 // one standard deviation of the light that has bounced, by what it may be
}

// AssumedSurfaces lists them: what a reflectance within its usual range does to the light that has
// bounced, by r/(1 - r) of the shell's mean (roomGain). Check: TestAssumedIsTraced.
func (s *Stage) AssumedSurfaces() (out []AssumedSurface) {
	parts := s.shellParts()
	for _, name := range []string{"walls", "floor", "ceiling"} {
		u, any := usualReflectance[name], false
		bounced := func(r float64) float64 {
			with := slices.Clone(parts)
			for i := range with {
				if with[i].name == name && with[i].assumed {
					with[i].r, any = r, true
				}
			}
			m := reflects(with)
			return math.Log2(m / (1 - m))
		}
		up, down := bounced(u.of*math.Exp2(float64(u.sd))), bounced(u.of*math.Exp2(-float64(u.sd)))
		if any {
			out = append(out, AssumedSurface{name, u.of, (up - down) / 2})
		}
	}
	return out
}

// ByClock reports whether a layer's light goes with the hour.
func (s *Stage) ByClock(layer int) bool {
	for i := range s.Glazings {
		g := &s.Glazings[i]
		if g.Layer == layer || g.Name+" sun" == s.Layers[layer].Name {
			return ByWeather(&g.outside)
		}
	}
	return false
}
