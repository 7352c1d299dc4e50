package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "shelf", Says: "an open shelf with books and things", Size: [3]float64{0.9, 0.3, 1.8},
	Surface: "dark wood", Foot: Square, Body: shelf})

// shelf has boards every 34 cm or so between two sides, books that stand and lie, a few jars and
// boxes, and gaps.
func shelf(b *Solid, w, d, h float64) {
	mat := Own
	const t = 0.02
	for _, x := range [2]float64{0, w - t} {
		b.Box(geom.V(x, 0, 0), geom.V(x+t, d, h), 0.002, mat)
	}
	b.Box(geom.V(t, d-0.008, 0), geom.V(w-t, d, h), 0.001, mat)
	covers := []int{b.Surface("red paint"), b.Surface("pale blue paint"), b.Surface("sage green paint"),
		b.Surface("cream emulsion"),
		b.Surface("navy wool"), b.Surface("brown leather"), b.Surface("pale grey"), b.Surface("cardboard")}
	paper := b.Surface("paper white")
	n := max(1, int(math.Round(h/0.34)))
	for k := range n + 1 {
		z := (h - t) * float64(k) / float64(n)
		b.Box(geom.V(t, 0.004, z), geom.V(w-t, d-0.008, z+t), 0.002, mat)
		if k == n {
			continue
		}
		room := (h-t)/float64(n) - t - 0.01
		for x, i := t+0.01, int64(0); x < w-t-0.02; i++ {
			r := func(j int64) float64 { return Hash2(int64(k)*97+i, j) }
			switch q := r(1); {
			case q < 0.80: // a book that stands
				bw := 0.018 + 0.03*r(2)
				bh, bd := min(room, 0.17+0.10*r(3)), min(d-0.03, 0.13+0.08*r(4))
				if x+bw > w-t-0.005 {
					x = w
					break
				}
				c := covers[int(r(5)*float64(len(covers)))]
				y := 0.012 + 0.02*r(6)
				b.Box(geom.V(x, y, z+t), geom.V(x+bw, y+bd, z+t+bh), 0.002, c)
				b.Box(geom.V(x+0.003, y+0.006, z+t+0.004), geom.V(x+bw-0.003, y+bd-0.003, z+t+bh+0.0005), 0.0004, paper)
				x += bw + 0.001
			case q < 0.88: // a jar or a bowl
				rad := 0.035 + 0.03*r(2)
				if x+2*rad > w-t-0.01 {
					x = w
					break
				}
				hh := min(room, rad*(1+1.4*r(3)))
				b.Turned(geom.V(x+rad, d*0.45, z+t), geom.V(0, 0, 1), [][2]float64{{0, 0}, {0.6 * rad, 0}, {rad,
					0.45 * hh},
					{0.8 * rad, 0.9 * hh}, {0.85 * rad, hh}, {0.7 * rad, hh}, {0, 0.7 * hh}}, 28, covers[int(r(5)*8)])
				x += 2*rad + 0.02
			default:
				x += 0.05 + 0.10*r(2)
			}
		}
	}
}
