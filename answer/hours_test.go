package answer

import (
	"fmt"
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

// TestHoursThroughGlass: through panes that the sun does not fall on, what comes in goes with what
// falls on them, a sum over the sky's directions, whatever the glass.
func TestHoursThroughGlass(t *testing.T) {
	for _, glass := range []string{"none", "single clear", "double clear", "double dirty", "tinted", "frosted"} {
		text := strings.Replace(fmt.Sprintf(sunny, "clear"), `wall: 1, from: 1, width: 2, sill: 1, head: 2.5, glass: "0.8"`,
			`wall: 3, from: 1, width: 2, sill: 1, head: 2.5, glass: `+glass, 1) // it looks north
		f, doc, list := shoot.Parse("s", []byte(text), shoot.Options{})
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		m, list, err := (&Job{File: f, Doc: doc}).Meter(t.Context(), 0, meter.Work{Seed: 1, Samples: 16})
		if err != nil {
			t.Fatal(err, list.Text())
		}
		h := HoursOf(f, 0)
		h.Through(f, m.Stage.Glazings)
		pane := func(minute int) float64 {
			o, ok := m.Stage.Glazings[0].Outdoors(f, ClockText(minute), "")
			if !ok {
				t.Fatal("no weather")
			}
			sky, beam, ground := o.Pane()
			if beam != 0 {
				t.Fatalf("the sun falls on a window to the north at %s", ClockText(minute))
			}
			return sky + ground
		}
		for i, got := range h.Stops {
			minute := h.From + i*h.Step
			// Two grids of directions differ by 2 % at most.
			if want := math.Log2(pane(minute) / pane(h.Shown)); math.Abs(got-want) > 0.05 {
				t.Errorf("%s: at %s %+.2f st, by the pane %+.2f st", glass, ClockText(minute), got, want)
				break
			}
		}
	}
}
