package sheet

import (
	"math"
	"sort"
)

// inPolygon reports whether p lies in the polygon (even-odd).
func inPolygon(p xy, poly []xy) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(b.x-a.x)*(p.y-a.y)/(b.y-a.y) {
			in = !in
		}
	}
	return in
}

// crossAt returns the parameter on a–b at which it meets c–d.
func crossAt(a, b, c, d xy) (float64, bool) {
	r, s := b.sub(a), d.sub(c)
	den := r.x*s.y - r.y*s.x
	if math.Abs(den) < 1e-12 {
		return 0, false
	}
	q := c.sub(a)
	t := (q.x*s.y - q.y*s.x) / den
	u := (q.x*r.y - q.y*r.x) / den
	return t, t >= 0 && t <= 1 && u >= 0 && u <= 1
}

// within returns the parts of a line inside the polygon.
func within(s sub, poly []xy) []sub {
	if len(poly) < 3 {
		return []sub{s}
	}
	pts := s.pts
	if s.closed {
		whole := true
		for _, p := range pts {
			if !inPolygon(p, poly) {
				whole = false
				break
			}
		}
		if whole {
			return []sub{s}
		}
		pts = append(append([]xy(nil), pts...), pts[0])
	}
	var out []sub
	var cur []xy
	flush := func() {
		if len(cur) > 1 {
			out = append(out, sub{cur, false})
		}
		cur = nil
	}
	for i := 0; i+1 < len(pts); i++ {
		a, b := pts[i], pts[i+1]
		cuts := []float64{0, 1}
		for j, c := range poly {
			if t, ok := crossAt(a, b, c, poly[(j+1)%len(poly)]); ok {
				cuts = append(cuts, t)
			}
		}
		sort.Float64s(cuts)
		for k := 0; k+1 < len(cuts); k++ {
			if cuts[k+1]-cuts[k] < 1e-9 {
				continue
			}
			p, q := a.lerp(b, cuts[k]), a.lerp(b, cuts[k+1])
			if !inPolygon(p.lerp(q, 0.5), poly) {
				flush()
				continue
			}
			if len(cur) == 0 {
				cur = append(cur, p)
			}
			cur = append(cur, q)
		}
	}
	flush()
	return out
}

// without returns the parts of a line outside the boxes.
func without(s sub, boxes []rect) []sub {
	lines := []sub{s}
	for _, b := range boxes {
		var next []sub
		for _, l := range lines {
			next = append(next, outside(l, b)...)
		}
		lines = next
	}
	return lines
}

func outside(s sub, b rect) []sub {
	hit := false
	n := len(s.pts)
	for i := 0; i < n && !hit; i++ {
		j := i + 1
		if j == n {
			if !s.closed {
				break
			}
			j = 0
		}
		_, _, hit = clipLine(s.pts[i], s.pts[j], b)
	}
	if !hit {
		return []sub{s}
	}
	pts := s.pts
	if s.closed {
		pts = append(append([]xy(nil), pts...), pts[0])
	}
	var out []sub
	cur := []xy{}
	if !b.has(pts[0]) {
		cur = append(cur, pts[0])
	}
	flush := func() {
		if len(cur) > 1 {
			out = append(out, sub{cur, false})
		}
		cur = []xy{}
	}
	for i := 0; i+1 < len(pts); i++ {
		a, c := pts[i], pts[i+1]
		p, q, ok := clipLine(a, c, b)
		if !ok {
			cur = append(cur, c)
			continue
		}
		if p.sub(a).len() > 1e-9 {
			cur = append(cur, p)
		}
		flush()
		if c.sub(q).len() > 1e-9 {
			cur = append(cur, q, c)
		}
	}
	flush()
	// In a closed line that is cut, the last piece continues in the first.
	if s.closed && len(out) > 1 {
		f, l := out[0].pts, out[len(out)-1].pts
		if f[0] == l[len(l)-1] {
			out[0] = sub{append(append([]xy(nil), l...), f[1:]...), false}
			out = out[:len(out)-1]
		}
	}
	return out
}

// clipLine gives the part of a–b inside the box. Source: Liang and Barsky 1984.
func clipLine(a, b xy, r rect) (xy, xy, bool) {
	t0, t1 := 0.0, 1.0
	d := b.sub(a)
	for _, e := range [][2]float64{{-d.x, a.x - r.x0}, {d.x, r.x1 - a.x}, {-d.y, a.y - r.y0}, {d.y, r.y1 - a.y}} {
		p, q := e[0], e[1]
		if p == 0 {
			if q < 0 {
				return a, b, false
			}
			continue
		}
		t := q / p
		if p < 0 {
			t0 = math.Max(t0, t)
		} else {
			t1 = math.Min(t1, t)
		}
		if t0 > t1 {
			return a, b, false
		}
	}
	return a.lerp(b, t0), a.lerp(b, t1), true
}

// hull is the convex hull, anticlockwise in a y-up frame. Source: Andrew 1979 (monotone chain).
func hull(pts []xy) []xy {
	p := append([]xy(nil), pts...)
	sort.Slice(p, func(i, j int) bool {
		if p[i].x != p[j].x {
			return p[i].x < p[j].x
		}
		return p[i].y < p[j].y
	})
	if len(p) < 3 {
		return p
	}
	turn := func(o, a, b xy) float64 { return (a.x-o.x)*(b.y-o.y) - (a.y-o.y)*(b.x-o.x) }
	var h []xy
	for pass := 0; pass < 2; pass++ {
		base := len(h)
		for _, q := range p {
			for len(h)-base >= 2 && turn(h[len(h)-2], h[len(h)-1], q) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		h = h[:len(h)-1]
		for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i]
		}
	}
	return h
}

// hatch fills a polygon with parallel lines at an angle, gap apart.
func hatch(poly []xy, angle, gap float64) []sub {
	c, s := math.Cos(angle), math.Sin(angle)
	lo, hi := math.Inf(1), math.Inf(-1)
	rot := make([]xy, len(poly))
	for i, p := range poly {
		rot[i] = xy{p.x*c + p.y*s, -p.x*s + p.y*c}
		lo, hi = math.Min(lo, rot[i].y), math.Max(hi, rot[i].y)
	}
	var out []sub
	for k := math.Ceil(lo / gap); k*gap < hi && len(out) < 5000; k++ {
		y := k * gap
		var xs []float64
		for i, a := range rot {
			b := rot[(i+1)%len(rot)]
			if (a.y > y) != (b.y > y) {
				xs = append(xs, a.x+(b.x-a.x)*(y-a.y)/(b.y-a.y))
			}
		}
		sort.Float64s(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			a, b := xy{xs[i], y}, xy{xs[i+1], y}
			out = append(out, sub{[]xy{{a.x*c - a.y*s, a.x*s + a.y*c}, {b.x*c - b.y*s, b.x*s + b.y*c}}, false})
		}
	}
	return out
}

// touches reports whether a box and a convex or concave polygon have a point in common.
func touches(r rect, poly []xy) bool {
	if len(poly) == 0 {
		return false
	}
	b := boundsOf(poly)
	if !b.overlaps(r) && !(b.x0 <= r.x1 && b.x1 >= r.x0 && b.y0 <= r.y1 && b.y1 >= r.y0) {
		return false
	}
	for i, p := range poly {
		if r.has(p) {
			return true
		}
		if _, _, ok := clipLine(p, poly[(i+1)%len(poly)], r); ok {
			return true
		}
	}
	return len(poly) > 2 && inPolygon(r.mid(), poly)
}

func boundsOf(pts []xy) rect {
	r := rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		r = rect{math.Min(r.x0, p.x), math.Min(r.y0, p.y), math.Max(r.x1, p.x), math.Max(r.y1, p.y)}
	}
	return r
}

func areaOf(pts []xy) float64 {
	a := 0.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		a += p.x*q.y - q.x*p.y
	}
	return a / 2
}

// clipPolygon cuts a polygon by a box. Source: Sutherland and Hodgman 1974.
func clipPolygon(pts []xy, r rect) []xy {
	edges := []struct {
		in  func(p xy) bool
		hit func(a, b xy) xy
	}{
		{func(p xy) bool { return p.x >= r.x0 }, func(a, b xy) xy { return a.lerp(b, (r.x0-a.x)/(b.x-a.x)) }},
		{func(p xy) bool { return p.x <= r.x1 }, func(a, b xy) xy { return a.lerp(b, (r.x1-a.x)/(b.x-a.x)) }},
		{func(p xy) bool { return p.y >= r.y0 }, func(a, b xy) xy { return a.lerp(b, (r.y0-a.y)/(b.y-a.y)) }},
		{func(p xy) bool { return p.y <= r.y1 }, func(a, b xy) xy { return a.lerp(b, (r.y1-a.y)/(b.y-a.y)) }},
	}
	for _, e := range edges {
		var out []xy
		for i, b := range pts {
			a := pts[(i+len(pts)-1)%len(pts)]
			if e.in(a) != e.in(b) {
				out = append(out, e.hit(a, b))
			}
			if e.in(b) {
				out = append(out, b)
			}
		}
		pts = out
	}
	return pts
}
