package stage

import (
	"math"
	"testing"

	"halfstop/figure"
	"halfstop/geom"
)

// A framed window stands back in the thickness of its wall, and its reveal shuts what a slanting
// look would else see of the outside; a plain one lies in the wall's plane, as every check of
// daylight has it. A door hangs in its lining where the room has skirting.
func TestReveal(t *testing.T) {
	for framed, src := range map[bool]string{
		true:  "{name: w, wall: 1, from: 1 m, width: 1.2 m, sill: 0.9 m, head: 2.1 m, frame: true}",
		false: "{name: w, wall: 1, from: 1 m, width: 1.2 m, sill: 0.9 m, head: 2.1 m}",
	} {
		f, d := staged(t,
			"halfstop: 1\nroom:\n  size: [4, 3, 2.6]\n  skirting: 0.1 m\n  surfaces: {all: mid grey}\n  "+
				"windows: ["+src+"]\n"+
				"  doors: [{name: door, wall: 1, from: 2.8 m, width: 0.8 m}]\nsetups:\n  - name: one\n    points: "+
				"[{name: p, at: [1, 1, 1], facing: up}]\n")
		s, list := Build(f, d, 0, Options{Detail: figure.Shadow})
		if s == nil {
			t.Fatal(list)
		}
		depth := 0.0
		if framed {
			depth = reveal
		}
		// Straight through a pane beside the bars, 1 m before wall 1 (y = 0).
		if at, ok := s.Scene.FirstHit(geom.V(1.3, 1, 1.3), geom.V(0, -1, 0)); !ok || math.Abs(at-1-depth-0.01) > 1e-4 {
			t.Errorf("framed %v: glass met at %.3f m, want %.3f", framed, at, 1+depth+0.01)
		}
		// Steeply sideways just inside the edge: the reveal.
		to := geom.V(1, -0.05, 1.5)
		from := geom.V(1.3, 0.4, 1.5)
		if at, ok := s.Scene.FirstHit(from,
			to.Sub(from).Unit()); framed && (!ok || math.Abs(at-to.Sub(from).Len()) > 0.06) {
			t.Errorf("the reveal is met at %.3f m, want about %.3f", at, to.Sub(from).Len())
		}
		if at, ok := s.Scene.FirstHit(geom.V(3, 1, 0.5), geom.V(0, -1, 0)); !ok || math.Abs(at-1-rebate) > 1e-4 {
			t.Errorf("the door's leaf is met at %.3f m, want %.3f", at, 1+rebate)
		}
	}
}
