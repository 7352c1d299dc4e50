package stage

import (
	"cmp"
	"math"
	"slices"

	"halfstop/geom"
	"halfstop/kind"
	"halfstop/shoot"
	"halfstop/trace"
)

// rigMesh builds what stands behind a light's face; form is the kind of its modifier. Check:
// TestRigKeepsInside.
func (s *Stage) rigMesh(b *Body, form string) *trace.Mesh {
	rig := kind.Rig{Shape: b.Shape, Width: b.Width, Height: b.Height, Depth: b.Depth}
	solid := s.solid(rigKey{form, b.At, b.Frame, rig}, func() *kind.Solid {
		return kind.BuildRig(form, b.At, b.Frame,
			rig)
	})
	return s.mesh(solid, 0, b.Shape)
}

// mesh makes a solid a mesh of the scene; own is the material of the thing itself.
func (s *Stage) mesh(b *kind.Solid, own int, path string) *trace.Mesh {
	m := &trace.Mesh{Pos: b.Pos, Normals: b.Normals, Tris: b.Tris, Mat: make([]int, len(b.Mat))}
	id := make([]int, len(b.Surfaces))
	for i, name := range b.Surfaces {
		if id[i] = own; name != "" {
			id[i] = s.preset(name, path)
		}
	}
	for i, k := range b.Mat {
		m.Mat[i] = id[k]
	}
	return m
}

// Standing is how a light is carried: where its feet stand, where its head sits, and by what.
type Standing struct {
	Foot      geom.Vec // the middle of the feet, on the floor, a platform or a tread
	Head      geom.Vec // where the head is held
	Pivot     geom.Vec // top of the column: under the head, or where the arm turns
	Footprint float64  // diameter of the circle of the feet, metres
	Kind      string   // as kit.Stand
	Turn      float64  // of the first leg about the column, anticlockwise from x, radians
	Blocked   string   // what keeps the feet from finding room; empty: nothing
}

// stand carries a light: the file's own stand where one is named, else a plain one. Nil for a
// clamp, for what looks down by more than 53° with no stand named (it hangs), and where the head is
// too low for a stand.
func (s *Stage) stand(l *shoot.Light, b *Body) *Standing {
	spec, ok := s.kit.FindStand(orWord(l.Stand, "light stand 300"))
	if !ok || l.Stand == "" && b.Frame.N.Z < -0.8 {
		return nil // check says so; what looks steeply down with no stand named hangs from something
	}
	t := &Standing{Kind: string(spec.Kind), Footprint: max(0.3, float64(spec.Footprint))}
	d := b.Depth
	if b.Shape == "tube" || b.Shape == "sphere" {
		d = 0
	}
	t.Head = b.At.AddMul(b.Frame.N, -d+0.5*min(0.2, 0.55*d))
	if d == 0 {
		t.Head = b.At.Add(geom.V(0, 0, -max(b.Height, b.Width*one(b.Shape == "sphere"))/2))
	}
	k, ok := kind.FindStand(t.Kind)
	if ok && !k.Feet || t.Head.Z-s.footing(t.Head, t.Head.Z) < 0.12 {
		return nil
	}
	t.Pivot = t.Head.Add(geom.V(0, 0, -0.11))
	if k.Arm && spec.Reach > 0 {
		t.Pivot = s.boomFoot(t, b, float64(spec.Reach))
		if top := float64(spec.Highest); top > 0 {
			t.Pivot.Z = min(t.Pivot.Z, s.footing(t.Pivot, t.Head.Z)+top)
		}
	}
	t.Foot = geom.V(t.Pivot.X, t.Pivot.Y, s.footing(t.Pivot, t.Head.Z))
	t.Pivot.Z = max(t.Pivot.Z, t.Foot.Z+0.1)
	t.Turn = math.Atan2(b.Frame.N.Y, b.Frame.N.X) // one leg goes under the light
	t.Blocked = s.turnFeet(t)
	return t
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// boomFoot picks where a boom's column stands: reach away from the head on the level, in the room,
// out of the frame, and rather behind the light than before it.
func (s *Stage) boomFoot(t *Standing, b *Body, longest float64) geom.Vec {
	head := t.Head
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
	// What costs little says first which places are worth looking at: whether there is room only
	// takes away.
	type foot struct {
		at    geom.Vec
		score float64
	}
	var feet [64]foot // sixteen ways round at four lengths of the arm, the usual one first
	for i := range feet {
		k, reach := i%16, longest*[4]float64{0.8, 0.65, 0.95, 0.45}[i/16]
		sn, cs := math.Sincos(float64(k) * math.Pi / 8)
		dir := geom.V(back.X*cs-back.Y*sn, back.X*sn+back.Y*cs, 0)
		p := head.AddMul(dir, reach)
		// Sideways before straight back, where the photographer stands; never to the sitter.
		score := cs - 0.8*cs*cs - 0.3*float64(i/16)
		if len(corners) >= 3 && !inside(corners, p.AddMul(dir, 0.45)) {
			score -= 4
		}
		if s.View != nil {
			for z := 0.1; z < head.Z; z += 0.3 {
				if x, y, _, ok := s.View.Project(geom.V(p.X, p.Y,
					z)); ok && x > -0.05 && x < 1.05 && y > -0.05 && y < 1.05 {
					score -= 8
					break
				}
			}
			if geom.V(p.X-s.View.At.X, p.Y-s.View.At.Y, 0).Len() < 0.6 {
				score -= 2
			}
		}
		feet[i] = foot{p, score}
	}
	slices.SortStableFunc(feet[:], func(a, b foot) int { return cmp.Compare(b.score, a.score) })
	best, at := math.Inf(-1), geom.Vec{}
	for _, f := range feet {
		if f.score <= best {
			break
		}
		p, score := f.at, f.score
		for z := 0.05; z < head.Z; z += 0.3 { // its column
			if s.blocked(geom.V(p.X, p.Y, z)) != "" {
				score -= 6
				break
			}
		}
		if score <= best {
			continue
		}
		if feet := (&Standing{Foot: geom.V(p.X, p.Y, s.footing(p, head.Z)), Footprint: t.Footprint,
			Kind: t.Kind}); s.turnFeet(feet) != "" || s.blocked(p) != "" {
			score -= 6
		}
		if score > best {
			best, at = score, p
		}
	}
	at.Z = max(s.footing(at, head.Z)+0.6, head.Z-0.12)
	if ceiling > 0 {
		at.Z = min(at.Z, CeilingAt(&s.Shoot.Room, at.X, at.Y)-0.2)
	}
	return at
}
