package stage

import (
	"math"

	"halfstop/geom"
	"halfstop/shoot"
	"halfstop/trace"
)

// rigMesh builds what stands behind a light's face as what it is: a box with its pyramid of cloth, an eight-sided one, a dish, an umbrella on its
// shaft, a cone, and the head at its back. It blocks light and does not shine. It fills no more than the body's box. Depths are the kit's; the head
// itself is 12 cm thick (common practice, no source). Check: TestRigKeepsInside.
func (s *Stage) rigMesh(b *Body, kind string) *trace.Mesh {
	const gap = 0.002 // behind the face
	cloth, hard, inner := s.preset("black cotton", b.Shape), s.preset("black gloss", b.Shape), s.preset("white cotton", b.Shape)
	r := newSolid(b.At, b.Frame)
	d := max(b.Depth, 0.05)
	const headR = 0.06
	head := min(0.2, 0.55*d)
	neck := -d + head // where the head meets the modifier
	if b.Depth > 0.09 && b.Shape != "tube" && b.Shape != "sphere" {
		r.turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, -d}, {headR * 0.85, -d}, {headR, -d + 0.02}, {headR, neck}, {0, neck}}, 20, hard)
	}
	if b.Shape == "point" && b.Depth > 0 { // a bare head: its lamp is the point, so nothing may stand beside it
		r = newSolid(b.At, b.Frame)
		r.turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, -d - 0.02}, {headR * 0.85, -d - 0.02}, {headR, -d}, {headR, -0.02}, {0, -0.02}}, 24, hard)
	}
	w, h := b.Width/2, b.Height/2
	switch {
	case b.Shape == "rectangle" && b.Depth > 0.15 && kind != "":
		outer := [][2]float64{{-w, -h}, {w, -h}, {w, h}, {-w, h}}
		k := min(0.07, w, h)
		ring := [][2]float64{{-k, -k}, {k, -k}, {k, k}, {-k, k}}
		r.frustum(outer, -gap, ring, neck, inner, cloth)
	case b.Shape == "rectangle":
		r.box(geom.V(-w, -h, -gap-d), geom.V(w, h, -gap-0.0005), 0.006, hard)
		r.face(inner, geom.V(-w, -h, -gap), geom.V(w, -h, -gap), geom.V(w, h, -gap), geom.V(-w, h, -gap))
	case b.Shape == "disc" && kind == "octa" && b.Depth > 0.15:
		r.frustum(octagon(b.Width), -gap, octagon(0.16), neck, inner, cloth)
	case b.Shape == "disc" && b.Depth > 0.05:
		skin, bulge := hard, 0.0
		switch kind {
		case "dish":
			skin, bulge = s.preset("pale grey", b.Shape), 0.55
		case "umbrella", "parabolic", "octa":
			skin, bulge = cloth, 0.7
			if kind == "umbrella" {
				neck = max(neck, -0.62*w)
			}
		}
		var bowl [][2]float64
		const n = 8
		at := headR
		if kind == "umbrella" {
			at = 0.004
			r.rod(geom.V(0, 0, neck-0.06), geom.V(0, 0, -gap-0.001), 0.004, hard)
			r.rod(geom.V(0, 0, -d), geom.V(0, 0, neck), 0.004, hard)
		}
		at = min(at, w)
		for k := range n + 1 {
			t := float64(k) / n
			bowl = append(bowl, [2]float64{at + (w-at)*((1-bulge)*t+bulge*math.Sqrt(t*(2-t))), neck + (-gap-neck)*t})
		}
		r.turned(geom.Vec{}, geom.V(0, 0, 1), bowl, 48, skin)
		if kind == "umbrella" {
			r.ribs(bowl, s.preset("steel brushed", b.Shape))
		}
		r.turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{w, -gap}, {0, -gap}}, 48, inner)
		if p := plate(kind, b.Width); p > 0 {
			// The plate over the tube, held just before the face, dark as it looks from the sitter.
			r.turned(geom.V(0, 0, 0.004), geom.V(0, 0, 1), [][2]float64{{0, 0}, {p, 0}, {p, 0.003}, {0, 0.003}}, 32, s.preset("dark grey", b.Shape))
		}
		if kind == "doors" {
			r.leaves(w, hard)
		}
	case b.Shape == "disc":
		r.turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{0, -d}, {w, -d}, {w, -gap}}, 48, hard)
		r.turned(geom.Vec{}, geom.V(0, 0, 1), [][2]float64{{w, -gap}, {0, -gap}}, 48, inner)
	}
	return &r.mesh
}

// ribs are the eight steel rods that hold an umbrella's cloth, along the outside of its bowl, their tips a finger's breadth past its edge.
func (s *solid) ribs(bowl [][2]float64, mat int) {
	const r, past = 0.0018, 0.012
	for k := range 8 {
		sn, cs := math.Sincos((float64(k) + 0.5) * math.Pi / 4)
		at := func(p [2]float64) geom.Vec { return geom.V((p[0]+r)*cs, (p[0]+r)*sn, p[1]-r) }
		for i := 1; i < len(bowl); i++ {
			s.bar(at(bowl[i-1]), at(bowl[i]), r, 6, mat)
		}
		end := at(bowl[len(bowl)-1])
		s.bar(end, end.Add(geom.V(past*cs, past*sn, 0)), 1.6*r, 6, mat)
	}
}

// plate is the radius of the plate that hides a dish's tube from the sitter: its catchlight is a ring. 27 % of the dish's diameter is common
// practice, no source.
func plate(kind string, diameter float64) float64 {
	if kind != "dish" {
		return 0
	}
	return 0.135 * diameter
}

// octagon gives the corners of the regular octagon with the area of a disc of this diameter, a side level.
func octagon(diameter float64) [][2]float64 {
	r := diameter / 2 * math.Sqrt(math.Pi/(2*math.Sqrt2))
	out := make([][2]float64, 8)
	for k := range out {
		sn, cs := math.Sincos((float64(k) + 0.5) * math.Pi / 4)
		out[k] = [2]float64{r * cs, r * sn}
	}
	return out
}

// frustum joins two outlines of as many corners at z0 and z1 < z0; the first is closed by a face of stuff front.
func (s *solid) frustum(outer [][2]float64, z0 float64, ring [][2]float64, z1 float64, front, side int) {
	top := make([]geom.Vec, len(outer))
	for i, p := range outer {
		top[i] = geom.V(p[0], p[1], z0)
	}
	s.face(front, top...)
	for i := range outer {
		j := (i + 1) % len(outer)
		a, b := geom.V(outer[i][0], outer[i][1], z0-0.0005), geom.V(outer[j][0], outer[j][1], z0-0.0005)
		c, d := geom.V(ring[j][0], ring[j][1], z1), geom.V(ring[i][0], ring[i][1], z1)
		s.face(side, b, a, d, c)
	}
}

// leaves are four barn doors half open, outside the cone that the light keeps to.
func (s *solid) leaves(w float64, mat int) {
	const long, thick = 0.13, 0.0015
	for k := range 4 {
		sn, cs := math.Sincos(float64(k) * math.Pi / 2)
		at := func(out, side, z float64) geom.Vec { return geom.V(out*cs-side*sn, out*sn+side*cs, z) }
		a, b := at(w, -0.8*w, 0.002), at(w, 0.8*w, 0.002)
		o := w + long*math.Sin(50*deg)
		c, d := at(o, 1.1*w, long*math.Cos(50*deg)), at(o, -1.1*w, long*math.Cos(50*deg))
		s.face(mat, a, b, c, d)
		u := at(thick, 0, 0)
		s.face(mat, d.Add(u), c.Add(u), b.Add(u), a.Add(u))
	}
}

// Standing is how a light is carried: where its feet stand, where its head sits, and by what.
type Standing struct {
	Foot      geom.Vec // on the floor, the middle of the feet
	Head      geom.Vec // where the head is held
	Pivot     geom.Vec // top of the column: under the head, or where the arm turns
	Footprint float64  // diameter of the circle of the feet, metres
	Kind      string   // as kit.Stand
}

// stand carries a light: the file's own stand where one is named, else a plain one. Nil for a clamp, for what
// looks down by more than 53° with no stand named (it hangs), and where the head is too low for a stand.
func (s *Stage) stand(l *shoot.Light, b *Body) *Standing {
	spec, ok := s.kit.FindStand(orWord(l.Stand, "light stand 300"))
	if !ok || l.Stand == "" && b.Frame.N.Z < -0.8 {
		return nil // check says so; what looks steeply down with no stand named hangs from something
	}
	t := &Standing{Kind: spec.Kind, Footprint: max(0.3, float64(spec.Footprint))}
	d := b.Depth
	if b.Shape == "tube" || b.Shape == "sphere" {
		d = 0
	}
	t.Head = b.At.AddMul(b.Frame.N, -d+0.5*min(0.2, 0.55*d))
	if d == 0 {
		t.Head = b.At.Add(geom.V(0, 0, -max(b.Height, b.Width*one(b.Shape == "sphere"))/2))
	}
	if t.Kind == "clamp" || t.Head.Z < 0.12 {
		return nil
	}
	t.Pivot = t.Head.Add(geom.V(0, 0, -0.11))
	if t.Kind == "boom" && spec.Reach > 0 {
		t.Pivot = s.boomFoot(t.Head, b, 0.8*float64(spec.Reach))
		if top := float64(spec.Highest); top > 0 {
			t.Pivot.Z = min(t.Pivot.Z, top)
		}
	}
	t.Pivot.Z = max(t.Pivot.Z, 0.1)
	t.Foot = geom.V(t.Pivot.X, t.Pivot.Y, 0)
	return t
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// boomFoot picks where a boom's column stands: reach away from the head on the level, in the room, out of the frame, and rather behind the light
// than before it.
func (s *Stage) boomFoot(head geom.Vec, b *Body, reach float64) geom.Vec {
	corners, ceiling := Outline(&s.Shoot.Room)
	back := geom.V(-b.Frame.N.X, -b.Frame.N.Y, 0)
	if back.Len2() < 0.01 && s.Sitter != nil {
		c := s.Sitter.Bounds().Centre()
		back = geom.V(head.X-c.X, head.Y-c.Y, 0)
	}
	if back.Len2() < 1e-6 {
		back = geom.V(1, 0, 0)
	}
	back = back.Unit()
	best, at := math.Inf(-1), geom.Vec{}
	for k := range 16 {
		sn, cs := math.Sincos(float64(k) * math.Pi / 8)
		dir := geom.V(back.X*cs-back.Y*sn, back.X*sn+back.Y*cs, 0)
		p := head.AddMul(dir, reach)
		// Sideways before straight back, where the photographer stands; never to the sitter.
		score := cs - 0.8*cs*cs
		if len(corners) >= 3 && !inside(corners, p.AddMul(dir, 0.45)) {
			score -= 4
		}
		if s.View != nil {
			for z := 0.1; z < head.Z; z += 0.3 {
				if x, y, _, ok := s.View.Project(geom.V(p.X, p.Y, z)); ok && x > -0.05 && x < 1.05 && y > -0.05 && y < 1.05 {
					score -= 8
					break
				}
			}
			if geom.V(p.X-s.View.At.X, p.Y-s.View.At.Y, 0).Len() < 0.6 {
				score -= 2
			}
		}
		if score > best {
			best, at = score, p
		}
	}
	at.Z = max(0.6, head.Z-0.12)
	if ceiling > 0 {
		at.Z = min(at.Z, ceiling-0.2)
	}
	return at
}
