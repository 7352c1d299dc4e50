package figure

import "math"

// Hat is what is worn on the head.
type Hat uint8

const (
	NoHat   Hat = iota
	Beanie      // knitted, over the tops of the ears
	Cap         // with a peak
	Brimmed     // felt, with a brim all round
)

// hatLine is how far p lies above the edge of the hat; the edge drops to the back.
func (h *head) hatLine(p vec) float64 {
	y := 40.0
	if h.P.Hat == Beanie {
		y = 30
	}
	return p.Y - y - 0.20*p.Z/h.sz
}

// crown is the hat's body; hair under it is pressed flat.
func (h *head) crown(p vec) float64 {
	sk := h.skull(p)
	up := h.hatLine(p)
	switch h.P.Hat {
	case Beanie:
		d := sk - 10 - 9*smooth(30, 80, up) // slack at the top
		if !h.g.plain {
			d -= 1.0 * math.Sin(math.Atan2(p.X, p.Z+15)*46) * smooth(95, 60, up) // ribs
			d -= 1.6 * smooth(30, 28, up)                                        // turned up
		}
		return smax(d, -up, 3)
	case Cap:
		top := h.top + 17
		d := smax(sk-8, p.Y-top, 18)
		d = smax(d, -up, 2)
		// peak: a curved blade before the forehead
		x, z := p.X/78, (p.Z-h.glab+28*h.sz)/96
		out := (math.Hypot(x, max(z, 0)) - 1) * 70
		blade := math.Abs(up-2+0.0042*p.X*p.X+0.12*(p.Z-h.glab)) - 2
		return smin(d, smax(max(blade, out), 20-p.Z, 2), 3)
	case Brimmed:
		tall := h.top + 34
		c := vec{0, 0, h.glab - h.hl/2}
		q := p.sub(c)
		s := math.Hypot(q.X/(h.hb/2+9), q.Z/(h.hl/2+9)) - 1
		d := s*80 + 0.10*up
		pinch := 16*smooth(70, 0, math.Abs(p.X)*2) + 9*smooth(20, 90, p.Z)*smooth(10, 40, math.Abs(p.X))
		d = smax(d, p.Y-tall+pinch, 14)
		d = smax(d, -up, 2)
		rim := math.Abs(up-3-0.0009*p.X*p.X+0.0005*q.Z*q.Z) - 2.2
		r := math.Hypot(q.X/(h.hb/2+62), q.Z/(h.hl/2+66)) - 1
		brim := smax(rim, r*120, 3)
		band := 0.0
		if !h.g.plain {
			band = 1.6 * smooth(26, 24, up)
		}
		return smin(d-band, brim, 5)
	}
	return 1e3
}

func (h *head) addHat(b *builder) {
	if h.P.Hat == NoHat {
		return
	}
	c := h.g.hair * 0.9
	st := func(float64) float64 { return c }
	far := 165.0
	s := extract(h.crown, axis(-far, far, st), axis(-20, h.top+50, st), axis(-190*h.sz, 200*h.sz, st), 2.6)
	keep := s.tri[:0]
	for _, t := range s.tri { // what lies in the head
		if h.bust(s.pos[t[0]]) > -6 || h.bust(s.pos[t[1]]) > -6 || h.bust(s.pos[t[2]]) > -6 {
			keep = append(keep, t)
		}
	}
	s.tri = keep
	b.add(s, as(HatCloth))
}
