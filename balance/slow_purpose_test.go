package balance

import "math"

// over is by how many stops light g is over every level target that it is for; far under where
// there is none.
func (s *slowProblem) over(g int, x raw) float64 {
	l, least := s.p.Lights[g], math.Inf(1)
	if l.For == nil || len(s.levels[g]) < 2 {
		return -100
	}
	s.values(x, func(i int, v, _, _, within float64) {
		w, steps := s.p.Targets[i], math.Min(0.1, within)
		at, to := has(l.For, w.Point), has(l.For, w.To)
		switch w.Kind {
		case Reading, Level:
			if at {
				least = math.Min(least, v-s.hi[i]-steps)
			}
		case ReadingAbove, LevelAbove:
			if at && !to {
				least = math.Min(least, v-s.hi[i]-steps)
			} else if to && !at {
				least = math.Min(least, s.lo[i]-v-steps)
			}
		}
	})
	if math.IsInf(least, 1) {
		return -100
	}
	return least
}

// naming finds which lights a target names: a quarter of the light there now, the most of all that
// could be set, or one of a ratio's.
func (s *slowProblem) naming() {
	s.named = make([]bool, len(s.p.Lights))
	t := float64(s.p.Camera.Shutter)
	for _, w := range s.p.Targets {
		type part struct {
			pt    int
			part  func(Contribution) float64
			among []int
		}
		incident := func(c Contribution) float64 { return float64(c.Flash) + t*float64(c.Continuous) }
		seen := func(c Contribution) float64 {
			return c.FlashXYZ[1] + c.FlashVeil[1] + t*(c.ContinuousXYZ[1]+c.ContVeil[1])
		}
		parts := []part{{w.Point, incident, nil}}
		switch w.Kind {
		case Level, Colour, Warmth:
			parts = []part{{w.Point, seen, nil}}
			if w.To >= 0 && w.Kind != Level {
				parts = append(parts, part{w.To, seen, nil})
			}
		case LevelAbove:
			parts = []part{{w.Point, seen, nil}, {w.To, seen, nil}}
		case ReadingAbove:
			parts = append(parts, part{w.To, incident, nil})
		case Veil:
			parts = []part{{w.Point, seen, nil},
				{w.Point, func(c Contribution) float64 { return c.FlashXYZ[1] + t*c.ContinuousXYZ[1] }, nil}}
		case Ambient:
			parts = []part{{w.Point, func(c Contribution) float64 { return t * float64(c.Continuous) }, nil},
				{w.Point, func(c Contribution) float64 { return float64(c.Flash) }, nil}}
		case LightsRatio:
			parts = []part{{w.Point, incident, w.Key}, {w.Point, incident, w.Fill}}
		case SidesRatio:
			parts = []part{{w.Point, incident, append(append([]int{}, w.Key...), w.Fill...)},
				{w.Point, incident, w.Fill}}
		}
		for _, g := range append(append([]int{}, w.Key...), w.Fill...) {
			s.named[g] = true
		}
		for _, p := range parts {
			sum, strongest, most := 0.0, -1, 0.0
			now := make([]float64, len(s.p.Lights))
			for g, l := range s.p.Lights {
				if p.among != nil && !has(p.among, g) {
					continue
				}
				if !l.Off {
					now[g] = math.Pow(2, float64(l.Level)) * p.part(l.Options[l.Option].At[p.pt])
					sum += now[g]
				}
				if len(s.levels[g]) < 2 && len(s.opts[g]) < 2 {
					continue
				}
				top := math.Inf(-1)
				for _, v := range s.levels[g] {
					top = math.Max(top, v)
				}
				for _, k := range s.opts[g] {
					if k >= 0 {
						if v := math.Pow(2, top) * p.part(l.Options[k].At[p.pt]); v > most {
							strongest, most = g, v
						}
					}
				}
			}
			for g := range now {
				if sum > 1e-9 && now[g] > 0 && now[g] >= 0.25*sum {
					s.named[g] = true
				}
			}
			if strongest >= 0 {
				s.named[strongest] = true
			}
		}
	}
}

func has(set []int, g int) bool {
	for _, v := range set {
		if v == g {
			return true
		}
	}
	return false
}
