package trace

// VisibleShare gives the share of samples of a layer's light, a fixed few of each emitter, that
// come to a receptor (of a Spot: to what it looks at) past opaque things. Two scenes with different
// shares throw different shadows there.
func (sc *Scene) VisibleShare(layer int, r *Receptor) float64 {
	at := r.At
	if r.Kind == Spot {
		id, h := sc.closest(r.At, r.Facing)
		if id < 0 {
			return 0
		}
		at = at.AddMul(r.Facing, float64(h.T)-20*sc.eps)
	}
	var s lightSample
	var pass Band
	n, free := 0, 0.0
	for _, e := range sc.byLayer[layer] {
		for k := range 8 {
			if !e.sample(at, goldenShift(0.1, k), goldenShift(0.3, 3*k), &s) {
				continue
			}
			n++
			if ok, _ := sc.visible(at, s.w, s.dist, &pass); ok {
				free++
			}
		}
	}
	if n == 0 {
		return 0
	}
	return free / float64(n)
}
