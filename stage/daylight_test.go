package stage

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/shoot"
)

// south is a room of 4 × 5 × 3 m at 50° north with a window in its southern wall, at noon of the
// equinox; +y is north.
const south = `halfstop: 1
shoot: {date: 2026-03-20, place: {latitude: 50, longitude: 0.0001, zone: UTC}}
room:
  size: [4, 5, 3]
  outside: {%s}
  windows: [{name: front, wall: 1, from: 1, width: 2, sill: 1, head: 2.5%s}]
setups:
  - name: s
    time: "%s"
`

func outdoors(t *testing.T, outside, hour string) Outdoors {
	t.Helper()
	f, _, list := shoot.Parse("s", fmt.Appendf(nil, south, outside, "", hour), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	o, ok := OutdoorsOf(f, &f.Room.Outside, hour, geom.V(2, 0, 1.75), geom.V(0, 1, 0), 0.2)
	if !ok {
		t.Fatal("no sky")
	}
	return o
}

// TestMoment: at noon of the equinox at 50° north the sun stands 40° high in the south (90° less
// the latitude; the equinox of 2026 is within hours, the clock within 7.5 min of the sun,
// refraction 0.02°).
func TestMoment(t *testing.T) {
	m := outdoors(t, "sky: clear", "12:00").Moment
	if math.Abs(m.Altitude-40) > 0.15 || math.Abs(m.Azimuth-180) > 3 || m.Sun.Y > -0.7 {
		t.Errorf("%.2f° high at %.2f°, %v", m.Altitude, m.Azimuth, m.Sun)
	}
	f, _, _ := shoot.Parse("s", []byte("halfstop: 1\nsetups: [{name: a}]\n"), shoot.Options{})
	if m := MomentOf(f, ""); len(m.Assumed) != 3 {
		t.Errorf("nothing is said, and %q is assumed", m.Assumed)
	}
}

// TestMeasured: a level measured at 16:00 is that level at 16:00, and the ratio to 17:30 is the
// weather's own.
func TestMeasured(t *testing.T) {
	total := func(o Outdoors) float64 { return o.Level + o.Direct*max(0, o.Sun.Z) }
	at := outdoors(t, `sky: clear, illuminance: 20000 lx, measured: "16:00"`, "16:00")
	later := outdoors(t, `sky: clear, illuminance: 20000 lx, measured: "16:00"`, "17:30")
	free, freeLater := outdoors(t, "sky: clear", "16:00"), outdoors(t, "sky: clear", "17:30")
	if math.Abs(total(at)-20000) > 1e-6 {
		t.Errorf("at 16:00 %.2f lx", total(at))
	}
	if got, want := total(later)/total(at), total(freeLater)/total(free); math.Abs(got-want) > 1e-9 || got > 0.7 {
		t.Errorf("17:30 against 16:00: %.4f, want %.4f", got, want)
	}
}

// TestTrueSkyFollowed: a true sky that none of ours is (the general sky of type 13 or 11 with 30 %
// more or less light, air of turbidity 2 to 3.5) is read once at the pane at 16:00; what the clear
// sky says of 17:30 from that is within 0.3 stops.
func TestTrueSkyFollowed(t *testing.T) {
	pane := func(o Outdoors) float64 { a, b, c := o.Pane(); return a + b + c }
	for _, c := range []struct {
		sky       string
		turbidity float64
		k         float64
	}{{"cie 13", 3, 1.3}, {"cie 11", 2, 0.7}, {"cie 12", 3.5, 1.1}, {"cie 14", 2.5, 0.8}} {
		truth := fmt.Sprintf("sky: %s, turbidity: %g", c.sky, c.turbidity)
		first, later := c.k*pane(outdoors(t, truth, "16:00")), c.k*pane(outdoors(t, truth, "17:30"))
		model, modelLater := pane(outdoors(t, "sky: clear", "16:00")), pane(outdoors(t, "sky: clear", "17:30"))
		if d := math.Log2(modelLater*first/model) - math.Log2(later); math.Abs(d) > 0.3 {
			t.Errorf("%s: %+.2f st off at 17:30", truth, d)
		}
	}
}

// TestThingsOutside: a facade 10 m off and 10 m over the window's middle hides the sun at 40° (it
// reaches up to 45°), and what is seen under 45° is its own luminance; 4 m high it does not. An
// awning 1 m out and 0.5 m over the middle hides what is over 26.6°.
func TestThingsOutside(t *testing.T) {
	bare := outdoors(t, "sky: clear", "12:00")
	if bare.Beam() <= 0 {
		t.Fatal("no sun at noon in the south")
	}
	for _, c := range []struct {
		thing string
		sun   bool
	}{{"{kind: facade, distance: 10 m, height: 11.75 m}", false}, {"{kind: facade, distance: 10 m, height: 5.75 m}",
		true},
		{"{kind: awning, distance: 1 m, height: 2.25 m}", false}, {"{kind: awning, distance: 1 m, height: 2.85 m}",
			true},
		{"{kind: facade, distance: 10 m, height: 11.75 m, width: 0.1 m}", true}} {
		// the sun a little to the west, past a narrow post
		o := outdoors(t, "sky: clear, stands: ["+c.thing+"]", "12:15")
		if (o.Beam() > 0) != c.sun {
			t.Errorf("%s: the sun gives %.0f lx", c.thing, o.Beam())
		}
	}
	o := outdoors(t, "sky: clear, stands: [{kind: facade, distance: 10 m, height: 11.75 m, reflectance: 0.5}]", "12:00")
	level := geom.V(0, -1, 0)
	sky, beam, ground := o.Weather.Facing(geom.V(0, 1, 0), o.Sun, o.Level, o.Direct, 0.2, nil)
	if got, want := o.ThingAt(level), 0.5*(sky+beam+ground)/math.Pi; math.Abs(got-want) > 1e-6*want ||
		o.SkyAt(geom.V(0, -0.8, 0.6)) != 0 || o.SkyAt(geom.V(0, -0.6, 0.8)) == 0 {
		t.Errorf("the facade has %.1f cd/m², want %.1f", got, want)
	}
	if trees := outdoors(t, "sky: clear, stands: [{kind: trees, distance: 10 m, height: 11.75 m}]",
		"12:00"); math.Abs(trees.Beam()/bare.Beam()-0.3) > 1e-9 {
		t.Errorf("trees let %.2f of the sun through", trees.Beam()/bare.Beam())
	}
}

// TestSunLayers: the sun through a window is a light of its own with its colour; behind a blackout
// nothing comes; a net keeps 0.4 of the beam.
func TestSunLayers(t *testing.T) {
	names := func(outside, window, hour string) (out []string, list diag.List) {
		f, doc, list := shoot.Parse("s", fmt.Appendf(nil, south, outside, window, hour), shoot.Options{})
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		s, more := Build(f, doc, 0, Options{})
		if s == nil {
			t.Fatal(more.Text())
		}
		for _, l := range s.Layers {
			out = append(out, l.Name)
		}
		return out, more
	}
	for _, c := range []struct{ outside, window, hour, want string }{
		{"sky: clear", "", "12:00", "front,front sun"}, {"sky: clear", "", "19:00", "front"}, {"sky: overcast", "",
			"12:00", "front"},
		{"sky: clear, no sun: true", "", "12:00", "front"}, {"sky: clear", ", cover: net", "12:00", "front,front sun"},
		{"sky: cie 12", ", glass: tinted", "12:00", "front,front sun"}, {"sky: clear", ", gel: [full blue]", "12:00",
			"front,front sun"}} {
		if got, list := names(c.outside, c.window, c.hour); strings.Join(got, ",") != c.want {
			t.Errorf("%s%s at %s: %q, want %s\n%s", c.outside, c.window, c.hour, got, c.want, list.Text())
		}
	}
}

// TestZoneByHours: a zone by hours from UTC is that of its name where no summer time is on.
func TestZoneByHours(t *testing.T) {
	at := func(zone string) Moment {
		f := &shoot.File{}
		f.Shoot.Date = "2026-01-15"
		f.Shoot.Place.Latitude, f.Shoot.Place.Longitude, f.Shoot.Place.Zone = 59.9, 10.7, zone
		return MomentOf(f, "13:00")
	}
	name, hours, minus := at("Europe/Oslo"), at("+01:00"), at("-02:30")
	if len(hours.Assumed) > 0 || hours.Altitude != name.Altitude || minus.Azimuth <= name.Azimuth {
		t.Errorf("%+v, by hours %+v, west %+v", name, hours, minus)
	}
	if len(at("Mars").Assumed) == 0 {
		t.Error("an unknown zone is taken in silence")
	}
}
