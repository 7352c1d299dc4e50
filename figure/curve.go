package figure

// spline is a natural cubic through (x,y), x ascending.
type spline struct{ x, y, m []float64 }

func newSpline(xy ...float64) *spline {
	n := len(xy) / 2
	s := &spline{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range s.x {
		s.x[i], s.y[i] = xy[2*i], xy[2*i+1]
	}
	c, d := make([]float64, n), make([]float64, n)
	for i := 1; i < n-1; i++ {
		h0, h1 := s.x[i]-s.x[i-1], s.x[i+1]-s.x[i]
		b := 2*(h0+h1) - h0*c[i-1]
		c[i] = h1 / b
		d[i] = (6*((s.y[i+1]-s.y[i])/h1-(s.y[i]-s.y[i-1])/h0) - h0*d[i-1]) / b
	}
	for i := n - 2; i > 0; i-- {
		s.m[i] = d[i] - c[i]*s.m[i+1]
	}
	return s
}

func (s *spline) at(x float64) float64 {
	n := len(s.x)
	if x <= s.x[0] {
		return s.y[0]
	}
	if x >= s.x[n-1] {
		return s.y[n-1]
	}
	i := 0
	for x > s.x[i+1] {
		i++
	}
	h := s.x[i+1] - s.x[i]
	a, b := (s.x[i+1]-x)/h, (x-s.x[i])/h
	return a*s.y[i] + b*s.y[i+1] + ((a*a*a-a)*s.m[i]+(b*b*b-b)*s.m[i+1])*h*h/6
}

// rope draws a smooth run of n pieces through pts (Catmull-Rom), radii along with it.
func rope(n int, pts []vec, r []float64) ([]vec, []float64) {
	at := func(i int) int { return min(max(i, 0), len(pts)-1) }
	var ps []vec
	var rs []float64
	for k := 0; k <= n; k++ {
		u := float64(k) / float64(n) * float64(len(pts)-1)
		i := min(int(u), len(pts)-2)
		t := u - float64(i)
		a, b, c, d := pts[at(i-1)], pts[i], pts[i+1], pts[at(i+2)]
		p := b.mul(2).add(c.sub(a).mul(t)).add(a.mul(2).sub(b.mul(5)).add(c.mul(4)).sub(d).mul(t *
			t)).add(b.mul(3).sub(a).sub(c.mul(3)).add(d).mul(t * t * t)).mul(0.5)
		ps, rs = append(ps, p), append(rs, lerp(r[i], r[i+1], t))
	}
	return ps, rs
}
