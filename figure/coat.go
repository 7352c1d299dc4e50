package figure

import "math"

// wrap is the coat's inner form: shaped to the waist, then hanging from the hips to its hem.
func (b *body) wrap(p vec) float64 {
	d := b.cover(p, 6, 8, 10)
	G := b.h.P.Girth
	w := lerp(b.k, b.hipK, 0.5) * (1 + 0.10*G)
	if r := b.rest(p); r.Y < b.pelvis.Y+40 && d < 150 { // over the thighs
		d = smin(d, b.leg(b.chest.ap(p))-5, 45)
	}
	return smin(d, ellipsoid(b.rest(p), vec{0, b.base - 330, -48}, vec{128 * w, 260, 100 * b.c * (1 + 0.14*G)}), 50)
}

// veeHalf is half the breadth of the coat's opening, y mm over the notch of the breast bone.
func veeHalf(y float64) float64 { return 3 + 0.19*max(0, y+250) }

// veeEdge is how far p lies outside the coat's open front, in mm across; negative in the opening.
func (b *body) veeEdge(p vec) float64 {
	y := b.base
	vx := veeHalf(p.Y - y)
	open := max(math.Abs(p.X+4)-vx, y-250-p.Y)
	return max(open, -p.Z-20)
}

// coat is a single-breasted coat to the upper thigh.
func (b *body) coat(p vec) float64 {
	in := b.wrap(p)
	if in > 60 {
		return in - 10
	}
	d := in - 11 - b.folds(p, 0.8, 0.3)
	if b.sits() { // it is swept back and lies on the seat
		d = smax(d, b.seatY-b.chest.ap(p).Y, 8)
	} else {
		d = smax(d, b.coatHem()-b.hang(p), 8)
	}
	if b.h.g.plain { // one surface: the coat sinks to the shirt in the opening
		w := smooth(-14, 8, b.veeEdge(p))
		if w < 1 {
			d = lerp(b.front(p), d, w)
		}
		return d
	}
	// a V to the top button; what is under it is kept
	// the leaves of the lapels cover its edge
	open := max(b.veeEdge(p)-9*smooth(b.base-240, b.base-180, p.Y)*smooth(b.base-20, b.base-60, p.Y), -8-in)
	d = smax(d, -open, 5)
	// below it one edge lies over the other
	y := b.base
	if e := math.Abs(p.X - 14); p.Z > 0 && p.Y < y-240 && e < 30 {
		d -= 3.0 * smooth(15, 11.5, p.X) * smooth(-16, 8, p.X)
		d -= 2.2 * smooth(9.5, 7, math.Hypot(p.X-1, math.Mod(y-268-p.Y, 110)-6)) * smooth(y-262, y-268, p.Y)
	}
	rho, v, _ := b.column(p)
	return smax(d, -max(rho-10, -6-v), 6)
}

// coatHem is where a coat or a jacket ends on who stands.
func (b *body) coatHem() float64 {
	if b.h.P.Clothes == Jacket {
		return b.pelvis.Y - 0.065*b.S
	}
	return b.pelvis.Y - 0.165*b.S
}

// front is the shirt under the coat.
func (b *body) front(p vec) float64 {
	return b.crew(p, b.torso(p)-4-b.folds(p, 0.5, 1))
}

// lapels and collar of the coat: leaves thinner than the coat's own grid, taken out on a finer one.
func (b *body) lapels(p vec) float64 {
	in := b.wrap(p)
	y := b.base
	vx := veeHalf(p.Y - y)
	rho, v, ang := b.column(p)
	// lapel: a leaf lying on the coat beside the opening, notched
	edge := math.Abs(p.X+4) - vx
	lw := 66 * smooth(y-262, y-75, p.Y)
	lap := math.Abs(in-(12.5+b.folds(p, 0.8, 0.3)+0.05*edge)) - 5.5
	lap = smax(lap, max(-edge-4, edge-lw), 2.5)
	lap = smax(lap, max(p.Y-(y-34+0.30*edge), y-262-p.Y), 2.5)
	lap = max(lap, -p.Z-12)
	// collar round the back of the neck
	fa := math.Abs(ang)
	rise := 30 * smooth(0.35, 1.4, fa)
	col := math.Abs(rho-(11+0.36*max(0, rise-v))) - 3.2
	col = smax(col, max(v-6-rise, -34+30*smooth(1.0, 2.0, fa)-v), 3)
	col = smax(col, (0.50-fa)*60, 4)
	col = smax(col, in-25+9*smooth(1.2, 2.0, fa), 3) // lies on the coat, never stands off it
	return smin(lap, col, 4)
}
