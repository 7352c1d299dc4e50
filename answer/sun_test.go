package answer

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/stage"
)

// sunny is a room of 4 × 6 × 3 m at 50° north whose window looks south; +y is north. Two points lie
// on the floor.
const sunny = `halfstop: 1
shoot: {date: 2026-03-20, place: {latitude: 50, longitude: 0.0001, zone: UTC}}
room:
  size: [4, 6, 3]
  surfaces: {all: white emulsion}
  outside: {sky: %s}
  windows: [{name: front, wall: 1, from: 1, width: 2, sill: 1, head: 2.5, glass: "0.8"}]
setups:
  - name: s
    time: "12:00"
    look: [{point: near, stops: +0.0}]
    points: [{name: near, at: [2, 2, 0], facing: up}, {name: far, at: [2, 5.5, 0], facing: up}]
`

func sunOf1(t *testing.T, sky string, w SunWork) *SunDay { return sunIn(t, sunny, sky, w) }

func sunIn(t *testing.T, room, sky string, w SunWork) *SunDay {
	t.Helper()
	f, doc, list := shoot.Parse("s", fmt.Appendf(nil, room, sky), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	w.Meter = meter.Work{Seed: 1, Samples: 16384, Error: 0.02}
	d, list, err := (&Job{File: f, Doc: doc}).Sun(context.Background(), 0, w)
	if err != nil || d == nil {
		t.Fatal(err, list.Text())
	}
	return d
}

// TestSunPatch: where the sun lies on the floor, by trigonometry: a point (x, y) is in it where the
// line towards the sun, at altitude h and azimuth a, meets the wall y = 0 between the window's
// edges: x + y tan(a - 180°) within 1 to 3 m, y tan h / cos(a - 180°) within 1 to 2.5 m.
func TestSunPatch(t *testing.T) {
	d := sunOf1(t, "clear", SunWork{From: 8 * 60, To: 16 * 60, Step: 15})
	lit := 0
	for i, tm := range d.Times {
		h, a := tm.Altitude*math.Pi/180, (tm.Azimuth-180)*math.Pi/180
		for n, at := range [][2]float64{{2, 2}, {2, 5.5}} {
			// Towards a sun in the west (a > 0) the line runs to -x.
			x, z := at[0]-at[1]*math.Tan(a), at[1]*math.Tan(h)/math.Cos(a)
			want := x > 1 && x < 3 && z > 1 && z < 2.5
			if d.Points[n].Direct[i] != want && math.Min(math.Abs(x-1), math.Abs(x-3)) > 0.02 &&
				math.Min(math.Abs(z-1), math.Abs(z-2.5)) > 0.02 {
				t.Errorf("%s at %s: in the sun %v, want %v (it comes by x %.2f, z %.2f)", d.Points[n].Name,
					ClockText(tm.Minute), !want, want, x, z)
			}
			if want {
				lit++
			}
		}
		for _, p := range tm.Patches {
			// The patch's far edge is that of the window's head: 2.5 m cos a / tan h from the wall.
			far := 0.0
			for _, c := range p.Floor {
				far = math.Max(far, c[1])
			}
			if want := 2.5 * math.Cos(a) / math.Tan(h); math.Abs(far-want) > 1e-6*want {
				t.Errorf("at %s the patch reaches %.4f m, want %.4f", ClockText(tm.Minute), far, want)
			}
		}
	}
	if lit == 0 {
		t.Fatal("the sun never lay on a point: nothing was tested")
	}
}

// TestSunAgreesWithMeter: what is said of an hour is what the meter says of a setup at that hour,
// traced anew: within 0.2 stops, less than 0.15 were seen (the sky's light at a point goes with the
// pane as a whole here, and its distribution turns with the sun). In a white room and in one whose
// floor, on which the sun lies, is dark.
func TestSunAgreesWithMeter(t *testing.T) {
	for _, shell := range []string{"all: white emulsion", "walls: 0.6, floor: 0.2, ceiling: 0.75"} {
		t.Run(shell, func(t *testing.T) {
			sunAgrees(t, strings.Replace(sunny, "all: white emulsion", shell, 1))
		})
	}
}

func sunAgrees(t *testing.T, room string) {
	d := sunIn(t, room, "clear", SunWork{From: 13 * 60, To: 17 * 60, Step: 120})
	f, doc, _ := shoot.Parse("s", fmt.Appendf(nil, room, "clear"), shoot.Options{})
	for i, tm := range d.Times {
		job := (&Job{File: f, Doc: doc}).At(0, ClockText(tm.Minute))
		m, _, err := job.Meter(context.Background(), 0, meter.Work{Seed: 2, Samples: 16384, Error: 0.02})
		if err != nil {
			t.Fatal(err)
		}
		for n, p := range d.Points {
			if off := math.Log2(p.Lux[i] / m.Readings[n].Lux); math.Abs(off) > 0.2 {
				t.Errorf("%s at %s: %.0f lx, metered %.0f (%+.2f st)", p.Name, ClockText(tm.Minute), p.Lux[i],
					m.Readings[n].Lux, off)
			}
		}
	}
}

// TestPin: one reading fixes the scale at its hour exactly and is carried to the others.
func TestPin(t *testing.T) {
	free := sunOf1(t, "overcast", SunWork{From: 16 * 60, To: 18 * 60, Step: 30})
	pinned := sunOf1(t, "overcast", SunWork{From: 16 * 60, To: 18 * 60, Step: 30,
		Pin: &SunPin{Point: "far", Minute: 16 * 60, Lux: 2 * free.Points[1].Lux[0]}})
	for i := range free.Times {
		for n := range free.Points {
			if r := pinned.Points[n].Lux[i] / free.Points[n].Lux[i]; math.Abs(r-2) > 1e-6 {
				t.Errorf("%s at %s: %.4f of the light without the reading, want 2", free.Points[n].Name,
					ClockText(free.Times[i].Minute), r)
			}
		}
	}
	dusk := strings.Join(free.Says, "\n")
	if !strings.Contains(dusk, "loses 1 stop every") || !strings.Contains(dusk, "The look holds until") ||
		!strings.Contains(dusk, "Meter again at") {
		t.Errorf("of a dusk under cloud is said:\n%s", dusk)
	}
}

// TestAtHolds: a level that the file states stays that of its hour when the hour is changed: at
// 17:00 there is less light than the 9000 lx of noon, as the sun's height under cloud has it (0.3 +
// 21 sin h, IES 1984), and nothing of the file is another.
func TestAtHolds(t *testing.T) {
	f, doc, _ := shoot.Parse("s", fmt.Appendf(nil, sunny, "overcast, illuminance: 9000 lx"), shoot.Options{})
	j := &Job{File: f, Doc: doc}
	if later := j.At(0, "17:00").File; later.Setups[0].Clock() != "17:00" || later.Setups[0].At != "12:00" ||
		f.Setups[0].Clock() != "12:00" {
		t.Errorf("%+v", later.Setups[0])
	}
	lux := func(j *Job) float64 {
		m, list, err := j.Meter(context.Background(), 0, meter.Work{Seed: 1, Samples: 4096})
		if err != nil || m == nil {
			t.Fatal(err, list.Text())
		}
		return m.Readings[0].Lux
	}
	level := func(clock string) float64 {
		return 0.3 + 21*math.Sin(stage.MomentOf(f, clock).Altitude*math.Pi/180)
	}
	got, want := math.Log2(lux(j.At(0, "17:00"))/lux(j)), math.Log2(level("17:00")/level("12:00"))
	if want > -0.5 || math.Abs(got-want) > 0.1 {
		t.Errorf("from noon to 17:00 the light goes by %+.2f st, the sky by %+.2f", got, want)
	}
}

// TestDuskInTwoPaces: a point that falls by a stop in 25 minutes and then by one in 5, four
// times, is told as it falls and not by the mean of both, which at first is wrong by a stop.
func TestDuskInTwoPaces(t *testing.T) {
	d := &SunDay{At: 960, Points: []SunPoint{{Name: "bench"}}}
	v := 0.0
	for i := range 13 {
		d.Times = append(d.Times, SunTime{Minute: 1060 + 5*i})
		d.Points[0].Stops, d.Points[0].Direct = append(d.Points[0].Stops, v), append(d.Points[0].Direct, false)
		if v -= 1; i < 8 {
			v += 0.8
		}
	}
	d.sentences(&shoot.File{Setups: make([]shoot.Setup, 1)}, 0)
	want := "Bench loses 1 stop every 25 minutes after 17:40, every 5 minutes after 18:20."
	if len(d.Says) == 0 || d.Says[0] != want {
		t.Errorf("%q, want %q", d.Says, want)
	}
}
