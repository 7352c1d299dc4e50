package kind

import (
	"halfstop/geom"
)

var _ = objects.add(Object{Word: "frame", Says: "a framed picture behind glass, hung or leant", Size: [3]float64{0.5,
	0.03, 0.7},
	Surface: "black gloss", Foot: Square, Body: pictureFrame})

// pictureFrame has a moulding of four mitred sides, a mount of white card, a grey picture and a
// pane.
func pictureFrame(b *Solid, w, d, h float64) {
	t := min(0.035, 0.12*min(w, h))
	b.Box(geom.V(0, 0, 0), geom.V(t, d, h), 0.003, Own)
	b.Box(geom.V(w-t, 0, 0), geom.V(w, d, h), 0.003, Own)
	b.Box(geom.V(t, 0, 0), geom.V(w-t, d, t), 0.003, Own)
	b.Box(geom.V(t, 0, h-t), geom.V(w-t, d, h), 0.003, Own)
	y := 0.45 * d
	b.Box(geom.V(t, y, t), geom.V(w-t, d, h-t), 0, b.Surface("paper white"))
	m := 0.16 * min(w, h)
	b.Box(geom.V(t+m, y-0.001, t+m), geom.V(w-t-m, y, h-t-m), 0, b.Surface("mid grey"))
	b.Face(b.Surface("glass clear"), geom.V(t, 0.3*d, t), geom.V(w-t, 0.3*d, t), geom.V(w-t, 0.3*d, h-t), geom.V(t,
		0.3*d, h-t))
}
