package learn

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// world is a simulated kit and three rooms with their true errors.
type world struct {
	factors []Factor
	truth   []float64
	noise   float64
}

const (
	heads     = 3
	modifiers = 4
	rooms     = 3
)

// newWorld draws true errors from the priors: those of the catalogue (0.4 st a head and a
// modifier, so 0.57 together), 0.3 st for what bounces in a room.
func newWorld(r *rand.Rand) *world { return roughWorld(r, 1) }

// roughWorld does so with so many times the uncertainty, which is stated as well.
func roughWorld(r *rand.Rand, by float64) *world {
	w := &world{noise: 0.1}
	add := func(key string, sd float64) {
		sd *= by
		w.factors = append(w.factors, Factor{key, sd})
		w.truth = append(w.truth, r.NormFloat64()*sd)
	}
	for i := range heads {
		add(fmt.Sprint("head ", i), 0.4)
	}
	for i := range modifiers {
		add(fmt.Sprint("modifier ", i), 0.4)
	}
	for i := range rooms {
		add(fmt.Sprint("surfaces ", i), 0.3)
	}
	return w
}

// light is one light's part at a point: head, modifier, room, exposure and how much of it bounced.
func light(r *rand.Rand, room int) Part {
	b := 0.1 + 0.5*r.Float64()
	return Part{Exposure: math.Exp2(3 * r.NormFloat64() / 2),
		Factors: []int{r.IntN(heads), heads + r.IntN(modifiers), heads + modifiers + room}, Gain: []float64{1, 1, b}}
}

func (w *world) true(parts []Part) float64 {
	return math.Exp2(at(parts, w.truth, make([]float64, len(w.factors))))
}

func (w *world) read(r *rand.Rand, parts []Part) Observation {
	return Observation{Parts: parts, Read: w.true(parts) * math.Exp2(w.noise*r.NormFloat64()), Noise: w.noise,
		Words: "x"}
}

// alone are the readings a crew takes: each light by itself, now and then two together.
func alone(r *rand.Rand, n int) [][]Part {
	var out [][]Part
	for i := range n {
		p := []Part{light(r, i%rooms)}
		if i%4 == 3 {
			p = append(p, light(r, i%rooms))
		}
		out = append(out, p)
	}
	return out
}

// unseen is a setup that was not metered: a key and a fill in some room.
func unseen(r *rand.Rand) []Part {
	room := r.IntN(rooms)
	return []Part{light(r, room), light(r, room)}
}

// TestLearning: eight readings, chosen as Next advises, bring the median error of setups that were
// never metered to under 0.15 st; the stated intervals hold the truth.
func TestLearning(t *testing.T) { learns(t, 1, 0.3) }

// TestLearningRough: the same with a kit that is off by half a stop and more at the median:
// heads and modifiers of 0.7 st each, 0.53 st for what a room gives back.
func TestLearningRough(t *testing.T) { learns(t, 1.75, 0.5) }

func learns(t *testing.T, rough, least float64) {
	t.Helper()
	r := rand.New(rand.NewPCG(5, 6))
	var before, after, random []float64
	in, all := 0, 0
	for range 150 {
		w := roughWorld(r, rough)
		pool := alone(r, 40)
		var targets [][]Part
		for range 12 {
			targets = append(targets, unseen(r))
		}
		var obs, other []Observation
		known, _ := Learn(w.factors, nil)
		for range 8 {
			c, _ := known.Next(pool, targets, w.noise)
			obs = append(obs, w.read(r, pool[c]))
			other = append(other, w.read(r, pool[r.IntN(len(pool))]))
			known, _ = Learn(w.factors, obs)
		}
		blind, _ := Learn(w.factors, nil)
		lucky, _ := Learn(w.factors, other)
		for _, p := range targets {
			e := math.Log2(w.true(p) / total(p))
			s, sd := known.Predict(p)
			if _, sd0 := blind.Predict(p); sd0 < sd {
				t.Fatal("eight readings have taught less than nothing")
			}
			l, _ := lucky.Predict(p)
			before, after, random = append(before, math.Abs(e)), append(after, math.Abs(e-s)), append(random,
				math.Abs(e-l))
			if math.Abs(e-s) <= 1.645*sd {
				in++
			}
			all++
		}
	}
	b, a, rnd := median(before), median(after), median(random)
	share := float64(in) / float64(all)
	t.Logf("median error %.3f st before, %.3f after eight readings, %.3f after eight at random; "+
		"90 %% intervals hold %.1f %%", b, a, rnd, 100*share)
	// Of the catalogue's uncertainty the median is 0.6745 of 0.57 and the fill's share of it.
	if b < least || a > 0.15 || a >= rnd {
		t.Errorf("median error %.3f before, %.3f after, %.3f at random", b, a, rnd)
	}
	if share < 0.87 || share > 0.93 {
		t.Errorf("90 %% intervals hold the truth %.1f times in 100", 100*share)
	}
}

func median(x []float64) float64 {
	slices.Sort(x)
	return x[len(x)/2]
}

// TestMistakes: planted mistakes are found, sound readings are left in peace.
func TestMistakes(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	found, planted, alarms, sound := 0, 0, 0, 0
	for range 200 {
		w := newWorld(r)
		var obs []Observation
		for _, p := range alone(r, 16) {
			obs = append(obs, w.read(r, p))
		}
		bad := -1
		if r.IntN(2) == 0 {
			bad = r.IntN(len(obs))
			size := []float64{1, -1, 2, -2, 3, -3}[r.IntN(6)]
			obs[bad].Read *= math.Exp2(size)
			planted++
		}
		k, err := Learn(w.factors, obs)
		if err != nil {
			t.Fatal(err)
		}
		hit := slices.ContainsFunc(k.Doubts, func(d Doubt) bool { return d.Index == bad })
		if hit {
			found++
		}
		for _, d := range k.Doubts {
			if d.Index != bad {
				alarms++
			}
		}
		sound += len(obs)
	}
	t.Logf("%d of %d mistakes found, %d false alarms in %d readings", found, planted, alarms, sound)
	if float64(found) < 0.9*float64(planted) || float64(alarms) > 0.05*float64(sound) {
		t.Errorf("%d of %d mistakes found, %d false alarms in %d readings", found, planted, alarms, sound)
	}
}

// TestConjugate: one light, one factor: the posterior of a normal mean with normal noise (closed
// form).
func TestConjugate(t *testing.T) {
	f := []Factor{{"head", 0.5}}
	p := []Part{{Exposure: 8, Factors: []int{0}, Gain: []float64{1}}}
	o := Observation{Parts: p, Read: 8 * math.Exp2(0.6), Noise: 0.1}
	k, err := Learn(f, []Observation{o, o})
	if err != nil {
		t.Fatal(err)
	}
	v := 1 / (1/0.25 + 2/0.01)
	if mean := v * 2 * 0.6 / 0.01; math.Abs(k.Mean[0]-mean) > 1e-9 || math.Abs(k.SD(0)-math.Sqrt(v)) > 1e-9 {
		t.Errorf("%.6f ± %.6f, closed form %.6f ± %.6f", k.Mean[0], k.SD(0), mean, math.Sqrt(v))
	}
}

// TestExact: a factor that is known exactly is not moved.
func TestExact(t *testing.T) {
	f := []Factor{{"head", 0}, {"modifier", 0.4}}
	p := []Part{{Exposure: 1, Factors: []int{0, 1}, Gain: []float64{1, 1}}}
	k, err := Learn(f, []Observation{{Parts: p, Read: 1.3, Noise: 0.1}})
	if err != nil || k.Mean[0] != 0 || k.Mean[1] <= 0 {
		t.Errorf("%v %+v", err, k)
	}
}

func TestBadReadings(t *testing.T) {
	p := []Part{{Exposure: 1}}
	for _, o := range []Observation{{Parts: p, Read: 0, Noise: 0.1}, {Parts: p, Read: math.NaN(), Noise: 0.1},
		{Parts: p, Read: math.Inf(1), Noise: 1},
		{Parts: p, Read: 1}, {Read: 1, Noise: 0.1}, {Parts: []Part{{Exposure: 1, Factors: []int{3},
			Gain: []float64{1}}}, Read: 1, Noise: 0.1}} {
		if _, err := Learn([]Factor{{"a", 1}}, []Observation{o}); err == nil {
			t.Errorf("%+v was taken", o)
		}
	}
}

// TestCauses: a reading 0.7 st over names the missing cloth first; one six stops under, the head
// that did not fire.
func TestCauses(t *testing.T) {
	if c := causesOf(0.72); len(c) == 0 || c[0].Stops != 0.7 {
		t.Errorf("%+v", c)
	}
	if c := causesOf(-6); len(c) == 0 || c[0].Stops != -8 {
		t.Errorf("%+v", c)
	}
	if c := causesOf(40); len(c) != 0 {
		t.Errorf("40 stops are explained by %+v", c)
	}
}

// ExampleLearn corrects a head from one reading.
func ExampleLearn() {
	key := []Part{{Exposure: 40, Factors: []int{0}, Gain: []float64{1}}}
	k, _ := Learn([]Factor{{"head", 0.57}}, []Observation{{Parts: key, Read: 50, Noise: 0.1,
		Words: "key at the face"}})
	shift, sd := k.Predict(key)
	fmt.Printf("%+.2f st, ± %.2f\n", shift, sd)
	// Output: +0.31 st, ± 0.10
}

var write = flag.Bool("update", false, "write docs/learn.md's table")

// TestPromise counts how many predictions of simulated shoots lie within half a stop and within a
// tenth: by the catalogue's figures, by a maker's sheet (lux at a distance with the modifier, 0.25
// st: common practice, no source), and after readings. The table in docs/learn.md is this test's;
// 400 shoots of three rooms, six setups each.
func TestPromise(t *testing.T) {
	type count struct{ half, tenth, all int }
	row := func(c count) string {
		return fmt.Sprintf("%.0f | %.0f", 100*float64(c.half)/float64(c.all), 100*float64(c.tenth)/float64(c.all))
	}
	add := func(c *count, off float64) {
		c.all++
		if math.Abs(off) <= 0.5 {
			c.half++
		}
		if math.Abs(off) <= 0.1 {
			c.tenth++
		}
	}
	var catalogue, sheet count
	after := map[int]*count{1: {}, 3: {}, 8: {}, 16: {}}
	r := rand.New(rand.NewPCG(11, 12))
	for range 400 {
		w := newWorld(r)
		pool := alone(r, 40)
		var targets [][]Part
		for range 6 {
			targets = append(targets, unseen(r))
		}
		known, _ := Learn(w.factors, nil)
		truth := make([]float64, len(targets))
		for i, p := range targets {
			truth[i] = math.Log2(w.true(p) / total(p))
			add(&catalogue, truth[i])
			// Each head with its modifier as its maker measured it; the room as before.
			exact := slices.Clone(w.truth)
			for f := range heads + modifiers {
				exact[f] *= 0.25 / math.Hypot(0.4, 0.4)
			}
			add(&sheet, math.Log2(math.Exp2(at(p, exact, make([]float64, len(exact))))/total(p)))
		}
		var obs []Observation
		for n := 1; n <= 16; n++ {
			c, _ := known.Next(pool, targets, w.noise)
			if c < 0 {
				c = r.IntN(len(pool))
			}
			obs = append(obs, w.read(r, pool[c]))
			known, _ = Learn(w.factors, obs)
			if c := after[n]; c != nil {
				for i, p := range targets {
					s, _ := known.Predict(p)
					add(c, truth[i]-s)
				}
			}
		}
	}
	table := "| what is known | within ½ stop, of 100 | within 0.1 stop, of 100 |\n|---|---|---|\n" +
		"| the generic catalogue alone | " + row(catalogue) + " |\n" +
		"| the figures of the maker's sheet | " + row(sheet) + " |\n"
	for _, n := range []int{1, 3, 8, 16} {
		table += fmt.Sprintf("| the catalogue and %d readings | %s |\n", n, row(*after[n]))
	}
	for _, name := range []string{"../docs/learn.md", "../docs/accuracy.md"} {
		holds(t, name, table)
	}
	if c := after[8]; float64(c.half) < 0.95*float64(c.all) {
		t.Errorf("after eight readings %s of 100 are within half a stop", row(*c))
	}
}

// holds holds the table between its marks in a document to that of now, or writes it.
func holds(t *testing.T, name, table string) {
	t.Helper()
	old, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	const begin, end = "<!-- promise -->\n", "<!-- /promise -->"
	head, rest, ok := strings.Cut(string(old), begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the table", name)
	}
	text := head + begin + table + end + tail
	if *write {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	} else if text != string(old) {
		t.Errorf("%s is stale: run go test ./learn -run TestPromise -update\n%s", name, table)
	}
}
