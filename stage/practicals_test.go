package stage

import (
	"context"
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/spectrum"
	"halfstop/trace"
)

func raised(t *testing.T, src string, opt Options) (*Stage, diag.List) {
	t.Helper()
	f, d := staged(t, src)
	opt.Detail = figure.Shadow
	s, list := Build(f, d, 0, opt)
	if s == nil {
		t.Fatal(list)
	}
	return s, list
}

// luxAt traces what a layer at its setting gives a flat receptor.
func luxAt(t *testing.T, s *Stage, layer int, at, facing geom.Vec) float64 {
	t.Helper()
	out, err := s.Scene.Measure(context.Background(), []trace.Receptor{{Kind: trace.Flat, At: at, Facing: facing}},
		trace.MeasureOptions{Seed: 7, Start: 256, Most: 1024})
	if err != nil {
		t.Fatal(err)
	}
	b := out[0].Total(layer)
	return s.Layers[layer].K * s.Layers[layer].Fold.Apply(&b)[1]
}

// One reading at a place in the room fixes a field of panels: traced there again with another seed,
// with people and lights of a setup about, they give it. Four panels of 1000 lm in a black room
// against one: by the point-source law the four of them over a far receptor add up by their own
// distances; panels of 0.2 m at 2.5 m and more are points to 1 %.
func TestFieldOfPracticalsByOneReading(t *testing.T) {
	const src = `halfstop: 1
room:
  size: [7, 5, 2.8]
  surfaces: {walls: pale grey, floor: carpet grey, ceiling: white emulsion}
  practicals:
    - {name: office light, kind: led panel, emitter: {shape: rectangle, size: [0.6, 0.6]}, at: [1, 1, 2.78], repeat: {count: [4, 3], step: [1.6 m, 1.4 m]}, reads: {lux: 430 lx, at: [3, 2.2, 0.75], facing: up}}
setups:
  - name: one
    points: [{name: desk, at: [3, 2.2, 0.75], facing: up}]
`
	s, _ := raised(t, src, Options{})
	if n := len(s.Layers[0].Bodies); n != 12 {
		t.Fatalf("%d panels", n)
	}
	if b := s.Layers[0].Bodies[11].At; b.Sub(geom.V(1+3*1.6, 1+2*1.4, 2.78)).Len() > 1e-9 {
		t.Errorf("the last panel hangs at %v", b)
	}
	if lux := luxAt(t, s, 0, geom.V(3, 2.2, 0.75), geom.V(0, 0, 1)); math.Abs(lux/430-1) > 0.02 {
		t.Errorf("reads %.1f lx where 430 was read", lux)
	}
	again, _ := raised(t, src, Options{Like: s})
	if again.Layers[0].K != s.Layers[0].K {
		t.Error("the level depends on what was built before")
	}
	sum := 0.0
	const black = `halfstop: 1
room: {size: [7, 5, 4], surfaces: {all: 0}, practicals: [{name: p, kind: led panel, emitter: {shape: rectangle, size: [0.2, 0.2]}, at: [2, 2, 3], repeat: {count: [2, 2], step: [1 m, 1.5 m], turn: 90 deg}, flux: 1000 lm}]}
setups: [{name: one, points: [{name: p, at: [2, 2, 0.001], facing: up}]}]
`
	s, _ = raised(t, black, Options{})
	for _, o := range [][2]float64{{0, 0}, {0, 1}, {-1.5, 0}, {-1.5,
		1}} { // turned by a quarter: the first direction is y
		r2 := o[0]*o[0] + o[1]*o[1] + 9
		sum += 1000 / math.Pi * (9 / r2) / r2 // I0·cos at both ends
	}
	if lux := luxAt(t, s, 0, geom.V(2, 2, 0.001), geom.V(0, 0, 1)); math.Abs(lux/sum-1) > 0.01 {
		t.Errorf("four panels give %.2f lx, by the point law %.2f", lux, sum)
	}
}

// A filament at half its light is at 2700 K · 0.5^(0.42/3.4) = 2478 K (IES exponents, from memory);
// a warm LED keeps its colour. A label of 60 W at 12 lm/W is 720 lm; a candle of which nothing is
// said 1 cd.
func TestDimmedFilament(t *testing.T) {
	const src = `halfstop: 1
room:
  size: [6, 5, 3]
  practicals:
    - {name: bulb, kind: filament bulb, emitter: {shape: sphere, size: [6 cm]}, at: [2, 2, 2], watts: 60 W, control: dimmer}
    - {name: led, kind: bulb, emitter: {shape: sphere, size: [6 cm]}, at: [4, 2, 2], watts: 8 W, control: dimmer}
    - {name: flame, kind: candle, emitter: {shape: point}, at: [3, 3, 1]}
setups: [{name: one, dim: {bulb: 50 %, led: 50 %}, points: [{name: p, at: [2, 2, 1], facing: up}]}]
`
	s, list := raised(t, src, Options{})
	if len(list) > 0 {
		t.Error(list.Text())
	}
	for i, want := range []float64{2478, 2700} {
		if got, _, ok := spectrum.CCTOhno2013(s.Layers[i].Spectrum.XY()); !ok || math.Abs(got-want) > 15 {
			t.Errorf("%s at half: %.0f K, want %.0f", s.Layers[i].Name, got, want)
		}
	}
	for i, want := range []float64{720 * 0.5, 720 * 0.5, 4 * math.Pi} {
		if lm := s.Layers[i].K * s.Scene.Flux(i); math.Abs(lm/want-1) > 0.01 {
			t.Errorf("%s gives %.1f lm, want %.1f", s.Layers[i].Name, lm, want)
		}
	}
}

// A light feathered by 20 degrees looks 20 degrees past what it aims at, to the camera's side where
// positive.
func TestFeather(t *testing.T) {
	for _, c := range []struct {
		feather string
		towards bool
	}{{"20 deg", true}, {"-20 deg", false}} {
		src := strings.NewReplacer("MOD", "octa 90", "STAND", "feather: "+c.feather).Replace(rigShoot)
		s, _ := raised(t, src, Options{Empty: true})
		plain, _ := raised(t, strings.NewReplacer("MOD", "octa 90", "STAND", "stand: clamp").Replace(rigShoot),
			Options{Empty: true})
		b, p := s.Layers[0].Bodies[0], plain.Layers[0].Bodies[0]
		flat := func(v geom.Vec) geom.Vec { return geom.V(v.X, v.Y, 0).Unit() }
		if a := math.Acos(flat(b.Frame.N).Dot(flat(p.Frame.N))) / deg; math.Abs(a-20) > 1e-6 ||
			math.Abs(b.Frame.N.Z-p.Frame.N.Z) > 1e-9 {
			t.Errorf("feathered by %.3f degrees", a)
		}
		cam := flat(s.View.At.Sub(b.At))
		if closer := b.Frame.N.Dot(cam) > p.Frame.N.Dot(cam); closer != c.towards {
			t.Errorf("feather %s: towards the camera %v", c.feather, closer)
		}
	}
}

// A sitter seen in a mirror: the focus is the way by the mirror, the face turns to it, the spot at
// the skin is taken through it, and the camera is told that it shows where it looks in square. By
// hand: camera and sitter 2 m and 1 m before the mirror's plane.
func TestSitterInMirror(t *testing.T) {
	const src = `halfstop: 1
room:
  size: [5, 5, 3]
  surfaces: {walls: mid grey, floor: dark grey, ceiling: mid grey}
  objects: [{name: glass, quad: {at: [2.5, 0.01, 1.5], facing: y+, size: [1.6, 2.2]}, surface: {mirror: 0.9}}]
setups:
  - name: one
    camera: {at: [CAM, 2.01, 1.55], mirror: glass, lens: 85 mm, aperture: f/4}
    sitter: {at: [3.2, 1.01], faces: camera}
    lights: [{role: key, head: battery head 500, modifier: octa 90, at: [1, 1.6], height: 2 m, aim: sitter.face, power: 1/32}]
`
	s, list := raised(t, strings.ReplaceAll(src, "CAM", "1.7"), Options{})
	if strings.Contains(list.Text(), "mirror") {
		t.Error(list.Text())
	}
	face, v := s.Sitter.Landmarks["face"], s.View
	if face.Normal.Y > -0.5 {
		t.Errorf("the face looks along %v, not to the mirror", face.Normal)
	}
	way := v.Mirror.Image(face.At).Sub(v.At).Len()
	if math.Abs(float64(v.Focus)-way) > 0.12 || way < 3 {
		t.Errorf("focused at %.2f m, the way is %.2f m", float64(v.Focus), way)
	}
	p := s.Points[s.PointNamed("face key side")]
	if p.Seen == nil {
		t.Fatal("the camera does not see the face")
	}
	if x, y, _, ok := v.Project(v.Mirror.Image(face.At)); !ok || math.Abs(x-0.5) > 0.2 || math.Abs(y-0.5) > 0.3 {
		t.Errorf("the face lies at %.2f, %.2f of the frame", x, y)
	}
	out, err := s.Scene.Measure(context.Background(), []trace.Receptor{*p.Seen}, trace.MeasureOptions{Seed: 1,
		Start: 512, Most: 512})
	if err != nil {
		t.Fatal(err)
	}
	if d := p.Seen.Facing.Sub(v.Mirror.Image(p.At).Sub(v.At).Unit()).Len(); d > 1e-9 {
		t.Errorf("the spot looks %.3f past the image", d)
	}
	if b := out[0].Total(0); s.Layers[0].Fold.Apply(&b)[1] <= 0 {
		t.Error("the skin is dark in the mirror")
	}
	_, list = raised(t, strings.ReplaceAll(src, "CAM", "2.9"), Options{})
	if !strings.Contains(list.Text(), "the camera shows in glass") {
		t.Error("square before the mirror, and nothing said:\n" + list.Text())
	}
	_, list = raised(t, strings.NewReplacer("[1.6, 2.2]", "[0.3, 0.3]", "CAM", "0.2").Replace(src), Options{})
	if !strings.Contains(list.Text(), "does not see the sitter's face in glass") || !strings.Contains(list.Text(),
		"m to the side") {
		t.Error("a mirror too small, and nothing said:\n" + list.Text())
	}
}

// Two readings of a cheek: reflected as incident is π·12.5/250 = 15.7 %; 0.6 stops more 23.8 %,
// which lies at 4.5 of the scale (material's own table); a reading of paper is told.
func TestSkinByReading(t *testing.T) {
	src := strings.NewReplacer("MOD", "octa 90", "STAND", "stand: clamp").Replace(rigShoot)
	at := func(spot string) (float64, diag.List) {
		s, list := raised(t, strings.Replace(src, "faces: camera",
			"faces: camera, skin reads: {spot: "+spot+", incident: f/5.6}", 1), Options{Empty: true})
		k := s.skinOf(s.Setup.Sitter, s.path("sitter"))
		return k, append(list, s.list...)
	}
	if k, list := at("f/5.6 + 0.6"); math.Abs(k-4.56) > 0.05 || strings.Contains(list.Text(), "skin") {
		t.Errorf("skin %.2f %s", k, list.Text())
	}
	if k, list := at("f/16"); k > 1.01 || !strings.Contains(list.Text(), "126 %") {
		t.Errorf("skin %.2f %s", k, list.Text())
	}
}
