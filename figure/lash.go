package figure

import "math"

// lashes grow from the two lid edges of the eye centred at c, on side s.
func (h *head) lashes(b *builder, s float64, c vec) {
	row := func(n int, sp *spline, len0, up float64) {
		w := 0.14
		if up < 0 {
			w = 0.09
		}
		for i := 0; i < n; i++ {
			t := (float64(i) + 0.6*b.rng.float()) / float64(n)
			x := lerp(-11.5, 13.2, t)
			y := sp.at(x)
			z := math.Sqrt(max(0, (ballR+1.7)*(ballR+1.7)-x*x-y*y))
			p := vec{s * x, y, z}
			l := len0 * (0.55 + 0.45*smooth(0, 0.6, t)) * (0.8 + 0.4*b.rng.float())
			d := vec{s * (x*0.045 + 0.1*(b.rng.float()-0.5)), -0.10, 1}
			if up < 0 {
				d.Y = -0.5
			}
			d = d.unit()
			var pts []vec
			for k := 0; k <= 4; k++ {
				u := float64(k) / 4
				pts = append(pts, c.add(p).add(d.mul(l*u)).add(vec{0, up * l * u * u, 0}))
			}
			strand(b, Lash, pts, w, 0.04)
		}
	}
	row(70, h.lidU, 8.5, 0.55)
	row(24, h.lidD, 3.2, -0.15)
}

// onSkin marches from p along d to the skin.
func (h *head) onSkin(p, d vec) (vec, vec) {
	for i := 0; i < 60; i++ {
		v := h.bust(p)
		if math.Abs(v) < 0.05 {
			break
		}
		p = p.add(d.mul(v * 0.7))
	}
	return p, gradient(h.bust, p, 0.5).unit()
}

// brows lay single hairs along a drawn arch on side s.
func (h *head) brows(b *builder, s float64) {
	B := 0.35 + 0.65*h.P.Brow
	lift := 18.5 - 2.5*B + 1.4*h.P.Soft
	curve := newSpline(0, lift-2.5, 0.35, lift+0.8, 0.68, lift+2.6, 1, lift-3.5)
	x0, x1 := h.ipd-20.5, h.ipd+21.0
	for range int(float64(h.g.brow) * (0.65 + 0.56*B)) {
		t := b.rng.float()
		if t < 0.16 && b.rng.float() > 0.25+4.5*t {
			continue
		}
		half := lerp(4.6, 1.5, smooth(0.3, 1, t)) * (0.62 + 0.62*B) * (0.6 + 0.4*smooth(0, 0.2, t))
		v := b.rng.float() + b.rng.float() - 1
		x := lerp(x0, x1, t)
		y := curve.at(t) + v*half
		p, n := h.onSkin(h.unwarp(vec{s * x, y, 105 * h.sz}), vec{0, 0, -1})
		// hairs stand up at the root of the brow, lie out along it later, upper ones comb down,
		// lower ones up
		dir := vec{s * lerp(0.55, 1, smooth(0, 0.25, t)), lerp(0.6, -0.2, smooth(0, 0.5, t)) - 0.35*v +
			0.25*(b.rng.float()-0.5), 0}
		dir = dir.sub(n.mul(dir.dot(n))).unit()
		l := lerp(7.5, 6, t) * (0.7 + 0.5*b.rng.float())
		var pts []vec
		for k := 0; k <= 3; k++ {
			u := float64(k) / 3
			q := p.add(dir.mul(l * u)).add(n.mul(0.15 + 0.9*u*(1-0.55*u)))
			// stay on the skin as it curves away
			if k > 0 {
				if dd := h.bust(q); dd > 0.8 || dd < 0.15 {
					q = q.sub(n.mul(dd - 0.4))
				}
			}
			pts = append(pts, q)
		}
		strand(b, Brow, pts, h.g.browWidth, 0.35*h.g.browWidth)
	}
}
