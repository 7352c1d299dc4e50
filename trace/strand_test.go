package trace

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// hairPoint is a point of hair material m with its strand along x, seen from wo.
func hairPoint(m *Material, wo geom.Vec) *surfacePoint {
	m.prepare()
	s := &surfacePoint{ng: up, n: up, frame: geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: up},
		wo: wo.Unit(), m: m}
	s.prepare()
	return s
}

var hairViews = []geom.Vec{{Z: 1}, {X: 0.5, Z: 1}, {X: -0.5, Z: 1}, {Y: 0.8, Z: 1}, {X: 1, Y: 1, Z: 0.6},
	{X: -2, Y: 0.3, Z: 0.5}, {Y: 3, Z: 0.5}}

// A white hair in a white furnace stays white where its coat lies over white diffuse, within what
// the slant of the scales and the coarse tables leave (3 %), and never gives more than it gets by
// more than that.
func TestStrandFurnace(t *testing.T) {
	for name, m := range map[string]Material{
		"white":   {Strand: true, Diffuse: Grey(1), Coat: 1.55, CoatAlpha: 0.2},
		"inner":   {Strand: true, Mirror: Grey(1), Alpha: 0.4},
		"both":    {Strand: true, Diffuse: Grey(0.9), Mirror: Grey(0.1), Alpha: 0.4, Coat: 1.55, CoatAlpha: 0.2},
		"sharper": {Strand: true, Diffuse: Grey(1), Coat: 1.55, CoatAlpha: 0.08},
	} {
		for _, wo := range hairViews {
			s := hairPoint(&m, wo)
			sum := 0.0
			const n = 20000
			seq := sample.New(3, 0)
			for i := range uint32(n) {
				p, _ := seq.Point2(i, 0)
				u, v := seq.Point2(i, 1)
				wi, ok := s.sampleSpread(p, u, v)
				if !ok {
					continue
				}
				var f Band
				if pdf := s.eval(wi, &f); pdf > 0 {
					sum += float64(f[5]) / pdf
				}
			}
			got := sum / n
			t.Logf("%-8s from %.1f: %.4f", name, wo, got)
			if got > 1.03 {
				t.Errorf("%s from %v gives back %.3f of what it gets", name, wo, got)
			}
			if lo := map[string]float64{"both": 0.85}[name]; got < max(lo, 0.97) && name != "both" || got < lo {
				t.Errorf("%s from %v keeps only %.3f", name, wo, got)
			}
		}
	}
}

// Helmholtz: light and eye may change places.
func TestStrandReciprocal(t *testing.T) {
	m := Material{Strand: true, Diffuse: Grey(0.3), Mirror: Grey(0.2), Alpha: 0.4, Coat: 1.55, CoatAlpha: 0.2}
	for _, a := range hairViews {
		for _, b := range hairViews {
			var f, g Band
			hairPoint(&m, a).eval(b.Unit(), &f)
			hairPoint(&m, b).eval(a.Unit(), &g)
			x, y := float64(f[3])/b.Unit().Z, float64(g[3])/a.Unit().Z
			if math.Abs(x-y) > 1e-5*(x+y) {
				t.Errorf("%v to %v: %.6g one way, %.6g the other", a, b, x, y)
			}
		}
	}
}

// The density that eval states is the one that sampleSpread has: the share of draws in each of 8 ×
// 16 cells of the hemisphere, against the density's integral there, by a chi-squared of 127
// degrees; 200 is passed by one good sampler in 30,000.
func TestStrandDensity(t *testing.T) {
	m := Material{Strand: true, Diffuse: Grey(0.02), Mirror: Grey(0.2), Alpha: 0.4, Coat: 1.55, CoatAlpha: 0.2}
	for _, wo := range hairViews {
		s := hairPoint(&m, wo)
		const n, zs, turns, sub = 40000, 8, 16, 12
		var got, want [zs * turns]float64
		cell := func(w geom.Vec) int {
			a := math.Atan2(w.Y, w.X)/(2*math.Pi) + 0.5
			return min(zs-1, int(w.Z*zs))*turns + min(turns-1, int(a*turns))
		}
		seq := sample.New(9, 0)
		for i := range uint32(n) {
			p := seq.Noise(i, 0)
			if w, ok := s.sampleSpread(p, seq.Noise(i, 1), seq.Noise(i, 2)); ok && w.Z > 0 {
				got[cell(w)]++
			}
		}
		for i := range zs * sub {
			for j := range turns * sub {
				z, a := (float64(i)+0.5)/(zs*sub), ((float64(j)+0.5)/(turns*sub)-0.5)*2*math.Pi
				r := math.Sqrt(1 - z*z)
				w := geom.V(r*math.Cos(a), r*math.Sin(a), z)
				var f Band
				want[cell(w)] += n * s.eval(w, &f) * 2 * math.Pi / (zs * turns * sub * sub)
			}
		}
		chi := 0.0
		for i := range got {
			if want[i] > 5 {
				chi += (got[i] - want[i]) * (got[i] - want[i]) / want[i]
			}
		}
		t.Logf("from %.1f: chi² %.0f", wo, chi)
		if chi > 200 {
			t.Errorf("from %v: chi² %.0f", wo, chi)
		}
	}
}

// The sheen runs across the strand (Kajiya and Kay 1989): with eye and light 35° to either side of
// the normal's cone, light round the strand is mirrored as brightly as straight back, light along
// it is not. The outer sheen leans towards the root by twice the slant of the scales, the inner one
// towards the tip (Marschner et al. 2003).
func TestStrandAcross(t *testing.T) {
	outer := Material{Strand: true, Coat: 1.55, CoatAlpha: 0.1}
	inner := Material{Strand: true, Mirror: Grey(1), Alpha: 0.1}
	give := func(m *Material, deg, round float64) float64 {
		var f Band
		sn, cs := math.Sincos(deg * math.Pi / 180)
		w := geom.V(sn, 0, cs)
		if round != 0 {
			w = geom.V(0, sn, cs)
		}
		hairPoint(m, up).eval(w.Unit(), &f)
		return float64(f[0]) / cs
	}
	if a, b := give(&outer, 35, 1), give(&outer, 35, 0); a < 20*b {
		t.Errorf("35° round the strand %.4g, along it %.4g", a, b)
	}
	for name, c := range map[string]struct {
		m    *Material
		want float64
	}{"outer": {&outer, -6}, "inner": {&inner, 9}} {
		best, at := 0.0, 0.0
		for d := -20.0; d <= 20; d += 0.5 {
			if v := give(c.m, d, 0); v > best {
				best, at = v, d
			}
		}
		if math.Abs(at-c.want) > 1 {
			t.Errorf("the %s sheen is brightest %.1f° towards the tip, want %.0f°", name, at, c.want)
		}
	}
}
