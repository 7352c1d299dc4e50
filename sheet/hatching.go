package sheet

import (
	"math"

	"halfstop/kind"
)

// drawPanel hatches by kind.
func drawPanel(g *page, h []xy, word PanelKind) {
	g.polygon(white, black, 0.9*px, h)
	k, _ := kind.FindPanel(word)
	switch k.Hatch {
	case kind.Dots:
		// Dots on a grid of 4 px, inside.
		b := boundsOf(h)
		const gap = 2.6 * px
		row := 0
		for y := b.y0 + gap/2; y < b.y1; y += gap {
			for x := b.x0 + gap/2*float64(row%2); x < b.x1; x += gap {
				if inPolygon(xy{x, y}, h) {
					g.add(item{subs: []sub{{ellipse(xy{x, y}, 0.17, 0.17, 0), true}}, fill: black})
				}
			}
			row++
		}
	case kind.Dense:
		for _, s := range hatch(h, math.Pi/4, 2.6*px) {
			g.add(item{subs: []sub{s}, stroke: black, width: 1.3 * px, square: true})
		}
	case kind.Crossed:
		for _, a := range []float64{math.Pi / 4, -math.Pi / 4} {
			for _, s := range hatch(h, a, 3.4*px) {
				g.add(item{subs: []sub{s}, stroke: black, width: 0.6 * px, square: true})
			}
		}
	}
	g.polygon(noInk, black, 0.9*px, h)
}
