package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// TestGPUScene: what a page's graphics processor is sent has every triangle once, below the root
// of its kind; what moved is sent alone with the same numbers; a light that the page has no code
// for makes its layer foreign.
func TestGPUScene(t *testing.T) {
	build := func(x float64) (*Scene, int) {
		sc := New()
		white, err := sc.AddMaterial(Material{Name: "white", Diffuse: Grey(0.8)})
		if err != nil {
			t.Fatal(err)
		}
		pane, _ := sc.AddMaterial(Material{Name: "pane", Clear: Grey(0.9), Glass: 1.5})
		f := geom.FrameOf(geom.V(0, 0, 1))
		sc.AddBox(geom.V(2, 2, 1.25), f, geom.V(4, 4, 2.5), [6]int{white, white, white, white, white, white}, true)
		sc.AddQuad(geom.V(1, 1, 1), f, 0.5, 0.5, pane)
		moving := sc.Triangles()
		sc.AddBox(geom.V(x, 1, 2), f, geom.V(0.2, 0.2, 0.2), [6]int{white, white, white, white, white, white}, false)
		sc.AddEmitter(Disc(0, geom.V(x, 1, 1.8), geom.FrameOf(geom.V(0, 0, -1)), 0.1, 1000, nil, false, nil))
		sc.AddEmitter(Sky(1, func(geom.Vec) float64 { return 1 }))
		if err := sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		return sc, moving
	}
	sc, moving := build(2)
	g := sc.GPU(moving)
	if g.Counts != [3]int{12, 12, 2} || len(g.Tris) != 26 || len(g.Shades) != 26 {
		t.Fatalf("triangles %v, %d in all", g.Counts, len(g.Tris))
	}
	if g.FirstMoving != 14 || g.Roots[1] != g.FirstMovingNode {
		t.Errorf("what moves begins at triangle %d, node %d; its root is %d", g.FirstMoving, g.FirstMovingNode,
			g.Roots[1])
	}
	if g.Foreign[0] || !g.Foreign[1] {
		t.Errorf("foreign layers %v: a disc is known, a sky is not", g.Foreign)
	}
	if g.ClearMoves {
		t.Error("nothing clear moves here")
	}
	// A body has trees of its own, and is in no other.
	b := sc.GPU(moving, [2]int{4, 14})
	if b.Counts != [3]int{4, 12, 0} || len(b.Tris) != 26 || len(b.Bodies) != 1 ||
		min(b.Bodies[0][0], b.Bodies[0][1]) < 0 {
		t.Errorf("with a body: triangles %v, %d in all, bodies %v", b.Counts, len(b.Tris), b.Bodies)
	}
	after, _ := build(2.5)
	m := after.GPUMoving(moving, g.FirstMovingNode, g.FirstMoving)
	whole := after.GPU(moving)
	if len(m.Nodes) != len(whole.Nodes)-whole.FirstMovingNode || len(m.Tris) != 12 || m.Roots[1] != whole.Roots[1] {
		t.Fatalf("what moved has %d nodes and %d triangles", len(m.Nodes), len(m.Tris))
	}
	for i, n := range m.Nodes {
		if n != whole.Nodes[whole.FirstMovingNode+i] {
			t.Fatalf("node %d of what moved is another than in the whole", i)
		}
	}
	for i, tr := range m.Tris {
		if tr != whole.Tris[whole.FirstMoving+i] {
			t.Fatalf("triangle %d of what moved is another than in the whole", i)
		}
	}
	// The octahedral normals of a box come back within a hundredth of a degree.
	for _, n := range [][3]float32{{0, 0, 1}, {0, -1, 0}, {0.6, -0.48, -0.64}} {
		p := octahedral(n)
		x, y := float64(p>>16-1)/32767-1, float64(p&0xffff-1)/32767-1
		z := 1 - math.Abs(x) - math.Abs(y)
		if z < 0 {
			x, y = (1-math.Abs(y))*math.Copysign(1, x), (1-math.Abs(x))*math.Copysign(1, y)
		}
		v := geom.V(x, y, z).Unit()
		if d := v.Dot(geom.V(float64(n[0]), float64(n[1]), float64(n[2]))); d < math.Cos(0.01*math.Pi/180) {
			t.Errorf("%v comes back as %v", n, v)
		}
	}
}

// TestGPUTables: a table of an opening, or of a light that a photometric file describes, gives what
// the program computes for a direction.
func TestGPUTables(t *testing.T) {
	lean := func(w geom.Vec) float64 { return 1 + 0.5*w.X - 0.3*w.Y*w.Z }
	l := &GPUScene{}
	for _, n := range []geom.Vec{geom.V(0, 0, -1), geom.V(0, 0, 1), geom.V(0, 1, 0), geom.V(0.6, 0, -0.8)} {
		f := geom.UprightFrame(n)
		r := &rectangle{n: n, ex: f.S.Mul(1.5), ey: f.T.Mul(0.7), lx: 1.5, ly: 0.7, dir: lean}
		at, web := int(l.portal(r)), int(l.web(lean, n))
		f = geom.FrameOf(n)
		for k := range 200 {
			v := geom.V(math.Sin(float64(k)), math.Cos(2.3*float64(k)), math.Sin(0.7*float64(k))).Unit()
			// By the shares along the sides: the nearest entry, half a step off at most.
			if w := v; w.Dot(n) < -0.3 {
				i, j := int((w.Dot(r.ey)/r.ly+1)*32), int((w.Dot(r.ex)/r.lx+1)*32)
				if got := float64(l.Tables[at+i*64+j]); math.Abs(got-lean(w)) > 0.1 {
					t.Errorf("opening facing %v, from %v: %.3f, not %.3f", n, w, got, lean(w))
				}
			}
			deg := math.Acos(v.Dot(n)) * 180 / math.Pi
			turn := math.Atan2(v.Dot(f.T), v.Dot(f.S)) / (2 * math.Pi)
			i, j := int(deg+0.5), int(math.Round((turn-math.Floor(turn))*24))%24
			if got := float64(l.Tables[web+i*24+j]); math.Abs(got-lean(v)) > 0.12 {
				t.Errorf("light along %v, towards %v: %.3f, not %.3f", n, v, got, lean(v))
			}
		}
	}
}

// TestGPUCells: cells under a coat are listed behind the bare ones, each of their places with the
// side of the material whose coat lies over it.
func TestGPUCells(t *testing.T) {
	sc := New()
	bare := mat(t, sc, Material{Diffuse: Grey(0.7)})
	glossy := mat(t, sc, Material{Diffuse: Grey(0.3), Coat: 1.5, CoatAlpha: 0.2})
	sc.AddQuad(geom.V(0, 0, 0), upright(geom.V(0, 0, 1)), 4, 4, glossy)
	sc.AddQuad(geom.V(0, 2, 1), upright(geom.V(0, -1, 0)), 4, 2, bare)
	sc.AddEmitter(Disc(0, geom.V(0, 0, 2), upright(geom.V(0, 0, -1)), 0.1, 1000, nil, false, nil))
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	g := sc.GPU(sc.Triangles())
	lens := lensAt(geom.V(0, -1.5, 1.2), geom.V(0, 2, 0.5))
	cells, err := sc.GPUCells(t.Context(), &lens, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	half := 6 * cells.N[0] * cells.N[1] * cells.N[2]
	found := [2]int{}
	for i, c := range cells.At[:2*half] {
		if c < 0 {
			continue
		}
		under := i / half
		found[under]++
		for k := range 8 {
			side := int(cells.Places[64*int(c)+8*k+7])
			if side == 0 != (under == 0) {
				t.Fatalf("cell %v of kind %d has a place under material side %d", c, under, side)
			}
			if side > 0 && g.Mats[(side-1)*gpuMaterial+5*Bands+2] != 1.5 {
				t.Fatalf("side %d has no coat of index 1.5", side)
			}
		}
	}
	if found[0] < 10 || found[1] < 10 {
		t.Errorf("%d bare cells and %d under a coat", found[0], found[1])
	}
}
