package figure

import (
	"math"

	"halfstop/geom"
)

// Part says what a triangle is made of.
type Part = uint8

const (
	Skin Part = iota
	Lip
	Sclera
	Iris
	Pupil
	Cornea // clear cap in front of the iris: carries the catchlight
	Tear   // inner corner of the eye, moist
	Lash
	Brow
	HairStrand // hair mass and locks; Tan is the strand
	Cloth      // jumper, coat or dress
	ShirtCloth // shirt, or what shows under a coat
	Trousers
	Shoe
	Glass // lenses: thin panes, one sheet, both sides clear
	Rim   // frame of the glasses
	HatCloth
	parts
)

// PartNames are the Parts in words, in order.
var PartNames = [parts]string{"skin", "lip", "sclera", "iris", "pupil", "cornea", "tear", "lash", "brow", "hair",
	"cloth", "shirt", "trousers", "shoe", "glass", "rim", "hat"}

// Mesh is a finished sitter in metres, z up, standing on z = 0 with the middle of the feet or the
// seat over the origin, chest towards +y; the sitter's left is -x. Nothing in it is shared with
// another Mesh; it is safe for reading from many goroutines.
type Mesh struct {
	Pos [][3]float32 // metres
	Nrm [][3]float32 // unit, outward
	Tan [][3]float32 // unit direction of the strand on hair, brows and lashes; zero elsewhere
	// 0 to 1; Skin, Lip: share of lip colour; HairStrand: lightness of the strand; Iris: lightness
	Tone      []float32
	Tri       [][3]uint32 // anticlockwise seen from outside
	Part      []Part      // one a triangle
	Landmarks map[string]Landmark
}

// Landmark is a point on the outer surface of the sitter (skin, hair or cloth), in metres, with the
// outward unit normal there. A meter or a ray that starts there should stand off by a few
// millimetres along Normal.
type Landmark struct{ At, Normal geom.Vec }

// Placed returns a copy that stands at the given point and is turned by yaw radians, anticlockwise
// seen from above; with yaw 0 the chest looks to +y.
func (m *Mesh) Placed(at geom.Vec, yaw float64) *Mesh {
	s, c := math.Sincos(yaw)
	turn := func(v geom.Vec) geom.Vec { return geom.V(c*v.X-s*v.Y, s*v.X+c*v.Y, v.Z) }
	dirs := func(a [][3]float32) [][3]float32 {
		r := make([][3]float32, len(a))
		for i, v := range a {
			r[i] = narrow(turn(wide(v)))
		}
		return r
	}
	out := &Mesh{Pos: dirs(m.Pos), Nrm: dirs(m.Nrm), Tan: dirs(m.Tan), Landmarks: map[string]Landmark{}}
	for i, v := range out.Pos {
		out.Pos[i] = narrow(wide(v).Add(at))
	}
	out.Tone = append(out.Tone, m.Tone...)
	out.Tri = append(out.Tri, m.Tri...)
	out.Part = append(out.Part, m.Part...)
	for k, l := range m.Landmarks {
		out.Landmarks[k] = Landmark{turn(l.At).Add(at), turn(l.Normal)}
	}
	return out
}

// YawTo is the yaw with which Placed turns the chest towards dir (its height is ignored). Zero for
// a vertical dir.
func YawTo(dir geom.Vec) float64 {
	if dir.X == 0 && dir.Y == 0 {
		return 0
	}
	return math.Atan2(-dir.X, dir.Y)
}

// Counts gives the triangles of each Part that occurs, by name.
func (m *Mesh) Counts() map[string]int {
	r := map[string]int{}
	for _, p := range m.Part {
		r[PartNames[p]]++
	}
	return r
}

// Bounds is the box round all vertices.
func (m *Mesh) Bounds() geom.Box {
	if len(m.Pos) == 0 {
		return geom.Empty()
	}
	lo, hi := m.Pos[0], m.Pos[0]
	for _, p := range m.Pos {
		for k, v := range p {
			lo[k], hi[k] = min(lo[k], v), max(hi[k], v)
		}
	}
	return geom.Box{Lo: wide(lo), Hi: wide(hi)}
}

func wide(v [3]float32) geom.Vec { return geom.V(float64(v[0]), float64(v[1]), float64(v[2])) }
func narrow(v geom.Vec) [3]float32 {
	return [3]float32{float32(v.X), float32(v.Y), float32(v.Z)}
}

// toScene turns a direction of drawing space (X left, Y up, Z forward) to scene space (x right, y
// forward, z up).
func toScene(v vec) geom.Vec { return geom.V(-v.X, v.Z, v.Y) }
