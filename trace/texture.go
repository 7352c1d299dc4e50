package trace

import "halfstop/bvh"

// paint sets the tint of a surface point: the tone of its corners and the texture of its material.
func (w *integrator) applyTexture(n *vertex, t [3]uint32, h bvh.Hit) {
	sc, m := w.sc, n.m
	n.tint = false
	if len(sc.tones) > int(max(t[0], t[1], t[2])) {
		s := sc.tones[t[0]]*(1-h.U-h.V) + sc.tones[t[1]]*h.U + sc.tones[t[2]]*h.V
		switch {
		case m.hasSecond && s > 0:
			n.tint = true
			for b := range n.alb {
				n.alb[b] = 1 + min(1, s)*(m.Second[b]-1)
			}
		case !m.hasSecond && s != 1:
			n.tint = true
			n.alb = Grey(float64(min(1, max(0, s))))
		}
	}
	if m.Texture != nil {
		k := m.Texture(n.p, n.ng)
		if !(k >= 0) {
			k = 0
		}
		k = min(k, m.maxTexture)
		if !n.tint {
			n.alb = Grey(float64(k))
		} else {
			scaleBand(&n.alb, k)
		}
		n.tint = true
	}
}

// headroom is the largest factor of the diffuse parts that keeps the shares within 1.
func (m *Material) headroom() float32 {
	most := float32(4)
	for b := range Bands {
		rest := 1 - m.Mirror[b]
		if m.Glass == 0 {
			rest -= m.Clear[b]
		}
		if d := m.Diffuse[b] + m.Trans[b]; d > 0 {
			most = min(most, max(1, rest/d))
		}
	}
	return most
}
