package day

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"halfstop/kit"
	"halfstop/quantity"
)

// found gives the codes that a shoot's checks find.
func found(t *testing.T, text string) []string {
	t.Helper()
	f := parsed(t, text)
	k := kit.Merge(kit.Catalogue(), f.Kit)
	var out []string
	for _, m := range Check(f, &k, nil) {
		out = append(out, m.Code)
		if m.Fix == "" || len(m.Remarks) == 0 || strings.Contains(strings.ToLower(m.Text+m.Fix), "safe") {
			t.Errorf("%s says no fix, no limit, or calls something safe: %q", m.Code, m.Text)
		}
	}
	return out
}

// set is a shoot of one setup with some lines put in.
func set(kitText, room, setup, lights string) string {
	return fmt.Sprintf(`
halfstop: 1
day: {frames: 80}
kit: {heads: [{name: pack, like: battery head 500, feed: mains, watts: 1000 W}, {name: slow, like: battery head 500, recycle: 4 s}%s]}
room:
  size: [6, 4, 3]
%s
setups:
  - name: A
    camera: {at: [5, 2], height: 1.5 m, shutter: 1/100 s}
    sitter: {at: [2, 2]}
%s
    lights: [%s]
`, kitText, room, setup, lights)
}

// fast is a second setup with high speed sync.
func fast(shutter string) string {
	return fmt.Sprintf(`  - name: B
    camera: {at: [5, 2, 1.5], shutter: %s, sync: 1/200 s, high speed sync: true}
    sitter: {at: [2, 2]}
    lights: [{role: key, head: battery head 500, at: [3, 3, 2]}]
`, shutter)
}

// TestEveryCheck: each check has a shoot that sets it off and one that just does not.
func TestEveryCheck(t *testing.T) {
	const both = `{role: key, head: battery head 500, at: [3, 3, 2]}, ` +
		`{role: fill, head: rgb panel 300, at: [4, 1, 2]}`
	ring := `  circuits: [{name: ring, volts: 230 V, amps: 10 A, outlets: [[0.1, 3.9]], load: %d W}]`
	for _, c := range []struct{ code, off, quiet string }{
		{"day.stand-load", set("", "", "",
			`{role: key, head: battery head 500, modifier: octa 150, at: [3, 3, 2], stand: light boom}`),
			set("", "", "",
				`{role: key, head: battery head 500, modifier: octa 150, at: [3, 3, 2], stand: heavy stand 400}`)},
		{"day.stand-height", set("", "", "", `{role: key, head: accent head 100, at: [3, 3, 2.7], stand: light stand}`),
			set("", "", "", `{role: key, head: accent head 100, at: [3, 3, 2.6], stand: light stand}`)},
		{"day.tip", set("", "", "", `{role: key, head: rgb panel 300, at: [3, 3, 2], stand: boom stand}`),
			set("", "", "", `{role: key, head: accent head 100, at: [3, 3, 2], stand: boom stand}`)},
		{"day.boom", set("", "", "", `{role: key, head: accent head 100, at: [3, 3, 2], stand: boom stand}`),
			set("", "", "", `{role: key, head: accent head 100, at: [3, 3, 2], stand: light stand}`)},
		{"day.over-person", set("", "", "", `{role: hair, head: accent head 100, at: [2.3, 2, 2.4]}`),
			set("", "", "", `{role: hair, head: accent head 100, at: [2.6, 2, 2.4]}`)},
		{"day.heat-near", set("", "", "", `{role: fill, head: rgb panel 300, at: [2.6, 2, 1.6]}`),
			set("", "", "", `{role: fill, head: rgb panel 300, at: [2.8, 2, 1.6]}`)},
		// 80 frames in 14 min are one every 10.5 s; 4 s to be ready at full.
		{"day.recycle", set("", "", "    day: {frames: 300}", `{role: key, head: slow, at: [3, 3, 2], power: 1/1}`),
			set("", "", "    day: {frames: 200}", `{role: key, head: slow, at: [3, 3, 2], power: 1/1}`)},
		{"day.battery", set("", "", "    day: {frames: 380}",
			`{role: key, head: battery head 500, at: [3, 3, 2], power: 1/1}`),
			set("", "", "    day: {frames: 380}", `{role: key, head: battery head 500, at: [3, 3, 2], power: 1/2}`)},
		{"day.headroom", set("", "", "", `{role: key, head: battery head 500, at: [3, 3, 2], power: 1/1}`),
			set("", "", "", `{role: key, head: battery head 500, at: [3, 3, 2], power: 1/1 - 0.3}`)},
		{"day.door", set("", "  doors: [{wall: 1, from: 1 m, width: 0.8 m}]", "",
			`{role: key, head: battery head 500, modifier: octa 90, at: [3, 3, 2]}`),
			set("", "  doors: [{wall: 1, from: 1 m, width: 0.95 m}]", "",
				`{role: key, head: battery head 500, modifier: octa 90, at: [3, 3, 2]}`)},
		{"day.way", set("", "  exits: [[6, 2]]\n  objects: [{name: bar, box: {at: [3.5, 0], size: [0.5, 2.4, 1.1]}}]",
			"",
			`{role: key, head: battery head 500, at: [3.75, 3.2, 2], stand: light stand}`),
			set("", "  exits: [[6, 2]]\n  objects: [{name: bar, box: {at: [3.5, 0], size: [0.5, 2.4, 1.1]}}]", "",
				`{role: key, head: battery head 500, at: [3.75, 3.75, 2], stand: light stand}`)},
		{"day.cable-way", set("", "  exits: [[6, 2]]\n"+fmt.Sprintf(ring, 0), "",
			`{role: key, head: pack, at: [4, 0.8, 2], outlet: ring}`),
			set("", "  exits: [[6, 2]]\n"+fmt.Sprintf(ring, 0), "",
				`{role: key, head: pack, at: [4, 3.4, 2], outlet: ring}`)},
		{"day.still", set("", "", "    notes: x",
			``) + "  - {name: B, camera: {at: [5, 2, 1.5], shutter: 1/30 s}, sitter: {at: [2, 2]}}",
			set("", "", "", ``) + "  - {name: B, camera: {at: [5, 2, 1.5], shutter: 1/40 s}, sitter: {at: [2, 2]}}"},
		{"day.flicker",
			set("", "  practicals: [{name: s, kind: neon tube, path: [[1, 0.1, 2], [2, 0.1, 2]], flux: 500 lm, "+
				"mains: 60 Hz}]", "", ``),
			set("", "  practicals: [{name: s, kind: neon tube, path: [[1, 0.1, 2], [2, 0.1, 2]], flux: 500 lm, "+
				"mains: 50 Hz}]", "", ``)},
		// 1/40 s is what a still sitter may have: 0.25 mm.
		{"day.ghost", set("", "", "    day: {sitter: turns}", both), set("", "", "", both)},
		// 1.2 m/s: 0.24 mm in 1/5000 s, 0.30 mm in 1/4000 s.
		{"day.flash-blur", set(", {name: long, like: battery head 500, duration: 1/4000 s}", "",
			"    day: {sitter: walks}", `{role: key, head: long, at: [3, 3, 2]}`),
			set(", {name: long, like: battery head 500, duration: 1/5000 s}", "", "    day: {sitter: walks}",
				`{role: key, head: long, at: [3, 3, 2]}`)},
		{"day.high-speed", set("", "", "    notes: x", ``) + fast("1/250 s"),
			set("", "", "    notes: x", ``) + fast("1/200 s")},
		{"day.haze-detectors", set("", "  detectors: [[1, 1, 2.9]]", "    haze: {density: light}", ``),
			set("", "", "    haze: {density: light}", ``)},
		{"day.circuit", set("", fmt.Sprintf(ring, 900), "", `{role: key, head: pack, at: [4, 3, 2], outlet: ring}`),
			set("", fmt.Sprintf(ring, 800), "", `{role: key, head: pack, at: [4, 3, 2], outlet: ring}`)},
		{"day.inrush", set("", fmt.Sprintf(ring, 0), "",
			`{name: a, head: pack, at: [4, 3, 2], outlet: ring}, {name: b, head: pack, at: [3, 3, 2], outlet: ring}, {name: c, head: pack, at: [2, 3, 2], outlet: ring}`),
			set("", fmt.Sprintf(ring, 0), "",
				`{name: a, head: pack, at: [4, 3, 2], outlet: ring}, {name: b, head: pack, at: [3, 3, 2], outlet: ring}`)},
		// Two of 1000 W are the 2 kW of a domestic point, three are over it.
		{"day.mains", set("", "", "", `{name: a, head: pack, at: [4, 3, 2]}, {name: b, head: pack, at: [3, 3, 2]}, `+
			`{name: c, head: pack, at: [2, 3, 2]}`),
			set("", "", "", `{name: a, head: pack, at: [4, 3, 2]}, {name: b, head: pack, at: [3, 3, 2]}`)},
		{"day.mains", set("", fmt.Sprintf(ring, 0), "", `{role: key, head: pack, at: [3, 3, 2]}`),
			set("", fmt.Sprintf(ring, 0), "", `{role: key, head: pack, at: [3, 3, 2], outlet: ring}`)},
		// A circuit whose fuse nobody has read.
		{"day.circuit", set("", "  circuits: [{name: ring, outlets: [[0.1, 3.9]]}]", "",
			`{role: key, head: pack, at: [3, 3, 2], outlet: ring}`),
			set("", fmt.Sprintf(ring, 0), "", `{role: key, head: pack, at: [3, 3, 2], outlet: ring}`)},
		// 60 min a charge at full, a third to spare: 10 min of setting and 36 of pictures are 46,
		// with a third more 59.8.
		{"day.battery", set("", "", "    day: {shoot: 37 min}", `{role: key, head: led point 120, at: [3, 3, 2]}`),
			set("", "", "    day: {shoot: 36 min}", `{role: key, head: led point 120, at: [3, 3, 2]}`)},
		// Ready again in 0.5 s at an eighth of 4 s.
		{"day.recycle", set("", "", "    day: {frames: 10, burst: 2.1}",
			`{role: key, head: slow, at: [3, 3, 2], power: 1/8}`),
			set("", "", "    day: {frames: 10, burst: 1.9}", `{role: key, head: slow, at: [3, 3, 2], power: 1/8}`)},
		{"day.strobe", set("", "", "    day: {burst: 3}", `{role: key, head: battery head 500, at: [3, 3, 2]}`),
			set("", "", "    day: {burst: 2.9}", `{role: key, head: battery head 500, at: [3, 3, 2]}`)},
		{"day.strobe", set("", "", "    day: {burst: 8}", `{role: key, head: battery head 500, at: [3, 3, 2]}`),
			set("", "", "    day: {burst: 8}", `{role: key, head: led point 120, at: [3, 3, 2]}`)},
		// The face of a sitter of 1.70 m is at about 1.58 m: 0.59 and 0.61 m beside it.
		{"day.flash-near", set("", "", "", `{role: key, head: battery head 500, at: [2.59, 2, 1.58]}`),
			set("", "", "", `{role: key, head: battery head 500, at: [2.61, 2, 1.58]}`)},
		{"day.flash-near", set("", "", "", `{role: key, head: battery head 500, at: [2.59, 2, 1.58]}`),
			set("", "", "", `{role: key, head: battery head 500, modifier: octa 90, at: [2.59, 2, 1.58]}`)},
		// A flag of 60 × 80 cm has its corners 0.5 m from its middle.
		{"day.hot-cloth", set("", "", "    panels: [{kind: flag, size: [0.6, 0.8], at: [4.49, 3, 2]}]",
			`{role: key, head: tungsten fresnel 650, at: [3, 3, 2]}`),
			set("", "", "    panels: [{kind: flag, size: [0.6, 0.8], at: [4.51, 3, 2]}]",
				`{role: key, head: tungsten fresnel 650, at: [3, 3, 2]}`)},
		{"day.hot-cloth", set("",
			"  objects: [{name: drape, kind: curtain, box: {at: [3.9, 2.5], size: [0.2, 1, 2.4]}}]", "",
			`{role: key, head: tungsten fresnel 650, at: [3, 3, 2]}`),
			set("",
				"  objects: [{name: drape, kind: curtain, box: {at: [4.1, 2.5], size: [0.2, 1, 2.4]}}]", "",
				`{role: key, head: tungsten fresnel 650, at: [3, 3, 2]}`)},
		// A shutter of 1/100 s holds a hundred pulses a second even, not a hundred and twenty: the
		// volts of the circuit tell which mains it is.
		{"day.flicker", set("",
			"  circuits: [{name: house, volts: 120 V, amps: 15 A, outlets: [[0, 3]]}]\n  practicals: "+
				"[{name: s, kind: neon tube, path: [[1, 0.1, 2], [2, 0.1, 2]], flux: 500 lm}]", "", ``),
			set("",
				"  circuits: [{name: house, volts: 230 V, amps: 15 A, outlets: [[0, 3]]}]\n  practicals: "+
					"[{name: s, kind: neon tube, path: [[1, 0.1, 2], [2, 0.1, 2]], flux: 500 lm}]", "", ``)},
	} {
		if got := found(t, c.off); !slices.Contains(got, c.code) {
			t.Errorf("%s is not found: %v", c.code, got)
		}
		if got := found(t, c.quiet); slices.Contains(got, c.code) {
			t.Errorf("%s is found where it is just not so: %v", c.code, got)
		}
	}
}

// TestBanding: exposure swing at full sine modulation, 100 Hz, 1/250 s is 2.853 stops, and the
// ripple left of 100 and 120 Hz by usual shutters: docs/science.md, flicker (sinc of frequency and
// time).
func TestBanding(t *testing.T) {
	if got := Banding(100, 1.0/250, 1); math.Abs(got-2.85292) > 1e-4 {
		t.Errorf("%.5f st, want 2.85292", got)
	}
	for _, s := range []float64{50, 100, 25} {
		if got := Banding(100, 1/s, 1); got > 1e-9 {
			t.Errorf("1/%g s on 50 Hz mains swings by %g st", s, got)
		}
	}
	ripple := func(hz, s float64) float64 { x := math.Exp2(Banding(hz, 1/s, 1)); return (x - 1) / (x + 1) }
	for _, c := range []struct{ hz, s, want float64 }{{100, 125, 0.233872}, {100, 250, 0.756827},
		{120, 125, 0.0415571}, {120, 250, 0.661837}} {
		if got := ripple(c.hz, c.s); math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%g Hz at 1/%g s: ripple %.6f, want %.6f", c.hz, c.s, got, c.want)
		}
	}
}

// TestMoments: check-values I3.1 and I3.2, a boom of 4 kg 1.5 m out on a stand of 6 kg whose worst
// edge is 0.25 m away: 14 kg in the middle balance it, 24 with a factor of 1.5.
func TestMoments(t *testing.T) {
	for _, c := range []struct{ margin, want float64 }{{1, 14}, {1.5, 24}} {
		if got := Ballast(4, 1.5, 0.25, 6, c.margin); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("margin %g: %g kg, want %g", c.margin, got, c.want)
		}
	}
	if got := Ballast(4, 0.2, 0.25, 6, 2); got > 0 {
		t.Errorf("a load inside the feet asks for %g kg", got)
	}
}

// TestSmear: distance is speed times time: 1 cm/s in 1/40 s is a quarter of a millimetre, a walker
// in 1/200 s goes 6 mm.
func TestSmear(t *testing.T) {
	for _, c := range []struct{ v, t, mm float64 }{{0.01, 1.0 / 40, 0.25}, {1.2, 1.0 / 200, 6}} {
		if got := 1000 * Smear(c.v, quantity.Seconds(c.t)); math.Abs(got-c.mm) > 1e-9 {
			t.Errorf("%g m/s in %g s: %g mm, want %g", c.v, c.t, got, c.mm)
		}
	}
}

// TestCircuits: check-values I1.1 to I1.5: 80 % of a breaker by volts and amperes is where the
// caution begins.
func TestCircuits(t *testing.T) {
	for _, c := range []struct{ volts, amps, part float64 }{{120, 15, 1440}, {120, 20, 1920}, {230, 10, 1840},
		{230, 13, 2392}, {230, 16, 2944}} {
		for _, over := range []float64{-1, 1} {
			ring := fmt.Sprintf("  circuits: [{name: ring, volts: %g V, amps: %g A, load: %g W, outlets: [[0, 3.9]]}]",
				c.volts, c.amps, c.part-1000+over)
			text := set("", ring, "", `{role: key, head: pack, at: [4, 3, 2], outlet: ring}`)
			if got := slices.Contains(found(t, text), "day.circuit"); got != (over > 0) {
				t.Errorf("%g V %g A with %g W: found %v", c.volts, c.amps, c.part+over, got)
			}
		}
	}
}
