package stage

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/figure"
	"halfstop/geom"
	"halfstop/shoot"
)

const twoPeople = `halfstop: 1
room:
  size: [6, 5, 3]
  surfaces: {walls: mid grey, floor: dark grey, ceiling: mid grey}
setups:
  - name: one
    camera: {at: [3, 0.5], height: 1.5 m, aim: sitters.Anna.face, lens: 85 mm}
    sitter: {at: [2.5, 3], figure: man, clothes: t-shirt, hands: folded, hair: shaved, beard: full}
    sitters:
      - {name: Anna, at: [3.3, 3.2], age: 8, clothes: dress, hair: long, hat: cap}
    lights:
      - {role: key, head: battery head 500, at: [0.5, 1], height: 2 m, aim: sitters.Anna.face}
    points:
      - {name: her hair, on: sitters.anna.hair edge}
`

// Two people stand in one picture, each with points of their own; a child is as tall as its age.
func TestTwoPeople(t *testing.T) {
	f, d := staged(t, twoPeople)
	s, list := Build(f, d, 0, Options{Detail: figure.Shadow})
	if s == nil || len(s.Others) != 1 {
		t.Fatal(list)
	}
	anna := s.Others[0].Mesh
	// the 2000 CDC median of girls of 8 is 1.28 m (from memory); hat and coarse cells add and take
	if h := anna.Bounds().Hi.Z; math.Abs(h-1.28) > 0.04 {
		t.Errorf("a girl of eight is %.2f m tall", h)
	}
	for _, n := range []string{"her hair", "Anna face key side", "Anna face shadow side", "face key side"} {
		i := s.PointNamed(n)
		if i < 0 {
			t.Errorf("no point %q", n)
			continue
		}
		who := geom.V(2.5, 3, 0)
		if strings.Contains(strings.ToLower(n), "her") || strings.Contains(n, "Anna") {
			who = geom.V(3.3, 3.2, 0)
		}
		if p := s.Points[i].At; math.Hypot(p.X-who.X, p.Y-who.Y) > 0.25 {
			t.Errorf("%s at %v", n, p)
		}
	}
	key, other := s.Points[s.PointNamed("Anna face key side")], s.Points[s.PointNamed("Anna face shadow side")]
	if key.At.X >= other.At.X {
		t.Error("the key side is turned from the light")
	}
	// the camera aims at her face
	if a := s.View.Axis.Dot(anna.Landmarks["face"].At.Sub(s.View.At).Unit()); a < 0.9999 {
		t.Errorf("aimed %.4f off her face", a)
	}
}

// A name that nobody has is told, with who there is.
func TestUnknownPerson(t *testing.T) {
	src := strings.Replace(twoPeople, "on: sitters.anna.hair edge", "on: sitters.ana.hair edge", 1)
	_, _, list := shoot.Parse("t", []byte(src), shoot.Options{})
	if text := fmt.Sprint(list); !strings.Contains(text, "sitters.Anna") {
		t.Error(text)
	}
}

// A figure of one's own stands where the drawn one would, with its points on its own surface: here
// the drawn one itself, written as a mesh in inches, turned and shifted.
func TestModel(t *testing.T) {
	p := figure.Man()
	p.Stature, p.Detail, p.Clothes, p.Hair = 1.82, figure.Shadow, figure.Jumper, figure.NoHair
	m := figure.Build(p)
	var obj bytes.Buffer
	to := func(v geom.Vec) geom.Vec { // faces x-, 0.3 m up
		return geom.V(-v.Y+0.7, v.X, v.Z+0.3).Mul(1 / 0.0254)
	}
	for _, v := range m.Pos {
		q := to(geom.V(float64(v[0]), float64(v[1]), float64(v[2])))
		fmt.Fprintf(&obj, "v %g %g %g\n", q.X, q.Y, q.Z)
	}
	for _, t := range m.Tri {
		fmt.Fprintf(&obj, "f %d %d %d\n", t[0]+1, t[1]+1, t[2]+1)
	}
	e := to(m.Landmarks["eyes"].At).Mul(0.0254)
	f, d := staged(t, fmt.Sprintf(`halfstop: 1
room:
  size: [6, 5, 3]
  surfaces: {walls: mid grey, floor: dark grey, ceiling: mid grey}
setups:
  - name: one
    camera: {at: [3, 0.5], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: [2.5, 3], faces: y-, figure: man, clothes: jumper, model: {mesh: me.obj, scale: 0.0254, eyes: [%g, %g,
      %g], facing: x-}}
`, e.X, e.Y, e.Z))
	s, list := Build(f, d, 0, Options{Detail: figure.Shadow, Files: func(string) ([]byte, error) {
		return obj.Bytes(), nil
	}})
	if s == nil {
		t.Fatal(list)
	}
	want := m.Placed(geom.V(2.5, 3, 0), figure.YawTo(geom.V(0, -1, 0)))
	for n, l := range want.Landmarks {
		// rays along the normal meet the same surface; a cell of the coarse mesh is 8 to 26 mm
		if off := s.Sitter.Landmarks[n].At.Sub(l.At).Len(); off > 0.03 {
			t.Errorf("%s lies %.0f mm off", n, off*1000)
		}
	}
}
