package balance

import (
	"context"
	"errors"
	"math"
	"testing"
)

// lampOf makes a lamp from chromaticity xy and Y, with two references that take a little blue or
// green away.
func lampOf(x, y, Y float64) Lamp {
	X, Z := x/y*Y, (1-x-y)/y*Y
	return Lamp{White: [3]float64{X, Y, Z},
		On: [][3]float64{{X * 0.9, Y * 0.9, Z * 0.85}, {X * 0.5, Y * 0.35, Z * 0.25}}}
}

// primaries are typical narrow red, green and blue emitters and a 5,600 K white (round figures,
// from memory).
func primaries(white bool) []Lamp {
	p := []Lamp{lampOf(0.69, 0.305, 250), lampOf(0.19, 0.72, 600), lampOf(0.14, 0.05, 80)}
	if white {
		p = append(p, lampOf(0.33, 0.345, 1000))
	}
	return p
}

// TestPrimariesInsideGamut: Δu'v' at most 0.001 inside the gamut (requirement), also on 8-bit
// drives at full; three primaries give the closed form of the colour-mixing equations up to one
// factor.
func TestPrimariesInsideGamut(t *testing.T) {
	d := dice(8)
	for range 300 {
		rgb := primaries(false)
		w := []float64{d.in(0.05, 1), d.in(0.05, 1), d.in(0.05, 1)}
		wanted := drive(rgb, w)
		m, err := MatchPrimaries(wanted, rgb, 0, nil)
		if err != nil || !m.InGamut || m.DeltaUV > 1e-9 {
			t.Fatalf("%v: %+v %v", w, m, err)
		}
		top := math.Max(w[0], math.Max(w[1], w[2]))
		for i := range w {
			near3(t, "drive", m.Drives[i], w[i]/top, 1e-9)
		}
		rgbw, err := MatchPrimaries(wanted, primaries(true), 1./255, nil)
		if err != nil || rgbw.DeltaUV > 0.001 || rgbw.Level < m.Level*0.98 {
			t.Fatalf("with white: %+v (%v) against level %g", rgbw, err, m.Level)
		}
		for _, v := range rgbw.Drives {
			if k := v * 255; v < 0 || v > 1 || math.Abs(k-math.Round(k)) > 1e-9 {
				t.Fatalf("drive %g is not on a step", v)
			}
		}
	}
}

// TestPrimariesAgainstGrid: four primaries, the level against a fine search of the one free drive
// (white), and colours outside the gamut against a fine grid of all mixtures.
func TestPrimariesAgainstGrid(t *testing.T) {
	p := primaries(true)
	wanted := lampOf(0.40, 0.36, 1)
	m, err := MatchPrimaries(wanted, p, 0, nil)
	if err != nil || m.DeltaUV > 1e-9 {
		t.Fatal(m, err)
	}
	u, v := wanted.uv()
	best := 0.0
	for w := range 2001 { // given white, red green blue follow; keep the brightest that fits
		for scale := range 400 {
			rest := Lamp{}
			Y := float64(scale) * 5
			X, Z := 0.40/0.36*Y, 0.24/0.36*Y
			k := float64(w) / 2000
			rest.White = [3]float64{X - k*p[3].White[0], Y - k*p[3].White[1], Z - k*p[3].White[2]}
			r, ok := solve3(p[:3], rest.White)
			if ok && Y > best {
				best = Y
			}
			_ = r
		}
	}
	if m.Level < best-5 || m.Level > best+5 {
		t.Errorf("level %g, grid %g (steps of 5)", m.Level, best)
	}
	_ = u
	_ = v
	for _, xy := range [][2]float64{{0.08, 0.85}, {0.5, 0.2}, {0.72, 0.27}, {0.1, 0.3}} {
		wanted := lampOf(xy[0], xy[1], 1)
		m, err := MatchPrimaries(wanted, p, 0, nil)
		if err != nil || m.InGamut || m.Nearness != "du'v'" {
			t.Fatalf("%v: %+v %v", xy, m, err)
		}
		u, v := wanted.uv()
		least := math.Inf(1)
		for a := range 61 {
			for b := range 61 - a {
				for c := range 61 - a - b {
					w := []float64{float64(a) / 250, float64(b) / 600, float64(c) / 80, float64(60-a-b-c) / 1000}
					gu, gv := drive(p, w).uv()
					least = math.Min(least, math.Hypot(gu-u, gv-v))
				}
			}
		}
		if m.DeltaUV > least+1e-6 {
			t.Errorf("%v: du'v' %g, grid %g", xy, m.DeltaUV, least)
		}
		diff := func(ref int, a, b [3]float64) float64 {
			return math.Hypot(a[0]-b[0], a[2]-b[2]) + math.Abs(a[1]-b[1])
		}
		if m, _ = MatchPrimaries(wanted, p, 0, diff); m.Nearness != "dE2000" || len(m.DeltaE) != 2 {
			t.Errorf("%+v", m)
		}
	}
}

// solve3 solves three primaries for XYZ by Cramer's rule; ok if all drives lie in 0 to 1.
func solve3(p []Lamp, w [3]float64) (r [3]float64, ok bool) {
	det := func(a, b, c [3]float64) float64 {
		return a[0]*(b[1]*c[2]-b[2]*c[1]) - b[0]*(a[1]*c[2]-a[2]*c[1]) + c[0]*(a[1]*b[2]-a[2]*b[1])
	}
	d := det(p[0].White, p[1].White, p[2].White)
	r = [3]float64{det(w, p[1].White, p[2].White) / d, det(p[0].White, w, p[2].White) / d,
		det(p[0].White, p[1].White, w) / d}
	ok = true
	for _, v := range r {
		ok = ok && v >= -1e-9 && v <= 1+1e-9
	}
	return r, ok
}

// TestGelsAgainstExhaustive: every stack of up to two of a random kit, folded by other code; none
// is nearer in colour by more than 0.001, and none within 0.001 of the nearest is brighter.
func TestGelsAgainstExhaustive(t *testing.T) {
	d := dice(9)
	for trial := range 40 {
		const bands = 16
		n := 1 + d.n(24)
		kit := make([]Gel, n)
		for i := range kit {
			at, wide, floor := d.in(0, bands), d.in(2, 8), d.in(0.01, 0.6)
			for b := range bands {
				x := (float64(b) - at) / wide
				kit[i].T = append(kit[i].T, floor+(0.92-floor)*math.Exp(-x*x))
			}
		}
		// three broad windows as colour-matching functions; any linear fold will do
		fold := func(tr []float64) (l Lamp) {
			l.On = make([][3]float64, 1)
			for b := range bands {
				e := 1.0
				if tr != nil {
					e = tr[b]
				}
				f := float64(b)
				l.White[0] += e * (math.Exp(-(f-11)*(f-11)/5) + 0.3*math.Exp(-(f-3)*(f-3)/3))
				l.White[1] += e * math.Exp(-(f-8)*(f-8)/6)
				l.White[2] += e * 1.7 * math.Exp(-(f-3)*(f-3)/3)
			}
			l.On[0] = l.White
			return l
		}
		goal := make([]float64, bands)
		for b := range goal {
			goal[b] = d.in(0.05, 0.9)
		}
		wanted := fold(goal)
		got, err := MatchGels(context.Background(), wanted, kit, fold, nil, 3)
		if err != nil {
			t.Fatal(err)
		}
		u, v := wanted.uv()
		type stack struct{ duv, Y float64 }
		var all []stack
		add := func(tr []float64) {
			l := fold(tr)
			gu, gv := l.uv()
			all = append(all, stack{math.Hypot(gu-u, gv-v), l.White[1]})
		}
		add(nil)
		for i := range kit {
			add(kit[i].T)
			for j := range kit {
				both := make([]float64, bands)
				for b := range both {
					both[b] = kit[i].T[b] * kit[j].T[b]
				}
				add(both)
			}
		}
		least := math.Inf(1)
		for _, s := range all {
			least = math.Min(least, s.duv)
		}
		brightest := 0.0
		for _, s := range all {
			if s.duv <= least+sameColour {
				brightest = math.Max(brightest, s.Y)
			}
		}
		if got[0].DeltaUV > least+sameColour+1e-12 || got[0].Level < brightest*(1-1e-9) {
			t.Errorf("trial %d: %+v; nearest %g, brightest of the nearest %g", trial, got[0], least, brightest)
		}
		near3(t, "loss", float64(got[0].Loss), -math.Log2(got[0].Level/fold(nil).White[1]), 1e-9)
	}
}

func TestMatchRefuses(t *testing.T) {
	if _, err := MatchPrimaries(Lamp{}, primaries(false), 0, nil); !errors.Is(err, ErrMatch) {
		t.Error(err)
	}
	if _, err := MatchPrimaries(lampOf(0.3, 0.3, 1), primaries(false)[:1], 0, nil); !errors.Is(err, ErrMatch) {
		t.Error(err)
	}
	if _, err := MatchGels(context.Background(), lampOf(0.3, 0.3, 1), nil, nil, nil, 1); !errors.Is(err, ErrMatch) {
		t.Error(err)
	}
	nan := lampOf(0.3, 0.3, 1)
	nan.White[2] = math.NaN()
	if _, err := MatchPrimaries(nan, primaries(false), 0, nil); !errors.Is(err, ErrMatch) {
		t.Error(err)
	}
}
