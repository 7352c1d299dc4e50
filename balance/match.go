package balance

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	q "halfstop/quantity"
)

// Lamp is a light as seen: on a perfect white, and on each reference surface (skin, a white wall),
// all XYZ in one unit. Light adds, so the lamp of several primaries is the sum of theirs.
type Lamp struct {
	White [3]float64
	On    [][3]float64
}

// ColourDifference is the caller's ΔE2000 of reference ref under two lights, both scaled to Y = 100
// on the perfect white.
type ColourDifference func(ref int, wanted, got [3]float64) float64

// Match is one way to make a wanted colour.
type Match struct {
	Drives  []float64 // of the primaries, 0 to 1, at the highest level that keeps the colour; nil for gels
	Stack   []int     // gels of the kit; empty: none
	UV      [2]float64
	DeltaUV float64   // Δu'v' (CIE 1976) to the wanted light
	DeltaE  []float64 // by reference, if a ColourDifference was given: equal chromaticity is not equal rendering
	// lost against everything full (primaries) or the bare
	// light (gels); zero or more unless a gel adds
	Loss  q.Stops
	Level float64 // Y left on the perfect white
	// for primaries: the chromaticity itself can be made;
	// else this is the nearest by ΔE2000 or Δu'v'
	InGamut  bool
	Nearness string // what 'nearest' went by: '', 'dE2000' or 'du'v''
}

// sameColour is the Δu'v' under which two matches count as equally good in colour, so that the
// brighter wins. The requirement asks for 0.001 inside the gamut; a difference of that size is not
// seen side by side (common practice).
const sameColour = 0.001

// ErrMatch says what is wrong with what is to be matched.
var ErrMatch = errors.New("balance: match")

func (l Lamp) uv() (u, v float64) { return uvOf(l.White[0], l.White[1], l.White[2]) }

func (l Lamp) fit() bool {
	ok := fitLight(l.White[0]) && fitLight(l.White[1]) && fitLight(l.White[2])
	for _, c := range l.On {
		ok = ok && fitLight(c[0]) && fitLight(c[1]) && fitLight(c[2])
	}
	return ok
}

// difference fills m's errors for the lamp got.
func (m *Match) difference(wanted, got Lamp, diff ColourDifference) {
	u0, v0 := wanted.uv()
	u, v := got.uv()
	m.UV, m.DeltaUV, m.Level = [2]float64{u, v}, math.Hypot(u-u0, v-v0), got.White[1]
	if diff == nil {
		return
	}
	m.DeltaE = nil
	for i := range min(len(wanted.On), len(got.On)) {
		m.DeltaE = append(m.DeltaE, diff(i, scaled(wanted.On[i], 100/wanted.White[1]),
			scaled(got.On[i], 100/math.Max(got.White[1], dark))))
	}
}

func scaled(c [3]float64, k float64) [3]float64 { return [3]float64{c[0] * k, c[1] * k, c[2] * k} }

// Gel is a sheet as its transmittance on the caller's wavelengths.
type Gel struct {
	Name string
	T    []float64
}

// MatchGels tries every stack of at most two gels of the kit (the same one twice included) on a
// bare light and returns the best first: the smallest Δu'v', and among those within 0.001 of it the
// least loss. fold turns a transmittance into the lamp it makes; with nil it is the bare light. At
// most limit matches are returned. Errors: ErrMatch; ctx.Err() with the best so far. Check:
// TestGelsAgainstExhaustive.
func MatchGels(ctx context.Context, wanted Lamp, kit []Gel, fold func(t []float64) Lamp, diff ColourDifference,
	limit int) ([]Match, error) {
	if !wanted.fit() || wanted.White[1] <= 0 {
		return nil, fmt.Errorf("%w: the wanted light has no luminance", ErrMatch)
	}
	if len(kit) > 400 {
		return nil, fmt.Errorf("%w: %d gels, at most 400", ErrMatch, len(kit))
	}
	if fold == nil {
		return nil, fmt.Errorf("%w: no way to fold a gel", ErrMatch)
	}
	bare := fold(nil)
	if !bare.fit() || bare.White[1] <= 0 {
		return nil, fmt.Errorf("%w: the bare light has no luminance", ErrMatch)
	}
	var all []Match
	try := func(stack []int, t []float64) {
		got := fold(t)
		if !got.fit() || got.White[1] <= bare.White[1]*1e-6 {
			return
		}
		m := Match{Stack: stack, InGamut: true}
		m.difference(wanted, got, nil)
		m.Loss = -q.StopsOf(got.White[1] / bare.White[1])
		all = append(all, m)
	}
	try(nil, nil)
	for i, a := range kit {
		if ctx.Err() != nil {
			break
		}
		try([]int{i}, a.T)
		for j := i; j < len(kit); j++ {
			b := kit[j]
			if len(a.T) != len(b.T) {
				return nil, fmt.Errorf("%w: gels %q and %q have different wavelengths", ErrMatch, a.Name, b.Name)
			}
			t := make([]float64, len(a.T))
			for k := range t {
				t[k] = a.T[k] * b.T[k]
			}
			try([]int{i, j}, t)
		}
	}
	rankMatches(all)
	all = all[:min(len(all), max(1, limit))]
	for i := range all {
		t := []float64(nil)
		for _, k := range all[i].Stack {
			t = product(t, kit[k].T)
		}
		all[i].difference(wanted, fold(t), diff)
	}
	return all, ctx.Err()
}

func product(a, b []float64) []float64 {
	if a == nil {
		return b
	}
	t := make([]float64, len(a))
	for i := range t {
		t[i] = a[i] * b[i]
	}
	return t
}

// rankMatches puts the smallest Δu'v' first; the run that lies within sameColour of the smallest
// goes by loss, then by the number of gels.
func rankMatches(all []Match) {
	slices.SortStableFunc(all, func(a, b Match) int { return cmp.Compare(a.DeltaUV, b.DeltaUV) })
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].DeltaUV <= all[from].DeltaUV+sameColour {
			to++
		}
		slices.SortStableFunc(all[from:to], func(a, b Match) int {
			return cmp.Or(cmp.Compare(a.Loss, b.Loss), cmp.Compare(len(a.Stack), len(b.Stack)),
				cmp.Compare(a.DeltaUV, b.DeltaUV))
		})
		from = to
	}
}

// MatchPrimaries finds the drives of a head with two to eight primaries. Inside the gamut: the
// brightest mixture of the wanted chromaticity, exactly (a linear program with two equations,
// solved by trying all of its vertices). Outside: the nearest mixture, by ΔE2000 on the first
// reference where diff is given, else by Δu'v'. step is the drives' step (1.0/255; zero: none); the
// drives returned are on it. Errors: ErrMatch. Check: TestPrimariesInsideGamut,
// TestPrimariesAgainstGrid.
func MatchPrimaries(wanted Lamp, primaries []Lamp, step float64, diff ColourDifference) (Match, error) {
	if !wanted.fit() || wanted.White[1] <= 0 {
		return Match{}, fmt.Errorf("%w: the wanted light has no luminance", ErrMatch)
	}
	if len(primaries) < 2 || len(primaries) > 8 {
		return Match{}, fmt.Errorf("%w: %d primaries, 2 to 8 are possible", ErrMatch, len(primaries))
	}
	for i, p := range primaries {
		if !p.fit() || p.White[1] <= 0 {
			return Match{}, fmt.Errorf("%w: primary %d has no luminance", ErrMatch, i+1)
		}
	}
	if !within(step, 0, 0.5) {
		return Match{}, fmt.Errorf("%w: step %g", ErrMatch, step)
	}
	u, v := wanted.uv()
	drives, in := brightestMixture(u, v, primaries)
	m := Match{InGamut: in}
	if !in {
		drives, m.Nearness = nearestMixture(wanted, primaries, diff)
	}
	if step > 0 {
		drives = onSteps(drives, step, u, v, primaries, in)
	}
	m.Drives = drives
	got := drive(primaries, drives)
	m.difference(wanted, got, diff)
	var all float64
	for _, p := range primaries {
		all += p.White[1]
	}
	m.Loss = -q.StopsOf(math.Max(got.White[1], dark) / all)
	return m, nil
}

// drive returns the lamp that the primaries make at the drives.
func drive(primaries []Lamp, drives []float64) Lamp {
	var out Lamp
	for i, p := range primaries {
		if out.On == nil {
			out.On = make([][3]float64, len(p.On))
		}
		for c := range 3 {
			out.White[c] += drives[i] * p.White[c]
			for r := range min(len(out.On), len(p.On)) {
				out.On[r][c] += drives[i] * p.On[r][c]
			}
		}
	}
	return out
}

// brightestMixture maximises Y over drives in [0, 1] with chromaticity u', v'. At a vertex all
// drives but two are 0 or 1.
func brightestMixture(u, v float64, primaries []Lamp) (best []float64, ok bool) {
	n := len(primaries)
	f, g, y := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range primaries {
		X, Y, Z := p.White[0], p.White[1], p.White[2]
		d := X + 15*Y + 3*Z
		f[i], g[i], y[i] = 4*X-u*d, 9*Y-v*d, Y
	}
	bestY := 0.0
	drives := make([]float64, n)
	for a := range n {
		for b := a + 1; b < n; b++ {
			for mask := range 1 << (n - 2) {
				var sf, sg, sy float64
				bit := 0
				for i := range n {
					if i == a || i == b {
						continue
					}
					drives[i] = float64(mask >> bit & 1)
					bit++
					sf, sg, sy = sf+drives[i]*f[i], sg+drives[i]*g[i], sy+drives[i]*y[i]
				}
				det := f[a]*g[b] - f[b]*g[a]
				if math.Abs(det) < 1e-15*(math.Abs(f[a]*g[b])+math.Abs(f[b]*g[a])+1e-30) {
					continue
				}
				da, db := (-sf*g[b]+sg*f[b])/det, (-f[a]*sg+g[a]*sf)/det
				if da < -1e-9 || da > 1+1e-9 || db < -1e-9 || db > 1+1e-9 {
					continue
				}
				if total := sy + da*y[a] + db*y[b]; total > bestY*(1+1e-12)+1e-30 {
					bestY = total
					drives[a], drives[b] = math.Min(1, math.Max(0, da)), math.Min(1, math.Max(0, db))
					best = slices.Clone(drives)
				}
			}
		}
	}
	return best, best != nil
}

// nearestMixture walks every edge between two primaries (the gamut's border is among them), then
// refines all drives together by a shrinking pattern; scaled so that the strongest drive is 1.
func nearestMixture(wanted Lamp, primaries []Lamp, diff ColourDifference) (best []float64, by string) {
	u, v := wanted.uv()
	by = "du'v'"
	far := func(drives []float64) float64 {
		gu, gv := drive(primaries, drives).uv()
		return math.Hypot(gu-u, gv-v)
	}
	if diff != nil && len(wanted.On) > 0 && len(primaries[0].On) > 0 {
		by = "dE2000"
		white := scaled(wanted.On[0], 100/wanted.White[1])
		far = func(drives []float64) float64 {
			got := drive(primaries, drives)
			return diff(0, white, scaled(got.On[0], 100/math.Max(got.White[1], dark)))
		}
	}
	n := len(primaries)
	least := math.Inf(1)
	for a := range n {
		for b := a + 1; b < n; b++ {
			for i := range 129 {
				d := make([]float64, n)
				t := float64(i) / 128
				d[a], d[b] = (1-t)/primaries[a].White[1], t/primaries[b].White[1]
				if e := far(d); e < least {
					least, best = e, full1(d)
				}
			}
		}
	}
	if best == nil {
		best = make([]float64, n)
		best[0] = 1
	}
	for size := 0.25; size > 1e-7; size /= 2 {
		for again := true; again; {
			again = false
			for i := range n {
				for _, sign := range [...]float64{1, -1} {
					d := slices.Clone(best)
					d[i] = math.Max(0, d[i]+sign*size)
					if slices.Max(d) < 1e-6 {
						continue
					}
					d = full1(d)
					if e := far(d); e < least-1e-12 {
						least, best, again = e, d, true
					}
				}
			}
		}
	}
	return best, by
}

// full1 scales drives so that the largest is 1.
func full1(d []float64) []float64 {
	top := slices.Max(d)
	for i := range d {
		d[i] /= top
	}
	return d
}

// onSteps takes the corner of the step grid about the drives that lies nearest in colour.
func onSteps(drives []float64, step, u, v float64, primaries []Lamp, in bool) []float64 {
	if !in { // nearest already: keep what it went by, round each
		out := slices.Clone(drives)
		for i := range out {
			out[i] = math.Min(1, math.Round(out[i]/step)*step)
		}
		return out
	}
	n := len(drives)
	var best []float64
	least := math.Inf(1)
	top := math.Floor(1/step+1e-9) * step
	for mask := range 1 << n {
		d := make([]float64, n)
		for i := range d {
			k := math.Floor(drives[i]/step+1e-9) + float64(mask>>i&1)
			d[i] = math.Min(top, k*step)
		}
		if slices.Max(d) == 0 {
			continue
		}
		gu, gv := drive(primaries, d).uv()
		if e := math.Hypot(gu-u, gv-v); e < least-1e-12 {
			least, best = e, d
		}
	}
	return best
}
