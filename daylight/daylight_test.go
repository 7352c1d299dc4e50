package daylight_test

import (
	"math"
	"testing"
	"time"

	"halfstop/daylight"
)

// TestSun holds the short form against the worked example of the Solar Position Algorithm (Reda &
// Andreas, NREL/TP-560-34302, table A5.1: 2003-10-17 12:30:30 UTC-7, 39.742476° N 105.1786° W):
// unrefracted zenith 50.128°, azimuth 194.340°. Check D1.
func TestSun(t *testing.T) {
	at := time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600))
	alt, az := daylight.Sun(at, 39.742476, -105.1786)
	if math.Abs(90-alt-50.128) > 0.01 || math.Abs(az-194.340) > 0.01 { // 0.01°: what check D1.4 states for this form
		t.Errorf("zenith %.4f and azimuth %.4f, want 50.128 and 194.340", 90-alt, az)
	}
}

// TestRiseAndSet: the same example's sunrise and sunset of the day 2003-10-17 in universal time are
// published as 06:12:43 and 17:20:19 at UTC-7 (the latter falls on the evening of the 16th there).
// By definition the sun's centre then stands at -0.833° (refraction 34', half its width 16').
func TestRiseAndSet(t *testing.T) {
	zone := time.FixedZone("", -7*3600)
	for _, at := range []time.Time{time.Date(2003, 10, 17, 6, 12, 43, 0, zone), time.Date(2003, 10, 16, 17, 20, 19, 0,
		zone)} {
		alt, _ := daylight.Sun(at, 39.742476, -105.1786)
		// 0.01° of the form, and five minutes a degree: what is rounded to a second is under 0.01°
		if math.Abs(alt+0.833) > 0.02 {
			t.Errorf("%v: the sun stands at %.3f°, want -0.833", at, alt)
		}
	}
}

func overcast(altitude float64) float64 {
	w, _ := daylight.Condition("overcast")
	return w.Level(altitude, 80)
}

// TestOvercast holds the scale to the figures of check D7 (klx) over the horizon and to common
// knowledge below: at the end of civil twilight, 6° under the horizon, a clear sky gives 3.4 lx (US
// Naval Observatory), here scaled by the join at the horizon, 300 lx for the clear sky's 10^2.88.
func TestOvercast(t *testing.T) {
	for alt, want := range map[float64]float64{5: 2130.27, 10: 3946.61, 20: 7482.42, 30: 10800, 45: 15149.2} {
		if got := overcast(alt); math.Abs(got-want) > 0.1 {
			t.Errorf("at %g°: %.2f lx, want %.2f", alt, got, want)
		}
	}
	// 3.4 is rounded
	if got, want := overcast(-6), 3.4*300/math.Pow(10, 2.88); math.Abs(math.Log2(got/want)) > 0.05 {
		t.Errorf("at the end of civil twilight: %.3f lx, want %.3f", got, want)
	}
}

// TestOvercastFalls: the scale never rises as the sun sinks, and its pieces join within one per
// cent.
func TestOvercastFalls(t *testing.T) {
	last := math.Inf(1)
	for a := 90.0; a >= -30; a -= 0.01 {
		v := overcast(a)
		if !(v > 0) || v > last*1.007 { // the pieces of the polynomial meet within 1 %
			t.Fatalf("at %.2f°: %g lx after %g", a, v, last)
		}
		if last/v > 1.02 && a < 89 {
			t.Fatalf("at %.2f° it jumps from %g to %g", a, last, v)
		}
		last = v
	}
	if v := overcast(math.NaN()); v != 0 {
		t.Errorf("no altitude gives %g lx", v)
	}
}
