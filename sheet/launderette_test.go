package sheet

import (
	"image"
	"image/color"
	"math"

	"halfstop/geom"
	"halfstop/quantity"
)

// The launderette of the demonstration, by hand: three setups in spirit. Levels are a rough
// inverse-square sum written for these tests; they only have to look like light.

func launderetteRoom() Room {
	return Room{
		Outline: [][2]float64{{0, 0}, {7.2, 0}, {7.2, 3.8}, {0, 3.8}},
		Ceiling: 2.75,
		Wall:    0.10,
		Windows: []Opening{{Name: "street window", Wall: 4, From: 0.9, Width: 1.7, Sill: 0.95, Head: 2.35,
			Colour: [3]float64{0.60, 0.84, 1.36}}},
		Doors:   []Door{{Name: "door", Wall: 2, From: 0.9, Width: 0.9, Head: 2.05, HingeFar: false}},
		Outlets: []Outlet{{"A", [2]float64{2.2, 3.8}}, {"B", [2]float64{6.6, 3.8}}, {"C", [2]float64{7.2, 2.6}}},
	}
}

func launderetteObjects() []Object {
	var out []Object
	for i := 0; i < 8; i++ {
		x := 0.45 + 0.69*float64(i)
		o := Object{Foot: [][2]float64{{x, 0}, {x + 0.69, 0}, {x + 0.69, 0.7}, {x, 0.7}}, Hi: 1.05}
		if i == 3 {
			o.Name = ""
		}
		out = append(out, o)
	}
	out = append(out, Object{Name: "folding table", Foot: box(2.7, 3.15, 1.9, 0.65), Hi: 0.9},
		Object{Name: "bench", Foot: box(0.05, 1.35, 0.4, 1.6), Hi: 0.45},
		Object{Name: "dryer", Foot: box(0.95, 2.6, 0.5, 0.4), Hi: 1.8})
	return out
}

func box(x, y, w, d float64) [][2]float64 {
	return [][2]float64{{x, y}, {x + w, y}, {x + w, y + d}, {x, y + d}}
}

// glow is a rough field of one body: cosine power over the
// square of the distance, in stops against a reference.
func glow(b Body, gain, power, x0, y0, x1, y1, z, ref float64) *Field {
	const step = 0.08
	f := &Field{X0: x0, Y0: y0, DX: step, DY: step, NX: int((x1-x0)/step) + 1, NY: int((y1-y0)/step) + 1}
	n := b.Aim.Sub(b.At).Unit()
	for j := 0; j < f.NY; j++ {
		for i := 0; i < f.NX; i++ {
			d := geom.V(x0+step*float64(i), y0+step*float64(j), z).Sub(b.At)
			r2 := math.Max(0.02, d.Len2()+b.Width*b.Width/8)
			c := d.Unit().Dot(n)
			s := math.Inf(-1)
			if c > 0 {
				s = math.Log2(gain * math.Pow(c, power) / r2 / ref)
			}
			f.Stops = append(f.Stops, s)
		}
	}
	return f
}

func aisle() Plan {
	face := geom.V(3.4, 1.95, 1.62)
	key := Body{At: geom.V(4.45, 0.98, 1.98), Aim: face, Shape: Octagon, Width: 1.5, Depth: 0.45}
	fill := Body{At: geom.V(5.75, 3.15, 1.8), Aim: geom.V(3.4, 1.95, 1.3), Shape: Rectangle, Width: 0.9, Height: 0.6,
		Depth: 0.35}
	edge := Body{At: geom.V(1.75, 3.2, 2.3), Aim: geom.V(3.38, 1.98, 1.62), Shape: Round, Width: 0.12, Depth: 0.25}
	back := Body{At: geom.V(1.55, 1.42, 0.75), Aim: geom.V(0.2, 0.72, 1.05), Shape: Rectangle, Width: 0.6,
		Height: 0.6, Depth: 0.1}
	tube1 := Body{At: geom.V(1.7, 1.9, 2.69), Aim: geom.V(1.7, 1.9, 0), Shape: Tube, Width: 1.2, Height: 0.05}
	tube2 := Body{At: geom.V(4.2, 1.9, 2.69), Aim: geom.V(4.2, 1.9, 0), Shape: Tube, Width: 1.2, Height: 0.05}
	win := Body{At: geom.V(0, 2.05, 1.65), Aim: geom.V(3, 2.05, 1.65), Width: 1.6}
	ref := 1.4
	field := func(b Body, gain, power float64) *Field {
		return glow(b, gain, power, 0, 0, 7.2, 3.8, 1.62, ref)
	}
	north := 20.0
	return Plan{
		Room: launderetteRoom(), Objects: launderetteObjects(),
		Camera: &Camera{At: geom.V(5.55, 2.55, 1.42), Aim: geom.V(3.4, 1.93, 1.275), HalfWidth: math.Atan(12.0 / 48),
			HalfHeight: math.Atan(18.0 / 48),
			Near:       2.0, Far: 2.52, FootR: 0.35},
		Sitters: []Sitter{{At: [2]float64{3.4, 1.95}, Facing: 0.1, Stature: 1.70, Pose: PoseStanding}},
		Lights: []Light{
			{Role: "Key", Words: "500 Ws battery head, 150 cm octa, eighth warm gel", Kind: Flash,
				Colour: [3]float64{1.03, 1, 0.94}, Bodies: []Body{key},
				Stand: &Stand{At: [2]float64{4.62, 1.2}, Radius: 0.42}, Dial: "1/8 + 0.2", Feed: "battery",
				Field: field(key, 3, 2.2)},
			{Role: "Fill", Words: "500 Ws battery head, 60×90 softbox, no gel", Kind: Flash,
				Colour: [3]float64{0.93, 1, 1.10}, Bodies: []Body{fill},
				Stand: &Stand{At: [2]float64{5.85, 3.22}, Radius: 0.42}, Dial: "1/16 + 0.7", Feed: "battery",
				Field: field(fill, 1.6, 2.2)},
			{Role: "Edge", Words: "100 Ws accent head, 10° grid, half warm gel", Kind: Flash,
				Colour: [3]float64{1.28, 0.98, 0.64}, Bodies: []Body{edge},
				Stand: &Stand{At: [2]float64{1.72, 3.22}, Radius: 0.42}, Dial: "1/1", Feed: "battery",
				Field: field(edge, 16, 60)},
			{Role: "Background", Words: "RGB panel 300 W, bare face, set to coral", Kind: Continuous,
				Colour: [3]float64{1.30, 0.47, 0.32}, Bodies: []Body{back},
				Stand: &Stand{At: [2]float64{1.55, 1.42}, Radius: 0.2}, Dial: "71 %", Feed: "outlet A, 8 m lead",
				Field: field(back, 0.35, 2)},
			{Role: "Practical", Words: "ceiling tubes, 2 × 36 W, bare", Kind: Continuous,
				Colour: [3]float64{1.04, 1.06, 0.72}, Bodies: []Body{tube1, tube2}, Where: "ceiling",
				Dial: "as found", Fixed: true},
			{Role: "Window", Words: "street window 1.70 × 1.40, clear glass", Kind: Daylight,
				Colour: [3]float64{0.60, 0.84, 1.36}, Where: "far wall", Dial: "17:22", Fixed: true,
				Field: field(win, 0.30, 1)},
		},
		Panels: []Panel{
			{Kind: Silk, Name: "silk", At: geom.V(5.1, 2.85, 1.5), Normal: geom.V(-1, -0.55, 0), Width: 1.2,
				Height: 1.2},
			{Kind: Reflector, Name: "reflector", At: geom.V(3.65, 2.85, 1.1), Normal: geom.V(-0.15, -1, 0),
				Width: 1.0, Height: 1.0},
			{Kind: Flag, Name: "flag", At: geom.V(2.45, 2.9, 2.0), Normal: geom.V(-0.9, 0.4, 0), Width: 0.6,
				Height: 0.45},
		},
		Readings: []Reading{
			{Point: "Face, key side", N: 4.29, Over: 1.1, HasOver: true},
			{Point: "Face, shadow side", N: 2, Over: -1.1, HasOver: true},
			{Point: "Hair, edge", N: 4.44, Over: 0.2, HasOver: true},
			{Point: "Coat, shadow", N: 3.61, Over: -1.8, HasOver: true, Sigma: 0.4},
			{Point: "Background left", N: 1.93, Over: -0.7, HasOver: true},
			{Point: "Machine door", N: 1.19, Over: -2.8, HasOver: true},
			{Point: "Window sky", N: 4.29, Over: 0.2, HasOver: true},
			{Point: "Floor, front", N: 2.64, Over: -1.1, HasOver: true},
		},
		ContourHeight: 1.62, ContourOf: "the key at the face",
		Exposure: Exposure{ISO: 400, Shutter: "1/125", Aperture: 4, WhiteBalance: 4800, FocalMM: 48, LensHeight: 1.42,
			Distance: 2.23, Sharp: 0.52, Sync: "wired"},
		Picture: dusk(), Remarks: []string{"Hair edge 1.3 short of the wish, taken as is.",
			"Window falls 1 stop each 5 min: wide first, before 17:24.",
			"Sky under f/2.8: longer shutter, not a wider lens."},
		Cautions: []string{"Octa clears the ceiling by 0.06, the upstand by 0.11.",
			"Key stand stands in the walkway: tape it, 10 kg bag.", "Edge boom 2.30: sprinkler 0.31 away.",
			"Outlet A is on the fuse of machines 6 to 8: ask the venue."},
		Origin: []string{"x from the window wall, y from the machines’ wall, metres."},
		Meter:  []string{"K 12.5, C 250 flat receptor; readings of flash with the shutter at 1/125."},
		North:  &north,
		Title: TitleBlock{Shoot: "Launderette at dusk", Setup: "Aisle", Subtitle: "Standing, three-quarter length",
			For: "17:22, 25 Nov", Revision: "C, 17:01", Sheet: 1, Of: 3},
	}
}

func windowBench() Plan {
	p := aisle()
	p.Title.Setup, p.Title.Sheet, p.Title.Subtitle, p.Title.For = "Window bench", 2, "Seated, half length",
		"17:41, 25 Nov"
	p.Sitters = []Sitter{{At: [2]float64{0.55, 2.1}, Facing: 0.2, Stature: 1.70, Pose: PoseSeated, Seat: 0.45}}
	p.Camera = &Camera{At: geom.V(3.3, 2.6, 1.15), Aim: geom.V(0.6, 2.1, 1.05), HalfWidth: math.Atan(12.0 / 85),
		HalfHeight: math.Atan(18.0 / 85), Near: 2.6, Far: 2.95, FootR: 0.35}
	face := geom.V(0.6, 2.1, 1.2)
	soft := Body{At: geom.V(1.7, 3.0, 1.75), Aim: face, Shape: Rectangle, Width: 0.9, Height: 0.6, Depth: 0.3}
	p.Lights[0].Bodies, p.Lights[0].Stand = []Body{soft}, &Stand{At: [2]float64{1.8, 3.05}, Radius: 0.42}
	p.Lights[0].Words = "500 Ws battery head, 60×90 softbox, half warm gel"
	p.Lights[0].Field = glow(soft, 2, 2.2, 0, 0, 7.2, 3.8, 1.2, 1.1)
	p.Lights[2].Bodies[0].Aim = face
	p.Lights[2].Bodies[0].At = geom.V(0.5, 0.95, 2.2)
	p.Lights[2].Stand = &Stand{At: [2]float64{1.05, 0.95}, Radius: 0.42, Top: 2.35}
	p.Lights[2].Field = nil
	p.Lights = append(p.Lights[:1], p.Lights[2:]...)
	p.Panels = p.Panels[1:2]
	p.Panels[0].At = geom.V(1.3, 1.5, 0.9)
	p.Panels[0].Normal = geom.V(-1, 0.8, 0)
	p.ContourHeight = 1.2
	return p
}

func foldingTable() Plan {
	p := aisle()
	p.Title.Setup, p.Title.Sheet, p.Title.Subtitle, p.Title.For = "Folding table", 3, "Leaning, full length",
		"18:05, 25 Nov"
	p.Sitters = []Sitter{{At: [2]float64{3.5, 2.9}, Facing: -1.3, Stature: 1.70, Pose: PoseLeaning}}
	p.Camera = &Camera{At: geom.V(3.05, 1.0, 1.42), Aim: geom.V(3.5, 2.9, 1.0), HalfWidth: math.Atan(12.0 / 35),
		HalfHeight: math.Atan(18.0 / 35), Near: 1.9, Far: 2.7}
	p.Exposure.Distance, p.Exposure.FocalMM = 1.95, 35
	face := geom.V(3.5, 2.9, 1.55)
	for i := range p.Lights[:3] {
		b := &p.Lights[i].Bodies[0]
		b.Aim = face
	}
	p.Lights[0].Field = glow(p.Lights[0].Bodies[0], 3, 2.2, 0, 0, 7.2, 3.8, 1.62, 1.0)
	p.Lights[1].Field, p.Lights[2].Field = nil, nil
	p.Panels = nil
	p.Lights = p.Lights[:5]
	p.Picture = nil
	return p
}

// dusk is a stand-in for the predicted picture.
func dusk() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 200, 300))
	for y := 0; y < 300; y++ {
		for x := 0; x < 200; x++ {
			c := color.RGBA{uint8(150 - y/4), uint8(110 - y/5), uint8(100 - y/6), 255}
			if x > 120 && y > 40 && y < 130 {
				c = color.RGBA{70, 110, uint8(170 - y/3), 255}
			}
			dx, dy := float64(x-95)/22, float64(y-70)/28
			if dx*dx+dy*dy < 1 {
				c = color.RGBA{205, 165, 140, 255}
			}
			if bx := math.Abs(float64(x-95)) / (20 + float64(y-100)/4); y > 100 && bx < 1 {
				c = color.RGBA{45, 48, 60, 255}
			}
			m.Set(x, y, c)
		}
	}
	return m
}

var _ = quantity.FNumber(0)
