package server

import (
	"math"
	"net/url"
	"strconv"
	"testing"
)

// The chart holds the CIE's own figures, and a colour outside a head's
// primaries is said to be so, with the nearest on their edge.
func TestChart(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	v := ask[ChartView](c, 200, "GET", "/api/chart?head="+url.QueryEscape("rgb panel 300"), nil)
	// CIE 1931 2° observer at 520 nm: x 0.0743, y 0.8338 (CIE 018.2; from
	// memory), so u' 0.0231, v' 0.5837 by u' = 4x/(−2x+12y+3), v' = 9y/(…).
	x, y := 0.0743, 0.8338
	den := -2*x + 12*y + 3
	for _, p := range v.Locus {
		if p.Value == 520 && (math.Abs(p.U-4*x/den) > 2e-4 || math.Abs(p.V-9*y/den) > 2e-4) {
			t.Errorf("520 nm lies at %.4f, %.4f; want %.4f, %.4f", p.U, p.V, 4*x/den, 9*y/den)
		}
	}
	if v.Kind != "mixes" || len(v.Gamut) < 3 {
		t.Fatalf("%s with %d primaries", v.Kind, len(v.Gamut))
	}
	var cu, cv float64
	for _, p := range v.Gamut {
		cu, cv = cu+p.U/float64(len(v.Gamut)), cv+p.V/float64(len(v.Gamut))
	}
	at := func(u, v float64) ColourView {
		return ask[ColourView](c, 200, "GET",
			"/api/colour?head="+url.QueryEscape("rgb panel 300")+"&u="+strconv.FormatFloat(u, 'f', 6,
				64)+"&v="+strconv.FormatFloat(v, 'f', 6, 64), nil)
	}
	if in := at(cu, cv); !in.InGamut || in.Distance > 1e-4 || in.Text == "" {
		t.Errorf("the middle of the primaries: %+v", in)
	}
	// Just outside a primary, seen from the middle.
	p := v.Gamut[0]
	out := at(p.U+(p.U-cu)*0.05, p.V+(p.V-cv)*0.05)
	if out.InGamut || out.Distance < 1e-3 || math.Hypot(out.NearU-p.U, out.NearV-p.V) > 0.05 {
		t.Errorf("outside: %+v", out)
	}
	if d := math.Hypot(out.NearU-out.U, out.NearV-out.V); math.Abs(d-out.Distance) > 1e-9 {
		t.Errorf("said to be %g off, is %g", out.Distance, d)
	}
	k := ask[ColourView](c, 200, "GET", "/api/colour?kelvin=5600&duv=0.004", nil)
	if math.Abs(k.Kelvin-5600) > 5 || math.Abs(k.Duv-0.004) > 1e-4 || k.Text != "{kelvin: 5600 K, duv: 0.004}" {
		t.Errorf("%+v", k)
	}
	bi := ask[ChartView](c, 200, "GET", "/api/chart?head="+url.QueryEscape("battery head 500"), nil)
	if bi.Kind != "fixed" || len(bi.Gamut) != 1 {
		t.Errorf("a flash head: %s, %d", bi.Kind, len(bi.Gamut))
	}
	ask[Problem](c, 404, "GET", "/api/chart?head=nothing", nil)
	ask[Problem](c, 400, "GET", "/api/colour?u=2&v=x", nil)
	ask[Problem](c, 400, "GET", "/api/colour?kelvin=1", nil)
	if far := ask[ColourView](c, 200, "GET", "/api/colour?u=0.5&v=0.2", nil); far.Light {
		t.Error("a place off the locus counts as a light")
	}
}
