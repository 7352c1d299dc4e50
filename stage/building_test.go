package stage

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/sample"
	"halfstop/trace"
)

// The pieces of a ceiling cover the outline once, each at the height that CeilingAt gives there.
// Areas by Gauss's formula; 200 places in each of 60 random rooms.
func TestCeilingParts(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for n := range 60 {
		outline := "[[0, 0], [6, 0], [6, 4], [0, 4]]"
		area := 24.0
		switch n % 3 {
		case 1:
			outline, area = "[[0, 0], [6, 0], [6, 2], [3, 2], [3, 4], [0, 4]]", 18
		case 2:
			outline, area = "[[0.4, 0], [6, 0.7], [5.2, 4.1], [0, 3]]", 0
			c := [][2]float64{{0.4, 0}, {6, 0.7}, {5.2, 4.1}, {0, 3}}
			for i, a := range c {
				b := c[(i+1)%4]
				area += (a[0]*b[1] - b[0]*a[1]) / 2
			}
		}
		var zones []string
		for range 1 + n%3 {
			x, y := r.Float64()*5-0.5, r.Float64()*3-0.5
			if r.Intn(2) == 0 {
				zones = append(zones, fmt.Sprintf("{at: [%.2f, %.2f], size: [2.5, 1.6], height: %.2f}", x, y,
					2.1+r.Float64()*2))
			} else {
				zones = append(zones, fmt.Sprintf("{outline: [[%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f]], height: %.2f}",
					x, y, x+2.2, y+0.4, x+0.6, y+2, 2.1+r.Float64()*2))
			}
		}
		s, list := built(t, "halfstop: 1\nroom:\n  outline: "+outline+"\n  ceiling: 2.7\n  ceilings:\n    - "+
			strings.Join(zones, "\n    - ")+"\nsetups: [{name: s}]\n")
		if s == nil {
			if strings.Contains(list.Text(), "lies outside the room") {
				continue
			}
			t.Fatal(list.Text())
		}
		room := &s.Shoot.Room
		sum := 0.0
		parts := CeilingParts(room)
		for _, p := range parts {
			sum += (p.X1 - p.X0) * (p.Hi[0] - p.Lo[0] + p.Hi[1] - p.Lo[1]) / 2
		}
		if math.Abs(sum-area) > 1e-5 {
			t.Errorf("room %d: the pieces have %.6f m², the outline %.6f", n, sum, area)
		}
		for range 200 {
			x, y := r.Float64()*6, r.Float64()*4
			in := 0
			for _, p := range parts {
				if x > p.X0 && x < p.X1 {
					u := (x - p.X0) / (p.X1 - p.X0)
					if y > p.Lo[0]+u*(p.Lo[1]-p.Lo[0]) && y < p.Hi[0]+u*(p.Hi[1]-p.Hi[0]) {
						in++
						if h := CeilingAt(room, x, y); h != p.Z {
							t.Errorf("room %d at %.3f, %.3f: a piece at %.2f m, the ceiling is at %.2f", n, x,
								y, p.Z, h)
						}
					}
				}
			}
			corners, _ := Outline(room)
			if want := inside(corners, geom.V(x, y, 0)); want && in != 1 || !want && in != 0 {
				t.Errorf("room %d at %.3f, %.3f: %d pieces, inside %v", n, x, y, in, want)
			}
			if !inside(corners, geom.V(x, y, 0)) {
				continue
			}
			// A plumb line up from the floor meets the ceiling there, and no crack.
			h := CeilingAt(room, x, y)
			if d, ok := s.Scene.FirstHit(geom.V(x, y, 0.01), geom.V(0, 0, 1)); !ok || math.Abs(d+0.01-h) > 1e-5 {
				t.Errorf("room %d at %.3f, %.3f: the ceiling is met at %.4f (%v), it is at %.4f", n, x, y,
					d+0.01, ok, h)
			}
		}
		// Closed: no ray out of a place inside gets away.
		for range 300 {
			corners, _ := Outline(room)
			p := geom.V(r.Float64()*6, r.Float64()*4, 0.3+r.Float64()*1.6)
			dir := geom.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).Unit()
			if !inside(corners, p) {
				continue
			}
			if _, ok := s.Scene.FirstHit(p, dir); !ok {
				t.Errorf("room %d: light gets out from %v along %v", n, p, dir)
			}
		}
	}
}

// lux reads receptors in a scene, in window 8, with standard errors.
func lux(t *testing.T, yaml string, points []trace.Receptor, most int) (e, se []float64) {
	t.Helper()
	s, list := built(t, yaml)
	if s == nil || list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	if err := s.Scene.Prepare(); err != nil {
		t.Fatal(err)
	}
	out, err := s.Scene.Measure(context.Background(), points, trace.MeasureOptions{Seed: 3, Most: most})
	if err != nil {
		t.Fatal(err)
	}
	for i := range out {
		var k sample.Tally
		for r := range out[i].Parts {
			sum := 0.0
			for l := range out[i].Parts[r] {
				sum += float64(out[i].Parts[r][l][8])
			}
			k.Add(sum)
		}
		e, se = append(e, k.Mean()), append(se, k.StdErr())
	}
	return e, se
}

const lamp = "setups: [{name: s, lights: [{name: lamp, emitter: {shape: %s, intensity: 1000 cd}, at: %s, aim: %s}]}]\n"

// A room with a ceiling of two heights reads as the same room put together from boxes: a lowered
// part is a box under the ceiling, a raised one what is left between boxes under a higher ceiling.
func TestCeilingsAreBoxes(t *testing.T) {
	const grey = "  surfaces: {all: 0.6}\n"
	for _, c := range []struct{ name, zones, boxes string }{
		{"lowered",
			"  size: [4, 5, 2.7]\n  ceilings: [{at: [0, 3], size: [4, 2], height: 2.1}]\n",
			"  size: [4, 5, 2.7]\n  objects: [{box: {at: [0, 3, 2.1], size: [4, 2, 0.6]}, surface: 0.6}]\n"},
		{"an island",
			"  size: [4, 5, 2.7]\n  ceilings: [{at: [1, 2], size: [1.5, 1], height: 2.2, surface: 0.2}]\n",
			"  size: [4, 5, 2.7]\n  objects: [{box: {at: [1, 2, 2.2], size: [1.5, 1, 0.5]}, surface: 0.2}]\n"},
		{"raised",
			"  size: [4, 5, 2.7]\n  ceilings: [{at: [0, 0], size: [4, 2], height: 3.9}]\n",
			"  size: [4, 5, 3.9]\n  objects: [{box: {at: [0, 2, 2.7], size: [4, 3, 1.2]}, surface: 0.6}]\n"},
		{"a well in the middle",
			"  size: [4, 5, 2.7]\n  ceilings: [{outline: [[1, 2], [3, 2], [3, 4], [1, 4]], height: 3.5}]\n",
			"  size: [4, 5, 3.5]\n  objects:\n" +
				"    - {box: {at: [0, 0, 2.7], size: [4, 2, 0.8]}, surface: 0.6}\n" +
				"    - {box: {at: [0, 4, 2.7], size: [4, 1, 0.8]}, surface: 0.6}\n" +
				"    - {box: {at: [0, 2, 2.7], size: [1, 2, 0.8]}, surface: 0.6}\n" +
				"    - {box: {at: [3, 2, 2.7], size: [1, 2, 0.8]}, surface: 0.6}\n"},
	} {
		points := []trace.Receptor{
			{Kind: trace.Flat, At: geom.V(2, 1, 1), Facing: geom.V(0, 0, 1)},
			{Kind: trace.Flat, At: geom.V(1.2, 4.2, 1.4), Facing: geom.V(0, -1, 0)},
			{Kind: trace.Dome, At: geom.V(2.4, 2.6, 1.6), Facing: geom.V(0, 0, -1)},
		}
		light := fmt.Sprintf(lamp, "point", "[2, 2.4, 1.3]", "[2, 1, 2.4]")
		a, sa := lux(t, "halfstop: 1\nroom:\n"+c.zones+grey+light, points, 384)
		b, sb := lux(t, "halfstop: 1\nroom:\n"+c.boxes+grey+light, points, 384)
		for i := range a {
			// Four standard errors: one in 16,000 by chance, and the seed is fixed.
			if d := math.Abs(a[i] - b[i]); d > 4*math.Hypot(sa[i], sb[i]) || sa[i] > 0.02*a[i] {
				t.Errorf("%s, point %d: %.2f ± %.2f lx in zones, %.2f ± %.2f with boxes", c.name, i, a[i],
					sa[i], b[i],
					sb[i])
			}
		}
	}
}

// A flat drape of 30 % diffuse and 20 % straight transmittance before a point lamp against the
// integral over its sheet (Lambert's law); behind an opaque one is nothing.
func TestDrapeTransmits(t *testing.T) {
	const open = "halfstop: 1\nsetups:\n  - name: s\n    objects: [{name: cloth, kind: drape, " +
		"box: {at: [-0.5, 0.98, 0], size: [1, 0.04, 1.6]}, surface: %s}]\n" +
		"    lights: [{name: lamp, emitter: {shape: point, intensity: 1000 cd}, at: [0.1, 0, 0.7], aim: [0, 3, 0.8]}]\n"
	at, from := geom.V(-0.2, 2.2, 0.9), geom.V(0.1, 0, 0.7)
	points := []trace.Receptor{{Kind: trace.Flat, At: at, Facing: geom.V(0, -1, 0)}}
	got, se := lux(t, fmt.Sprintf(open, "{diffuse: 0.4, transmit: 0.3, clear: 0.2}"), points, 2048)
	want := 0.0
	const n = 400
	z0, z1 := 0.005, 1.6-0.012
	for i := range n {
		for j := range n {
			p := geom.V(-0.5+(float64(i)+0.5)/n, 1, z0+(z1-z0)*(float64(j)+0.5)/n)
			a, b := p.Sub(from), at.Sub(p)
			e := 1000 * a.Y / math.Pow(a.Len(), 3)
			want += 0.3 * e / math.Pi * b.Y * b.Y / math.Pow(b.Len(), 4) * (z1 - z0) / (n * n)
		}
	}
	d := at.Sub(from)
	want += 0.2 * 1000 * d.Y / math.Pow(d.Len(), 3)
	if math.Abs(got[0]-want) > 4*se[0]+0.002*want || se[0] > 0.02*want { // 0.2 %: the rod at the top is bright
		t.Errorf("behind the cloth %.3f ± %.3f lx, the integral gives %.3f", got[0], se[0], want)
	}
	if dark, _ := lux(t, fmt.Sprintf(open, "black stage cloth"), points, 1024); dark[0] != 0 {
		t.Errorf("behind an opaque drape %.4f lx", dark[0])
	}
}

// A cloth that loses nothing divides a black room: what walls, floor and ceiling of both halves
// take up is what the lamp gives, hung flat or in folds. The light is 4π 1000 cd; sums over a grid
// of each face. 2.5 %: the rod and its hooks of brushed steel take up some (2 % of the area, 43 %
// of what falls on them), and the grid's own error.
func TestDrapesKeepEnergy(t *testing.T) {
	for _, kind := range []string{"drape", "curtain"} {
		yaml := "halfstop: 1\nroom:\n  size: [4, 2, 2]\n  surfaces: {all: perfect black}\n  objects: [{kind: " + kind +
			", box: {at: [1.93, 0], size: [0.14, 2, 2]}, surface: {diffuse: 0.5, transmit: 0.5}}]\n" +
			fmt.Sprintf(lamp, "point", "[0.9, 1, 1]", "[4, 1, 1]")
		var points []trace.Receptor
		var area []float64
		face := func(o, u, v, in geom.Vec, nu, nv int) {
			for i := range nu {
				for j := range nv {
					p := o.AddMul(u, (float64(i)+0.5)/float64(nu)).AddMul(v, (float64(j)+0.5)/float64(nv))
					points = append(points, trace.Receptor{Kind: trace.Flat, At: p.AddMul(in, 1e-4), Facing: in})
					area = append(area, u.Len()*v.Len()/float64(nu*nv))
				}
			}
		}
		x, y, z := geom.V(4, 0, 0), geom.V(0, 2, 0), geom.V(0, 0, 2)
		face(geom.Vec{}, y, z, geom.V(1, 0, 0), 8, 8)
		face(x, y, z, geom.V(-1, 0, 0), 6, 6)
		face(geom.Vec{}, x, z, geom.V(0, 1, 0), 14, 7)
		face(y, x, z, geom.V(0, -1, 0), 14, 7)
		face(geom.Vec{}, x, y, geom.V(0, 0, 1), 14, 7)
		face(z, x, y, geom.V(0, 0, -1), 14, 7)
		e, _ := lux(t, yaml, points, 64)
		sum, far := 0.0, 0.0
		for i := range e {
			sum += e[i] * area[i]
			if points[i].At.X > 2 {
				far += e[i] * area[i]
			}
		}
		total := 4 * math.Pi * 1000
		if math.Abs(sum/total-1) > 0.025 {
			t.Errorf("%s: %.4f of the light is taken up", kind, sum/total)
		}
		if far < 0.05*total || far > 0.4*total {
			t.Errorf("%s: %.3f of the light gets through", kind, far/total)
		}
	}
}

// Shadows by trigonometry: of a beam's lower edge on the floor, of a round column beside it, and
// the height of each tread; 2 cm on either side of the edge.
func TestBuildingPartsStandWhereTheyAre(t *testing.T) {
	yaml := "halfstop: 1\nroom:\n  size: [8, 6, 3]\n  surfaces: {all: perfect black}\n  objects:\n" +
		"    - {name: b, kind: beam, box: {at: [3, 0, 1.9], size: [0.3, 6, 1.1]}, surface: perfect black}\n" +
		"    - {name: c, kind: round column, box: {at: [1.8, 3.8, 0], size: [0.4, 0.4, 3]}, surface: perfect black}\n" +
		"    - {name: s, kind: steps, box: {at: [6, 1], size: [1.2, 0.9, 0.51]}, turn: 90 deg}\n" +
		fmt.Sprintf(lamp, "point", "[2, 2, 2.9]", "[2, 2, 0]")
	up := geom.V(0, 0, 1)
	flat := func(x, y float64) trace.Receptor {
		return trace.Receptor{Kind: trace.Flat, At: geom.V(x, y, 0.001), Facing: up}
	}
	edge := 2 + 1.0*(2.9-0.001)/(2.9-1.9) // of what comes under the beam's near edge
	half := math.Asin(0.2 / 2)            // the column's middle stands 2 m along y
	at := func(a float64) trace.Receptor { return flat(2+3*math.Sin(a), 2+3*math.Cos(a)) }
	e, _ := lux(t, yaml, []trace.Receptor{at(half - 0.01), at(half + 0.01), at(-half + 0.01), at(-half - 0.01),
		flat(edge+0.02, 2), flat(edge-0.02, 2)}, 64)
	for i, dark := range []bool{true, false, true, false, true, false} {
		if dark != (e[i] == 0) {
			t.Errorf("place %d: %.3f lx, in the shadow %v", i, e[i], dark)
		}
	}
	s, _ := built(t, yaml)
	for _, c := range [][2]float64{{0.1, 0.17}, {0.29, 0.17}, {0.31, 0.34}, {0.7, 0.51}} { // way along, height
		p := geom.V(6-c[0], 1.6, 2.5) // turned a quarter: its y runs along -x
		if d, ok := s.Scene.FirstHit(p, geom.V(0, 0, -1)); !ok || math.Abs(2.5-d-c[1]) > 1e-3 {
			t.Errorf("the tread %.2f m along is at %.3f m, want %.2f", c[0], 2.5-d, c[1])
		}
		if h := s.footing(p, math.Inf(1)); math.Abs(h-c[1]) > 1e-9 {
			t.Errorf("who stands %.2f m along stands at %.3f m, want %.2f", c[0], h, c[1])
		}
	}
}

// The examples of docs/place.md can be built as they stand; who stands on a part of the building
// has the feet on it.
func TestExamplePlaces(t *testing.T) {
	paths, _ := filepath.Glob("../docs/places/*.yaml")
	if len(paths) < 4 {
		t.Fatalf("%d examples", len(paths))
	}
	for _, p := range paths {
		src, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		s, list := built(t, string(src))
		if s == nil || list.Has(diag.Finding) {
			t.Errorf("%s:\n%s", p, list.Text())
			continue
		}
		at := s.Setup.Sitter.At
		low := s.footing(geom.V(float64(at[0]), float64(at[1]), 0), math.Inf(1))
		if b := s.Sitter.Bounds(); math.Abs(b.Lo.Z-low) > 0.02 {
			t.Errorf("%s: the feet are at %.3f m, the ground at %.3f", p, b.Lo.Z, low)
		}
	}
}

// TestStandOnPlatform: a stand on a platform or a tread stands on it: its column, its reach and
// its feet count from there, and feet that would stand at two heights are told.
func TestStandOnPlatform(t *testing.T) {
	const head = `halfstop: 1
room:
  size: [6, 5, 3.6]
  objects:
    - {name: stage, kind: platform, box: {at: [3, 1, 0], size: [3, 3, 0.6]}}
    - {name: stairs, kind: steps, box: {at: [0.4, 1, 0], size: [2, 2.8, 0.68]}}
setups:
  - name: One
    sitter: {at: [1.5, 4.6], faces: [1, 0, 0]}
    lights:
      - {name: key, role: key, head: battery head 200, stand: light stand 300, at: [%s], aim: [1.5, 4.4, 1.5]}
`
	for _, c := range []struct {
		at          string
		foot        float64
		told, never string
	}{
		{"4.5, 2.5, 3.3", 0.6, "", "stage.stand-height"},                      // 2.7 m up: it reaches
		{"1.5, 4.4, 3.4", 0, "stage.stand-height", ""},                        // 3.4 m from the floor: not
		{"4.5, 2.5, 3.0", 0.6, "", "stage.stand-in-object"},                   // on it, not in it
		{"3.1, 2.5, 2.6", 0.6, "stage.stand-feet", "stage.stand-in-object"},   // a leg over the edge
		{"1.4, 2.05, 2.6", 0.34, "stage.stand-feet", "stage.stand-in-object"}, // a tread is 0.7 m deep
	} {
		s, list := built(t, fmt.Sprintf(head, c.at))
		if s == nil {
			t.Fatal(list)
		}
		var st *Standing
		for i := range s.Layers {
			if s.Layers[i].Light == 0 {
				st = s.Layers[i].Standing
			}
		}
		if st == nil || math.Abs(st.Foot.Z-c.foot) > 1e-9 {
			t.Errorf("%s: the stand's feet at %+v, want %g m up", c.at, st, c.foot)
			continue
		}
		for _, tip := range st.Tips() {
			if math.Abs(tip.Z-c.foot-0.012) > 1e-9 {
				t.Errorf("%s: a foot at %g m", c.at, tip.Z)
			}
		}
		var codes []string
		for _, d := range list {
			codes = append(codes, d.Code)
		}
		if c.told != "" && !slices.Contains(codes, c.told) || c.never != "" && slices.Contains(codes, c.never) {
			t.Errorf("%s: %v; want %q, not %q", c.at, codes, c.told, c.never)
		}
	}
}

// TestUnderPlatform: what stands under a gallery stands on the floor and not on it; a panel on a
// platform is as high as it is over the platform; the ceiling is that of the room.
func TestUnderPlatform(t *testing.T) {
	const head = `halfstop: 1
room:
  size: [6, 5, 3.6]
  objects:
    - {name: gallery, kind: platform, box: {at: [3, 0, 2.4], size: [3, 4, 0.2]}}
    - {name: stage, kind: platform, box: {at: [0, 3, 0], size: [2, 2, 1]}}
setups:
  - name: One
    sitter: {at: [1.5, 1.6], faces: [1, 0, 0]}
    lights:
      - {name: key, role: key, head: battery head 200, modifier: octa 90, stand: light stand 300, at: [%s], aim: [1.5, 1.6, 1.5]}
    panels:
      - {name: flag, kind: flag, size: [0.6, 0.9], stand: light stand, at: [%s], aim: [1.5, 1.6, 1.5]}
`
	for _, c := range []struct {
		light, panel string
		foot         float64
		told, never  string
	}{
		{"4.5, 2, 2.0", "0.8, 4, 2.9", 0, "", "stage.stand"},                // under the gallery; 1.9 m over the stage
		{"4.5, 2, 2.0", "0.8, 1.4, 3.0", 0, "stage.stand-height", ""},       // 3 m over the floor: higher than it goes
		{"1, 4, 3.45", "0.8, 1.4, 2", 1, "stage.through-ceiling", "height"}, // 2.55 m up, and through the ceiling
	} {
		s, list := built(t, fmt.Sprintf(head, c.light, c.panel))
		if s == nil {
			t.Fatal(list)
		}
		for i := range s.Layers {
			if st := s.Layers[i].Standing; s.Layers[i].Light == 0 && (st == nil || st.Foot.Z != c.foot) {
				t.Errorf("%s: it stands as %+v, wanted at %.1f m", c.light, st, c.foot)
			}
		}
		told := c.told == ""
		for _, m := range list {
			told = told || m.Code == c.told
			if c.never != "" && strings.Contains(m.Code, c.never) {
				t.Errorf("%s, %s: %s", c.light, c.panel, m.Text)
			}
		}
		if !told {
			t.Errorf("%s, %s: no %s\n%s", c.light, c.panel, c.told, list.Text())
		}
	}
}
