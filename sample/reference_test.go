package sample

import (
	"halfstop/geom"
	"math"
)

// What the tests hold the room's own code against.

// BallSeen prepares a ball of radius m (above 0) about centre as seen from o, all in metres.
func BallSeen(centre geom.Vec, radius float64, o geom.Vec) Ball {
	b := Ball{centre: centre.Sub(o), radius: radius, versine: 2}
	d2 := b.centre.Len2()
	b.frame = geom.FrameOf(geom.V(0, 0, 1))
	if d2 > radius*radius {
		b.frame = geom.FrameOf(b.centre.Unit())
		sin2 := radius * radius / d2
		b.versine = sin2 / (1 + math.Sqrt(1-sin2))
	}
	return b
}

// CosinePdf is the density of Cosine at cosθ.
func CosinePdf(cos float64) float64 { return max(0, cos) / math.Pi }

// DomePdf is the density of Dome at cosθ.
func DomePdf(cos float64) float64 { return max(0, 1+cos) / (4 * math.Pi) }

// GGXPdf is the density of GGX at microfacet normal h (unit), per steradian of h:
// D·G1·(wo·h)/cosθo. Divide by 4(wo·h) for that of the mirror direction.
func GGXPdf(wo, h geom.Vec, alpha float64) float64 {
	dot := wo.Dot(h)
	if dot <= 0 || h.Z <= 0 || wo.Z < 0 {
		return 0
	}
	alpha = max(alpha, leastAlpha)
	// G1/cosθo, finite at grazing view
	g := 2 / (wo.Z + math.Sqrt(wo.Z*wo.Z+alpha*alpha*(1-wo.Z*wo.Z)))
	return GGXD(h.Z, alpha) * g * dot
}

// Hemisphere returns a direction of the upper hemisphere, uniform: density 1/2π.
func Hemisphere(u, v float64) geom.Vec { return around(u, v) }

// HemispherePdf is the density of Hemisphere at cosθ.
func HemispherePdf(cos float64) float64 {
	if cos < 0 {
		return 0
	}
	return 1 / (2 * math.Pi)
}

// LineSeen prepares the stretch origin + t·dir, from <= t <= to (dir unit, metres), as seen from p.
// A point on the line itself sees no angle: points are then uniform along it.
func LineSeen(origin, dir geom.Vec, from, to float64, p geom.Vec) Line {
	op := p.Sub(origin)
	l := Line{from: from, to: to, foot: op.Dot(dir)}
	l.h = op.AddMul(dir, -l.foot).Len()
	if to > from {
		l.lengthPdf = 1 / (to - from)
	}
	l.ta = math.Atan2(from-l.foot, l.h)
	l.span = math.Atan2(to-l.foot, l.h) - l.ta
	l.byLength = !(l.span > 1e-6) || l.h < 1e-9*(to-from)
	return l
}

// TriSeen prepares the triangle p, q, r as seen from o, all in metres.
func TriSeen(p, q, r, o geom.Vec) SphTri {
	t := SphTri{p: p.Sub(o), e1: q.Sub(p), e2: r.Sub(p), byArea: true}
	n := t.e1.Cross(t.e2)
	t.area, t.norm = n.Len()/2, n.Unit()
	t.a, t.b, t.c = t.p.Unit(), q.Sub(o).Unit(), r.Sub(o).Unit()
	triple := t.a.Dot(t.b.Cross(t.c))
	// Source: Van Oosterom and Strackee 1983
	t.omega = 2 * math.Atan2(math.Abs(triple), 1+t.a.Dot(t.b)+t.b.Dot(t.c)+t.c.Dot(t.a))
	if !(t.area > 0) || math.IsInf(t.area, 0) || !(math.Abs(triple) > 1e-9) || !(t.omega > leastOmega) {
		return t
	}
	ab, ac := t.a.Cross(t.b).Unit(), t.a.Cross(t.c).Unit()
	t.cosA = clamp(ab.Dot(ac), -1, 1)
	t.sinA = ab.Cross(ac).Len()
	t.cosC = t.a.Dot(t.b)
	t.ortho = t.c.Sub(t.a.Mul(t.c.Dot(t.a))).Unit()
	t.byArea = t.sinA < 1e-6
	return t
}
