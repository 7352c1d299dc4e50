package stage

import (
	"fmt"
	"math"

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
	stops, sd, n, ok := s.kit.Learned("surfaces", s.here())
	if !ok || n == 0 {
		return 1
	}
	s.RoomError, s.RoomReadings = sd, n
	corners, z := Outline(&s.Shoot.Room)
	area, sum := 0.0, 0.0
	add := func(a float64, keys ...string) {
		m := s.shellSurface(keys...)
		b := windowsOf(m.Diffuse)
		mean := 0.0
		for _, v := range b {
			mean += float64(v) / float64(len(b))
		}
		area, sum = area+a, sum+a*mean
	}
	floor := 0.0
	for i, c := range corners {
		d := corners[(i+1)%len(corners)]
		floor += (c.X*d.Y - d.X*c.Y) / 2
		add(d.Sub(c).Len()*max(z, 0), fmt.Sprintf("wall %d", i+1), "walls", "all")
	}
	add(math.Abs(floor), "floor", "all")
	if z > 0 {
		add(math.Abs(floor), "ceiling", "all")
	}
	if !(area > 0) {
		return 1
	}
	r, f := sum/area, math.Exp2(stops)
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

// AssumedSurface is a part of the room's shell of which the file says nothing.
type AssumedSurface struct {
	Part, Surface string  // 'floor'; what stands in
	Reflectance   float64 // of that
	Share         float64 // of the shell's area
}

// AssumedSurfaces lists them.
func (s *Stage) AssumedSurfaces() (out []AssumedSurface) {
	corners, z := Outline(&s.Shoot.Room)
	if len(corners) < 3 {
		return nil
	}
	said := func(keys ...string) bool {
		for _, k := range keys {
			if _, ok := s.Shoot.Room.Surfaces[k]; ok {
				return true
			}
		}
		return false
	}
	floor, walls, open := 0.0, 0.0, 0.0
	for i, c := range corners {
		d := corners[(i+1)%len(corners)]
		floor += (c.X*d.Y - d.X*c.Y) / 2
		a := d.Sub(c).Len() * max(z, 0)
		walls += a
		if !said(fmt.Sprintf("wall %d", i+1), "walls", "all") {
			open += a
		}
	}
	floor = math.Abs(floor)
	ceiling := floor
	if z <= 0 {
		ceiling = 0
	}
	b := windowsOf(s.named(assumedSurface, "room").Diffuse)
	mean := 0.0
	for _, v := range b {
		mean += float64(v) / float64(len(b))
	}
	add := func(part string, area float64, missing bool) {
		if missing && area > 0 {
			out = append(out, AssumedSurface{part, assumedSurface, mean, area / (floor + ceiling + walls)})
		}
	}
	add("walls", open, open > 0)
	add("floor", floor, !said("floor", "all"))
	add("ceiling", ceiling, !said("ceiling", "all"))
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
