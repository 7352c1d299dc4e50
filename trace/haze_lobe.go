package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// cellLobes says where the light comes from that arrives at a place in haze: straight from
// emitters, and by way of surfaces and haze. Each of the two is taken for a lobe of Henyey and
// Greenstein's.
type cellLobes struct {
	direct float32 // share of all that comes straight
	// towards is by kind of light its mean direction, as long as the lobe's mean cosine: 1 for a
	// beam, 0 for light from all round.
	towards [2][3]float32
}

// scattered is the phase function for a way along d: how much of the light goes back along it, per
// steradian. A lobe of mean cosine r, scattered by a phase function of mean cosine g, is the lobe
// of mean cosine g·r, since the Legendre moments of Henyey and Greenstein's function are the powers
// of its mean cosine. Check: TestScatteredLobe.
func (c *cellLobes) scattered(d geom.Vec, g float64) float64 {
	sum := 0.0
	for k, share := range [2]float64{float64(c.direct), 1 - float64(c.direct)} {
		if share == 0 {
			continue
		}
		t := &c.towards[k]
		mean := geom.V(float64(t[0]), float64(t[1]), float64(t[2]))
		if r := mean.Len(); r > 0 {
			sum += share * sample.HGPdf(d.Dot(mean)/r, g*r)
		} else {
			sum += share / (4 * math.Pi)
		}
	}
	return sum
}

// join makes c the lobes of two lots of light together, c's own and o's, each so much.
func (c *cellLobes) join(o *cellLobes, own, others float32) {
	if own+others <= 0 {
		return
	}
	direct := [2]float32{own * c.direct, others * o.direct}
	for k := range c.towards {
		a, b := direct[0], direct[1]
		if k == 1 {
			a, b = own-a, others-b
		}
		if a+b <= 0 {
			continue
		}
		for i := range 3 {
			c.towards[k][i] = (c.towards[k][i]*a + o.towards[k][i]*b) / (a + b)
		}
	}
	c.direct = (direct[0] + direct[1]) / (own + others)
}

// lobeFlux is what arrives at a place, straight and by other ways: light times the direction that
// it comes from, and light.
type lobeFlux [2][4]float64

func (f *lobeFlux) add(bounced bool, from geom.Vec, light float64) {
	v := &f[0]
	if bounced {
		v = &f[1]
	}
	v[0] += light * from.X
	v[1] += light * from.Y
	v[2] += light * from.Z
	v[3] += light
}

func (f *lobeFlux) lobes() (c cellLobes) {
	if all := f[0][3] + f[1][3]; all > 0 {
		c.direct = float32(f[0][3] / all)
	}
	for k := range f {
		if light := f[k][3]; light > 0 {
			for i := range 3 {
				c.towards[k][i] = float32(f[k][i] / light)
			}
		}
	}
	return
}
