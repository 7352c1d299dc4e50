package scan

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"halfstop/mesh"
)

// maker builds a room as a phone would scan it.
type maker struct {
	m    *mesh.Mesh
	r    *rand.Rand
	step float64 // of its squares, metres; 0: 10 cm
}

// quad adds a rectangle from a along u and v in squares of about 10 cm, with noise on its corners.
func (k *maker) quad(a, u, v [3]float64, colour [3]uint8, noise float64) {
	lu, lv := math.Sqrt(sq(u[0])+sq(u[1])+sq(u[2])), math.Sqrt(sq(v[0])+sq(v[1])+sq(v[2]))
	step := k.step
	if step == 0 {
		step = 0.1
	}
	nu, nv := max(1, int(lu/step)), max(1, int(lv/step))
	base := uint32(len(k.m.Pos))
	for j := range nv + 1 {
		for i := range nu + 1 {
			var p [3]float32
			for c := range 3 {
				p[c] = float32(a[c] + u[c]*float64(i)/float64(nu) + v[c]*float64(j)/float64(nv) +
					noise*k.r.NormFloat64())
			}
			k.m.Pos = append(k.m.Pos, p)
			k.m.Colours = append(k.m.Colours, colour)
		}
	}
	w := uint32(nu + 1)
	for j := range uint32(nv) {
		for i := range uint32(nu) {
			p := base + j*w + i
			k.m.Tris = append(k.m.Tris, [3]uint32{p, p + 1, p + w}, [3]uint32{p + 1, p + w + 1, p + w})
		}
	}
}

func (k *maker) box(x, y, z, w, d, h, noise float64) {
	c := [3]uint8{120, 80, 60}
	k.quad([3]float64{x, y, z + h}, [3]float64{w, 0, 0}, [3]float64{0, d, 0}, c, noise)
	k.quad([3]float64{x, y, z}, [3]float64{w, 0, 0}, [3]float64{0, 0, h}, c, noise)
	k.quad([3]float64{x, y + d, z}, [3]float64{w, 0, 0}, [3]float64{0, 0, h}, c, noise)
	k.quad([3]float64{x, y, z}, [3]float64{0, d, 0}, [3]float64{0, 0, h}, c, noise)
	k.quad([3]float64{x + w, y, z}, [3]float64{0, d, 0}, [3]float64{0, 0, h}, c, noise)
}

// room builds w × d × h, as an L where cw and cd are over 0 (the corner at high x, high y is
// missing), with furniture, 1 cm of noise.
func room(seed uint64, w, d, h, cw, cd float64) *mesh.Mesh {
	k := &maker{m: &mesh.Mesh{Colours: [][3]uint8{}}, r: rand.New(rand.NewPCG(seed, 1))}
	const noise = 0.01
	grey, white, dark := [3]uint8{160, 160, 150}, [3]uint8{230, 230, 230}, [3]uint8{90, 80, 70}
	slab := func(z float64, c [3]uint8) {
		k.quad([3]float64{0, 0, z}, [3]float64{w, 0, 0}, [3]float64{0, d - cd, 0}, c, noise)
		if cd > 0 {
			k.quad([3]float64{0, d - cd, z}, [3]float64{w - cw, 0, 0}, [3]float64{0, cd, 0}, c, noise)
		}
	}
	slab(0, dark)
	slab(h, white)
	wall := func(x0, y0, x1, y1 float64) {
		k.quad([3]float64{x0, y0, 0}, [3]float64{x1 - x0, y1 - y0, 0}, [3]float64{0, 0, h}, grey, noise)
	}
	wall(0, 0, w, 0)
	wall(0, 0, 0, d)
	wall(w, 0, w, d-cd)
	wall(0, d, w-cw, d)
	if cd > 0 {
		wall(w-cw, d-cd, w, d-cd)
		wall(w-cw, d-cd, w-cw, d)
	}
	k.box(0.6, 0.6, 0, 1.2, 0.7, 0.75, noise)
	k.box(2.0, 0.4, 0, 0.5, 0.5, 0.45, noise)
	return k.m
}

// placed puts a room somewhere else, turned, in another unit, with y up.
func placed(m *mesh.Mesh, deg, unit float64, yUp bool) *mesh.Mesh {
	c, s := math.Cos(deg*math.Pi/180), math.Sin(deg*math.Pi/180)
	out := &mesh.Mesh{Tris: m.Tris, Colours: m.Colours}
	for _, p := range m.Pos {
		x, y, z := float64(p[0])*c-float64(p[1])*s+3.3, float64(p[0])*s+float64(p[1])*c-7.1, float64(p[2])+1.4
		if yUp {
			y, z = z, -y
		}
		out.Pos = append(out.Pos, [3]float32{float32(x * unit), float32(y * unit), float32(z * unit)})
	}
	return out
}

// TestFind: rooms of known size, turned, in metres, centimetres and millimetres, y up and z up,
// noisy and furnished, are found within 2 cm, L shapes within a cell of the floor's grid.
func TestFind(t *testing.T) {
	for i, c := range []struct {
		w, d, h, cw, cd float64
		deg, unit       float64
		yUp             bool
		word            string
	}{
		{5, 4, 2.6, 0, 0, 0, 1, false, "m"}, {5, 4, 2.6, 0, 0, 31, 1, true, "m"}, {9, 3.2, 2.4, 0, 0, -17, 1000,
			false, "mm"},
		{7, 6, 3.1, 2.5, 2, 12, 100, true, "cm"}, {6, 5, 2.5, 3, 1.5, 77, 1, false, "m"},
	} {
		r, err := Find(placed(room(uint64(i), c.w, c.d, c.h, c.cw, c.cd), c.deg, c.unit, c.yUp), Options{})
		if err != nil {
			t.Fatalf("room %d: %v", i, err)
		}
		want := "z+"
		if c.yUp {
			want = "y+"
		}
		if r.Unit != c.word || r.Up != want {
			t.Errorf("room %d: unit %s, up %s; want %s, %s", i, r.Unit, r.Up, c.word, want)
		}
		x, y := 0.0, 0.0
		for _, p := range r.Outline {
			x, y = max(x, p[0]), max(y, p[1])
		}
		if math.Abs(x-c.w) > 0.02 || math.Abs(y-c.d) > 0.02 || math.Abs(r.Ceiling-c.h) > 0.02 {
			t.Errorf("room %d: %.3f × %.3f × %.3f m, want %g × %g × %g", i, x, y, r.Ceiling, c.w, c.d, c.h)
		}
		area := 0.0
		for a, b := 0, len(r.Outline)-1; a < len(r.Outline); b, a = a, a+1 {
			area += (r.Outline[b][0]*r.Outline[a][1] - r.Outline[a][0]*r.Outline[b][1]) / 2
		}
		// A cell of 5 cm along both sides of the missing corner.
		if full := c.w*c.d - c.cw*c.cd; math.Abs(area-full) > 0.1*(c.cw+c.cd)+0.15 {
			t.Errorf("room %d: floor %.2f m², want %.2f", i, area, full)
		}
		for _, l := range r.Lines(Assumed, "scan.ply") {
			if strings.Contains(l.Value, "-0.00") {
				t.Errorf("room %d: %s: %s", i, l.Path, l.Value)
			}
		}
		if r.Things == nil || r.FloorSeen < 0.9 {
			t.Fatalf("room %d: no furniture, or floor seen %.2f", i, r.FloorSeen)
		}
		for _, p := range r.Things.Pos {
			if p[2] > 0.85 || edge(r.Outline, float64(p[0]), float64(p[1])) < -0.05 {
				t.Fatalf("room %d: furniture at %v", i, p)
			}
		}
		if f, w := r.Colours["floor"], r.Colours["walls"]; !(f[1] < w[1] && w[1] < r.Colours["ceiling"][1]) {
			t.Errorf("room %d: colours %v", i, r.Colours)
		}
	}
}

// shaped builds a room by its corners: floor and ceiling as strips of 10 cm, walls, noise of 1 cm,
// with clutter: a cupboard of 2.1 m against the first wall whose floor is not seen, a table, and
// holes: of the floor what lies under them, of each wall a window's worth.
func shaped(seed uint64, corners [][2]float64, h float64) *mesh.Mesh {
	k := &maker{m: &mesh.Mesh{Colours: [][3]uint8{}}, r: rand.New(rand.NewPCG(seed, 2))}
	const noise = 0.01
	grey, white, dark := [3]uint8{160, 160, 150}, [3]uint8{230, 230, 230}, [3]uint8{90, 80, 70}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range corners {
		lo, hi = min(lo, c[1]), max(hi, c[1])
	}
	cupboard := func(x, y float64) bool { // along the first wall, 0.6 m deep
		a, b := corners[0], corners[1]
		l := dist(a, b)
		u := ((x-a[0])*(b[0]-a[0]) + (y-a[1])*(b[1]-a[1])) / l
		v := ((b[0]-a[0])*(y-a[1]) - (b[1]-a[1])*(x-a[0])) / l
		return u > 0.3*l && u < 0.3*l+0.9 && v < 0.6
	}
	for y := lo; y < hi-1e-9; y += 0.1 {
		at := min(y+0.05, hi-1e-6)
		var xs []float64
		for i, p := range corners {
			if q := corners[(i+1)%len(corners)]; (p[1] > at) != (q[1] > at) {
				xs = append(xs, p[0]+(q[0]-p[0])*(at-p[1])/(q[1]-p[1]))
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			n := max(1, int((xs[i+1]-xs[i])/0.1))
			step := (xs[i+1] - xs[i]) / float64(n)
			for j := range n {
				x := xs[i] + float64(j)*step
				u, v := [3]float64{step, 0, 0}, [3]float64{0, min(0.1, hi-y), 0}
				if cupboard(x+step/2, at) {
					k.quad([3]float64{x, y, 2.1}, u, v, dark, noise)
				} else {
					k.quad([3]float64{x, y, 0}, u, v, dark, noise)
				}
				k.quad([3]float64{x, y, h}, u, v, white, noise)
			}
		}
	}
	mx, my := (corners[0][0]+corners[1][0])/2, 1.2
	k.box(mx-0.6, my-0.35, 0, 1.2, 0.7, 0.75, noise)
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		at := func(t, z float64) [3]float64 { return [3]float64{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1]), z} }
		part := func(t0, z0, t1, z1 float64) {
			a, b := at(t0, z0), at(t1, z0)
			k.quad(a, [3]float64{b[0] - a[0], b[1] - a[1], 0}, [3]float64{0, 0, z1 - z0}, grey, noise)
		}
		if dist(p, q) < 1.5 {
			part(0, 0, 1, h)
			continue
		}
		part(0, 0, 0.35, h) // and a window from 0.9 to 2.1 m
		part(0.65, 0, 1, h)
		part(0.35, 0, 0.65, 0.9)
		part(0.35, 2.1, 0.65, h)
	}
	return k.m
}

// TestShapes: rooms that are neither rectangles nor Ls, scanned with noise of 1 cm, windows that
// were not seen, a cupboard that hides the floor, turned by any angle: every corner is found
// within 5 cm, and there are no others. A rule of thumb for a phone's scan is 1 % of a length.
func TestShapes(t *testing.T) {
	for name, corners := range map[string][][2]float64{
		"U":           {{0, 0}, {7, 0}, {7, 5}, {5, 5}, {5, 2.5}, {2, 2.5}, {2, 5}, {0, 5}},
		"T":           {{2, 0}, {4.5, 0}, {4.5, 3}, {6.5, 3}, {6.5, 6}, {0, 6}, {0, 3}, {2, 3}},
		"breast":      {{0, 0}, {5, 0}, {5, 4}, {3.3, 4}, {3.3, 3.6}, {1.7, 3.6}, {1.7, 4}, {0, 4}},
		"slanted":     {{0, 0}, {5, 0}, {6.5, 4}, {0, 4}},
		"bay":         {{0, 0}, {6, 0}, {6, 4}, {4.2, 4}, {3.6, 4.9}, {2.4, 4.9}, {1.8, 4}, {0, 4}},
		"cut corner":  {{0, 0}, {5, 0}, {5, 2.6}, {3.6, 4}, {0, 4}},
		"attic strip": {{0, 0}, {11, 0}, {11, 2.2}, {0, 2.2}},
	} {
		for i, deg := range []float64{0, 24} {
			m := placed(shaped(uint64(i), corners, 2.6), deg, 1, i == 0)
			r, err := Find(m, Options{})
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			if want := map[bool]string{true: "y+", false: "z+"}[i == 0]; r.Up != want {
				if r.UpSure {
					t.Errorf("%s: %s is up, and that is called sure", name, r.Up)
				}
				if r, err = Find(m, Options{Up: want}); err != nil {
					t.Fatal(err)
				}
			}
			// Which way round it lies is free: the best of four turns.
			best := math.Inf(1)
			for q := range 4 {
				worst := 0.0
				mine := quarters(r.Outline, q)
				lo := lowest(corners)
				for _, c := range corners {
					near := math.Inf(1)
					for _, p := range mine {
						near = min(near, dist(p, [2]float64{c[0] - lo[0], c[1] - lo[1]}))
					}
					worst = max(worst, near)
				}
				best = min(best, worst)
			}
			t.Logf("%s at %g°: %d corners, off by %.3f m at most", name, deg, len(r.Outline), best)
			if len(r.Outline) != len(corners) || best > 0.05 || math.Abs(r.Ceiling-2.6) > 0.02 {
				t.Errorf("%s at %g°: off by %.3f m, %.2f m high, %d corners: %.2f", name, deg, best, r.Ceiling,
					len(r.Outline), r.Outline)
			}
		}
	}
}

// TestFine: squares of 3 cm with noise of 1 cm at every corner, so that single triangles point
// anywhere: the walls' direction comes from where they stand, the sides are right to 2 cm.
func TestFine(t *testing.T) {
	k := &maker{m: &mesh.Mesh{}, r: rand.New(rand.NewPCG(4, 4)), step: 0.03}
	const w, d, h, noise = 4.2, 3.1, 2.6, 0.01
	for _, z := range []float64{0, h} {
		k.quad([3]float64{0, 0, z}, [3]float64{w, 0, 0}, [3]float64{0, d, 0}, [3]uint8{}, noise)
	}
	for _, q := range [][4]float64{{0, 0, w, 0}, {0, d, w, d}, {0, 0, 0, d}, {w, 0, w, d}} {
		k.quad([3]float64{q[0], q[1], 0}, [3]float64{q[2] - q[0], q[3] - q[1], 0}, [3]float64{0, 0, h}, [3]uint8{},
			noise)
	}
	for _, deg := range []float64{0, 17} {
		r, err := Find(placed(k.m, deg, 1, false), Options{Unit: "m", Up: "z+"})
		if err != nil || len(r.Outline) != 4 {
			t.Fatalf("%v %+v", err, r)
		}
		c := r.Outline[2]
		if math.Abs(c[0]-w) > 0.02 || math.Abs(c[1]-d) > 0.02 || math.Abs(r.Ceiling-h) > 0.02 {
			t.Errorf("turned by %g°: %.3f × %.3f × %.3f m", deg, c[0], c[1], r.Ceiling)
		}
	}
}

// TestSimplify: a finely divided flat square keeps its plane; the stated error is the most that a
// corner moved.
func TestSimplify(t *testing.T) {
	k := &maker{m: &mesh.Mesh{}, r: rand.New(rand.NewPCG(1, 1))}
	for i := range 40 {
		k.quad([3]float64{float64(i%8) * 0.5, float64(i/8) * 0.5, 0.3}, [3]float64{0.5, 0, 0},
			[3]float64{0, 0.5, 0}, [3]uint8{}, 0)
	}
	m, moved := simplify(triangles(k.m, 1), 200)
	if len(m.Tris) > 200 || len(m.Tris) < 20 {
		t.Fatalf("%d triangles", len(m.Tris))
	}
	for _, p := range m.Pos {
		if math.Abs(float64(p[2])-0.3) > 1e-4 {
			t.Errorf("a corner left the plane: %v", p)
		}
	}
	if moved <= 0 || moved > 0.5 {
		t.Errorf("moved by %g m", moved)
	}
}

// TestRefusals: what is no room is said.
func TestRefusals(t *testing.T) {
	m := room(1, 5, 4, 2.6, 0, 0)
	if _, err := Find(placed(m, 0, 1e-4, false), Options{}); err == nil {
		t.Error("a room of half a millimetre was taken")
	}
	if _, err := Find(m, Options{Unit: "furlong"}); err == nil {
		t.Error("furlongs were taken")
	}
	if _, err := Find(m, Options{Up: "left"}); err == nil {
		t.Error("left is up")
	}
	r, err := Find(m, Options{Cut: [][6]float64{{0.3, 0.3, -0.1, 3, 2, 1}}})
	if err != nil || r.Things != nil {
		t.Errorf("%v; what was cut out is still there", err)
	}
}

// BenchmarkMillion: a million triangles found and simplified.
func BenchmarkMillion(b *testing.B) {
	k := &maker{m: &mesh.Mesh{}, r: rand.New(rand.NewPCG(1, 1))}
	for len(k.m.Tris) < 1_000_000 {
		m := room(uint64(len(k.m.Tris)), 8, 6, 3, 0, 0)
		base := uint32(len(k.m.Pos))
		k.m.Pos = append(k.m.Pos, m.Pos...)
		for _, t := range m.Tris {
			k.m.Tris = append(k.m.Tris, [3]uint32{t[0] + base, t[1] + base, t[2] + base})
		}
	}
	for b.Loop() {
		if _, err := Find(k.m, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
