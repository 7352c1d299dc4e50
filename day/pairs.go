package day

import (
	"cmp"
	"math"
	"slices"
	"strings"

	q "halfstop/quantity"
	"halfstop/shoot"
)

// pairs finds for each light of b the light of a that becomes it, -1 where none does: of the same
// head, with the least to do in all (exact over all ways to pair, by dynamic programming over
// subsets of a).
func pairs(a, b []shoot.Light) []int {
	if len(a) > 14 {
		a = a[:14]
	}
	const none = 1e9
	full := 1 << len(a)
	best := make([]float64, full)
	choice := make([][]int, len(b))
	for s := range best {
		best[s] = none
	}
	best[0] = 0
	for k := range b {
		next := make([]float64, full)
		pick := make([]int, full)
		for s := range next {
			// As a new light from its case.
			next[s], pick[s] = best[s]+600, -1
			for i := range a {
				if s&(1<<i) == 0 || !strings.EqualFold(a[i].Head, b[k].Head) || b[k].Head == "" {
					continue
				}
				if c := best[s&^(1<<i)] + effort(&a[i], &b[k]); c < next[s] {
					next[s], pick[s] = c, i
				}
			}
		}
		best, choice[k] = next, pick
	}
	s := 0
	for t := range best {
		if best[t] < best[s] {
			s = t
		}
	}
	out := make([]int, len(b))
	for k := len(b) - 1; k >= 0; k-- {
		out[k] = choice[k][s]
		if out[k] >= 0 {
			s &^= 1 << out[k]
		}
	}
	return out
}

// effort is about how long it takes to make one light of another, seconds.
func effort(a, b *shoot.Light) float64 {
	s := 0.0
	if d := distance(a.At, b.At, a.Height, b.Height); d > near {
		s += 60 + 10*d
	}
	if !strings.EqualFold(bare(a.Modifier), bare(b.Modifier)) {
		s += 90
	}
	if !strings.EqualFold(a.Grid, b.Grid) {
		s += 45
	}
	if !slices.Equal(a.Gel, b.Gel) {
		s += 45
	}
	if !strings.EqualFold(called(a.Name, a.Role), called(b.Name, b.Role)) {
		s += 15
	}
	return s
}

func distance(a, b []q.Metres, ha, hb q.Metres) float64 {
	at := func(p []q.Metres, h q.Metres, k int) float64 {
		switch {
		case k < len(p):
			return float64(p[k])
		case k == 2:
			return float64(h)
		}
		return 0
	}
	d := 0.0
	for k := range 3 {
		x := at(a, ha, k) - at(b, hb, k)
		d += x * x
	}
	return math.Sqrt(d)
}

func called(name, kind string) string {
	if name != "" {
		return name
	}
	return kind
}

func bare(m string) string { return cmp.Or(m, "bare") }

func share(s *q.Share) float64 {
	if s == nil {
		return 1
	}
	return float64(*s)
}

func setting(l *shoot.Light) string {
	switch {
	case l.Off:
		return "off"
	case l.Power != "":
		return l.Power
	case l.Level != nil:
		return l.Level.String()
	}
	return "full"
}

// differ lists what is in one of two lists only.
func differ(a, b []string) []string {
	var out []string
	for _, p := range [2][2][]string{{a, b}, {b, a}} {
		for _, s := range p[0] {
			if !slices.ContainsFunc(p[1], func(o string) bool { return strings.EqualFold(o, s) }) {
				out = append(out, s)
			}
		}
	}
	return out
}
