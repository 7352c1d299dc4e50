package spectrum

import (
	"fmt"
	"math"
)

// Primary is one emitter of a colour head.
type Primary struct {
	Name  string
	Light Curve   // shape; any scale
	Flux  float64 // photometric output at full drive: lumens, candela or lux, the same for all primaries of a head
	White bool    // a broad emitter: preferred where several mixtures have the level
}

// Drives is a colour-mixing head: several primaries, each with a drive from 0 to 1 and output in
// proportion.
type Drives struct {
	Primaries []Primary
	Reference XYZ // white for ΔE2000 of colours out of reach; zero: D65
}

// MaxPrimaries is the greatest number of primaries that Drives solves.
const MaxPrimaries = 10

// gamutSlack is the distance Δu'v' within which a chromaticity counts as reached.
const gamutSlack = 1e-4

// Check returns an error for a head that cannot be solved: no primaries, too many, or one without
// light.
func (d Drives) Check() error {
	if n := len(d.Primaries); n < 1 || n > MaxPrimaries {
		return fmt.Errorf("a colour head has 1 to %d primaries, not %d", MaxPrimaries, n)
	}
	for _, p := range d.Primaries {
		if !(p.Flux > 0) || math.IsInf(p.Flux, 0) || !(p.Light.XYZ().Y > 0) {
			return fmt.Errorf("primary %q gives no light", p.Name)
		}
	}
	return nil
}

// at returns X, Y, Z of each primary at full drive.
func (d Drives) at() []XYZ {
	out := make([]XYZ, len(d.Primaries))
	for i, p := range d.Primaries {
		out[i] = p.Light.XY().XYZ(p.Flux)
	}
	return out
}

// Output returns the colour of drives, with Y in the unit of Flux. Missing drives are 0.
func (d Drives) Output(drives []float64) XYZ {
	var t XYZ
	for i, p := range d.at() {
		if i < len(drives) {
			t = t.Add(p.Scale(clampTo(drives[i], 0, 1)))
		}
	}
	return t
}

// Light returns the spectrum at these drives; Y is the output in the unit of Flux.
func (d Drives) Light(drives []float64) Curve {
	var out Curve
	for i, p := range d.Primaries {
		if i < len(drives) {
			out = out.Add(p.Light.PerLuminance().Scale(p.Flux * clampTo(drives[i], 0, 1)))
		}
	}
	return out
}

// Solve returns the drives that give the chromaticity target at the greatest output, and the
// chromaticity reached.
//
// inGamut is false where the head cannot make the target. Then the chromaticity is the nearest on
// the boundary of its gamut, by ΔE2000 at half of the reference white's luminance. The solution is
// exact: with more than three primaries every vertex of the feasible set is tried. Drives are nil
// for a head that Check refuses and for a target that is no chromaticity. Check: TestDrives (gamut
// by exhaustive search).
func (d Drives) Solve(target XY) (drives []float64, reached XY, inGamut bool) {
	if d.Check() != nil || !(target.Y > 0) || math.IsNaN(target.X) || math.IsInf(target.X+target.Y, 0) {
		return nil, XY{}, false
	}
	p := d.at()
	aim := target
	if drives = maximise(p, chromaticityRows(p, aim), nil, fluxOf(p)); drives == nil || d.Output(drives).Y <= 0 {
		aim = d.nearest(p, target)
		drives = d.onEdge(p, aim)
	}
	reached = d.Output(drives).XY()
	return drives, reached, DeltaUVPrime(reached, target) <= gamutSlack
}

func fluxOf(p []XYZ) []float64 {
	out := make([]float64, len(p))
	for i := range p {
		out[i] = p[i].Y
	}
	return out
}

// chromaticityRows are the two linear conditions X − x S = 0 and Y − y S = 0 on the drives, with S
// = X + Y + Z.
func chromaticityRows(p []XYZ, c XY) [][]float64 {
	a, b := make([]float64, len(p)), make([]float64, len(p))
	for i, t := range p {
		s := t.X + t.Y + t.Z
		a[i], b[i] = t.X-c.X*s, t.Y-c.Y*s
	}
	return [][]float64{a, b}
}

// maximise solves the linear program: goal·x greatest under rows·x = rhs (nil: zeros) and 0 ≤ x ≤
// 1. It visits every vertex, where as many drives are free as there are rows and the others are 0
// or 1. Nil where no vertex is feasible. It is exact, with at most 2^n vertices for n ≤
// MaxPrimaries.
func maximise(p []XYZ, rows [][]float64, rhs, goal []float64) []float64 {
	n, m := len(p), len(rows)
	scale := 0.0
	for _, f := range fluxOf(p) {
		scale = math.Max(scale, f)
	}
	var best []float64
	bestValue := math.Inf(-1)
	x := make([]float64, n)
	for free := 0; free < 1<<n; free++ {
		index := make([]int, 0, m)
		for i := 0; i < n; i++ {
			if free>>i&1 == 1 {
				index = append(index, i)
			}
		}
		if len(index) != min(m, n) {
			continue
		}
		for ones := 0; ones < 1<<n; ones++ {
			if ones&free != 0 {
				continue
			}
			// The right side less what the drives at 1 give.
			var a [3][4]float64
			for r := range m {
				if rhs != nil {
					a[r][3] = rhs[r]
				}
				for i := 0; i < n; i++ {
					if ones>>i&1 == 1 {
						a[r][3] -= rows[r][i]
					}
				}
				for k, i := range index {
					a[r][k] = rows[r][i]
				}
			}
			sol, ok := eliminate(a, m, len(index), scale)
			if !ok {
				continue
			}
			value := 0.0
			for i := range x {
				x[i] = float64(ones >> i & 1)
			}
			for k, i := range index {
				if sol[k] < -1e-9 || sol[k] > 1+1e-9 {
					ok = false
				}
				x[i] = clampTo(sol[k], 0, 1)
			}
			if !ok {
				continue
			}
			for i := range x {
				value += goal[i] * x[i]
			}
			if value > bestValue+1e-9*scale {
				best, bestValue = append([]float64(nil), x...), value
			}
		}
	}
	return best
}

// eliminate solves m equations in k unknowns (both at most 3) by Gaussian elimination with
// pivoting. ok is false where they are dependent or contradictory.
func eliminate(a [3][4]float64, m, k int, scale float64) (x [3]float64, ok bool) {
	for c := range k {
		p := c
		for r := c; r < m; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-10*scale {
			return x, false
		}
		a[c], a[p] = a[p], a[c]
		for r := range m {
			if r == c {
				continue
			}
			f := a[r][c] / a[c][c]
			for j := c; j < 4; j++ {
				a[r][j] -= f * a[c][j]
			}
		}
	}
	for r := k; r < m; r++ {
		if math.Abs(a[r][3]) > 1e-7*scale {
			return x, false
		}
	}
	for c := range k {
		x[c] = a[c][3] / a[c][c]
	}
	return x, true
}

// nearest returns the chromaticity on the boundary of the gamut with the least ΔE2000 from target,
// at equal luminance.
func (d Drives) nearest(p []XYZ, target XY) XY {
	white := d.Reference
	if !(white.X > 0 && white.Y > 0 && white.Z > 0) {
		white = WhiteD65
	}
	want := target.XYZ(white.Y / 2).Lab(white)
	best, bestDE := p[0].XY(), math.Inf(1)
	try := func(a, b XYZ, s float64) float64 {
		c := mixXY(a, b, s)
		de := DeltaE2000(c.XYZ(white.Y/2).Lab(white), want)
		if de < bestDE {
			best, bestDE = c, de
		}
		return de
	}
	for i := range p {
		try(p[i], p[i], 0)
		for j := i + 1; j < len(p); j++ {
			// The difference has few minima along an edge: a coarse scan, then golden-section
			// search about the best.
			const parts = 40
			at, least := 0.0, math.Inf(1)
			for k := 0; k <= parts; k++ {
				if e := try(p[i], p[j], float64(k)/parts); e < least {
					at, least = float64(k)/parts, e
				}
			}
			lo, hi := math.Max(0, at-1.0/parts), math.Min(1, at+1.0/parts)
			for range 40 {
				l, h := lo+0.382*(hi-lo), lo+0.618*(hi-lo)
				if try(p[i], p[j], l) < try(p[i], p[j], h) {
					hi = h
				} else {
					lo = l
				}
			}
		}
	}
	return best
}

// mixXY is the chromaticity at share s of the straight line from a to b on the chromaticity
// diagram.
func mixXY(a, b XYZ, s float64) XY {
	p, q := a.XY(), b.XY()
	return XY{p.X + s*(q.X-p.X), p.Y + s*(q.Y-p.Y)}
}

// onEdge returns drives for a chromaticity on the line between two primaries (or on one), the
// brightest of the pairs whose line passes through it.
func (d Drives) onEdge(p []XYZ, c XY) []float64 {
	var best []float64
	level := -1.0
	for i := range p {
		for j := i; j < len(p); j++ {
			a, b := p[i].XY(), p[j].XY()
			dx, dy := b.X-a.X, b.Y-a.Y
			s := 0.0
			if l := dx*dx + dy*dy; l > 0 {
				s = clampTo(((c.X-a.X)*dx+(c.Y-a.Y)*dy)/l, 0, 1)
			}
			if DeltaUVPrime(mixXY(p[i], p[j], s), c) > 1e-7 {
				continue
			}
			x := make([]float64, len(p))
			if i == j {
				x[i] = 1
			} else {
				wi := (1 - s) / (p[i].X + p[i].Y + p[i].Z)
				wj := s / (p[j].X + p[j].Y + p[j].Z)
				top := math.Max(wi, wj)
				x[i], x[j] = wi/top, wj/top
			}
			if y := d.Output(x).Y; y > level {
				best, level = x, y
			}
		}
	}
	return best
}
