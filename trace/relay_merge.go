package trace

import "math"

// hotTimes is by how much a cell is brighter than the mean of all to be hot: a place that paths
// must be sent to, since one that comes upon it by chance is a firefly.
const hotTimes = 3

// mergeHot joins hot cells that lie side by side until they are no more than most, so that a set of
// relays covers a whole hot spot and not its middle alone. Of all neighbours it joins those whose
// light is alike: where a cell is sampled evenly by what it passes on as a whole, the second moment
// of the estimate is ∫L² dA · A/∫L dA, and each join adds as little to it as can be. Cells of one
// rectangle join to rectangles only. Which cells there are changes noise and never the mean. Check:
// TestMergeHot.
func mergeHot(all []patch, most int) []patch {
	light, area := 0.0, 0.0
	for i := range all {
		light += (all[i].f + all[i].b) * all[i].lx * all[i].ly
		area += all[i].lx * all[i].ly
	}
	var hot []hotCell
	var out []patch
	for i := range all {
		p := &all[i]
		if l := p.f + p.b; l*area > hotTimes*light {
			a := p.lx * p.ly
			hot = append(hot, hotCell{patch: *p, area: a, light: l * a, square: l * l * a, u: p.place()})
		} else {
			out = append(out, *p)
		}
	}
	joins := joinCosts(hot)
	for len(hot) > most {
		least, a, b := math.Inf(1), -1, -1
		for i := range hot {
			for j, c := range joins[i][:i] {
				if c < least {
					least, a, b = c, j, i
				}
			}
		}
		if a < 0 {
			break
		}
		hot[a].join(&hot[b])
		last := len(hot) - 1
		hot[b] = hot[last]
		hot = hot[:last]
		joins.renew(hot, a)
		if b < last {
			joins.renew(hot, b)
		}
	}
	for i := range hot {
		out = append(out, hot[i].patch)
	}
	return out
}

// costs of joining cell i and an earlier one j: by how much their second moment grows; infinite
// where they are no neighbours.
type costs [][]float64

func joinCosts(hot []hotCell) costs {
	c := make(costs, len(hot))
	for i := range hot {
		c[i] = make([]float64, i)
		for j := range c[i] {
			c[i][j] = hot[i].cost(&hot[j])
		}
	}
	return c
}

// renew works out anew what it costs to join cell k.
func (c costs) renew(hot []hotCell, k int) {
	for i := range hot {
		if i != k {
			c[max(i, k)][min(i, k)] = hot[max(i, k)].cost(&hot[min(i, k)])
		}
	}
}

// hotCell is a hot patch, what it passes on, and its place on its rectangle.
type hotCell struct {
	patch
	area, light, square float64    // m²; ∫L dA; ∫L² dA
	u                   [4]float64 // from and to along the rectangle's first side, then along its second: 0 to 1
}

// place is where p lies on its rectangle, as in hotCell.
func (p *patch) place() [4]float64 {
	d := p.corner.Sub(p.of.corner)
	ex, ey := p.of.ex, p.of.ey
	x, y := d.Dot(ex)/ex.Len2(), d.Dot(ey)/ey.Len2()
	return [4]float64{x, x + p.ex.Dot(ex)/ex.Len2(), y, y + p.ey.Dot(ey)/ey.Len2()}
}

// beside reports whether two cells have a whole side in common.
func (h *hotCell) beside(o *hotCell) bool {
	const near = 1e-6
	same := func(a, b float64) bool { return math.Abs(a-b) < near }
	for k := 0; k < 4; k += 2 {
		s := 2 - k
		if same(h.u[s], o.u[s]) && same(h.u[s+1], o.u[s+1]) && (same(h.u[k], o.u[k+1]) || same(h.u[k+1], o.u[k])) {
			return true
		}
	}
	return false
}

func (h *hotCell) moment() float64 { return h.square * h.area / h.light }

func (h *hotCell) cost(o *hotCell) float64 {
	if h.of != o.of || !h.beside(o) {
		return math.Inf(1)
	}
	return h.joined(o) - h.moment() - o.moment()
}

func (h *hotCell) joined(o *hotCell) float64 {
	return (h.square + o.square) * (h.area + o.area) / (h.light + o.light)
}

// join makes h the rectangle of both.
func (h *hotCell) join(o *hotCell) {
	a, b := h.area/(h.area+o.area), o.area/(h.area+o.area)
	front, back := make([]float64, len(h.front)), make([]float64, len(h.back))
	for l := range front {
		front[l], back[l] = a*h.front[l]+b*o.front[l], a*h.back[l]+b*o.back[l]
	}
	h.front, h.back, h.quarter = front, back, nil
	h.f, h.b = a*h.f+b*o.f, a*h.b+b*o.b
	h.area, h.light, h.square = h.area+o.area, h.light+o.light, h.square+o.square
	for k := 0; k < 4; k += 2 {
		h.u[k], h.u[k+1] = min(h.u[k], o.u[k]), max(h.u[k+1], o.u[k+1])
	}
	r := h.of
	h.ex, h.ey = r.ex.Mul(h.u[1]-h.u[0]), r.ey.Mul(h.u[3]-h.u[2])
	h.corner = r.corner.AddMul(r.ex, h.u[0]).AddMul(r.ey, h.u[2])
	h.lx, h.ly = h.ex.Len(), h.ey.Len()
}
