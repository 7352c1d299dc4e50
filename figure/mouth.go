package figure

import "math"

// lipLine gives the parting height at x.
func (h *head) lipLine(x float64) float64 { return h.stoY + 1.6*h.mouth.at(clamp(x/h.lipH, -1.2, 1.2)) }

// lipEdges gives the vermilion borders at x (upper, lower).
func (h *head) lipEdges(x float64) (float64, float64) {
	t := min(math.Abs(x)/h.lipH, 1)
	F := math.Sqrt(h.P.LipFullness)
	u := (h.ls - h.stoY) * F
	bow := 1 - 0.16*math.Exp(-t*t/0.006) + 0.05*math.Exp(-(t-0.2)*(t-0.2)/0.012)
	up := u * bow * (1 - math.Pow(t, 1.7)*0.55) * math.Sqrt(max(0, 1-math.Pow(t, 3.4)))
	lo := (h.stoY - h.li) * F * math.Sqrt(max(0, 1-math.Pow(t, 2.4))) * (1 - 0.12*t)
	l := h.lipLine(x)
	return l + up, l - lo
}

func (h *head) lips(p, a vec, d float64) float64 {
	if p.Z < 55 || p.Y > h.subnY+4 || p.Y < h.pogY+4 || a.X > h.lipH+8 {
		return d
	}
	zs := h.sz
	F := math.Sqrt(h.P.LipFullness)
	W := h.lipH / 26
	// philtrum
	d += bump(p, vec{0, (h.subnY+h.ls)/2 - 1, h.subnZ}, vec{4.2, 10, 14}, 1.5)
	d -= bump(a, vec{5.6, (h.subnY+h.ls)/2 - 2, h.subnZ}, vec{4, 10, 14}, 0.9)
	// the upper lip is a slanting plane that faces down; the lower a fuller roll that faces up, on
	// two pads
	up := ellipsoid(p, vec{0, h.stoY + 2.6*F, h.lsZ - 9.0}, vec{7 * W, 4.4 * F, 7.0})
	uf := frame{o: vec{8.0 * W, h.stoY + 2.6*F, h.lsZ - 11.4}}
	uf.x = vec{0.91, -0.10, -0.40}.unit()
	uf.y = vec{0.1, 0.99, 0}
	uf.y = uf.y.sub(uf.x.mul(uf.y.dot(uf.x))).unit()
	uf.z = uf.x.cross(uf.y)
	up = smin(up, ellipsoidIn(a, &uf, vec{15 * W, 4.4 * F, 8.4}), 3)
	d = smin(d, up, 4.5)
	lf := frame{o: vec{6.5 * W, h.stoY - 4.9*F, h.liZ - 8.2}}
	lf.x = vec{0.93, 0.12, -0.34}.unit()
	lf.y = vec{-0.1, 0.99, 0}
	lf.y = lf.y.sub(lf.x.mul(lf.y.dot(lf.x))).unit()
	lf.z = lf.x.cross(lf.y)
	d = smin(d, ellipsoidIn(a, &lf, vec{15.5 * W, 5.0 * F, 8.0}), 4)
	// parting
	l := h.lipLine(p.X)
	dy := math.Abs(p.Y - l)
	if dy < 2.9 {
		x := a.X / (h.lipH + 0.5)
		if x < 1 {
			k := 1 - dy/2.9
			d += 1.9 * k * k * (1 - x*x*x*x) * smooth(58*zs, 76*zs, p.Z)
		}
	}
	return d
}

// lipTone is the share of lip colour at p (warped): the red of the lips, and the rim and corners of
// the eye.
func (h *head) lipTone(p vec) float64 {
	// the wet rim and corners of the eye are pink too
	if q := (vec{math.Abs(p.X), p.Y, p.Z}).sub(h.eyeL); q.Z > 0 && q.len() < 18 {
		open := max(q.Y-h.lidU.at(q.X), h.lidD.at(q.X)-q.Y)
		return 0.75 * smooth(0.4, -0.3, open)
	}
	if p.Z < 60 || math.Abs(p.X) > h.lipH+1 {
		return 0
	}
	u, l := h.lipEdges(p.X)
	return smooth(-0.9, 0.9, min(u-p.Y, p.Y-l))
}
