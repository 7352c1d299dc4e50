package figure

import (
	"math"

	"halfstop/quantity"
)

// growth is a child's or a youth's share of the grown figure, by age in years.
//
// Statures are the 2000 CDC growth charts' medians (Kuczmarski et al. 2002); the head's size
// follows head circumference (Nellhaus 1968), the face's height Farkas 1994, breadths and sitting
// height Snyder et al. 1977 (UM-HSRI-77-17). All from memory, to about one part in thirty.
var growth = []struct{ years, boy, girl, head, face, breadth, sit float64 }{
	{3, 0.953, 0.942, 0.880, 0.70, 0.90, 0.565},
	{6, 1.155, 1.151, 0.913, 0.79, 0.93, 0.547},
	{8, 1.280, 1.276, 0.930, 0.83, 0.94, 0.539},
	{10, 1.386, 1.382, 0.945, 0.87, 0.95, 0.533},
	{12, 1.491, 1.512, 0.960, 0.91, 0.96, 0.527},
	{14, 1.639, 1.605, 0.978, 0.95, 0.97, 0.523},
	{16, 1.734, 1.624, 0.990, 0.98, 0.99, 0.524},
	{18, 1.762, 1.631, 1, 1, 1, 0.524},
}

// grown looks growth up, linear between its rows.
func grown(years float64, of func(i int) float64) float64 {
	years = clamp(years, growth[0].years, growth[len(growth)-1].years)
	for i := 1; ; i++ {
		if a, b := growth[i-1].years, growth[i].years; years <= b {
			return lerp(of(i-1), of(i), (years-a)/(b-a))
		}
	}
}

// StatureAt is the median stature at an age under 18 years; zero from then on.
func StatureAt(years float64, man bool) quantity.Metres {
	if years <= 0 || years >= 18 {
		return 0
	}
	return quantity.Metres(grown(years, func(i int) float64 {
		if man {
			return growth[i].boy
		}
		return growth[i].girl
	}))
}

// child reports an age at which a body is still of a child's proportions.
func (p Params) child() bool { return p.Years > 0 && p.Years < 18 }

// aged changes the form of the grown for the age. Ears lengthen by 0.22 mm a year (Heathcote 1995,
// BMJ 311:1668); what else age does to the old is drawn by eye: hollow cheeks, thin lips, lids that
// hang, a neck bent forward.
func (p Params) aged() Params {
	switch y := p.Years; {
	case p.child():
		head := grown(y, func(i int) float64 { return growth[i].head })
		face := grown(y, func(i int) float64 { return growth[i].face })
		wide := grown(y, func(i int) float64 { return growth[i].breadth })
		young := 1 - clamp((y-3)/15, 0, 1)
		p.HeadLength *= head
		p.HeadBreadth *= head
		p.HeadHeight *= lerp(face, head, 0.62)
		p.FaceHeight *= face
		p.Bizygomatic *= lerp(face, head, 0.45)
		p.Bigonial *= face
		p.Interpupillary *= lerp(face, 1, 0.35)
		p.NoseBreadth *= lerp(face, 1, 0.2)
		p.NoseHeight *= face
		p.NoseProtrusion *= face * face
		p.LipWidth *= face
		p.EarLength *= lerp(face, 1, 0.5)
		p.NeckBreadth *= lerp(face, 1, 0.1) * lerp(1, 0.88, young)
		p.Soft, p.Brow, p.Larynx, p.Lean = lerp(p.Soft, 1, young), p.Brow*(1-young), p.Larynx*(1-young)*(1-young), 0
		p.Bust *= smooth(10, 17, y)
		p.Biacromial *= wide
		p.ChestDepth *= wide * wide
		p.HipBreadth *= wide
	case y > 40:
		old := clamp((y-40)/45, 0, 1)
		p.EarLength = min(p.EarLength+0.22*(y-35), 78)
		p.NoseBreadth *= 1 + 0.05*old
		p.NoseProtrusion *= 1 + 0.05*old
		p.LipFullness *= 1 - 0.35*old
		p.LidOpen -= 0.14 * old
		p.Lean = clamp(p.Lean+0.65*old, 0, 1)
		p.Soft = clamp(p.Soft-0.35*old, 0, 1)
		p.Asymmetry = clamp(p.Asymmetry+0.3*old, 0, 1)
	}
	return p
}

// lines is how deep the lines of the face are cut, 0 to 1.
func (p Params) lines() float64 { return smooth(35, 85, p.Years) }

// wrinkles cuts the lines of age: beside nose and mouth, under the eyes, across the forehead, and
// softens the corner of the jaw.
func (h *head) wrinkles(p, a vec, d float64) float64 {
	w := h.P.lines()
	if w == 0 || h.g.plain || p.Z < 20 {
		return d
	}
	zs := h.sz
	e := h.eyeL
	cut := func(from, to vec, r, deep float64) { d += stroke(a, from, to, r, deep*w) }
	cut(vec{h.alar + 3, h.subnY + 8, 92 * zs}, vec{h.lipH + 7, h.stoY + 4, 80 * zs}, 6, 2.0)
	cut(vec{h.lipH + 7, h.stoY + 4, 80 * zs}, vec{h.lipH + 8, h.stoY - 14, 74 * zs}, 5, 1.3)
	cut(vec{h.lipH + 3, h.stoY - 4, 84 * zs}, vec{h.lipH + 1, h.pogY + 6, 78 * zs}, 5, 1.4)
	d -= bump(a, vec{e.X + 1, -12, 82 * zs}, vec{15, 6, 14}, 1.5*w) // bags
	cut(vec{e.X - 13, -10, 84 * zs}, vec{e.X + 10, -19, 76 * zs}, 4.5, 1.1)
	for k := range 3 { // crow's feet
		y := float64(k-1) * 6
		cut(vec{e.X + 21, y * 0.5, 66 * zs}, vec{e.X + 31, y*1.5 - 2, 52 * zs}, 2.6, 0.8)
	}
	if p.Y > 24 {
		y := p.Y + 1.6*math.Sin(p.X/13) + 2*noise(vec{p.X / 30, 1, 7})
		d += 0.55 * w * math.Max(0, math.Sin(y*2*math.Pi/11)) * smooth(24, 34, p.Y) * smooth(70, 55, p.Y) *
			smooth(62, 34, a.X)
	}
	d -= bump(a, vec{h.gon - 2, h.gonY - 9, 38 * zs}, vec{18, 15, 26}, 2.6*w) // jowl
	d += bump(a, vec{h.gon + 4, -50 * h.sy, 50 * zs}, vec{26, 28, 40}, 1.6*w)
	return d
}
