package figure

import (
	"math"
	"testing"

	"halfstop/geom"
)

// ray is the nearest hit of o + t d, metres, by looking at every triangle; small use only.
func ray(m *Mesh, o, d geom.Vec, ok func(Part) bool) (float64, int) {
	best, at := math.Inf(1), -1
	for i, t := range m.Tri {
		if ok != nil && !ok(m.Part[i]) {
			continue
		}
		h, hit := pierce(o, d, wide(m.Pos[t[0]]), wide(m.Pos[t[1]]), wide(m.Pos[t[2]]))
		if hit && h > 1e-6 && h < best {
			best, at = h, i
		}
	}
	return best, at
}

type meshKey struct {
	name string
	d    Detail
}

var made = map[meshKey]*Mesh{}

// built is the named sitter at a level, built once for all tests (they run one after another).
func built(name string, d Detail) *Mesh {
	k := meshKey{name, d}
	if made[k] == nil {
		p := sitters()[name]
		p.Detail = d
		made[k] = Build(p)
	}
	return made[k]
}

// worth says which levels are built in tests: all sitters at Shadow, three at Far, one at Portrait.
func worth(name string, d Detail) bool {
	switch d {
	case Shadow:
		return true
	case Far:
		return !testing.Short() && name != "man" && name != "bare man on stool"
	case Portrait:
		return !testing.Short() && name == "woman in dress"
	}
	return false
}

var levels = map[string]Detail{"shadow": Shadow, "far": Far, "portrait": Portrait, "close": Close}

// sitters is a spread of people, poses and clothes; few enough to build at every level.
func sitters() map[string]Params {
	a := Man()
	b := Woman()
	b.Pose, b.Turn, b.Tilt, b.Clothes, b.Hair, b.Glasses = Seated, 25, 5, Shirt, Bob, true
	c := Man()
	c.Pose, c.Hair, c.Girth, c.Turn, c.Roll = Leaning, NoHair, Heavy, -30, 6
	c.Clothes = Coat
	d := Woman()
	d.Clothes, d.Girth, d.Stature = Dress, Slight, 1.75
	e := Man()
	e.Clothes, e.Pose, e.Seat, e.Hair = Bare, Seated, 0.70, Short
	return map[string]Params{"man": a, "woman seated": b, "heavy man leaning": c, "woman in dress": d,
		"bare man on stool": e}
}

func TestMeshSound(t *testing.T) {
	for name, p := range sitters() {
		for level, d := range levels {
			if !worth(name, d) {
				continue
			}
			m := built(name, d)
			if len(m.Tri) != len(m.Part) || len(m.Pos) != len(m.Nrm) || len(m.Pos) != len(m.Tone) ||
				len(m.Pos) != len(m.Tan) {
				t.Fatal("lengths differ")
			}
			for i := range m.Pos {
				if !wide(m.Pos[i]).Finite() || !wide(m.Tan[i]).Finite() || m.Tone[i] < 0 || m.Tone[i] > 1 {
					t.Fatalf("%s %s: vertex %d is %v, tone %v", name, level, i, m.Pos[i], m.Tone[i])
				}
				// float32 keeps a unit vector to about 1e-7
				if l := wide(m.Nrm[i]).Len(); math.Abs(l-1) > 1e-5 {
					t.Fatalf("%s %s: normal %d has length %v", name, level, i, l)
				}
			}
			against, thin, low := 0, 0, math.Inf(1)
			for _, tr := range m.Tri {
				a, b, c := wide(m.Pos[tr[0]]), wide(m.Pos[tr[1]]), wide(m.Pos[tr[2]])
				n := b.Sub(a).Cross(c.Sub(a))
				s := wide(m.Nrm[tr[0]]).Add(wide(m.Nrm[tr[1]])).Add(wide(m.Nrm[tr[2]]))
				if n.Unit().Dot(s.Unit()) < -0.2 {
					against++
				}
				long := math.Max(b.Sub(a).Len(), math.Max(c.Sub(b).Len(), a.Sub(c).Len()))
				if n.Len() < 1e-3*long*long {
					thin++
				}
				low = math.Min(low, math.Min(a.Z, math.Min(b.Z, c.Z)))
			}
			// surface nets fold a few cells at creases thinner than a cell; one in 200 does not
			// show
			if against > len(m.Tri)/200 || thin > len(m.Tri)/200 {
				t.Errorf("%s %s: of %d triangles %d face against their normals, %d are slivers", name, level,
					len(m.Tri), against, thin)
			}
			// on the floor, but for a stool too high for the feet; a cell of the shoe's grid may be
			// rounded off
			if p.Pose != Seated || p.Seat < 0.5 {
				if math.Abs(low) > 0.008 {
					t.Errorf("%s %s: lowest point at %.1f mm", name, level, low*1000)
				}
			}
			t.Logf("%s %s: %d triangles, %d against, %d slivers", name, level, len(m.Tri), against, thin)
		}
	}
}

// Every ray from inside the head or the chest must meet something on its way out, and from outside.
func TestClosed(t *testing.T) {
	for name := range sitters() {
		for level, d := range levels {
			if d == Portrait || !worth(name, d) {
				continue
			}
			m := built(name, d)
			l := m.Landmarks
			inHead := l["ear left"].At.Lerp(l["ear right"].At, 0.5)
			chest := l["chest"].At.AddMul(l["chest"].Normal, -0.09)
			n := 150
			if d != Shadow {
				n = 12
			}
			for _, o := range []geom.Vec{inHead, chest} {
				for i := range n {
					z := 1 - 2*(float64(i)+0.5)/float64(n)
					s, c := math.Sincos(float64(i) * 2.399963)
					r := math.Sqrt(1 - z*z)
					if _, hit := ray(m, o, geom.V(r*c, r*s, z), nil); hit < 0 {
						t.Errorf("%s %s: a way out of %v along %.2f %.2f %.2f", name, level, o, r*c, r*s, z)
					}
				}
			}
		}
	}
}

// nearRay looks for the mesh from 30 mm over a landmark, at triangles within 60 mm of it.
func nearRay(m *Mesh, l Landmark) (float64, int) {
	best, at := math.Inf(1), -1
	o, d := l.At.AddMul(l.Normal, 0.03), l.Normal.Neg()
	for i, t := range m.Tri {
		a := wide(m.Pos[t[0]])
		if q := m.Part[i]; q == Glass || q == Rim || q == Lash || q == Brow || a.Sub(l.At).Len2() > 0.0036 {
			continue
		}
		if h, hit := pierce(o, d, a, wide(m.Pos[t[1]]), wide(m.Pos[t[2]])); hit && h < best {
			best, at = h, i
		}
	}
	return best, at
}

var names = []string{"eye left", "eye right", "eyes", "nose tip", "sellion", "subnasale", "forehead", "chin", "menton",
	"cheek left", "cheek right",
	"face", "ear left", "ear right", "crown", "hair left", "hair right", "hair back", "hair edge left",
	"hair edge right", "throat", "chest",
	"shoulder left", "shoulder right", "hand left", "hand right", "knee left", "knee right", "knees", "foot left",
	"foot right", "feet"}

// A reading must not jump when the picture's level of detail changes: landmarks lie within 2 mm of
// each other at all levels, normals within 8 degrees, and each lies on its own mesh within 2 mm.
func TestLandmarksAgree(t *testing.T) {
	for name := range sitters() {
		ref := map[string]Landmark{}
		fine := Shadow
		for _, d := range []Detail{Portrait, Far, Shadow} {
			if !worth(name, d) {
				continue
			}
			if len(ref) == 0 {
				fine = d
			}
			m := built(name, d)
			if len(m.Landmarks) != len(names) {
				t.Fatalf("%d landmarks, want %d", len(m.Landmarks), len(names))
			}
			for _, n := range names {
				l, ok := m.Landmarks[n]
				if !ok || !l.At.Finite() || math.Abs(l.Normal.Len()-1) > 1e-6 {
					t.Fatalf("%s: landmark %q: %v", name, n, l)
				}
				if d == fine {
					ref[n] = l
				}
				r := ref[n]
				if e := l.At.Sub(r.At).Len(); e > 0.002 {
					t.Errorf("%s level %d: %s moved by %.1f mm", name, d, n, e*1000)
				}
				if a := math.Acos(math.Min(1, l.Normal.Dot(r.Normal))) * 180 / math.Pi; a > 8 {
					t.Errorf("%s level %d: %s turned by %.0f degrees", name, d, n, a)
				}
				if n == "eyes" || n == "knees" || n == "feet" {
					continue
				}
				h, hit := nearRay(m, l)
				if hit < 0 || math.Abs(h-0.03) > 0.002 && !(n[:3] == "eye" && d != Shadow) {
					// loose locks may lie up to 4 mm over the hair's own form
					if hit >= 0 && m.Part[hit] == HairStrand && math.Abs(h-0.03) < 0.004 {
						continue
					}
					t.Errorf("%s level %d: %s lies %.1f mm off its mesh", name, d, n, (0.03-h)*1000)
				}
			}
		}
	}
}

// Left is the sitter's own left, the chest looks to +y, and the parts stand in the right order.
func TestBearings(t *testing.T) {
	p := Man()
	p.Detail = Shadow
	l := Build(p).Landmarks
	for _, n := range []string{"eye", "cheek", "ear", "hair", "hair edge", "shoulder", "hand", "knee", "foot"} {
		if !(l[n+" left"].At.X < -0.02 && l[n+" right"].At.X > 0.02) {
			t.Errorf("%s: left at %v, right at %v", n, l[n+" left"].At, l[n+" right"].At)
		}
	}
	order := []string{"crown", "forehead", "eyes", "nose tip", "chin", "throat", "chest", "hand left", "knee left",
		"foot left"}
	for i := 1; i < len(order); i++ {
		if l[order[i]].At.Z >= l[order[i-1]].At.Z {
			t.Errorf("%s is not under %s", order[i], order[i-1])
		}
	}
	for _, n := range []string{"face", "forehead", "eyes", "chest"} {
		if l[n].Normal.Y < 0.7 {
			t.Errorf("%s looks to %v", n, l[n].Normal)
		}
	}
	if e := l["hair edge left"].Normal; e.Y > -0.3 || e.X > -0.5 {
		t.Errorf("hair edge left looks to %v", e)
	}
	// turned to the left, the nose goes to -x
	p.Turn = 30
	if x := Build(p).Landmarks["nose tip"].At.X; x > -0.03 {
		t.Errorf("nose at x = %.3f after turning left", x)
	}
	p.Turn, p.Tilt = 0, 20
	if n := Build(p).Landmarks["face"].Normal; n.Z > -0.3 {
		t.Errorf("face looks to %v with the head lowered", n)
	}
}

func TestPlaced(t *testing.T) {
	p := Man()
	p.Detail = Shadow
	m := Build(p)
	at := geom.V(3, 2, 0.1)
	dir := geom.V(1, 0, 0)
	q := m.Placed(at, YawTo(dir))
	if n := q.Landmarks["face"].Normal; n.Sub(dir).Len() > 1e-9 {
		t.Errorf("face looks to %v, want %v", n, dir)
	}
	for i := range m.Pos {
		a, b := wide(m.Pos[i]), wide(q.Pos[i])
		// float32 at 4 m keeps about 0.25 micrometre
		if want := geom.V(a.Y, -a.X, a.Z).Add(at); want.Sub(b).Len() > 2e-6 {
			t.Fatalf("vertex %d at %v, want %v", i, b, want)
		}
	}
	if YawTo(geom.V(0, 0, 1)) != 0 || math.Abs(YawTo(geom.V(-1, 0, 0))-math.Pi/2) > 1e-12 {
		t.Error("yaw of a direction")
	}
}

func TestRepeatable(t *testing.T) {
	p := sitters()["woman in dress"]
	p.Detail = Far
	a, b := built("woman in dress", Far), Build(p)
	if len(a.Pos) != len(b.Pos) || len(a.Tri) != len(b.Tri) {
		t.Fatal("counts differ")
	}
	for i := range a.Pos {
		if a.Pos[i] != b.Pos[i] || a.Nrm[i] != b.Nrm[i] {
			t.Fatal("vertex moved", i)
		}
	}
	for i := range a.Tri {
		if a.Tri[i] != b.Tri[i] || a.Part[i] != b.Part[i] {
			t.Fatal("triangle changed", i)
		}
	}
}

func TestKey(t *testing.T) {
	seen := map[uint64]string{}
	add := func(n string, f func(*Params)) {
		p := Man()
		f(&p)
		k := p.Key()
		if o, ok := seen[k]; ok {
			t.Errorf("%s has the key of %s", n, o)
		}
		seen[k] = n
	}
	add("as is", func(*Params) {})
	add("turn", func(p *Params) { p.Turn = 1 })
	add("tilt", func(p *Params) { p.Tilt = 1 })
	add("hair", func(p *Params) { p.Hair = Bob })
	add("clothes", func(p *Params) { p.Clothes = Dress })
	add("glasses", func(p *Params) { p.Glasses = true })
	add("detail", func(p *Params) { p.Detail = Far })
	add("stature", func(p *Params) { p.Stature += 0.001 })
	add("nose", func(p *Params) { p.NoseBreadth++ })
	add("seed", func(p *Params) { p.Seed++ })
	if a, b := Man(), Man(); a.Key() != b.Key() {
		t.Error("key changes")
	}
}

// The figures that a light meter's answer waits for must be cheap: the aim is 15,000 triangles;
// bare limbs cost a little more.
func TestShadowIsSmall(t *testing.T) {
	for name := range sitters() {
		if m := built(name, Shadow); len(m.Tri) > 16500 {
			t.Errorf("%s: %d triangles: %v", name, len(m.Tri), m.Counts())
		}
	}
}

// A kept head gives the same sitter as a new one, after a turn, another pose and other clothes.
func TestHeadKept(t *testing.T) {
	p := Man()
	p.Detail = Shadow
	d := DrawHead(p)
	p.Turn, p.Tilt, p.Pose, p.Clothes = 20, 5, Seated, Coat
	a, b := d.Build(p), Build(p)
	if p.HeadKey() != Man().withDetail(Shadow).HeadKey() || len(a.Pos) != len(b.Pos) {
		t.Fatal("another head")
	}
	for i := range a.Pos {
		if a.Pos[i] != b.Pos[i] {
			t.Fatal("vertex moved", i)
		}
	}
	p.NoseBreadth++
	if a, b := d.Build(p), Build(p); len(a.Pos) != len(b.Pos) || a.Pos[100] != b.Pos[100] {
		t.Error("a head of another form was used")
	}
}

func (p Params) withDetail(d Detail) Params { p.Detail = d; return p }

func TestDetailFor(t *testing.T) {
	last := Close
	rank := map[Detail]int{Close: 0, Portrait: 1, Far: 2, Shadow: 3}
	for _, mm := range []float64{0, 0.2, 0.5, 1, 2, 5, 10, math.Inf(1)} {
		d := DetailFor(mm)
		if rank[d] < rank[last] {
			t.Errorf("finer at %v mm", mm)
		}
		last = d
	}
	if last != Shadow {
		t.Error("far away is not the coarsest")
	}
}
