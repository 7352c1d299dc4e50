package answer

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sheet"
)

// TestGrouped: lights of the house that differ by a number are one row;
// their light adds up (two equal fields are a stop more). A lone one,
// one of another size and what is brought stay by themselves.
func TestGrouped(t *testing.T) {
	body := func(x, w float64) []sheet.Body {
		return []sheet.Body{{At: geom.V(x, 0, 2.6), Aim: geom.V(x, 0, 0), Shape: sheet.Rectangle, Width: w,
			Height: 0.6}}
	}
	field := func(v float64) *sheet.Field { return &sheet.Field{NX: 1, NY: 1, DX: 1, DY: 1, Stops: []float64{v}} }
	in := []sheet.Light{
		{Role: "Key 1", Bodies: body(0, 0.6)},
		{Role: "Panel 1.1", Fixed: true, Words: "panel", Bodies: body(1, 0.6), Field: field(-2)},
		{Role: "Exit sign", Fixed: true, Words: "sign", Bodies: body(4, 0.6)},
		{Role: "Panel 1.2", Fixed: true, Words: "panel", Bodies: body(2, 0.6), Field: field(-2)},
		{Role: "Panel 2", Fixed: true, Words: "panel", Bodies: body(3, 1.2), Field: field(0)},
	}
	out := group(in)
	var names []string
	for _, l := range out {
		names = append(names, l.Role)
	}
	if len(out) != 4 || names[0] != "Key 1" || names[1] != "Panel ×2" || names[2] != "Exit sign" ||
		names[3] != "Panel 2" {
		t.Fatalf("%q", names)
	}
	if g := out[1]; len(g.Bodies) != 2 || math.Abs(g.Field.Stops[0]+1) > 1e-12 ||
		g.Words != "2 alike, 1.1 to 1.2: panel" {
		t.Errorf("%+v", g)
	}
	if in[1].Field.Stops[0] != -2 || len(in[1].Bodies) != 1 {
		t.Error("the lights given were changed")
	}
}
