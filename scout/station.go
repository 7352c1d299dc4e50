package scout

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"halfstop/geom"
	"halfstop/photo"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/yamltext"
)

// Place is a corner of the place that can be told in a photograph.
type Place struct {
	Name string     `json:"name" doc:"'corner 1, floor', 'window: top left'"`
	At   [3]float64 `json:"at" doc:"metres"`
}

// Places lists the corners of a room at floor and ceiling, and those of its doors and windows, left
// and right as seen from inside.
func Places(f *shoot.File) (out []Place) {
	corners, ceiling := stage.Outline(&f.Room)
	add := func(name string, x, y, z float64) { out = append(out, Place{name, [3]float64{x, y, z}}) }
	for i, c := range corners {
		add(fmt.Sprintf("corner %d, floor", i+1), c.X, c.Y, 0)
		if ceiling > 0 {
			add(fmt.Sprintf("corner %d, ceiling", i+1), c.X, c.Y, ceiling)
		}
	}
	hole := func(name string, wall int, from, width, low, high q.Metres) {
		if wall < 1 || wall > len(corners) || name == "" {
			return
		}
		a, b := corners[wall-1], corners[wall%len(corners)]
		d := b.Sub(a).Unit()
		// Corners run anticlockwise, so from inside the end of a wall is at the left.
		l, r := a.AddMul(d, float64(from+width)), a.AddMul(d, float64(from))
		add(name+": bottom left", l.X, l.Y, float64(low))
		add(name+": top left", l.X, l.Y, float64(high))
		add(name+": bottom right", r.X, r.Y, float64(low))
		add(name+": top right", r.X, r.Y, float64(high))
	}
	for i := range f.Room.Doors {
		d := &f.Room.Doors[i]
		name := d.Name
		if name == "" {
			name = fmt.Sprintf("door %d", i+1)
		}
		hole(name, d.Wall, d.From, d.Width, 0, d.Head)
	}
	for i := range f.Room.Windows {
		w := &f.Room.Windows[i]
		hole(w.Name, w.Wall, w.From, w.Width, w.Sill, w.Head)
	}
	return out
}

// PlaceNamed finds one of Places by its name, or reads 'x, y, z' in metres.
func PlaceNamed(list []Place, name string) (geom.Vec, error) {
	name = strings.TrimSpace(name)
	for _, p := range list {
		if strings.EqualFold(p.Name, name) {
			return geom.V(p.At[0], p.At[1], p.At[2]), nil
		}
	}
	var v [3]float64
	if n, err := fmt.Sscanf(strings.ReplaceAll(name, " ", ""), "%g,%g,%g", &v[0], &v[1], &v[2]); n == 3 &&
		err == nil {
		return geom.V(v[0], v[1], v[2]), nil
	}
	return geom.Vec{}, fmt.Errorf("%q is no corner: write its place as x,y,z in metres, or with a shoot a name like "+
		"'corner 1, floor'", name)
}

// Station is where a photograph was taken from.
type Station struct {
	*photo.Station
	Sights   []photo.Sight
	Aspect   float64 // height over width
	LensFrom string  // what the focal length rests on
}

// Stand finds the camera of a photograph from four or more corners. The focal length comes from the
// exposure data where they say the one on full frame, else from five corners and more, or from four
// that do not lie in one plane. Check: photo.TestResect, TestStand.
func Stand(p *Photo, list []photo.Sight) (*Station, error) {
	s := &Station{Sights: list, Aspect: float64(p.Height) / float64(p.Width)}
	lens := p.Exif.Focal35MM
	if lens > 0 && len(list) >= 4 {
		// Equivalents go by the diagonal (CIPA DCG-001); here they go by the longer side of 3:2.
		lens *= 36 / math.Hypot(36, 24) * math.Hypot(1, min(s.Aspect, 1/s.Aspect))
		s.LensFrom = "the photograph's data"
		st, err := photo.Resect(list, s.Aspect, lens)
		if err == nil {
			s.Station = st
			return s, nil
		}
		if len(list) < 5 {
			return nil, err
		}
	}
	s.LensFrom = "the corners"
	st, err := photo.Resect(list, s.Aspect, 0)
	if err != nil {
		return nil, err
	}
	s.Station = st
	return s, nil
}

// RollDegrees is by how much the camera was turned about its axis, anticlockwise.
func (s *Station) RollDegrees() float64 { return s.Roll * 180 / math.Pi }

// Doubt says in words what of the station is not sure; empty: nothing.
func (s *Station) Doubt() string {
	var out []string
	if d := s.SD; max(d.X, d.Y, d.Z) > 0.3 {
		out = append(out, fmt.Sprintf("the place is known to %.1f m only: press corners further apart, or more of them",
			max(d.X, d.Y, d.Z)))
	}
	if s.LensSD > 0.15*s.Lens {
		out = append(out, "these corners do not tell a longer lens from a longer distance: add one of another wall")
	}
	if roll := math.Abs(s.RollDegrees()); roll > 1 {
		out = append(out, fmt.Sprintf("it was held %.0f° off level; the setup's camera stands level", roll))
	}
	return strings.Join(out, "; ")
}

// Camera gives the edits that stand a setup's camera where the photograph was taken, with the same
// field of view. path is that of the camera, long its sensor's longer side in metres.
func (s *Station) Camera(doc *yamltext.Doc, path string, long float64) (out []Edit) {
	set := func(key, value string) { out = append(out, Edit{Path: path + "." + key, Value: value}) }
	aim := s.At.AddMul(s.Axis, 3)
	place := func(v geom.Vec) string { return fmt.Sprintf("[%.3f, %.3f, %.3f]", v.X, v.Y, v.Z) }
	lens := fmt.Sprintf("%.1f mm", s.Lens*long*1000/36)
	if !doc.Has(path) {
		return []Edit{{Path: path, Value: fmt.Sprintf("{at: %s, aim: %s, lens: %s, upright: %t}", place(s.At),
			place(aim),
			lens, s.Aspect > 1)}}
	}
	for _, key := range []string{"height", "shift", "crop", "mirror"} {
		if doc.Has(path + "." + key) {
			out = append(out, Edit{Path: path + "." + key, Delete: true})
		}
	}
	set("at", place(s.At))
	set("aim", place(aim))
	set("lens", lens)
	if doc.Has(path+".upright") || s.Aspect > 1 {
		set("upright", fmt.Sprintf("%t", s.Aspect > 1))
	}
	return out
}

// samePlace is how near two stations see the same perspective, metres: at 2 m it is 1.4°.
const samePlace = 0.05

// Under gives the homography that lays the photograph under the frame of a view: rows of a 3 × 3
// matrix that takes shares of the photograph to shares of the frame. Seen from the same place it
// holds everywhere; else in the plane of the pressed corners only, and plane is true. Hartley and
// Zisserman, Multiple View Geometry, 2004, sections 8.4 and 4.1. Check: TestUnder.
func (s *Station) Under(v *stage.View) (h [9]float64, plane bool, err error) {
	var from, to [][2]float64
	add := func(x, y float64, p geom.Vec) {
		if u, w, _, ok := v.Project(p); ok {
			from, to = append(from, [2]float64{x, y}), append(to, [2]float64{u, w})
		}
	}
	if plane = s.At.Sub(v.At).Len() > samePlace; plane {
		for _, l := range s.Sights {
			add(l.X, l.Y, l.At)
		}
	} else {
		for _, c := range [][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}, {0.5, 0.5}} {
			add(c[0], c[1], v.At.Add(s.Ray(c[0], c[1], s.Aspect).Mul(10)))
		}
	}
	if len(from) < 4 {
		return h, plane, errors.New("the frame looks another way: too few of the corners lie before its lens")
	}
	h, ok := homography(from, to)
	if !ok {
		return h, plane, errors.New("the corners lie on one line in the frame")
	}
	return h, plane, nil
}

// homography is the least-squares one with its last element 1, by the direct linear transformation.
func homography(from, to [][2]float64) (h [9]float64, ok bool) {
	var a [8][9]float64 // normal equations, right side last
	row := func(r [8]float64, b float64) {
		for i := range 8 {
			for j := range 8 {
				a[i][j] += r[i] * r[j]
			}
			a[i][8] += r[i] * b
		}
	}
	for i := range from {
		x, y, u, v := from[i][0], from[i][1], to[i][0], to[i][1]
		row([8]float64{x, y, 1, 0, 0, 0, -u * x, -u * y}, u)
		row([8]float64{0, 0, 0, x, y, 1, -v * x, -v * y}, v)
	}
	for c := range 8 {
		p := c
		for i := c + 1; i < 8; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[p][c]) {
				p = i
			}
		}
		if math.Abs(a[p][c]) < 1e-12 {
			return h, false
		}
		a[c], a[p] = a[p], a[c]
		for i := range 8 {
			if i != c {
				k := a[i][c] / a[c][c]
				for j := c; j < 9; j++ {
					a[i][j] -= k * a[c][j]
				}
			}
		}
	}
	for c := range 8 {
		h[c] = a[c][8] / a[c][c]
	}
	h[8] = 1
	return h, true
}
