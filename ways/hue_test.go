package ways

import (
	"strings"
	"testing"

	"halfstop/balance"
	"halfstop/meter"
	"halfstop/spectrum"
)

// TestColourInWords: near white a difference is said in correcting sheets, of a deep colour in
// depth and hue. The temperatures are by closed form: 1,000,000/(1,000,000/K + mired).
func TestColourInWords(t *testing.T) {
	uv := func(c spectrum.XY) [2]float64 {
		u, v := c.UVPrime()
		return [2]float64{u, v}
	}
	white := spectrum.White(5600).XY()
	kelvin := func(mired float64) spectrum.XY { return spectrum.White(1e6 / (1e6/5600 + mired)).XY() }
	red := spectrum.XY{X: 0.67, Y: 0.33}
	towards := func(c spectrum.XY, part float64) [2]float64 {
		a, b := uv(white), uv(c)
		return [2]float64{a[0] + part*(b[0]-a[0]), a[1] + part*(b[1]-a[1])}
	}
	for _, c := range []struct {
		name      string
		got, want [2]float64
		words     string
	}{
		{"nothing", uv(kelvin(3)), uv(kelvin(0)), "the same to the eye"},
		{"64 mired cool", uv(kelvin(0)), uv(kelvin(64)), "too cool by a quarter orange"},
		{"109 mired warm", uv(kelvin(109)), uv(kelvin(0)), "too warm by a half blue"},
		{"half as deep a red", towards(red, 0.5), uv(red), "paler, about half as deep"},
		{"white for red", towards(red, 0.1), uv(red), "nearly white in place of red"},
		{"an orange red", uv(spectrum.XY{X: 0.58, Y: 0.40}), uv(red), "too orange"},
	} {
		if words, _ := colourOff(c.got, c.want, white); !strings.Contains(words, c.words) {
			t.Errorf("%s: %q", c.name, words)
		}
	}
	u, v := uv(white)[0], uv(white)[1]
	if words, _ := colourOff([2]float64{u, v + 0.012}, [2]float64{u, v}, white); !strings.Contains(words, "too green") {
		t.Errorf("above the locus: %q", words)
	}
}

// TestNeonCannotBeHad: a neon's red that no head and gel of a shoot makes is said once, with the
// nearest that can be had, and moves no other light: the settings are those without the wish.
func TestNeonCannotBeHad(t *testing.T) {
	with := room(t, "corner-bar")
	wish := "      - {point: hair edge, colour: {xy: [0.69, 0.305]}}\n"
	with = strings.Replace(with, "    look:\n", "    look:\n"+wish, 1)
	if !strings.Contains(with, wish) {
		t.Fatal("no look")
	}
	b := balanced(t, jobOf(t, with), meter.Work{Seed: 1, Error: 0.03})
	said := b.Sentence()
	if n := strings.Count(said, "cannot be had with these lights and gels: the nearest is "); n != 1 {
		t.Errorf("said %d times: %s", n, said)
	}
	if strings.Contains(said, "Δ") {
		t.Error(said)
	}
	if b.Missed() == 0 {
		t.Error("a colour that cannot be had counts as had")
	}
	plain := balanced(t, jobOf(t, room(t, "corner-bar")), meter.Work{Seed: 1, Error: 0.03})
	for l, s := range b.Solution.Lights {
		if o := plain.Solution.Lights[l]; s.Level != o.Level || s.Off != o.Off {
			t.Errorf("%s: %v with the wish, %v without", s.Name, s.Level, o.Level)
		}
	}
	for i, o := range b.Solution.Targets {
		if b.Problem.Targets[i].Kind == balance.Colour && o.Loss > 0.5 {
			t.Errorf("it counts %.2f", o.Loss)
		}
	}
}
