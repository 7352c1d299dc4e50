package accuracy

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
)

// TestStatedError: the standard error that the JSON states holds the truth. Of 204 readings with
// known answers, each worked to the error that the program works to by default, at least 93 in 100
// lie within 1.96 of it.
func TestStatedError(t *testing.T) {
	all := map[string]scene{}
	for _, s := range sections() {
		for _, sc := range s.scenes {
			all[sc.name] = sc
		}
	}
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	held, tried := 0, 0
	for _, name := range []string{"hollow sphere", "wall bounce B10.2", "wall bounce B10.3", "two planes", "silk",
		"diffuse patch", "diffuse patch, half hidden", "window, overcast",
		"open roof, overcast", "area source behind a pane", "furnace", "window, frosted"} {
		sc, ok := all[name]
		if !ok {
			t.Fatalf("there is no scene %q", name)
		}
		job, list := parsed(sc.yaml, nil)
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		for seed := range uint64(17) {
			m, _, err := job.Meter(context.Background(), 0, meter.Work{Seed: 1000 + 7*seed})
			if err != nil {
				t.Fatal(err)
			}
			text, err := json.Marshal(answer.Readings{Setups: []answer.SetupReadings{m.JSON()}})
			if err != nil {
				t.Fatal(err)
			}
			var a answered
			if err := json.Unmarshal(text, &a); err != nil {
				t.Fatal(err)
			}
			// The last figure of light of the scene whose point gives it whole: not one that leaves
			// the straight light out.
			for i := len(sc.gives) - 1; i >= 0; i-- {
				f := sc.gives[i]
				if f.by != stops {
					continue
				}
				p := &a.Setups[0].Points[len(a.Setups[0].Points)-1]
				got, e := math.Abs(f.against(f.read(&a))), 0.0
				for _, q := range a.Setups[0].Points { // all points of a scene are worked to the same error
					e = max(e, q.Error)
				}
				if f.unit == "lx" && p.direct() > 0 && p.bounced() > 0 && math.Abs(f.read(&a)/p.Lux-1) > 1e-6 {
					e *= p.Lux / f.read(&a) // a part of the light carries the whole's error
				}
				tried++
				if got <= 1.96*e+0.001 {
					held++
				}
				break
			}
		}
	}
	t.Logf("%d of %d", held, tried)
	if tried < 200 || float64(held) < 0.93*float64(tried) {
		t.Errorf("%d of %d readings lie within 1.96 standard errors of the truth, want 93 in 100", held, tried)
	}
}

// chooser takes choices out of bytes.
type chooser struct {
	data []byte
	at   int
}

func (c *chooser) of(n int) int {
	if c.at >= len(c.data) {
		return 0
	}
	c.at++
	return int(c.data[c.at-1]) % n
}

func (c *chooser) coord() string {
	return []string{"0", "1", "-1", "0.5", "2", "0.001", "-0.3", "1e-9", "3.99", "100"}[c.of(10)]
}

func (c *chooser) vec() string { return "[" + c.coord() + ", " + c.coord() + ", " + c.coord() + "]" }

func (c *chooser) surface() string {
	return []string{"0", "1", "0.5", "{mirror: 1}", "{mirror: 0.5, rough: 0.01}", "{mirror: 0.9, rough: 1}",
		"{diffuse: 0.4, transmit: 0.6}", "{clear: 1, coat: 1.5}", "{diffuse: 1, coat: 1.5}",
		"{diffuse: 0.5, transmit: 0.5, coat: 2.5, coat rough: 1}", "{clear: 0.5, diffuse: 0.5}", "'#ff0000'", "mirror",
		"full silk", "glass frosted"}[c.of(15)]
}

// scene writes a small scene of odd things in odd places.
func (c *chooser) scene() string {
	var b strings.Builder
	b.WriteString("halfstop: 1\n")
	if c.of(2) == 1 {
		fmt.Fprintf(&b, "room:\n  size: [4, %s, 2.7]\n  surfaces: {all: %s}\n", []string{"5", "0.02", "900"}[c.of(3)],
			c.surface())
		if c.of(2) == 1 {
			fmt.Fprintf(&b,
				"  windows: [{name: w, wall: %d, from: 0, width: 1, sill: 0, head: 2.7, glass: %s}]\n  outside: "+
					"{sky: %s, illuminance: 1000 lx, ground: %s}\n", 1+2*c.of(2),
				[]string{"none", "single clear", "double clear", "frosted", "'0'"}[c.of(5)],
				[]string{"uniform", "overcast"}[c.of(2)], []string{"0", "1"}[c.of(2)])
		}
	}
	b.WriteString("setups:\n  - name: odd\n    lights:\n")
	for i := range 1 + c.of(4) {
		level := []string{"luminance: 1000 cd/m2", "flux: 1000 lm", "intensity: 5 cd s", "flux: 0.000001 lm",
			"intensity: 1000000 cd"}[c.of(5)]
		shape := []string{"{shape: point, %s}", "{shape: point, beam: 1 deg, %s}", "{shape: disc, size: 0.001, %s}",
			"{shape: disc, size: 3, beam: 359 deg, %s}", "{shape: rectangle, size: [1, 0.001], two-sided: true, %s}",
			"{shape: rectangle, size: [2, 2], beam: 5 deg, %s}", "{shape: sphere, size: 1, %s}",
			"{shape: sphere, size: 0.001, solid: true, %s}"}[c.of(8)]
		if c.of(5) == 1 {
			shape = "{shape: tube, size: 0.03, path: [" + c.vec() + ", " + c.vec() + "], %s}"
		}
		fmt.Fprintf(&b, "      - {name: l%d, at: %s, aim: %s, emitter: %s}\n", i, c.vec(), c.vec(),
			fmt.Sprintf(shape, level))
	}
	if n := c.of(4); n > 0 {
		b.WriteString("    objects:\n")
		for i := range n {
			shape := []string{"quad: {at: %s, facing: up, size: [2, 2]}",
				"quad: {at: %s, facing: [1, 1, 1], size: [0.001, 3]}", "disc: {at: %s, facing: down, size: 1}",
				"sphere: {at: %s, diameter: 1}",
				"box: {at: %s, size: [1, 1, 0.001]}", "cylinder: {at: %s, diameter: 0.01, height: 2}"}[c.of(6)]
			fmt.Fprintf(&b, "      - {name: o%d, %s, surface: %s}\n", i, fmt.Sprintf(shape, c.vec()), c.surface())
		}
	}
	if c.of(4) == 1 {
		fmt.Fprintf(&b, "    haze: {extinction: %s, albedo: %s, forward: %s}\n",
			[]string{"0.02", "100", "0.000001"}[c.of(3)], []string{"1", "0"}[c.of(2)],
			[]string{"0", "0.99", "-0.99"}[c.of(3)])
	}
	b.WriteString("    points:\n")
	for i := range 3 {
		fmt.Fprintf(&b, "      - {name: p%d, at: %s, facing: [%s, %s, 1], receptor: %s%s}\n", i, c.vec(), c.coord(),
			c.coord(), []string{"flat", "dome", "spot"}[i], []string{"", "", ", from: [0.3, 0.2, 0.7]"}[i])
	}
	return b.String()
}

// FuzzScene: no scene hangs, panics, or gives what is not a number or below zero; what cannot be is
// refused with words.
func FuzzScene(f *testing.F) {
	for i := range 60 {
		seed := make([]byte, 60)
		x := uint32(i + 1)
		for k := range seed {
			x = x*1664525 + 1013904223
			seed[k] = byte(x >> 24)
		}
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		y := (&chooser{data: data}).scene()
		start := time.Now()
		job, list := parsed(y, nil)
		if job == nil || list.Has(diag.Error) {
			if len(list) == 0 {
				t.Fatalf("refused without a word:\n%s", y)
			}
			return
		}
		m, list, err := job.Meter(context.Background(), 0, meter.Work{Seed: 1, Samples: 1024})
		if err != nil {
			t.Fatalf("%v\n%s", err, y)
		}
		if m == nil {
			if !list.Has(diag.Error) {
				t.Fatalf("refused without a word:\n%s", y)
			}
			return
		}
		if d := time.Since(start); d > 20*time.Second {
			t.Fatalf("took %v:\n%s", d, y)
		}
		text, err := json.Marshal(answer.Readings{Setups: []answer.SetupReadings{m.JSON()}})
		if err != nil {
			t.Fatalf("%v\n%s", err, y)
		}
		var a answered
		if err := json.Unmarshal(text, &a); err != nil {
			t.Fatal(err)
		}
		for _, p := range a.Setups[0].Points {
			for _, v := range []float64{p.Lux, p.LuxSeconds, p.Exposure, p.Luminance, p.FNumber, p.Error} {
				if !(v >= 0) || v > 1e15 {
					t.Fatalf("%s: %+v\n%s", p.Name, p, y)
				}
			}
			for _, l := range p.Lights {
				if !(l.Direct >= 0) || !(l.Bounced >= 0) || !(l.Share >= 0) {
					t.Fatalf("%s: %+v\n%s", p.Name, l, y)
				}
			}
		}
	})
}
