package accuracy

import (
	"fmt"
	"math"
)

// Sections C5, C6, D: openings onto a uniform and the CIE overcast sky. Sources: closed forms
// (uniform), quadrature of the traditional overcast formula that ISO 15469:2004 keeps; Fresnel's
// equations for the pane.
func skyScenes() []scene {
	gives := func(f ...figure) []figure { return f }
	share := func(id, what, point string, want float64) figure {
		return lux(id, what, point, want).per(100.0/10000, "%") // the open ground has 10,000 lx
	}
	roof := func(sky, hole, points string) string {
		return fmt.Sprintf(`halfstop: 1
room:
  size: [4, 4, 3]
  surfaces: {all: 0}
  windows: [{name: roof, ceiling: true, %s, glass: none}]
  outside: {sky: %s, illuminance: 10 klx, ground: 0}
setups:
  - name: roof
    points:
%s`, hole, sky, indent(points, 6))
	}
	small, whole := "at: [1.5, 1.5], size: [1, 1]", "at: [0, 0], size: [4, 4]"
	centre := "- {name: centre, at: [2, 2, 0], facing: up}\n"
	corner := centre + "- {name: corner, at: [0.0005, 0.0005, 0], facing: up}"
	window := func(windows, outside string) string {
		return fmt.Sprintf(`halfstop: 1
room:
  size: [6, 8, 4]
  surfaces: {all: 0}
  windows:
%s  outside: %s
setups:
  - name: window
    points:
      - {name: floor, at: [3, 4, 0], facing: up}
      - {name: facing, at: [3, 4, 0], facing: x-}
      - {name: above, at: [3, 4, 3.5], facing: down}
`, indent(windows, 4), outside)
	}
	// Wall 4 runs from y = 8 down to y = 0 at x = 0; the window is 2 m wide about y = 4.
	plain := "- {name: w, wall: 4, from: 3 m, width: 2 m, sill: 1 m, head: 2.5 m, glass: none}"
	uniform, overcast := "{sky: uniform, illuminance: 10 klx, ground: 0}",
		"{sky: overcast, illuminance: 10 klx, ground: 0}"
	// Between head and sill seen from 3.5 m up, 1 to 2.5 m below: the mirror image of C6.1, so a
	// ground of reflectance 0.2 gives 0.2 × C6.1.
	groundOnly := "{sky: uniform, illuminance: 10 klx, ground: 0.2}"
	upper, lower := "- {name: upper, wall: 4, from: 3 m, width: 2 m, sill: 1.75 m, head: 2.5 m, glass: none}",
		"- {name: lower, wall: 4, from: 3 m, width: 2 m, sill: 1 m, head: 1.75 m, glass: none, outside: {sky: "+
			"uniform, illuminance: 2 klx, ground: 0}}"
	return []scene{
		{name: "roof hole, uniform", yaml: roof("uniform", small, centre),
			gives: gives(share("C5.1", "roof hole 1 × 1 m, 3 m above, uniform sky: share of open ground", "centre",
				3.41068))},
		{name: "roof hole, overcast", yaml: roof("overcast", small, centre),
			gives: gives(share("C5.2", "the same, CIE overcast", "centre", 4.35898))},
		{name: "open roof, uniform", yaml: roof("uniform", whole, corner),
			gives: gives(share("C5.3", "open roof over 4 × 4 × 3 m, floor centre, uniform", "centre", 35.7685),
				share("C5.5", "floor corner, uniform", "corner", 17.1821))},
		{name: "open roof, overcast", yaml: roof("overcast", whole, corner),
			gives: gives(share("C5.4", "floor centre, overcast", "centre", 42.9959),
				share("C5.6", "floor corner, overcast", "corner", 19.134))},
		{name: "window, uniform", yaml: window(plain, uniform),
			gives: gives(share("C6.1", "window 2 m wide, 1 to 2.5 m up, 3 m away, uniform", "floor", 3.11871))},
		{name: "window, overcast", yaml: window(plain, overcast),
			gives: gives(share("C6.2", "the same, overcast", "floor", 2.64871),
				share("C6.3", "overcast, facing the window", "facing", 4.70556))},
		{name: "window, lower half hidden", yaml: window(upper+"\n"+lower, uniform),
			gives: gives(share("C6.4", "lower half onto a wall of 0.2 of the sky's luminance", "floor", 1.88608))},
		{name: "window onto ground", yaml: window(plain, groundOnly),
			gives: gives(share("C6.ground", "ground of 0.2 seen from above, mirror of C6.1: 0.2 × C6.1", "above",
				0.2*3.11871))},
		{name: "window, glass 0.80",
			yaml: window("- {name: w, wall: 4, from: 3 m, width: 2 m, sill: 1 m, head: 2.5 m, glass: '0.80'}",
				overcast), gives: gives(
				lux("D10.1", "overcast 10 klx through glass of 0.80: the published figure takes 0.80 at every slant",
					"floor", 211.897),
				lux("D10.1 Fresnel", "the same with Fresnel's fall-off, by quadrature here", "floor",
					windowQuadrature(func(cos float64) float64 { return 0.8 * slab(cos, 1.52) / slab(1, 1.52) })))},
		{name: "window, clear pane",
			yaml: window("- {name: w, wall: 4, from: 3 m, width: 2 m, sill: 1 m, head: 2.5 m, glass: single clear}",
				overcast), gives: gives(
				lux("C6.2 pane", "C6.2 behind a single clear pane (n = 1.52, 2 % absorbed), by quadrature here",
					"floor",
					windowQuadrature(func(cos float64) float64 { return 0.98 * slab(cos, 1.52) })))},
		{name: "window, two panes",
			yaml: window("- {name: w, wall: 4, from: 3 m, width: 2 m, sill: 1 m, head: 2.5 m, glass: double clear}",
				overcast), gives: gives(
				lux("C6.2 double", "C6.2 behind two panes (with what bounces between them), by quadrature here",
					"floor",
					windowQuadrature(func(cos float64) float64 {
						t := slab(cos, 1.52)
						return 0.98 * 0.98 * t * t / (1 - (1-t)*(1-t)*0.98*0.98)
					})))},
		{name: "window, frosted",
			yaml: window("- {name: w, wall: 4, from: 3 m, width: 2 m, sill: 1 m, head: 2.5 m, glass: frosted}",
				overcast), gives: gives(
				// Outside, the wall gets 0.396177 of the open ground's light (D2.2); the pane
				// passes 0.75 of it, evenly: L = 0.75 E/π, and the form factor of the window is
				// C6.1.
				lux("C6.1 frosted", "frosted pane of 0.75 under overcast 10 klx: 0.75 × D2.2 × C6.1", "floor",
					10000*0.396177*0.75*0.0311871))},
	}
}

// windowQuadrature integrates the overcast sky of 10 klx through the window of C6 onto the floor
// point, with a pane of transmittance tau.
func windowQuadrature(tau func(cos float64) float64) float64 {
	lz := 10000 * 9 / (7 * math.Pi)
	const n = 600
	sum := 0.0
	for i := range n {
		for j := range n {
			x, y, z := 3.0, -1+2*(float64(i)+0.5)/n, 1+1.5*(float64(j)+0.5)/n
			r2 := x*x + y*y + z*z
			r := math.Sqrt(r2)
			sum += lz * (1 + 2*z/r) / 3 * tau(x/r) * (z / r) * (x / r) / r2 * 2 * 1.5 / (n * n)
		}
	}
	return sum
}
