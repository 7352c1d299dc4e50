package answer

import (
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
)

// beach is an opening under a sky of dusk, of a stated level and colour, and no hour.
const beach = `halfstop: 1
setups:
  - name: Beach
    openings:
      - {name: sky, at: [0, 2, 9], facing: down, size: [30, 30],
         outside: {sky: uniform, luminance: 150 cd/m2, colour: 9500 K}}
      - {name: more, at: [0, 16, 4.5], facing: y-, size: [30, 9],
         outside: {sky: uniform, luminance: 150 cd/m2, colour: 9500 K}}
    points: [{name: mark, at: [0, 0, 1.5], facing: up}]
`

// TestDuskWithoutItsHour: a level that no noon has is said to be of another hour, and of about
// which; a level that noon has is not; what is assumed is said once; the colour that the file
// states is that of all hours, as in the meter.
func TestDuskWithoutItsHour(t *testing.T) {
	sun := func(text string) (*SunDay, diag.List) {
		f, doc, list := shoot.Parse("s", []byte(text), shoot.Options{})
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		d, list, err := (&Job{File: f, Doc: doc}).Sun(t.Context(), 0,
			SunWork{Meter: meter.Work{Seed: 1, Samples: 256}, From: 11 * 60, To: 13 * 60, Step: 60})
		if err != nil {
			t.Fatal(err)
		}
		return d, list
	}
	d, list := sun(beach)
	under := func(s string) bool { return strings.Contains(s, "st under what an overcast") }
	off := func(d *SunDay) int { return slices.IndexFunc(d.Assumed, under) }
	// An overcast sky's 0.3 + 21 sin h klx (IES 1984) at the equinox at 50° north come down to
	// 150 cd/m² · 7π/9 lx about when the sun goes down, at 18:00.
	if k := off(d); k < 0 || !strings.Contains(d.Assumed[k], "at about 18:") {
		t.Errorf("assumed: %q", d.Assumed)
	}
	for _, m := range list {
		if m.Code == "stage.hour" {
			t.Errorf("said twice: %s", m.Text)
		}
	}
	for _, k := range append(slices.Clone(d.Points[0].Kelvin), d.Times[0].Windows[0].Kelvin) {
		if k < 9300 || k > 9700 {
			t.Errorf("%.0f K under a sky of 9500 K", k)
		}
	}
	if d, _ = sun(strings.ReplaceAll(beach, "150 cd/m2", "5000 cd/m2")); off(d) >= 0 {
		t.Errorf("a noon's level is doubted: %q", d.Assumed)
	}
}
