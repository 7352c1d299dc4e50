package bvh

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"
)

// mesh gathers triangles.
type mesh struct {
	v [][3]float32
	f [][3]uint32
}

// patch adds a grid of nu by nv quads of the surface p(u, v), u and v from 0 to 1.
func (m *mesh) patch(nu, nv int, p func(u, v float64) [3]float64) {
	base := uint32(len(m.v))
	for j := range nv + 1 {
		for i := range nu + 1 {
			q := p(float64(i)/float64(nu), float64(j)/float64(nv))
			m.v = append(m.v, [3]float32{float32(q[0]), float32(q[1]), float32(q[2])})
		}
	}
	for j := range nv {
		for i := range nu {
			a := base + uint32(j*(nu+1)+i)
			b := a + uint32(nu) + 1
			m.f = append(m.f, [3]uint32{a, a + 1, b + 1}, [3]uint32{a, b + 1, b})
		}
	}
}

func (m *mesh) box(lo, hi [3]float64) {
	for a := range 3 {
		b, c := (a+1)%3, (a+2)%3
		for side := range 2 {
			m.patch(1, 1, func(u, v float64) [3]float64 {
				var p [3]float64
				p[a] = [2]float64{lo[a], hi[a]}[side]
				p[b] = lo[b] + u*(hi[b]-lo[b])
				p[c] = lo[c] + v*(hi[c]-lo[c])
				return p
			})
		}
	}
}

// ball adds a sphere whose radius is moved by bump.
func (m *mesh) ball(n int, at [3]float64, r [3]float64, bump func(x, y, z float64) float64) {
	m.patch(2*n, n, func(u, v float64) [3]float64 {
		s, c := math.Sincos(2 * math.Pi * u)
		t, z := math.Sincos(math.Pi * v)
		x, y := c*t, s*t
		k := 1 + bump(x, y, z)
		return [3]float64{at[0] + r[0]*k*x, at[1] + r[1]*k*y, at[2] + r[2]*k*z}
	})
}

// room is 6 × 4 × 2.7 m with about 165,000 triangles: a bumpy figure in the middle, a curtain,
// shelves of boxes, balls.
func room() *mesh {
	m := &mesh{}
	m.box([3]float64{0, 0, 0}, [3]float64{6, 4, 2.7})
	bumps := func(x, y, z float64) float64 {
		return 0.08*math.Sin(9*x)*math.Sin(8*y)*math.Sin(7*z) + 0.02*math.Sin(40*x+3*z)*math.Sin(37*y)
	}
	m.ball(100, [3]float64{3, 2, 1.6}, [3]float64{0.11, 0.13, 0.16}, bumps)
	m.ball(110, [3]float64{3, 2, 1.1}, [3]float64{0.25, 0.18, 0.4}, bumps)
	m.ball(60, [3]float64{2.85, 2, 0.4}, [3]float64{0.1, 0.1, 0.45}, bumps)
	m.ball(60, [3]float64{3.15, 2, 0.4}, [3]float64{0.1, 0.1, 0.45}, bumps)
	m.patch(200, 60, func(u, v float64) [3]float64 { // a curtain
		return [3]float64{5.8 + 0.06*math.Sin(60*u+2*v), 0.3 + 3*u, 0.1 + 2.4*v}
	})
	r := rand.New(rand.NewPCG(20, 26))
	for i := range 2000 { // books and things on shelves
		x, z := 0.1+5*r.Float64(), 0.3+0.4*float64(i%5)
		w, h := 0.02+0.03*r.Float64(), 0.15+0.15*r.Float64()
		m.box([3]float64{x, 3.7, z}, [3]float64{x + w, 3.9, z + h})
	}
	for i := range 12 { // a plant of balls
		m.ball(20, [3]float64{0.6 + 0.3*r.Float64(), 0.6 + 0.3*r.Float64(), 0.4 + 0.1*float64(i)},
			[3]float64{0.1, 0.1, 0.05}, func(x, y, z float64) float64 { return 0.2 * math.Sin(12*x) * math.Sin(11*y) })
	}
	return m
}

// roomRays returns rays of the kinds that light transport sends: from the camera, bounced twice
// with a cosine lobe, and towards a lamp.
func roomRays(t *Tree, m *mesh, n int) map[string][]Ray {
	r := rand.New(rand.NewPCG(7, 7))
	sets := map[string][]Ray{}
	bounce := func(q *Ray) (Ray, bool) {
		h := t.Closest(q)
		if h.Prim == NoHit {
			return Ray{}, false
		}
		f := m.f[h.Prim]
		var e1, e2, nn [3]float64
		for a := range 3 {
			e1[a] = float64(m.v[f[1]][a] - m.v[f[0]][a])
			e2[a] = float64(m.v[f[2]][a] - m.v[f[0]][a])
		}
		l, side := 0.0, 0.0
		for a := range 3 {
			b, c := (a+1)%3, (a+2)%3
			nn[a] = e1[b]*e2[c] - e1[c]*e2[b]
			l += nn[a] * nn[a]
			side += nn[a] * float64(q.D[a])
		}
		k := 1 / math.Sqrt(l)
		if side > 0 {
			k = -k
		}
		// normal plus a point of the unit sphere is a cosine lobe
		z := 2*r.Float64() - 1
		s, c := math.Sincos(2 * math.Pi * r.Float64())
		w := math.Sqrt(1 - z*z)
		d := [3]float64{w * c, w * s, z}
		var out Ray
		for a := range 3 {
			n := nn[a] * k
			out.O[a] = q.O[a] + h.T*q.D[a] + float32(1e-4*n)
			out.D[a] = float32(n + d[a])
		}
		out.TMin, out.TMax = 1e-4, float32(math.Inf(1))
		return out, true
	}
	for i := range n {
		x, y := float64(i%512)/512-0.5, float64(i/512%512)/512-0.5
		q := Ray{O: [3]float32{3, 0.2, 1.5}, D: [3]float32{float32(1.4 * x), 1, float32(y)}, TMin: 1e-4,
			TMax: float32(math.Inf(1))}
		sets["primary"] = append(sets["primary"], q)
		for _, name := range []string{"bounce1", "bounce2"} {
			b, ok := bounce(&q)
			if !ok {
				break
			}
			sets[name] = append(sets[name], b)
			if name == "bounce1" {
				s := Ray{O: b.O, TMin: 1e-4, TMax: 0.999}
				lamp := [3]float64{1.2 + r.Float64(), 0.4 + r.Float64(), 2.3}
				for a := range 3 {
					s.D[a] = float32(lamp[a]) - s.O[a]
				}
				sets["shadow"] = append(sets["shadow"], s)
			}
			q = b
		}
	}
	return sets
}

var roomOnce = sync.OnceValue(func() (s struct {
	m    *mesh
	ws   map[string]*Tree
	rays map[string][]Ray
}) {
	s.m = room()
	s.ws = walks(s.m.v, s.m.f)
	s.rays = roomRays(s.ws["plain8"], s.m, 1<<17)
	return s
})

// TestRoom holds the walks to each other on the rays of a room, where ties and shared edges are
// many.
func TestRoom(t *testing.T) {
	s := roomOnce()
	if len(s.m.f) < 100_000 {
		t.Error("only", len(s.m.f), "triangles")
	}
	step := 7
	if testing.Short() {
		step = 97
	}
	for set, rays := range s.rays {
		hits, n := 0, 0
		for i := 0; i < len(rays); i += step {
			n++
			h := s.ws["plain8"].Closest(&rays[i])
			if h.Prim != NoHit {
				hits++
			}
			for name, w := range s.ws {
				if g := w.Closest(&rays[i]); g != h || w.Occluded(&rays[i]) != (h.Prim != NoHit) {
					t.Fatalf("%s, %s: %+v: %+v, not %+v", set, name, rays[i], g, h)
				}
			}
		}
		if set != "shadow" && hits < n*99/100 {
			t.Errorf("%s: %d of %d rays hit; the room is closed", set, hits, n)
		}
	}
}

// spent is the time used so far by all threads together, each as if it ran alone.
var spent = func() time.Duration { return time.Duration(runtime.GOMAXPROCS(0)) * time.Since(start) }

var start = time.Now()

// BenchmarkRoom gives millions of rays a second of processor time, times GOMAXPROCS.
func BenchmarkRoom(b *testing.B) {
	s := roomOnce()
	for _, set := range []string{"primary", "bounce1", "bounce2", "shadow"} {
		for _, name := range []string{"assembly", "plain8", "portable4"} {
			w := s.ws[name]
			if w == nil {
				continue
			}
			rays := s.rays[set]
			b.Run(set+"/"+name, func(b *testing.B) {
				threads := runtime.GOMAXPROCS(0)
				before := spent()
				b.RunParallel(func(pb *testing.PB) {
					n := 0
					for i := 0; pb.Next(); i++ {
						q := &rays[i%len(rays)]
						if set == "shadow" {
							if w.Occluded(q) {
								n++
							}
						} else if w.Closest(q).Prim != NoHit {
							n++
						}
					}
				})
				b.ReportMetric(float64(b.N*threads)/1e6/(spent()-before).Seconds(), "Mray/s")
			})
		}
	}
}

func BenchmarkBuild(b *testing.B) {
	m := room()
	for _, wide := range []bool{true, false} {
		b.Run(map[bool]string{true: "wide", false: "portable"}[wide], func(b *testing.B) {
			var t *Tree
			for range b.N {
				t = build(m.v, m.f, wide, stackLen)
			}
			b.ReportMetric(float64(t.Bytes())/float64(len(m.f)), "bytes/triangle")
		})
	}
}

// TestWriteRoom writes the room and its rays for the program in compare, into the folder that
// BVH_COMPARE names.
func TestWriteRoom(t *testing.T) {
	dir := os.Getenv("BVH_COMPARE")
	if dir == "" {
		t.Skip("BVH_COMPARE names no folder")
	}
	s := roomOnce()
	write := func(name string, parts ...any) {
		f, err := os.Create(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for _, p := range parts {
			if err := binary.Write(f, binary.LittleEndian, p); err != nil {
				t.Fatal(err)
			}
		}
	}
	write("mesh.bin", uint32(len(s.m.v)), uint32(len(s.m.f)), s.m.v, s.m.f)
	for set, rays := range s.rays {
		write(set+".bin", uint32(len(rays)), rays)
		var hits []Hit
		for i := range rays {
			hits = append(hits, s.ws["plain8"].Closest(&rays[i]))
		}
		write(set+".hits.bin", hits)
	}
}
