package figure

import "math"

func (h *head) eyelids(a vec, d float64) float64 {
	e := h.eyeL
	q := a.sub(e)
	r := q.len()
	if r > 34 || q.Z < -12 {
		return d
	}
	// lids: a shell over the ball
	shell := r - (ballR + 2.0)
	shell = smax(shell, -(q.Z - 0.5), 2) // only the front of the ball
	d = smin(d, shell, 3.4)
	u, l := h.lidU.at(q.X), h.lidD.at(q.X)
	// upper-lid fold: the lid tucks under the brow skin
	if q.Z > 0 {
		cy := u + 4.2 + 0.10*q.X
		cv := math.Abs(q.Y - cy)
		if cv < 2.6 && math.Abs(q.X) < 19 {
			k := 1 - cv/2.6
			d += 1.1 * k * k * smooth(19, 8, math.Abs(q.X))
		}
		// lower-lid edge roll and the small furrow below it
		cl := math.Abs(q.Y - (l - 6.2))
		if cl < 3.4 && math.Abs(q.X) < 17 {
			k := 1 - cl/3.4
			d += 0.6 * k * k * smooth(17, 6, math.Abs(q.X))
		}
	}
	// opening
	if q.Z > 2 && !h.g.plain {
		open := max(q.Y-u, l-q.Y)
		open = max(open*0.93, math.Abs(q.X)-17)
		open = max(open, 3.9+1.6*smooth(-9, -14, q.X)-q.Z)
		d = smax(d, -open, 0.9)
	}
	return d
}
