package balance

import (
	"math"

	q "halfstop/quantity"
)

// dice is a small repeatable generator (splitmix64).
type dice uint64

func (d *dice) next() uint64 {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (d *dice) float() float64 { return float64(d.next()>>11) / (1 << 53) }

func (d *dice) in(lo, hi float64) float64 { return lo + (hi-lo)*d.float() }

func (d *dice) n(k int) int { return int(d.next() % uint64(k)) }

func (d *dice) yes(p float64) bool { return d.float() < p }

// contribution makes an option's contribution at one point: colour by a mixture of white and one
// hue.
func (d *dice) contribution(flash bool, strength float64, tint [3]float64) Contribution {
	m := math.Exp2(d.in(-7, 0)) * strength
	if d.yes(0.2) {
		m *= 1e-3
	}
	rho := d.in(0.03, 0.6) / math.Pi
	xyz := [3]float64{m * rho * tint[0], m * rho * tint[1], m * rho * tint[2]}
	veil := [3]float64{}
	if d.yes(0.3) {
		for i := range veil {
			veil[i] = xyz[i] * d.in(0, 0.4)
		}
	}
	if flash {
		return Contribution{Flash: q.LuxSeconds(m), FlashXYZ: xyz, FlashVeil: veil}
	}
	m *= 60
	for i := range xyz {
		xyz[i] *= 60
		veil[i] *= 60
	}
	return Contribution{Continuous: q.Lux(m), ContinuousXYZ: xyz, ContVeil: veil}
}

// problem makes a random problem of the given size. reach is how many stops of level each light
// has.
func (d *dice) problem(points, lights, targets, options int, step float64, freeCamera bool) Problem {
	p := Problem{Camera: Camera{Aperture: 5.6, Shutter: 1. / 60, ISO: 400}}
	if freeCamera {
		p.Camera.Apertures = FNumbers(2.8, 8, 1./3)
		if d.yes(0.6) {
			p.Camera.Shutters = ShutterTimes(1./15, 1./200, 1./3)
		}
		if d.yes(0.5) {
			p.Camera.ISOs = Sensitivities(100, 1600, 1./3)
		}
	}
	for range points {
		p.Points = append(p.Points, Point{C: []float64{250, 330}[d.n(2)]})
	}
	for range lights {
		l := Light{Level: q.Stops(-step * float64(d.n(8)))}
		flash := d.yes(0.5)
		l.Levels = Scale{Min: -7, Max: 0, Step: q.Stops(step)}
		if d.yes(0.1) {
			l.Levels = Scale{}
			l.Level = 0
			l.MaySwitch = d.yes(0.5)
		}
		strength := math.Exp2(d.in(5, 10))
		where := make([]dice, points)
		for i := range where {
			where[i] = dice(d.next())
		}
		for range 1 + d.n(options) {
			tint := [3]float64{d.in(0.6, 1.5), 1, d.in(0.2, 1.6)}
			loss := d.in(0.15, 1)
			o := Option{Cost: d.in(0, 0.3)}
			for i := range points {
				same := where[i] // geometry is the same for every gel
				o.At = append(o.At, same.contribution(flash, strength*loss, tint))
			}
			l.Options = append(l.Options, o)
			l.MayOption = append(l.MayOption, len(l.Options)-1)
		}
		if d.yes(0.12) {
			l.Lock = true
		}
		if d.yes(0.4) {
			l.For = []int{}
			for i := range points {
				if d.yes(0.3) {
					l.For = append(l.For, i)
				}
			}
		}
		p.Lights = append(p.Lights, l)
	}
	for range targets {
		p.Targets = append(p.Targets, d.target(p))
	}
	return p
}

func (d *dice) target(p Problem) Target {
	a := d.n(len(p.Points))
	b := (a + 1 + d.n(max(1, len(p.Points)-1))) % len(p.Points)
	key := d.n(len(p.Lights))
	fill := (key + 1) % len(p.Lights)
	var t Target
	switch d.n(12) {
	case 0, 1:
		t = ReadsAt(a, q.FNumber(math.Exp2(d.in(1, 6)/2)))
	case 2, 3:
		t = LevelAt(a, q.Stops(d.in(-4, 2)))
	case 4, 5:
		t = Above(a, b, q.Stops(d.in(-3, 3)))
	case 6:
		t = ReadsAbove(a, b, q.Stops(d.in(-3, 3)))
	case 7:
		t = Darkest(a, q.Stops(d.in(-5, 0)))
	case 8:
		t = Brightest(a, q.Stops(d.in(-4, 1)))
	case 9:
		t = RatioOfLights(a, []int{key}, []int{fill}, math.Exp2(d.in(0, 3)))
		if d.yes(0.5) {
			t = RatioOfSides(a, []int{key}, []int{fill}, math.Exp2(d.in(0.5, 3)))
		}
	case 10:
		t = ColourAt(a, d.in(0.17, 0.28), d.in(0.44, 0.53), 0.005)
	default:
		switch d.n(3) {
		case 0:
			t = AmbientShare(a, q.Share(d.in(0.1, 0.4)), q.Share(d.in(0.5, 0.9)))
		case 1:
			t = VeilAtMost(a, q.Stops(d.in(0.1, 0.6)))
		default:
			t = WarmerThan(a, 180, q.Mired(d.in(-40, 120)))
		}
	}
	if t.Kind != Colour && t.Kind != Ambient {
		t.Within = d.in(0, 0.2)
		if t.Kind == Warmth {
			t.Within = 5
		}
	}
	t.Priority = []Priority{Want, Want, Must, Nice}[d.n(4)]
	if d.yes(0.5) {
		t.Sigma = d.in(0, 0.6) * t.Kind.UnitPerStop()
	}
	if d.yes(0.4) {
		t.Weight = d.in(0.5, 2)
	}
	return t
}
