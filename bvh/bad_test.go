package bvh

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

var (
	nan = float32(math.NaN())
	inf = float32(math.Inf(1))
)

func TestEmpty(t *testing.T) {
	for _, tr := range []*Tree{Build(nil, nil), {}, Build([][3]float32{{nan, 0, 0}}, [][3]uint32{{0, 0, 0}})} {
		q := Ray{D: [3]float32{1, 0, 0}, TMax: 1}
		if h := tr.Closest(&q); h != (Hit{Prim: NoHit}) || tr.Occluded(&q) {
			t.Fatal(h)
		}
		if lo, hi := tr.Bounds(); lo != hi || tr.Triangles() != 0 {
			t.Fatal(lo, hi)
		}
		tr.SetAccelerated(true)
		if tr.Accelerated() || tr.Closest(&q).Prim != NoHit {
			t.Fatal("an empty tree has no assembly to run")
		}
	}
}

// TestSameSpot: more coincident triangles than a leaf holds; the lowest index must win.
func TestSameSpot(t *testing.T) {
	v := [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}
	f := make([][3]uint32, 5000)
	for i := range f {
		f[i] = [3]uint32{0, 1, 2}
	}
	for name, tr := range walks(v, f) {
		if h := tr.Closest(&Ray{O: [3]float32{0.2, 0.2, 1}, D: [3]float32{0, 0, -1}, TMin: 1e-4,
			TMax: 9}); h.Prim != 0 || h.T != 1 {
			t.Fatalf("%s: %+v", name, h)
		}
	}
}

// TestDegenerate: triangles that cannot be met are reported and left out; the good one among them
// is found.
func TestDegenerate(t *testing.T) {
	v := [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {nan, 0, 0}, {0, inf, 0}, {0, 0, -inf}, {2e9, 0, 0}, {0.5, 0, 0}}
	bad := [][3]uint32{{0, 1, 3}, {4, 1, 2}, {0, 5, 2}, {6, 1, 2}, {0, 1, 99}, {math.MaxUint32, 1, 2}}
	noArea := [][3]uint32{{0, 0, 0}, {0, 1, 1}, {0, 1, 7}}
	f := append(append(append([][3]uint32{}, bad...), noArea...), [3]uint32{0, 1, 2})
	q := Ray{O: [3]float32{0.2, 0.2, 1}, D: [3]float32{0, 0, -1}, TMax: 9}
	for name, tr := range walks(v, f) {
		if h := tr.Closest(&q); h.Prim != uint32(len(f)-1) || h.T != 1 || !tr.Occluded(&q) {
			t.Errorf("%s: %+v", name, h)
		}
		if tr.Triangles() != len(noArea)+1 {
			t.Errorf("%s: %d triangles", name, tr.Triangles())
		}
		if lo, hi := tr.Bounds(); lo != [3]float32{} || hi != [3]float32{1, 1, 0} {
			t.Errorf("%s: %v %v", name, lo, hi)
		}
		if b := tr.Bytes(); b < 100 || b > 10000 {
			t.Errorf("%s: %d bytes", name, b)
		}
	}
	for i := range bad {
		if Check(v, bad[i:i+1]) == nil {
			t.Errorf("Check let %v through", bad[i])
		}
	}
	if err := Check(v, f[len(bad):]); err != nil {
		t.Error(err)
	}
	many := make([][3]uint32, MaxTriangles+1)
	if err := Check(v, many); !errors.Is(err, ErrTooMany) {
		t.Error(err)
	}
	if Build(v, many).Triangles() != 0 {
		t.Error("too many triangles should give an empty tree")
	}
}

// TestBadRays: rays that name no line meet nothing and end.
func TestBadRays(t *testing.T) {
	v, f := soup(3000, 5)
	bad := []float32{nan, inf, -inf}
	for name, tr := range walks(v, f) {
		good := Ray{O: [3]float32{0.5, 0.5, -1}, D: [3]float32{v[0][0] - 0.5, v[0][1] - 0.5, v[0][2] + 1}, TMax: inf}
		if !tr.Occluded(&good) {
			t.Fatal("the good ray should hit")
		}
		rays := []Ray{{}, {TMax: 1}, {O: good.O, TMax: inf}, {O: good.O, D: [3]float32{1e-30, 0, 0}, TMax: inf},
			{O: good.O, D: good.D, TMin: nan, TMax: 1}, {O: good.O, D: good.D, TMax: nan},
			{O: good.O, D: good.D, TMax: -1},
			{O: good.O, D: good.D, TMin: 2, TMax: 1}, {O: good.O, D: good.D, TMin: inf, TMax: inf}}
		for _, b := range bad {
			for a := range 3 {
				p, d := good, good
				p.O[a], d.D[a] = b, b
				rays = append(rays, p, d)
			}
		}
		for _, q := range rays {
			if h := tr.Closest(&q); h != (Hit{Prim: NoHit}) || tr.Occluded(&q) {
				t.Errorf("%s: %+v: %+v", name, q, h)
			}
		}
	}
}

// TestScale: the answer does not depend on the length of the direction or on the size of the world.
// Powers of two scale float32 without rounding, so t must scale exactly.
func TestScale(t *testing.T) {
	v, f := soup(300, 9)
	big := make([][3]float32, len(v))
	for i := range v {
		for a := range 3 {
			big[i][a] = v[i][a] * 1024
		}
	}
	small, large := walks(v, f), walks(big, f)
	r := rand.New(rand.NewPCG(8, 8))
	for range 3000 {
		q := ray(r)
		q.TMin, q.TMax = 0, inf
		long, far := q, q
		for a := range 3 {
			long.D[a] *= 1 << 20
			far.O[a] *= 1024
		}
		for name := range small {
			h := small[name].Closest(&q)
			if g := small[name].Closest(&long); g.Prim != h.Prim || g.T != h.T/(1<<20) {
				t.Fatalf("%s: %+v: %+v, with a long direction %+v", name, q, h, g)
			}
			if g := large[name].Closest(&far); g.Prim != h.Prim || g.T != h.T*1024 || g.U != h.U || g.V != h.V {
				t.Fatalf("%s: %+v: %+v, in a large world %+v", name, q, h, g)
			}
		}
	}
}

// TestMedian walks trees that were built by middle splits because the others were said to need too
// much room.
func TestMedian(t *testing.T) {
	v, f := soup(3000, 5)
	want := build(v, f, true, stackLen)
	for _, wide := range []bool{true, false} {
		tr := build(v, f, wide, 2)
		usual := build(v, f, wide, stackLen)
		if len(tr.nodes) == len(usual.nodes) && len(tr.nodes4) == len(usual.nodes4) {
			t.Fatal("the middle splits were not taken")
		}
		r := rand.New(rand.NewPCG(6, 6))
		for range 5000 {
			q := ray(r)
			if g, h := tr.Closest(&q), want.Closest(&q); g != h || tr.Occluded(&q) != (h.Prim != NoHit) {
				t.Fatalf("wide %v, %+v: %+v, not %+v", wide, q, g, h)
			}
		}
	}
}

// TestDeep builds over triangles whose sizes and places fall by powers of two, which makes area
// splits peel off a few at a time, and over many on one spot and on one line.
func TestDeep(t *testing.T) {
	start := time.Now()
	var v [][3]float32
	var f [][3]uint32
	add := func(a, b, c [3]float32) {
		n := uint32(len(v))
		v, f = append(v, a, b, c), append(f, [3]uint32{n, n + 1, n + 2})
	}
	for i := range 4000 {
		s := float32(math.Exp2(float64(20 - i%50)))
		p := [3]float32{s, 0, 0}
		add(p, [3]float32{s, s, 0}, [3]float32{s, 0, s})
		p[i%3] = s
		add(p, [3]float32{s, s, s}, [3]float32{s * 1.01, 0, s})
		add([3]float32{1, 1, 1}, [3]float32{1, 2, 1}, [3]float32{1, 1, 2})
		add([3]float32{float32(i), 0, 0}, [3]float32{float32(i), 0, 0}, [3]float32{float32(i) + 1, 0, 0})
	}
	ws := walks(v, f)
	r := rand.New(rand.NewPCG(1, 9))
	hits := 0
	for range 5000 {
		s := float32(math.Exp2(float64(r.IntN(50)) - 29))
		q := Ray{O: [3]float32{-1, r.Float32() * s, r.Float32() * s}, D: [3]float32{1, 0.1 * r.Float32(), 0}, TMax: inf}
		h := ws["plain8"].Closest(&q)
		if h.Prim != NoHit {
			hits++
		}
		for name, tr := range ws {
			if g := tr.Closest(&q); g != h {
				t.Fatalf("%s: %+v: %+v, not %+v", name, q, g, h)
			}
		}
	}
	if hits < 1000 {
		t.Error("only", hits, "hits")
	}
	// A tenth of this is usual; a hang or a quadratic build is not.
	if d := time.Since(start); d > 20*time.Second {
		t.Error("took", d)
	}
}

func TestNoAllocation(t *testing.T) {
	v, f := soup(3000, 5)
	q := Ray{O: [3]float32{0.5, 0.5, -1}, D: [3]float32{0.01, 0.02, 1}, TMax: inf}
	for name, tr := range walks(v, f) {
		if n := testing.AllocsPerRun(100, func() { tr.Closest(&q); tr.Occluded(&q) }); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}

// FuzzRay holds the walks to each other for any ray at all.
func FuzzRay(f *testing.F) {
	m := &mesh{}
	m.v, m.f = soup(200, 4)
	m.ball(5, [3]float64{0.5, 0.5, 0.5}, [3]float64{0.5, 0.4, 0.3}, func(x, y, z float64) float64 { return 0 })
	ws := walks(m.v, m.f)
	f.Add(float32(0.5), float32(0.5), float32(-1), float32(0), float32(0), float32(1), float32(0), inf)
	f.Add(float32(0), float32(0), float32(0), nan, float32(0), float32(1), float32(0), float32(1))
	f.Add(float32(1e15), float32(0), float32(0), float32(-1e18), float32(1e-20), float32(1), float32(0), inf)
	f.Add(float32(0.5), float32(0.5), float32(0.5), float32(1e-18), float32(0), float32(0), float32(-1), inf)
	f.Fuzz(func(t *testing.T, ox, oy, oz, dx, dy, dz, t0, t1 float32) {
		q := Ray{O: [3]float32{ox, oy, oz}, D: [3]float32{dx, dy, dz}, TMin: t0, TMax: t1}
		h := ws["plain8"].Closest(&q)
		if h.T != h.T || h.U != h.U || h.V != h.V {
			t.Fatalf("%+v: %+v", q, h)
		}
		for name, tr := range ws {
			if g := tr.Closest(&q); g != h || tr.Occluded(&q) != (h.Prim != NoHit) {
				t.Fatalf("%s: %+v: %+v, not %+v", name, q, g, h)
			}
		}
	})
}
