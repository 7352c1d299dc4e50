package accuracy

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/quantity"
)

// rareScene is a place whose points get light that few paths find. truth is each point's exposure
// in lx, by quadrature; nil where only the mean of many independent runs can tell.
type rareScene struct {
	name, yaml string
	family     string // whose intervals are counted together
	truth      map[string]float64
	seeds      int // in the long test
	quick      int // in the short one
}

// twoRooms are two rooms of 3 × 4 × 2.7 m; the wall between them is open for w metres up to h; a
// lamp in the first, points in the second.
func twoRooms(w, h float64) string {
	a, b := 2-w/2, 2+w/2
	s := fmt.Sprintf(`halfstop: 1
room:
  size: [6.1, 4, 2.7]
  surfaces: {walls: 0.7, ceiling: 0.8, floor: 0.3}
  objects:
    - {name: wall a, box: {at: [3, 0], size: [0.1, %g, 2.7]}, surface: 0.7}
    - {name: wall b, box: {at: [3, %g], size: [0.1, %g, 2.7]}, surface: 0.7}
`, a, b, 4-b)
	if h < 2.7 {
		s += fmt.Sprintf("    - {name: lintel, box: {at: [3, %g, %g], size: [0.1, %g, %g]}, surface: 0.7}\n",
			a, h, w, 2.7-h)
	}
	return s + `setups:
  - name: s
    lights: [{name: lamp, at: [1.2, 1.2, 2], emitter: {shape: sphere, size: 10 cm, flux: 2000 lm}}]
    points:
      - {name: opposite, at: [5, 2, 1.2], facing: x-}
      - {name: aside, at: [4, 0.6, 1.2], facing: y+}
      - {name: turned away, at: [4.5, 2.5, 1.2], facing: x+}
      - {name: beside, at: [3.3, 3.5, 0.8], facing: up}
`
}

// penumbra is a square face of side a, h metres up and looking down, half way hidden by a flag
// whose edge is turned by so many degrees; each point sees another share of it.
func penumbra(family, name string, a, h, degrees float64, seeds int, shares ...float64) rareScene {
	const le = 1000.0
	sn, cs := math.Sincos(degrees * math.Pi / 180)
	// Visible from (−q n, 0) are the places s of the face with s·n > q, n = (cos, sin).
	visible := func(q float64) (share, lux float64) {
		const n = 400
		for i := range n {
			for j := range n {
				x, y := a*((float64(i)+0.5)/n-0.5), a*((float64(j)+0.5)/n-0.5)
				// The part of the cell in sight: exact for a straight flag, right on the whole for
				// a turned one.
				in := min(1, max(0, 0.5+(x*cs+y*sn-q)/(a/n*(math.Abs(cs)+math.Abs(sn)))))
				d2 := (x+q*cs)*(x+q*cs) + (y+q*sn)*(y+q*sn) + h*h
				share += in / (n * n)
				lux += in * le * h * h / (d2 * d2) * a * a / (n * n)
			}
		}
		return
	}
	s := rareScene{name: name, family: family, truth: map[string]float64{}, seeds: seeds, quick: 2}
	corner := func(u, v float64) string { // u along the edge, v into the flag
		return fmt.Sprintf("[%.9g, %.9g, %g]", -v*cs-u*sn, -v*sn+u*cs, h/2)
	}
	points := ""
	for _, want := range shares {
		lo, hi := 0.0, a
		for range 30 {
			q := (lo + hi) / 2
			if share, _ := visible(q); share > want {
				lo = q
			} else {
				hi = q
			}
			if hi-lo < 1e-6*a {
				break
			}
		}
		share, lux := visible(lo)
		n := fmt.Sprintf("%.2g %%", 100*share)
		s.truth[n] = lux
		points += fmt.Sprintf("  - {name: '%s', at: [%.9g, %.9g, 0], facing: up}\n", n, -lo*cs, -lo*sn)
	}
	s.yaml = lab(fmt.Sprintf(`
lights: [{name: box, at: [0, 0, %g], aim: [0, 0, 0], emitter: {shape: rectangle, size: [%g, %g], luminance: %g cd/m2}}]
objects: [{name: flag, polygon: [%s, %s, %s, %s], surface: 0}]
points:
%s`, h, a, a, le, corner(-9, 0), corner(9, 0), corner(9, 9), corner(-9, 9), points))
	return s
}

func rareScenes() []rareScene {
	six := []float64{0.002, 0.005, 0.01, 0.03, 0.07, 0.1}
	// More of the straight flag: how an edge that lies along the samples' strata scatters goes by
	// where between two of them it lies, which a share says.
	twelve := append([]float64{0.003, 0.004, 0.015, 0.02, 0.045, 0.085}, six...)
	out := []rareScene{
		penumbra("straight flag", "penumbra of 0.6 m at 3 m, straight flag", 0.6, 3, 0, 80, twelve...),
		penumbra("slanted flag", "penumbra of 0.6 m at 3 m, flag turned by 27°", 0.6, 3, 27, 80, six...),
		penumbra("slanted flag", "penumbra of 0.6 m at 3 m, flag turned by 4°", 0.6, 3, 4, 80, six...),
		penumbra("small and far", "penumbra of 4 cm at 8 m, flag turned by 10°", 0.04, 8, 10, 80, six...),
		{family: "doorway", name: "doorway, 0.8 × 2 m", yaml: twoRooms(0.8, 2), seeds: 40, quick: 2},
	}
	for _, w := range []float64{0.15, 0.05, 0.02} {
		name := fmt.Sprintf("gap of %.0f cm", 100*w)
		out = append(out, rareScene{family: name, name: name, yaml: twoRooms(w, 2.7), seeds: 40})
	}
	return out
}

// rareRow is what many seeds gave at one point, as it stands in the table.
type rareRow struct {
	Point                       string
	Truth, Mean, Spread, Stated float64 // lx; stops
	Held, Of, Far               int
	Worst                       float64 // standard errors
	Earlier                     bool    `json:",omitempty"` // of an earlier program; not in the totals
}

func (r rareRow) line(place string) string {
	if r.Earlier {
		place += " (earlier program)"
	}
	return fmt.Sprintf("|%s|%s|%.4g|%.4g|%.3f|%.3f|%d of %d|%.1f|", place, r.Point, r.Truth, r.Mean, r.Spread,
		r.Stated, r.Held, r.Of, r.Worst)
}

// run meters the place by so many seeds and says of each point how true what was stated is.
func (s *rareScene) run(t *testing.T, seeds int) []rareRow {
	t.Helper()
	job, list := parsed(s.yaml, nil)
	if job == nil || list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	got, stated := map[string][]float64{}, map[string][]float64{} // lx; relative standard errors
	var order []string
	for seed := range uint64(seeds) {
		m, list, err := job.Meter(context.Background(), 0, meter.Work{Seed: 100 + 7*seed,
			Error: quantity.Stops(0.03)})
		if err != nil || m == nil {
			t.Fatal(err, list.Text())
		}
		for _, r := range m.Readings {
			if got[r.Name] == nil {
				order = append(order, r.Name)
			}
			got[r.Name] = append(got[r.Name], r.Lux)
			stated[r.Name] = append(stated[r.Name], math.Exp2(float64(r.Error))-1)
		}
	}
	var rows []rareRow
	n := float64(seeds)
	for _, name := range order {
		row := rareRow{Point: name, Of: seeds}
		for i, v := range got[name] {
			row.Mean += v / n
			row.Stated += stated[name][i] / n
		}
		own := 1.0 // a mean of all holds a part of each deviation
		var known bool
		if row.Truth, known = s.truth[name]; !known {
			row.Truth, own = row.Mean, math.Sqrt(1-1/n)
		}
		for i, v := range got[name] {
			if v == 0 {
				t.Errorf("%s: dark", name)
				continue
			}
			row.Spread += (v/row.Truth - 1) * (v/row.Truth - 1) / n
			z := math.Abs(v-row.Truth) / (v * stated[name][i] * own)
			if row.Worst = max(row.Worst, z); z <= 1.96 {
				row.Held++
			}
			if z > 4 {
				row.Far++
				t.Logf("%s, seed %d: off by %.1f standard errors", name, i, z)
			}
		}
		row.Spread, row.Stated = math.Log2(1+math.Sqrt(row.Spread)), math.Log2(1+row.Stated)
		t.Log(row.line(s.name))
		if row.Worst > 6 { // by no chance
			t.Errorf("%s: off by %.1f standard errors", name, row.Worst)
		}
		rows = append(rows, row)
	}
	return rows
}

// wilson is the interval of 95 % of a share of which k of n were seen (Wilson 1927).
func wilson(k, n int) (lo, hi float64) {
	const z = 1.96
	p, m := float64(k)/float64(n), float64(n)
	mid, half := p+z*z/(2*m), z*math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return (mid - half) / (1 + z*z/m), (mid + half) / (1 + z*z/m)
}

func TestWilson(t *testing.T) {
	// Newcombe 1998, table I, method 3, from memory.
	for _, c := range []struct {
		k, n   int
		lo, hi float64
	}{{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}} {
		if lo, hi := wilson(c.k, c.n); math.Abs(lo-c.lo) > 1e-4 || math.Abs(hi-c.hi) > 1e-4 {
			t.Errorf("%d of %d: %.4f to %.4f, want %.4f to %.4f", c.k, c.n, lo, hi, c.lo, c.hi)
		}
	}
}

// keepParts lays what a long test found of the places that it ran beside what it found of others
// before, so that a place can be run alone, and gives all. The file is written with -update.
func keepParts[T any](t *testing.T, file string, now map[string]T) map[string]T {
	t.Helper()
	all := map[string]T{}
	if b, err := os.ReadFile(file); err == nil {
		if err := json.Unmarshal(b, &all); err != nil {
			t.Fatal(err)
		}
	}
	maps.Copy(all, now)
	b, err := json.MarshalIndent(all, "", " ")
	if err == nil {
		err = os.WriteFile(file, append(b, '\n'), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	return all
}

const rareHead = `
## Rare light

What ` + "`meter --error 0.03`" + ` says, over independent seeds, of light that few paths find.
Written by the long test (HALFSTOP_LONG=1), which can be run place by place. Truth: for penumbras quadrature over the part of
the face in sight; for rooms, where no closed form is known, the mean of all seeds, its own part in each deviation allowed for.
'held' are the stated 95 % intervals that hold the truth. Rows of an earlier program wait for the next long run and are not
in the totals.

|place|point|truth, lx|mean, lx|spread, st|stated, st|held|worst, standard errors|
|---|---|---|---|---|---|---|---|
`

// rareTotals are the shares of each family and of all, with their Wilson intervals.
func rareTotals(found map[string][]rareRow) (doc string, held, tried, far int, apart []string) {
	heldOf, triedOf := map[string]int{}, map[string]int{}
	for _, s := range rareScenes() {
		for _, r := range found[s.name] {
			if r.Earlier {
				continue
			}
			heldOf[s.family] += r.Held
			triedOf[s.family] += r.Of
			held, tried, far = held+r.Held, tried+r.Of, far+r.Far
		}
	}
	doc = "\n|family|stated 95 % intervals that hold the truth|of 100|known to (Wilson, 95 %)|\n|---|---|---|---|\n"
	for _, f := range slices.Sorted(maps.Keys(triedOf)) {
		lo, hi := wilson(heldOf[f], triedOf[f])
		line := fmt.Sprintf("|%s|%d of %d|%.1f|%.1f to %.1f|", f, heldOf[f], triedOf[f],
			100*float64(heldOf[f])/float64(triedOf[f]), 100*lo, 100*hi)
		doc += line + "\n"
		if hi < 0.93 || lo > 0.97 {
			apart = append(apart, line)
		}
	}
	lo, hi := wilson(held, tried)
	doc += fmt.Sprintf("\nAll: %d of %d, %.1f %% (%.1f to %.1f). Off by more than 4 standard errors: %d.\n", held,
		tried, 100*float64(held)/float64(tried), 100*lo, 100*hi, far)
	return doc, held, tried, far, apart
}

// TestRareLight: what the meter states of light that few paths find is true: no zero, no more than
// one point in 1,000 off by more than 4 standard errors, and 93 to 97 in 100 of the stated 95 %
// intervals hold the truth, in each family of places as closely as its count can tell. A place can
// be run alone: -run 'TestRareLight/gap_of_5'.
func TestRareLight(t *testing.T) {
	long := os.Getenv("HALFSTOP_LONG") != ""
	found := map[string][]rareRow{}
	for _, s := range rareScenes() {
		t.Run(s.name, func(t *testing.T) {
			n := s.quick
			if long {
				n = s.seeds
			}
			if n == 0 {
				t.Skip("minutes: HALFSTOP_LONG=1 runs it")
			}
			found[s.name] = s.run(t, n)
		})
	}
	doc, held, tried, far, apart := rareTotals(found)
	if tried == 0 {
		return
	}
	t.Log(doc)
	if far > 1+tried/1000 { // one may be by chance where few are tried
		t.Errorf("%d of %d are off by more than 4 standard errors", far, tried)
	}
	for _, line := range apart {
		if long {
			t.Errorf("not 93 to 97 of 100: %s", line)
		}
	}
	if share := float64(held) / float64(tried); !long && share < 0.88 {
		t.Errorf("%.1f %% of the stated 95 %% intervals hold the truth", 100*share)
	}
	if !long || !*update {
		return
	}
	found = keepParts(t, filepath.Join("testdata", "rare.json"), found)
	doc = rareHead
	for _, s := range rareScenes() {
		for _, r := range found[s.name] {
			doc += r.line(s.name) + "\n"
		}
	}
	totals, _, _, _, _ := rareTotals(found)
	if err := os.WriteFile(filepath.Join("testdata", "rare.md"), []byte(strings.TrimLeft(doc+totals, "\n")),
		0o644); err != nil {
		t.Fatal(err)
	}
}
