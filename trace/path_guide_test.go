package trace

import (
	"context"
	"math"
	"testing"

	"halfstop/geom"
)

// twoRooms is a white-walled place of 6.1 × 4 × 2.7 m in two rooms, the wall between them open for
// w metres up to h; a lamp in the first.
func twoRooms(t *testing.T, w, h float64) *Scene {
	t.Helper()
	sc := New()
	wall, floor := mat(t, sc, Material{Diffuse: Grey(0.7)}), mat(t, sc, Material{Diffuse: Grey(0.3)})
	r := geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: up}
	all := [6]int{wall, wall, wall, wall, wall, wall}
	sc.AddBox(geom.V(3.05, 2, 1.35), r, geom.V(6.1, 4, 2.7), [6]int{wall, wall, wall, wall, floor, wall}, true)
	a := 2 - w/2
	sc.AddBox(geom.V(3.05, a/2, 1.35), r, geom.V(0.1, a, 2.7), all, false)
	sc.AddBox(geom.V(3.05, 4-a/2, 1.35), r, geom.V(0.1, a, 2.7), all, false)
	if h < 2.7 {
		sc.AddBox(geom.V(3.05, 2, (2.7+h)/2), r, geom.V(0.1, w, 2.7-h), all, false)
	}
	sc.AddEmitter(Sphere(0, geom.V(1.2, 1.2, 2), 0.05, up, 20000, nil, nil))
	sc.AddEmitter(Rectangle(1, geom.V(0.5, 3, 1.5), upright(geom.V(1, -1, -0.2).Unit()), 0.6, 0.9, 900, nil, false))
	return sc
}

// guided measures receptors with a path guide learned for all of them.
func guided(t *testing.T, sc *Scene, recs []Receptor, paths int, seed uint64) ([]Transport, *pathGuide) {
	t.Helper()
	m := &measurement{sc: sc, recs: recs, o: MeasureOptions{Seed: seed, Start: paths, Most: 2048,
		Weights: make([]float64, sc.Layers)}, threads: 2,
		out: make([]Transport, len(recs)), state: make([]receptorState, len(recs))}
	for l := range m.o.Weights {
		m.o.Weights[l] = 1
	}
	var ids []int
	for i := range recs {
		m.restart(i)
		m.state[i].goal = 16
		ids = append(ids, i)
	}
	ctx := context.Background()
	if !m.round(ctx, ids) || !m.learn(ctx, ids) {
		t.Fatal("stopped")
	}
	for _, i := range ids {
		m.state[i].goal = paths
	}
	m.round(ctx, ids)
	for _, i := range ids {
		m.sum(i)
	}
	return m.out, m.guide
}

// TestPathGuide: measured by a path guide light is the same within 4 joint standard errors (32
// comparisons: one false alarm in 500), by layer, through a door, in a room with every kind of
// surface, and past the edge of a flag; through a door it takes under half the paths.
func TestPathGuide(t *testing.T) {
	flag := func() (*Scene, []Receptor) {
		sc := New()
		black := mat(t, sc, Material{Diffuse: Grey(0.04)})
		sc.AddEmitter(Rectangle(0, geom.V(0, 0, 3), upright(down), 0.6, 0.6, 1000, nil, false))
		sc.AddEmitter(Disc(1, geom.V(2, 0, 2), upright(geom.V(-1, 0, -1).Unit()), 0.2, 500, nil, false, nil))
		sc.AddQuad(geom.V(0.98, 0, 1.5), upright(down), 2, 2, black)
		return sc, []Receptor{{Kind: Flat, At: geom.V(0.29, 0, 0), Facing: up},
			{Kind: Dome, At: geom.V(0.25, 0.1, 0), Facing: geom.V(1, 0, 1).Unit()}}
	}
	door, doorAt := twoRooms(t, 0.5, 2), []Receptor{{Kind: Flat, At: geom.V(5, 2, 1.2), Facing: geom.V(-1, 0, 0)},
		{Kind: Flat, At: geom.V(4, 0.6, 1.2), Facing: geom.V(0, 1, 0)},
		{Kind: Spot, At: geom.V(4, 3, 1.2), Facing: geom.V(1, -0.3, 0).Unit(), Angle: 0.02}}
	room, roomAt := furnished(t, 1, 0, geom.Vec{}, nil)
	edge, edgeAt := flag()
	for _, c := range []struct {
		name string
		sc   *Scene
		at   []Receptor
	}{{"door", door, doorAt}, {"room", room, roomAt}, {"flag", edge, edgeAt}} {
		plain := measureAll(t, c.sc, c.at, MeasureOptions{Seed: 2, Start: 512, Most: 512})
		by, g := guided(t, c.sc, c.at, 256, 3)
		for i := range c.at {
			gain := 0.0
			for l := range c.sc.Layers {
				a, sa := meanOf(&by[i], l)
				b, sb := meanOf(&plain[i], l)
				same(t, c.name, a, sa, b, sb)
				if a > 0 {
					gain = max(gain, sb*sb/(sa*sa)*512/256)
				}
			}
			t.Logf("%s %d: %.1f times fewer paths", c.name, i, gain)
			if c.name == "door" && gain < 2 {
				t.Errorf("door, receptor %d: only %.1f times fewer paths", i, gain)
			}
		}
		if c.name == "door" && len(g.portals) == 0 {
			t.Error("no portal found")
		}
	}
}

// The portals of a gap lie in its two mouths and are as wide and as high as it is.
func TestPortals(t *testing.T) {
	sc := twoRooms(t, 0.1, 2.7)
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	_, g := guided(t, sc, []Receptor{{Kind: Flat, At: geom.V(5, 2, 1.2), Facing: geom.V(-1, 0, 0)},
		{Kind: Flat, At: geom.V(4.5, 2.5, 1.2), Facing: geom.V(1, 0, 0)}}, 16, 1)
	covered := 0.0
	for _, p := range g.portals {
		if m := p.corner.AddMul(p.ex, 0.5).AddMul(p.ey, 0.5); math.Abs(p.n.X) < 0.99 || math.Abs(m.Y-2) > 0.02 ||
			m.X < 2.9 || m.X > 3.2 {
			continue
		}
		w, h := min(p.lx, p.ly), max(p.lx, p.ly)
		t.Logf("%.3f × %.3f m at %v", w, h, p.corner)
		if w > 0.09 && w < 0.14 {
			covered = max(covered, h)
		}
	}
	if covered < 2 {
		t.Errorf("the gap of 0.1 × 2.7 m is covered for %.2f m", covered)
	}
}
