package figure

import "math"

// reach is how far the skin lies from o along d, searched from far down to near.
func (h *head) reach(o, d vec, far float64) float64 {
	t := far
	for i := 0; i < 80; i++ {
		p := o.add(d.mul(t))
		v := h.face(p, vec{math.Abs(p.X), p.Y, p.Z})
		if math.Abs(v) < 0.02 {
			break
		}
		t -= v * 0.75
	}
	return t
}

// jawFlesh is the soft tissue, each side, that a calliper pressed on the jaw angle pushes aside.
const jawFlesh = 4.0

// fit nudges the drawing until the finished surface, smooth unions and all, measures what was
// asked.
func (h *head) fit() {
	P := h.P
	x := vec{1, 0, 0}
	for it := 0; it < 4; it++ {
		z := 0.0
		for _, y := range []float64{-26, -18, -10} {
			for q := 20.0; q <= 52; q += 8 {
				z = max(z, h.reach(vec{0, y * h.sy, q}, x, 110))
			}
		}
		h.zyg += P.Bizygomatic/2 - z
		h.gon += P.Bigonial/2 + jawFlesh - h.reach(vec{0, h.gonY, 12}, x, 110)
		b := 0.0
		for _, y := range []float64{42, 55, 68} {
			for _, q := range []float64{-15, -30, -45} {
				b = max(b, h.reach(vec{0, h.top - 114 + y, q}, x, 110))
			}
		}
		h.hb += P.HeadBreadth - 2*b
		back, fr := 0.0, 0.0
		for _, y := range []float64{-5, 10, 25, 40, 55} {
			for _, q := range []float64{0, 14, 28} {
				back = max(back, h.reach(vec{q, y, 0}, vec{0, 0, -1}, 150))
			}
		}
		for _, y := range []float64{12, 19, 26} {
			fr = max(fr, h.reach(vec{0, y, 0}, vec{0, 0, 1}, 150))
		}
		h.hl += P.HeadLength - back - fr
		low := 0.0
		for _, q := range []float64{-4, 0, 4, 8} {
			low = max(low, h.reach(vec{0, -60, h.menZ + q}, vec{0, -1, 0}, 100))
		}
		h.chinUp += 0.8 * (low - (-60 - h.menton))
		tip := h.reach(vec{0, h.tipY, 0}, vec{0, 0, 1}, 160)
		root := h.reach(vec{0, h.subnY - 1.5, 0}, vec{0, 0, 1}, 160)
		h.tipZ += P.NoseProtrusion - (tip - root)
		h.draw()
	}
}
