package daylight_test

import (
	"encoding/csv"
	"math"
	"strings"
	"testing"
	"time"

	"halfstop/daylight"
	"halfstop/geom"
	"halfstop/spectrum"
)

const rad = math.Pi / 180

// table is CIE S 011 / ISO 15469:2004, table 1, as two public codes that cite Darula & Kittler
// (eSim 2002) have it: a to e.
const table = `1,4.0,-0.70,0,-1.0,0.00
2,4.0,-0.70,2,-1.5,0.15
3,1.1,-0.80,0,-1.0,0.00
4,1.1,-0.80,2,-1.5,0.15
5,0.0,-1.00,0,-1.0,0.00
6,0.0,-1.00,2,-1.5,0.15
7,0.0,-1.00,5,-2.5,0.30
8,0.0,-1.00,10,-3.0,0.45
9,-1.0,-0.55,2,-1.5,0.15
10,-1.0,-0.55,5,-2.5,0.30
11,-1.0,-0.55,10,-3.0,0.45
12,-1.0,-0.32,10,-3.0,0.45
13,-1.0,-0.32,16,-3.0,0.30
14,-1.0,-0.15,16,-3.0,0.30
15,-1.0,-0.15,24,-2.8,0.15`

// TestGeneralSkies holds all fifteen skies to the standard's formula (check D3: at 30° altitude,
// 90° of azimuth from a sun at 45°) and to an integral of it by another rule over another grid
// (check D4), both worked out apart from this code.
func TestGeneralSkies(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil || len(rows) != 15 {
		t.Fatal(err)
	}
	relative := []float64{0.665158, 0.511837, 0.817853, 0.629335, 1, 0.769497, 0.674219, 0.591479, 1.21346, 1.06321,
		0.932733, 1.02098, 0.902334, 0.972674, 0.830205}
	level := []float64{2.44954, 2.36352, 2.76999, 2.64673, 3.14159, 2.97746, 3.14309, 3.33875, 4.0587, 4.25342,
		4.48536, 4.84852, 4.98267, 5.37532, 5.27112}
	sun := daylight.Direction(45, 0, 0)
	for i := range 15 {
		s, ok := daylight.General(i + 1)
		if !ok {
			t.Fatal(i)
		}
		if got := s.Toward(daylight.Direction(30, 90, 0), sun); math.Abs(got-relative[i]) > 1e-4 {
			t.Errorf("type %d: %.6f of the zenith, want %.6f", i+1, got, relative[i])
		}
		// the two rules differ by 0.001 of it
		if got := s.Illuminance(geom.V(0, 0, 1), sun, nil); math.Abs(got-level[i]) > 0.004 {
			t.Errorf("type %d: %.5f sr, want %.5f", i+1, got, level[i])
		}
	}
	clear, _ := daylight.General(12)
	if got := clear.Toward(daylight.Direction(55, 0, 0), sun); math.Abs(got-4.12173) > 1e-4 { // D3.a
		t.Errorf("10° from the sun: %.5f", got)
	}
	if _, ok := daylight.General(16); ok {
		t.Error("a sixteenth sky")
	}
}

// TestUniformFacing: of an even sky a plane that leans by b gets (1 + cos b)/2 of what level ground
// gets, and of even ground the rest.
func TestUniformFacing(t *testing.T) {
	even, _ := daylight.General(5)
	for _, b := range []float64{0, 30, 90, 120} {
		n := geom.V(math.Sin(b*rad), 0, math.Cos(b*rad))
		if got, want := even.Illuminance(n, geom.V(0, 0, 1),
			nil), math.Pi*(1+math.Cos(b*rad))/2; math.Abs(got-want) > 0.003*math.Pi {
			t.Errorf("leaning by %g°: %.5f, want %.5f", b, got, want)
		}
	}
}

// TestRefraction: Reda & Andreas, NREL/TP-560-34302, table A5.1: topocentric zenith 50.11162° at
// 820 mbar and 11 °C (D1.1); 0.01° is what is asked of the sun here.
func TestRefraction(t *testing.T) {
	at := time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600))
	alt, _ := daylight.Sun(at, 39.742476, -105.1786)
	if z := 90 - daylight.Apparent(alt, 820, 11); math.Abs(z-50.11162) > 0.01 {
		t.Errorf("zenith %.5f, want 50.11162", z)
	}
	// At the horizon: 34′ by common tables of sunrise, at 1010 mbar and 10 °C.
	if h := daylight.Apparent(-34.0/60, 1010, 10); math.Abs(h) > 0.05 {
		t.Errorf("the sun 34′ under the horizon is seen at %.3f°", h)
	}
}

// TestAirMass: D5.
func TestAirMass(t *testing.T) {
	for h, want := range map[float64]float64{90: 0.999712, 60: 1.15399, 30: 1.99429, 10: 5.58604, 5: 10.3058,
		0: 37.9196} {
		if got := daylight.AirMass(h); math.Abs(got-want) > 1e-4*want {
			t.Errorf("at %g°: %.5f, want %.5f", h, got, want)
		}
	}
}

// directIES is the direct normal illuminance of a clear day by the IES 1984: Ext exp(-0.21/sin h),
// lx.
func directIES(altitude float64, day int) float64 {
	return daylight.Extraterrestrial(day) * math.Exp(-0.21/math.Sin(altitude*rad))
}

// TestDirect: D6 and D7 (day 182 has 123.169 klx outside the air; the direct sun of D7 is for 127.5
// klx), and that the turbid form agrees with the IES's on a clear day: within 7 % from 10° to 75°.
func TestDirect(t *testing.T) {
	for day, want := range map[int]float64{2: 131835, 182: 123169} {
		if got := daylight.Extraterrestrial(day); math.Abs(got-want) > 1 {
			t.Errorf("day %d: %.0f lx", day, got)
		}
	}
	clear, _ := daylight.Condition("clear")
	for h, want := range map[float64]float64{5: 11457.4, 10: 38045.2, 30: 83773.5, 45: 94739.5, 75: 102587} {
		day := 93 // near the equinox: within 0.1 % of 127.5 klx
		if got := directIES(h, day) / daylight.Extraterrestrial(day) * 127500; math.Abs(got-want) > 1e-4*want {
			t.Errorf("IES at %g°: %.1f lx, want %.1f", h, got, want)
		}
		if r := clear.Sun(h, day) / directIES(h, day); h >= 10 && math.Abs(r-1) > 0.07 {
			t.Errorf("at %g° the turbid form gives %.3f of the IES's", h, r)
		}
	}
}

// TestLevels: D7.b to d, klx, and that no level rises as the sun sinks, to -12° and on.
func TestLevels(t *testing.T) {
	for _, c := range []struct {
		name    string
		h, want float64
	}{{"clear", 5, 5375.93}, {"clear", 30, 11760.2}, {"overcast", 10, 3946.61}, {"overcast", 45, 15149.2}, {"broken",
		20, 15690.9}, {"broken", 60, 39271.1}} {
		w, _ := daylight.Condition(c.name)
		if got := w.Level(c.h, 93); math.Abs(got-c.want) > 1 {
			t.Errorf("%s at %g°: %.1f lx, want %.1f", c.name, c.h, got, c.want)
		}
	}
	for _, name := range daylight.Conditions() {
		w, _ := daylight.Condition(name)
		last := math.Inf(1)
		for h := 60.0; h > -18; h -= 0.05 {
			total := w.Level(h, 93) + w.Sun(h, 93)*max(0, math.Sin(h*rad))
			if !(total > 0) || total > last*1.007 { // the pieces of the twilight polynomial meet within 1 %
				t.Fatalf("%s at %.2f°: %g lx after %g", name, h, total, last)
			}
			last = total
		}
	}
}

// TestSunColour: common practice, no source: direct noon sun 5000 to 5500 K, at 10° 3500 to 4000 K,
// at the horizon 2000 to 2500 K; the ranges here are a little wider, since the air of those figures
// is not stated.
func TestSunColour(t *testing.T) {
	for _, c := range []struct{ h, lo, hi float64 }{{60, 4900, 5700}, {30, 4500, 5300}, {10, 3000, 4100},
		{1, 1500, 2600}} {
		k, _, ok := spectrum.CCTOhno2013(daylight.SunLight(c.h, 0).XY())
		if !ok || k < c.lo || k > c.hi {
			t.Errorf("the sun at %g° has %.0f K, want %.0f to %.0f", c.h, k, c.lo, c.hi)
		}
	}
	clear, _ := daylight.Condition("clear")
	if zenith, near := clear.SkyKelvin(2000, 40), clear.SkyKelvin(15000, 40); zenith < 10000 || near > 8000 {
		t.Errorf("blue zenith %.0f K, by the sun %.0f K", zenith, near)
	}
	if dusk := clear.SkyKelvin(10, -5); dusk < 9000 || dusk > 20000 {
		t.Errorf("blue hour %.0f K", dusk)
	}
}

// TestDay: level ground over a clear equinox day at 50° north, by the minute, against an
// integration of the published formula written out again: direct Ext exp(-0.21/sin h) sin h + 0.8 +
// 15.5 √sin h klx with the sun's altitude from spherical trigonometry alone, sin h = cos φ cos H on
// the day of the equinox. 4 %: what the turbid form differs by over the day.
func TestDay(t *testing.T) {
	clear, _ := daylight.Condition("clear")
	got, want := 0.0, 0.0
	for m := range 24 * 60 {
		at := time.Date(2026, 3, 20, 0, m, 0, 0, time.UTC)
		h, _ := daylight.Sun(at, 50, 0)
		if h > 0 {
			got += clear.Level(h, 79) + clear.Sun(h, 79)*math.Sin(h*rad)
		}
		if s := math.Cos(50*rad) * math.Cos(float64(m-720)/4*rad); s > 0 {
			want += 127500*(1+0.034*math.Cos(2*math.Pi*77/365))*math.Exp(-0.21/s)*s + 800 + 15500*math.Sqrt(s)
		}
	}
	if math.Abs(got/want-1) > 0.04 {
		t.Errorf("%.0f lx·min against %.0f", got, want)
	}
}

// TestDirectionNorth: a sun in the south at noon lies towards -y where north is +y, and towards +x
// where north is turned a quarter anticlockwise (to -x).
func TestDirectionNorth(t *testing.T) {
	if d := daylight.Direction(0, 180, 0); d.Sub(geom.V(0, -1, 0)).Len() > 1e-12 {
		t.Error(d)
	}
	if d := daylight.Direction(0, 180, 90); d.Sub(geom.V(1, 0, 0)).Len() > 1e-12 {
		t.Error(d)
	}
}
