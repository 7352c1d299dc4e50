package figure

import "math"

// Figures of a textbook eye, mm, from memory: ball 12, cornea 7.8 and iris 5.9 in radius.
const (
	ballR   = 12.0
	corneaR = 7.8
	irisR   = 5.9
	pupilR  = 2.0
)

// limbusZ is where iris and white meet, forward of the ball's centre; corneaApex is how far the
// cornea reaches.
var (
	limbusZ    = math.Sqrt(ballR*ballR - irisR*irisR)
	corneaC    = limbusZ - math.Sqrt(corneaR*corneaR-irisR*irisR)
	corneaApex = corneaC + corneaR
)

// gaze is where the eye at c looks, drawing space: both eyes meet at the distance asked.
func (h *head) gaze(c vec) vec {
	st, ct := math.Sincos(h.P.GazeTurn.Radians())
	sp, cp := math.Sincos(h.P.GazeTilt.Radians())
	g := vec{st * cp, -sp, ct * cp}
	if d := float64(h.P.GazeTo) * 1000; d > 0 {
		d = max(d, 250)
		return vec{0, h.eyeL.Y, h.eyeL.Z}.add(g.mul(d)).sub(c).unit()
	}
	return g
}

// addEyes sets balls, tear points, lashes and brows. A plain head has shut lids and needs none of
// them.
func (h *head) addEyes(b *builder) {
	if h.g.plain {
		return
	}
	for i := range 2 {
		s := side(i)
		c := h.unwarp(vec{s * h.eyeL.X, h.eyeL.Y, h.eyeL.Z})
		eyeball(b, c, h.gaze(c), h.g.ring)
		ball(b, Tear, c.add(vec{-s * 13.2, -2.0, 3.7}), vec{3.1, 2.2, 2.9})
		if h.g.lashes {
			h.lashes(b, s, c)
		}
		h.brows(b, s)
	}
}

// turned draws a surface of revolution about f.z: prof is (radius, z) from the pole outward, nrm
// its normal in the plane, tone by ring and spoke.
func (b *builder) turned(m Part, f frame, n int, prof [][2]float64, nrm func(i int) vec, tone func(i, j int) float32) {
	base := int32(len(b.pos))
	N := int32(n)
	for i, q := range prof {
		v := nrm(i)
		for j := range n {
			s, c := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			b.vertex(f.out(vec{q[0] * c, q[0] * s, q[1]}), f.dir(vec{v.X * c, v.X * s, v.Z}), vec{}, tone(i, j))
		}
		if i == 0 {
			continue
		}
		for j := range N {
			k := (j + 1) % N
			a, o := base+int32(i-1)*N, base+int32(i)*N
			b.tris(m, [3]int32{a + j, o + j, o + k}, [3]int32{a + j, o + k, a + k})
		}
	}
}

// eyeball is sclera, limbus, iris bowl, pupil, and a separate clear cornea in front, n pieces
// round.
func eyeball(b *builder, c, gaze vec, n int) {
	z := gaze.unit()
	x := vec{0, 1, 0}.cross(z).unit()
	f := frame{c, x, z.cross(x), z}
	none := func(int, int) float32 { return 0 }
	// white, from the limbus to the back
	m := 6 + n/4
	var white [][2]float64
	a0 := math.Asin(irisR / ballR)
	for i := range m + 1 {
		a := a0 + (2.4-a0)*float64(i)/float64(m)
		white = append(white, [2]float64{ballR * math.Sin(a), ballR * math.Cos(a)})
	}
	b.turned(Sclera, f, n, white, func(i int) vec { return vec{white[i][0] / ballR, 0, white[i][1] / ballR} }, none)
	// iris: a shallow bowl that falls back from the limbus, then rises to the pupil's edge; dark at
	// the limbus, spoked between
	iris := [][2]float64{{pupilR, limbusZ - 0.55}, {2.6, limbusZ - 0.5}, {3.8, limbusZ - 0.75}, {5.0, limbusZ - 0.7},
		{irisR, limbusZ}}
	b.turned(Iris, f, n, iris,
		func(i int) vec { return vec{-0.30 * math.Sin(float64(i)/4*math.Pi), 0, 1}.unit() },
		func(i, j int) float32 {
			v := [5]float64{0.55, 0.95, 0.75, 0.6, 0.0}[i]
			return float32(clamp(v*(1+0.35*hash3(int32(j*32/n), int32(i), 5)), 0, 1))
		})
	b.turned(Pupil, f, n, [][2]float64{{0.01, limbusZ - 0.9}, {pupilR, limbusZ - 0.55}},
		func(int) vec { return vec{0, 0, 1} }, none)
	// cornea: a steeper cap that meets the ball with a soft blend
	k := 4 + n/6
	var cap [][2]float64
	for i := range k + 1 {
		a := math.Asin(irisR/corneaR) * float64(i) / float64(k)
		cap = append(cap, [2]float64{max(corneaR*math.Sin(a), 0.01), corneaC + corneaR*math.Cos(a)})
	}
	b.turned(Cornea, f, n, cap, func(i int) vec {
		v := vec{cap[i][0] / corneaR, 0, (cap[i][1] - corneaC) / corneaR}
		s := vec{irisR / ballR, 0, limbusZ / ballR}
		return v.lerp(s, smooth(0.8, 1, float64(i)/float64(k))*0.8).unit()
	}, none)
}
