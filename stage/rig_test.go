package stage

import (
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/shoot"
	"halfstop/yamltext"
)

const rigShoot = `halfstop: 1
room: {size: [6, 5, 3], surfaces: {walls: mid grey, floor: dark grey, ceiling: mid grey}}
setups:
  - name: one
    camera: {at: [5, 2.5], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: [2, 2.5], faces: camera}
    lights:
      - {role: key, head: battery head 500, modifier: MOD, at: [3, 3.5], height: 2 m, aim: sitter.face, power: 1/4, STAND}
`

func staged(t *testing.T, src string) (*shoot.File, *yamltext.Doc) {
	t.Helper()
	f, doc, list := shoot.Parse("t", []byte(src), shoot.Options{})
	if f == nil || list.Has(diag.Error) {
		t.Fatal(list)
	}
	return f, doc
}

// What stands behind a face keeps inside the body's box (as checkBody and the plan have it), but
// for a dish's plate and barn doors, which stand at most 9 cm before the face, and a bare head's
// back.
func TestRigKeepsInside(t *testing.T) {
	for _, mod := range []string{"softbox 60x90", "strip 30x120", "octa 150", "beauty dish 55 white",
		"umbrella white 105", "umbrella shoot-through 85", "parabolic 110",
		"standard reflector", "snoot", "barn doors", "lantern 60", "bare"} {
		f, d := staged(t, strings.NewReplacer("MOD", mod, "STAND", "stand: clamp").Replace(rigShoot))
		s, list := Build(f, d, 0, Options{Detail: figure.Shadow, Empty: true, Bare: true})
		if s == nil {
			t.Fatalf("%s: %v", mod, list)
		}
		b := s.Layers[0].Bodies[0]
		form := ""
		if m, ok := s.kit.FindModifier(mod); ok {
			form = string(m.Kind)
		}
		mesh := s.rigMesh(&b, form)
		if mod != "lantern 60" && mod != "bare" && len(mesh.Tris) < 20 {
			t.Errorf("%s has no body", mod)
		}
		w, h := b.Width/2, b.Height/2
		if b.Shape == "disc" {
			w *= 1.06 // the corners of an octagon
			h = w
		}
		if b.Shape == "point" {
			w, h = 0.061, 0.061
		}
		for _, p := range mesh.Pos {
			q := b.Frame.In(geom.V(float64(p[0]), float64(p[1]), float64(p[2])).Sub(b.At))
			front := 0.005
			if mod == "barn doors" {
				front, w, h = 0.09, 0.25, 0.25
			}
			if math.Abs(q.X) > max(w, 0.07)+1e-6 || math.Abs(q.Y) > max(h,
				0.07)+1e-6 || q.Z > front+0.003 || q.Z < -max(b.Depth, 0.05)-0.021 {
				t.Errorf("%s: a corner at %.3f of a body %.2f × %.2f × %.2f", mod, q, b.Width, b.Height, b.Depth)
				break
			}
		}
	}
}

// A stand is under its head, on the floor, with its feet inside the circle of the kit; a boom's
// column stands off by most of its reach, in the room and out of the frame; a clamp has none.
func TestStands(t *testing.T) {
	for _, c := range []struct {
		stand     string
		off, feet float64
	}{{"light stand 300", 0, 1.1}, {"boom stand", 0.8 * 2.1, 1.4}, {"grip stand", 0, 0.95}, {"clamp", -1, 0}} {
		f, d := staged(t, strings.NewReplacer("MOD", "octa 120", "STAND", "stand: "+c.stand).Replace(rigShoot))
		s, list := Build(f, d, 0, Options{Detail: figure.Shadow, Empty: true})
		if s == nil {
			t.Fatal(list)
		}
		g := s.Layers[0].Standing
		if c.off < 0 {
			if g != nil {
				t.Errorf("a %s stands on the floor", c.stand)
			}
			continue
		}
		if g == nil {
			t.Fatalf("%s: no stand", c.stand)
		}
		if off := math.Hypot(g.Foot.X-g.Head.X, g.Foot.Y-g.Head.Y); math.Abs(off-c.off) > 0.01 {
			t.Errorf("%s stands %.2f m off its head, want %.2f", c.stand, off, c.off)
		}
		if g.Footprint != c.feet || g.Foot.Z != 0 {
			t.Errorf("%s: feet %.2f m at height %.2f", c.stand, g.Footprint, g.Foot.Z)
		}
		corners, _ := Outline(&s.Shoot.Room)
		if !inside(corners, g.Foot) {
			t.Errorf("%s stands outside the room at %v", c.stand, g.Foot)
		}
		in := geom.V(3-g.Foot.X, 2.5-g.Foot.Y, 0).Unit()
		if d, ok := s.Scene.FirstHit(g.Foot.Add(geom.V(0, 0, 0.8)).AddMul(in, 0.5),
			in.Neg()); !ok || math.Abs(d-0.5) > 0.04 {
			t.Errorf("%s: no column at 0.8 m (met at %.2f)", c.stand, d)
		}
	}
}

// A dish's plate hides part of the face, and the rest makes up for it: on the axis from afar the
// level is the kit's.
func TestDishPlateKeepsTheLevel(t *testing.T) {
	f, d := staged(t, strings.NewReplacer("MOD", "beauty dish 55 white", "STAND", "stand: clamp").Replace(rigShoot))
	with, _ := Build(f, d, 0, Options{Detail: figure.Shadow, Empty: true})
	bare, _ := Build(f, d, 0, Options{Detail: figure.Shadow, Empty: true, Bare: true})
	dish, _ := kind.FindModifier("dish")
	r := dish.Plate * 0.55
	if k := with.Scene.Flux(0) / bare.Scene.Flux(0) * (1 - r*r/(0.275*0.275)); math.Abs(k-1) > 1e-9 {
		t.Errorf("face less plate gives %.6f of the face", k)
	}
}
