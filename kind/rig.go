package kind

import (
	"math"

	"halfstop/geom"
)

// Rig is the face of a light and how far its body reaches back, metres; Shape as of an emitter
// ('rectangle', 'disc', 'sphere', 'tube', 'point').
type Rig struct {
	Shape                string
	Width, Height, Depth float64
}

// gap is how far a body's front stands behind its face, metres.
const gap = 0.002

// BuildRig builds what stands behind a light's face as what it is: a box with its pyramid of cloth,
// an eight-sided one, a dish, an umbrella on its shaft, a cone, and the head at its back. It blocks
// light and does not shine. It fills no more than the body's box. Depths are the kit's; the head
// itself is 12 cm thick (common practice, no source). at is the middle of the face, f.N where it
// shines. A word that is no kind of modifier gives a plain shell. Check: TestRigKeepsInside of
// stage.
func BuildRig(word string, at geom.Vec, f geom.Frame, b Rig) *Solid {
	r := NewSolid(at, f)
	d := max(b.Depth, 0.05)
	const headR = 0.06
	if b.Depth > 0.09 && b.Shape != "tube" && b.Shape != "sphere" && b.Shape != "point" {
		r.Turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, -d}, {headR * 0.85, -d}, {headR, -d + 0.02}, {headR,
			b.neck()}, {0, b.neck()}}, 20, r.Surface(hard))
	}
	if b.Shape == "point" && b.Depth > 0 { // a bare head: its lamp is the point, so nothing may stand beside it
		r.Turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, -d - 0.02}, {headR * 0.85, -d - 0.02}, {headR, -d},
			{headR, -0.02}, {0, -0.02}}, 24, r.Surface(hard))
	}
	if m, ok := FindModifier(word); ok {
		m.Body(r, b)
	} else {
		shell{boxed: word != ""}.build(r, b)
	}
	return r
}

// neck is where the head meets the modifier, on the axis.
func (b Rig) neck() float64 {
	d := max(b.Depth, 0.05)
	return -d + min(0.2, 0.55*d)
}

// Surfaces of the bodies of lights.
const hard, cloth, inner = "black gloss", "black cotton", "white cotton"

// shell is a modifier round its light, by the shape of its face.
type shell struct {
	skin    string  // outside of a round one; empty: hard
	bulge   float64 // 0 a cone, 1 a quarter of an ellipse
	octagon bool    // eight flat sides
	boxed   bool    // a deep rectangle is a pyramid of cloth
	shaft   bool    // of an umbrella: a rod through it, ribs, and the neck near the bowl
	plate   float64 // radius of a dish's plate, share of the diameter
}

// body makes a shell the body of a kind.
func (c shell) body() func(*Solid, Rig) { return func(r *Solid, b Rig) { c.build(r, b) } }

func (c shell) build(r *Solid, b Rig) {
	const headR = 0.06
	d, neck := max(b.Depth, 0.05), b.neck()
	w, h := b.Width/2, b.Height/2
	switch {
	case b.Shape == "rectangle" && b.Depth > 0.15 && c.boxed:
		outer := [][2]float64{{-w, -h}, {w, -h}, {w, h}, {-w, h}}
		k := min(0.07, w, h)
		ring := [][2]float64{{-k, -k}, {k, -k}, {k, k}, {-k, k}}
		r.frustum(outer, -gap, ring, neck, r.Surface(inner), r.Surface(cloth))
	case b.Shape == "rectangle":
		r.Box(geom.V(-w, -h, -gap-d), geom.V(w, h, -gap-0.0005), 0.006, r.Surface(hard))
		r.Face(r.Surface(inner), geom.V(-w, -h, -gap), geom.V(w, -h, -gap), geom.V(w, h, -gap), geom.V(-w, h, -gap))
	case b.Shape == "disc" && c.octagon && b.Depth > 0.15:
		r.frustum(octagon(b.Width), -gap, octagon(0.16), neck, r.Surface(inner), r.Surface(cloth))
	case b.Shape == "disc" && b.Depth > 0.05:
		skin := c.skin
		if skin == "" {
			skin = hard
		}
		if c.shaft {
			neck = max(neck, -0.62*w)
		}
		var bowl [][2]float64
		const n = 8
		at := headR
		if c.shaft {
			at = 0.004
			r.Rod(geom.V(0, 0, neck-0.06), geom.V(0, 0, -gap-0.001), 0.004, r.Surface(hard))
			r.Rod(geom.V(0, 0, -d), geom.V(0, 0, neck), 0.004, r.Surface(hard))
		}
		at = min(at, w)
		for k := range n + 1 {
			t := float64(k) / n
			bowl = append(bowl, [2]float64{at + (w-at)*((1-c.bulge)*t+c.bulge*math.Sqrt(t*(2-t))),
				neck + (-gap-neck)*t})
		}
		r.Turned(geom.Vec{}, geom.V(0, 0, 1), bowl, 48, r.Surface(skin))
		if c.shaft {
			r.ribs(bowl, r.Surface("steel brushed"))
		}
		r.Turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{w, -gap}, {0, -gap}}, 48, r.Surface(inner))
		if p := c.plate * b.Width; p > 0 {
			// The plate over the tube, held just before the face, dark as it looks from the sitter.
			r.Turned(geom.V(0, 0, 0.004), geom.V(0, 0, 1), [][2]float64{{0, 0}, {p, 0}, {p, 0.003}, {0, 0.003}}, 32,
				r.Surface("dark grey"))
		}
	case b.Shape == "disc":
		r.Turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, -d}, {w, -d}, {w, -gap}}, 48, r.Surface(hard))
		r.Turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{w, -gap}, {0, -gap}}, 48, r.Surface(inner))
	}
}

// ribs are the eight steel rods that hold an umbrella's cloth, along the outside of its bowl, their
// tips a finger's breadth past its edge.
func (s *Solid) ribs(bowl [][2]float64, mat int) {
	const r, past = 0.0018, 0.012
	for k := range 8 {
		sn, cs := math.Sincos((float64(k) + 0.5) * math.Pi / 4)
		at := func(p [2]float64) geom.Vec { return geom.V((p[0]+r)*cs, (p[0]+r)*sn, p[1]-r) }
		for i := 1; i < len(bowl); i++ {
			s.Bar(at(bowl[i-1]), at(bowl[i]), r, 6, mat)
		}
		end := at(bowl[len(bowl)-1])
		s.Bar(end, end.Add(geom.V(past*cs, past*sn, 0)), 1.6*r, 6, mat)
	}
}

// octagon gives the corners of the regular octagon with the area of a disc of this diameter, a side
// level.
func octagon(diameter float64) [][2]float64 {
	r := diameter / 2 * math.Sqrt(math.Pi/(2*math.Sqrt2))
	out := make([][2]float64, 8)
	for k := range out {
		sn, cs := math.Sincos((float64(k) + 0.5) * math.Pi / 4)
		out[k] = [2]float64{r * cs, r * sn}
	}
	return out
}

// frustum joins two outlines of as many corners at z0 and z1 < z0; the first is closed by a face of
// stuff front.
func (s *Solid) frustum(outer [][2]float64, z0 float64, ring [][2]float64, z1 float64, front, side int) {
	top := make([]geom.Vec, len(outer))
	for i, p := range outer {
		top[i] = geom.V(p[0], p[1], z0)
	}
	s.Face(front, top...)
	for i := range outer {
		j := (i + 1) % len(outer)
		a, b := geom.V(outer[i][0], outer[i][1], z0-0.0005), geom.V(outer[j][0], outer[j][1], z0-0.0005)
		c, d := geom.V(ring[j][0], ring[j][1], z1), geom.V(ring[i][0], ring[i][1], z1)
		s.Face(side, b, a, d, c)
	}
}
