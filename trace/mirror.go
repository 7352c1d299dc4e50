package trace

import (
	"cmp"
	"math"
	"slices"

	"halfstop/geom"
)

// flatMirror is a flat, sharp mirror (or pane) in whose image the lights are asked for too: a lamp
// without size in a mirror is found in no other way. Check: C3.1.
type flatMirror struct {
	p, n   geom.Vec
	corner geom.Vec
	ex, ey geom.Vec
	lx, ly float64
	mat    *Material
	tri    int // first of its triangles, and how many there are
	tris   int
	bounds bool // the rectangle is only the bounds of what they fill
}

const maxMirrors = 12

// findMirrors lists the largest flat shapes that mirror sharply.
func (sc *Scene) findMirrors() {
	sc.mirrors = nil
	for _, r := range sc.rects {
		m := r.mat
		if !(m.hasMirror && m.Alpha == 0 || m.Glass > 0) &&
			(m.Back == nil || !(m.Back.hasMirror && m.Back.Alpha == 0)) {
			continue
		}
		sc.mirrors = append(sc.mirrors, flatMirror{p: r.corner, n: r.n, corner: r.corner, ex: r.ex, ey: r.ey,
			lx: r.lx, ly: r.ly, mat: m, tri: r.tri, tris: r.tris, bounds: r.bounds})
	}
	slices.SortStableFunc(sc.mirrors, func(a, b flatMirror) int { return cmp.Compare(b.lx*b.ly, a.lx*a.ly) })
	sc.mirrors = sc.mirrors[:min(len(sc.mirrors), maxMirrors)]
}

// isFlatMirror reports whether triangle id belongs to a mirror whose images are asked.
func (sc *Scene) isFlatMirror(id int) bool {
	for i := range sc.mirrors {
		if sc.mirrors[i].has(id) {
			return true
		}
	}
	return false
}

// has reports whether triangle id is one of the mirror's.
func (m *flatMirror) has(id int) bool { return id >= m.tri && id < m.tri+m.tris }

// image returns where x seems to be in the mirror.
func (m *flatMirror) image(x geom.Vec) geom.Vec {
	return x.AddMul(m.n, -2*x.Sub(m.p).Dot(m.n))
}

// cross reports where the ray from x along w (unit) meets the mirror.
func (m *flatMirror) cross(x, w geom.Vec) (t float64, ok bool) {
	dn := w.Dot(m.n)
	if dn == 0 {
		return
	}
	t = m.p.Sub(x).Dot(m.n) / dn
	if t <= 0 {
		return
	}
	d := x.AddMul(w, t).Sub(m.corner)
	a, b := d.Dot(m.ex), d.Dot(m.ey)
	return t, a >= 0 && b >= 0 && a <= m.lx*m.lx && b <= m.ly*m.ly
}

// mayShow reports whether some of e may be seen in the mirror from x, at height h over it; false is
// certain.
func (m *flatMirror) mayReflect(e *Emitter, x geom.Vec, h float64) bool {
	r, side := e.radius, math.Copysign(1, h)
	up := side * e.centre.Sub(m.p).Dot(m.n)
	if up < -r {
		return false // behind it
	}
	h = math.Abs(h)
	if !(up > 2*r) {
		return true
	}
	// The line from x to the middle's image meets the mirror's plane at this place; lines to the
	// rest of it no further off than this.
	t := h / (h + up)
	to := e.centre.AddMul(m.n, -2*side*up).Sub(x)
	off := (r + to.Len()*r/(h+up-r)) * h / (h + up - r)
	d := x.AddMul(to, t).Sub(m.corner)
	a, b := d.Dot(m.ex)/m.lx, d.Dot(m.ey)/m.ly
	return a >= -off && b >= -off && a <= m.lx+off && b <= m.ly+off
}

// reflectance writes what the material mirrors at a cosine, on the side the light is on.
func (m *Material) reflectance(cos float64, out *Band) {
	if m.Glass > 0 {
		r, _ := pane(cos, m.Glass)
		*out = Grey(r)
		return
	}
	if m.Alpha > 0 {
		*out = Band{}
		return
	}
	*out = m.Mirror
	m.dim(cos, out)
}

// dim takes off what a coat over it sends back before.
func (m *Material) dim(cos float64, out *Band) {
	if m.Coat > 0 {
		scaleBand(out, float32(1-m.coatLobe.at(cos)))
	}
}

// side returns the material met from the front or the back.
func (m *Material) side(front bool) *Material {
	if front || m.Back == nil {
		return m
	}
	return m.Back
}

// passes writes what goes straight through at a cosine.
func (m *Material) passes(cos float64, out *Band) {
	*out = m.Clear
	m.dim(cos, out)
	if m.Glass > 0 {
		_, t := pane(cos, m.Glass)
		// The way through the pane is longer at a slant: internal transmittance to the power 1/cos
		// inside.
		sin2 := (1 - cos*cos) / (m.Glass * m.Glass)
		inside := 1 / math.Sqrt(max(1e-3, 1-sin2))
		for b := range out {
			if out[b] != 1 {
				out[b] = float32(math.Pow(float64(out[b]), inside))
			}
			out[b] *= float32(t)
		}
	}
}

// InMirror gives the places where an eye sees p in a flat mirror or pane, by one reflection with
// both ways free. It may be called once the scene is prepared. Check: TestInMirror.
func (sc *Scene) MirrorPoints(eye, p geom.Vec) (at []geom.Vec) {
	var pass Band
	for i := range sc.mirrors {
		m := &sc.mirrors[i]
		he, hp := eye.Sub(m.p).Dot(m.n), p.Sub(m.p).Dot(m.n)
		if he*hp <= 0 || !m.mirrors(he > 0) {
			continue // on different sides of it, or on its dull side
		}
		w := m.image(p).Sub(eye)
		l := w.Len()
		if l == 0 {
			continue
		}
		w = w.Mul(1 / l)
		t, ok := m.cross(eye, w)
		if !ok || t >= l {
			continue
		}
		q := eye.AddMul(w, t)
		back := w.Reflect(m.n)
		off := 2 * sc.eps / max(0.05, math.Abs(w.Dot(m.n)))
		free := func(o, d geom.Vec, dist float64) bool { ok, _ := sc.visible(o, d, dist, &pass); return ok }
		if free(eye, w, t-off) && free(q.AddMul(back, off), back, l-t-off) {
			at = append(at, q)
		}
	}
	return at
}

// mirrors reports whether the side in front (or at the back) reflects sharply.
func (m *flatMirror) mirrors(front bool) bool {
	s := m.mat.side(front)
	return s.Glass > 0 || s.hasMirror && s.Alpha == 0
}

// Free reports whether nothing opaque stands between a and b.
func (sc *Scene) Unoccluded(a, b geom.Vec) bool {
	var pass Band
	d := b.Sub(a)
	l := d.Len()
	if l == 0 {
		return true
	}
	ok, _ := sc.visible(a, d.Mul(1/l), l, &pass)
	return ok
}
