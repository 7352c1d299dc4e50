package figure

import "math"

// Beard is what grows on the lower face.
type Beard uint8

const (
	Shaven  Beard = iota
	Stubble       // three days
	Full          // short and full
)

// beardline is a signed distance along the skin, positive where a beard grows: from the sideburn
// along the cheek to the moustache, round the lips, and under the jaw.
func (h *head) beardline(p vec) float64 {
	a, zs := math.Abs(p.X), h.sz
	cheek := lerp(-30*h.sy, h.stoY+9, smooth(8*zs, 80*zs, p.Z)) - p.Y
	m := min(cheek, p.Z+4-0.12*(p.Y-h.gonY))
	m = min(m, p.Y-(h.menton-26)-0.25*(60-p.Z))
	must := min(min(h.subnY-2.5-p.Y, p.Y-h.ls+1), h.lipH+10-a)
	if p.Z < 60*zs {
		must = -20
	}
	m = max(m, must)
	lips := math.Hypot(a/(h.lipH+2), (p.Y-h.stoY+1)/(0.5*(h.ls-h.li)+2.5)) - 1
	return min(m, lips*9)
}

// addBeard lays single hairs, and under a full beard a mass.
func (h *head) addBeard(b *builder) {
	if h.P.Beard == Shaven {
		return
	}
	long := 1.6
	if h.P.Beard == Full {
		long = 8
		deep := func(p vec) float64 {
			m := h.beardline(p)
			t := 5.5 + 4*smooth(h.stoY, h.menton-10, p.Y)*smooth(20, 70, p.Z)
			d := h.bust(p) + 1.5 - (t+1.5)*smooth(-1, 12, m)
			if math.Abs(d) < 5 && !h.g.plain {
				d -= 0.9 * smooth(2, 10, m) * noise(vec{p.X / 2.2, p.Y / 7, p.Z / 2.4}) * h.fineness()
			}
			return d
		}
		c := min(h.g.hair, h.g.face*1.7)
		st := func(float64) float64 { return c }
		s := extract(deep, axis(-84, 84, st), axis(h.menton-34, -12, st), axis(-14, h.tipZ+6, st), 3.2)
		for i, p := range s.pos {
			d := vec{0.25 * p.X / 60, -1, 0.25}
			d = d.sub(s.nrm[i].mul(d.dot(s.nrm[i]))).unit()
			s.tan[i] = d
			s.tone[i] = float32(clamp(0.45+0.5*noise(vec{p.X / 3, p.Y / 11, p.Z / 3}), 0, 1))
		}
		keep := s.tri[:0]
		for _, t := range s.tri {
			if h.bust(s.pos[t[0]]) > -0.8 || h.bust(s.pos[t[1]]) > -0.8 || h.bust(s.pos[t[2]]) > -0.8 {
				keep = append(keep, t)
			}
		}
		s.tri = keep
		b.add(s, as(HairStrand))
	}
	n, w := h.g.edge*2, 0.32
	if h.P.Beard == Stubble {
		n, w = h.g.edge*5, 0.4
	}
	if !h.g.lashes {
		w = 1.2
	}
	h.scatter(b, n, func(p vec) bool {
		m := h.beardline(p)
		return p.Z > -12 && p.Y < -8 && m > -3+3*b.rng.float() && (m < 14 || h.P.Beard == Stubble)
	}, func(p, n vec) {
		d := vec{0.3 * p.X / 60, -1, 0.3}.add(vec{b.rng.float() - 0.5, 0, b.rng.float() - 0.5}.mul(0.9))
		h.hairlet(b, p, n, d, long*(0.6+0.6*b.rng.float()), w, 0.25)
	})
}

// scatter picks up to n places of the skin that ok admits and calls put with each and its normal.
func (h *head) scatter(b *builder, n int, ok func(vec) bool, put func(p, n vec)) {
	for i, made := 0, 0; i < 40*n && made < n; i++ {
		z, ph := b.rng.float()*2-1, b.rng.float()*2*math.Pi
		r := math.Sqrt(max(0, 1-z*z))
		d := vec{r * math.Cos(ph), z, r * math.Sin(ph)}
		p := vec{d.X * 120, -10 + d.Y*150, d.Z * 140}
		if q := (vec{d.X * h.P.HeadBreadth * 0.46, -10 + d.Y*112, d.Z * 92 * h.sz}); !ok(q) {
			if b.rng.float() > 0.1 { // the skin may lie elsewhere than this egg
				continue
			}
		}
		p, nn := h.onSkin(p, d.mul(-1))
		if math.Abs(h.bust(p)) > 0.3 || !ok(p) {
			continue
		}
		made++
		put(p, nn)
	}
}

// hairlet is one short hair from p, as a flat blade that lies near the skin.
func (h *head) hairlet(b *builder, p, n, dir vec, long, width, lift float64) {
	dir = dir.sub(n.mul(dir.dot(n))).unit()
	var pts, nrm []vec
	for k := range 3 {
		u := float64(k) / 2
		pts = append(pts, p.add(dir.mul(long*u)).add(n.mul(0.15+lift*long*u)))
		nrm = append(nrm, n)
	}
	from := len(b.tone)
	ribbon(b, HairStrand, pts, nrm, width)
	b.toned(from, float32(0.35+0.4*b.rng.float()))
}
