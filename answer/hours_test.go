package answer

import (
	"math"
	"strings"
	"testing"
	"time"

	"halfstop/daylight"
	"halfstop/shoot"
)

// TestHours: in the demonstration (51.45° N 2.59° W, 14 March) the sun sets about 18:12 (almanac figure from memory); daylight falls all
// the afternoon, by what the scale says of the sun's places.
func TestHours(t *testing.T) {
	j := jobOf(t, demonstration(t))
	h := HoursOf(j.File, 0, daylight.Overcast, "test", time.LoadLocation)
	if h.At != 17*60+40 || h.From > 16*60+30 || h.To < 19*60+15 || len(h.Sun) != (h.To-h.From)/h.Step+1 || len(h.Stops) != len(h.Sun) {
		t.Fatalf("clock %d to %d, at %d, %d entries", h.From, h.To, h.At, len(h.Sun))
	}
	at := func(m int) int { return (m - h.From) / h.Step }
	if s := h.Stops[at(h.At)]; s != 0 {
		t.Errorf("at the file's own hour daylight is %+.3f stops off", s)
	}
	set := 0
	for i := range h.Sun {
		if h.Sun[i] > -0.833 {
			set = h.From + i*h.Step
		}
		if i > 0 && !(h.Stops[i] < h.Stops[i-1]) {
			t.Errorf("in the afternoon daylight rises at %s", ClockText(h.From+i*h.Step))
		}
	}
	if math.Abs(float64(set-(18*60+12))) > 4 { // steps of two minutes, and what memory rounds
		t.Errorf("sunset at %s", ClockText(set))
	}
	// The strip's stops are the scale's: 18:40 against 17:40.
	a, _ := daylight.Sun(time.Date(2026, 3, 14, 18, 40, 0, 0, time.UTC), 51.45, -2.59)
	b, _ := daylight.Sun(time.Date(2026, 3, 14, 17, 40, 0, 0, time.UTC), 51.45, -2.59)
	if got, want := h.Stops[at(18*60+40)], math.Log2(daylight.Overcast(a)/daylight.Overcast(b)); math.Abs(got-want) > 1e-9 {
		t.Errorf("18:40 has %+.3f stops, want %+.3f", got, want)
	}
	if len(h.Says) != 2 {
		t.Errorf("a file that says everything leaves %q", h.Says)
	}
}

// TestHoursAssumes: what a file leaves open is said; nothing is NaN, and summer time counts.
func TestHoursAssumes(t *testing.T) {
	h := HoursOf(&shoot.File{Setups: []shoot.Setup{{Name: "a"}}}, 0, daylight.Overcast, "test", time.LoadLocation)
	all := strings.Join(h.Says, "\n")
	for _, want := range []string{"no place", "no date", "no time", "Overcast scale"} {
		if !strings.Contains(all, want) {
			t.Errorf("it does not say %q: %s", want, all)
		}
	}
	for i := range h.Sun {
		if math.IsNaN(h.Sun[i]) || math.IsNaN(h.Stops[i]) || math.IsInf(h.Stops[i], 0) {
			t.Fatalf("entry %d: sun %g, %g stops", i, h.Sun[i], h.Stops[i])
		}
	}
	summer := &shoot.File{Setups: []shoot.Setup{{Name: "a", At: "12:00"}}}
	summer.Shoot.Date, summer.Shoot.Place = "2026-07-01", shoot.Place{Latitude: 51.45, Longitude: -2.59, Zone: "Europe/London"}
	with := HoursOf(summer, 0, daylight.Overcast, "test", time.LoadLocation)
	without := HoursOf(summer, 0, daylight.Overcast, "test", nil)
	if !(with.Sun[0] < without.Sun[0]) { // before noon by the sun an hour more
		t.Errorf("with summer time the sun stands at %.1f°, without at %.1f°", with.Sun[0], without.Sun[0])
	}
	if !strings.Contains(strings.Join(without.Says, "\n"), "zone is not known") {
		t.Errorf("an unknown zone is not said: %q", without.Says)
	}
}
