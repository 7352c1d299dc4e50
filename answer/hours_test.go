package answer

import (
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
)

// TestHours: in the demonstration (51.45° N 2.59° W, 14 March) the sun sets about 18:12 (almanac
// figure from memory); daylight falls all the afternoon.
func TestHours(t *testing.T) {
	j := jobOf(t, demonstration(t))
	h := HoursOf(j.File, 0)
	m, _, err := j.Meter(t.Context(), 0, meter.Work{Seed: 1, Samples: 64})
	if err != nil {
		t.Fatal(err)
	}
	h.Through(j.File, m.Stage.Glazings)
	if h.At != 17*60+40 || h.Shown != h.At || h.From > 16*60+30 || h.To < 19*60+15 ||
		len(h.Sun) != (h.To-h.From)/h.Step+1 || len(h.Stops) != len(h.Sun) || len(h.Beam) != len(h.Sun) {
		t.Fatalf("clock %d to %d, at %d, %d entries", h.From, h.To, h.At, len(h.Sun))
	}
	if s := h.Stops[(h.At-h.From)/h.Step]; math.Abs(s) > 0.1 { // an entry lies within four minutes
		t.Errorf("at the file's own hour daylight is %+.3f stops off", s)
	}
	set := 0
	for i := range h.Sun {
		if h.Sun[i] > -0.267 { // apparent: the upper limb
			set = h.From + i*h.Step
		}
		if i > 0 && !(h.Stops[i] < h.Stops[i-1]) {
			t.Errorf("in the afternoon daylight rises at %s", ClockText(h.From+i*h.Step))
		}
	}
	if math.Abs(float64(set-(18*60+12))) > 6 { // steps of four minutes, and what memory rounds
		t.Errorf("sunset at %s", ClockText(set))
	}
}

// TestHoursStops: the strip's stops are those of the light that a trace of each
// hour finds in the room, a clear sky with the sun through the window and
// without, within a third of a stop: the strip weighs all that comes in alike.
func TestHoursStops(t *testing.T) {
	f, doc, list := shoot.Parse("s", []byte(strings.Replace(sunny, "%s", "clear", 1)), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	j := &Job{File: f, Doc: doc}
	read := func(clock string) (*Metered, float64) {
		m, _, err := j.At(0, clock).Meter(t.Context(), 0, meter.Work{Seed: 1, Samples: 16384, Error: 0.03})
		if err != nil {
			t.Fatal(err)
		}
		return m, m.Readings[1].Lux // deep in the room, out of the sun
	}
	m, noon := read("12:00")
	h := HoursOf(f, 0)
	h.Through(f, m.Stage.Glazings)
	for _, minute := range []int{11 * 60, 13 * 60} {
		_, lux := read(ClockText(minute))
		got, want := h.Stops[(minute-h.From)/h.Step], math.Log2(lux/noon)
		if math.Abs(got-want) > 1.0/3 {
			t.Errorf("%s: the strip says %+.2f st, a trace %+.2f", ClockText(minute), got, want)
		}
	}
}

// TestHoursAssumes: what a file leaves open is said.
func TestHoursAssumes(t *testing.T) {
	h := HoursOf(&shoot.File{Setups: []shoot.Setup{{Name: "a"}}}, 0)
	all := strings.Join(h.Says, "\n")
	for _, want := range []string{"no place", "no date", "no time"} {
		if !strings.Contains(all, want) {
			t.Errorf("it does not say %q: %s", want, all)
		}
	}
}
