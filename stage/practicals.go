package stage

import (
	"context"
	"encoding/json"
	"fmt"
	"math"

	"halfstop/content"
	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// practicalError is one standard deviation of a practical's level in stops: a reading taken in
// passing, or a label (common practice, no source).
const practicalError = 0.3

// practicals builds the lights that belong to the place.
func (s *Stage) practicals() {
	for i := range s.Shoot.Room.Practicals {
		p := &s.Shoot.Room.Practicals[i]
		path := fmt.Sprintf("room.practicals[%d]", i)
		if p.Off || s.off(p.Name) {
			continue
		}
		sp := s.practicalColour(p, path)
		dim, dimmed := s.dimmed(p.Name)
		if k, _ := kind.FindPractical(p.Kind); dimmed && k.Filament {
			sp = redder(sp, dim)
		}
		layer := s.addLayer(Layer{Name: p.Name, Role: "practical", Kind: Practical, Spectrum: sp, K: 1, Light: -1,
			Mains: p.Mains, Path: path, Uncertainty: practicalError})
		s.practical(layer, p, path)
		if r := p.Reads; r != nil && r.At != nil {
			s.Layers[layer].K = s.asFound(i, path)
		}
		if dimmed {
			s.Layers[layer].K *= dim
		}
		s.Layers[layer].Flicker = flickerOf(p)
	}
}

// practicalColour is the colour of a practical: as written, else what is usual for its kind, else
// illuminant A's.
func (s *Stage) practicalColour(p *shoot.Practical, path string) spectrum.Curve {
	usual := spectrum.White(2856)
	if k, ok := kind.FindPractical(p.Kind); ok {
		var kelvin float64
		if _, err := fmt.Sscanf(k.Colour, "%g K", &kelvin); err == nil {
			usual = spectrum.White(kelvin)
		} else if c, err := spectrum.Lamp(k.Colour); err == nil {
			usual = c
		}
	}
	return s.light(p.Colour, usual, path+".colour")
}

// dimmed is what is left of a practical's light in this setup.
func (s *Stage) dimmed(name string) (float64, bool) {
	for n, share := range s.Setup.Dim {
		if equal(trimPrefixes(n, "practicals."), name) {
			return float64(share), true
		}
	}
	return 1, false
}

// filamentExponent is by how much a filament's temperature falls with its light: light goes as the
// voltage to the 3.4, colour temperature as the voltage to the 0.42. Source: IES Lighting Handbook,
// from memory. Check: TestDimmedFilament.
const filamentExponent = 0.42 / 3.4

// DimmedKelvin is the colour temperature of a filament of t kelvin at this share of the light that
// it gives there.
func DimmedKelvin(t, share float64) float64 { return max(900, t*math.Pow(share, filamentExponent)) }

// redder is the light of a filament that gives this share of its full light: the black bodies of
// the two temperatures give the ratio.
func redder(full spectrum.Curve, share float64) spectrum.Curve {
	t, _, ok := spectrum.CCTOhno2013(full.XY())
	if !ok || share <= 0 || share >= 1 {
		return full
	}
	hot, cool := spectrum.Planck(t), spectrum.Planck(DimmedKelvin(t, share))
	out := full.Scale(1)
	for i := range out.V {
		nm := out.Start + float64(i)*out.Step
		if h := hot.At(nm); h > 0 {
			out.V[i] *= cool.At(nm) / h
		}
	}
	return out
}

// Flicker is how a light swings.
type Flicker struct {
	Hertz  float64 // of the swing; 0: steady
	Ripple float64 // share of the light that swings
}

func flickerOf(p *shoot.Practical) Flicker {
	switch k, ok := kind.FindPractical(p.Kind); {
	case p.PWM > 0:
		return Flicker{float64(p.PWM), 1}
	case p.Mains > 0 && ok && k.Ripple > 0:
		return Flicker{2 * float64(p.Mains), k.Ripple}
	case p.Mains > 0:
		return Flicker{2 * float64(p.Mains), 1}
	}
	return Flicker{}
}

// practical adds a practical, or the field of them that it stands for, to a layer.
func (s *Stage) practical(layer int, p *shoot.Practical, path string) {
	e := shoot.Emitter{Shape: "point", Photometry: p.Photometry}
	switch {
	case len(p.Path) >= 2:
		if pathLength(corners3(p.Path)) <= 0 || p.Diameter <= 0 {
			s.problem(diag.Error, "stage.size", path+".path", "give two corners that differ",
				"the tube %s has no length or no thickness", p.Name)
			return
		}
		e = shoot.Emitter{Shape: "tube", Path: p.Path, Size: []q.Metres{p.Diameter}}
		if p.Flux == 0 && p.Watts == 0 && p.Reads == nil {
			s.problem(diag.Error, "stage.level", path, "add reads: {lux: …, from: 1 m} or flux:",
				"the level of the practical %s is not known", p.Name)
			return
		}
	case p.Emitter != nil:
		e = *p.Emitter
		if p.At == nil && len(e.Path) == 0 {
			s.problem(diag.Error, "stage.no-place", path, "add at: [x, y, z]", "the practical %s has no place", p.Name)
			return
		}
	case p.Photometry == "":
		s.problem(diag.Error, "stage.practical", path, "add path: of a tube, emitter: or photometry:",
			"the practical %s has no shape", p.Name)
		return
	}
	at := geom.Vec{}
	if p.At != nil {
		at = vec3(*p.At)
	}
	f := s.practicalFrame(p, at, path)
	switch k, ok := kind.FindPractical(p.Kind); {
	case p.Flux > 0:
		e.Flux = shoot.Amount{Value: float64(p.Flux)}
	case p.Watts > 0 && ok && k.PerWatt > 0:
		e.Flux = shoot.Amount{Value: float64(p.Watts) * k.PerWatt}
	case p.Watts > 0:
		s.problem(diag.Error, "stage.watts", path+".watts",
			"write flux in lm, or kind: one of "+oneOf(kind.PracticalWords()),
			"how much light %s gives for its watts is not known", p.Name)
		return
	case k.Flux > 0 && p.Reads == nil && e.Photometry == "" && !e.Luminance.Set() && !e.Intensity.Set() &&
		!e.Flux.Set():
		e.Flux = shoot.Amount{Value: k.Flux}
	}
	if p.Reads != nil {
		// The reading fixes the level: build it at luminance (or intensity) 1 first, then scale the
		// layer.
		e.Luminance, e.Intensity, e.Flux = shoot.Amount{Value: 1}, shoot.Amount{}, shoot.Amount{}
		if e.Shape == "point" {
			e.Luminance, e.Intensity = shoot.Amount{}, shoot.Amount{Value: 1}
		}
	}
	epath := path
	if p.Emitter != nil {
		epath += ".emitter"
	}
	var bodies []Body
	for _, o := range p.Repeat.Offsets() {
		one := e
		one.Path = nil
		for _, c := range e.Path {
			one.Path = append(one.Path, [3]q.Metres{c[0] + q.Metres(o[0]), c[1] + q.Metres(o[1]), c[2]})
		}
		b := s.emitter(layer, &one, at.Add(geom.V(o[0], o[1], 0)), f, epath)
		if b == nil {
			return // told already, and of each the same
		}
		bodies = append(bodies, b...)
	}
	s.Layers[layer].Bodies = bodies
	if p.Reads != nil && p.Reads.At == nil {
		axis := f.N
		if len(p.Path) >= 2 { // square to the middle of the tube, where there is room
			var along geom.Vec
			at, along = middle(corners3(p.Path))
			axis = s.freeSide(at, along)
		}
		s.Layers[layer].K = s.scaleToReading(layer, p.Reads, at, axis, path+".reads")
	}
}

// scaleToReading gives the factor that makes a layer built at unit level read as stated on its
// axis, unobstructed.
func (s *Stage) scaleToReading(layer int, r *shoot.Reads, at, axis geom.Vec, path string) float64 {
	if r.Receptor == "spot" {
		// A spot reading of the light itself: N²/t = L·S/K.
		n, t, iso := float64(r.FNumber.N), float64(r.Shutter), float64(r.ISO)
		return n * n / t * s.Shoot.House.K / iso
	}
	want := readingLux(r, s.Shoot.House.FlatC, s.Shoot.House.DomeC)
	from := float64(r.From)
	if want <= 0 || from <= 0 {
		s.problem(diag.Error, "stage.reads", path, "give f-number with shutter and iso, or lux, and from",
			"the reading does not say how much light, or from where")
		return 0
	}
	// 'from' counts from its face, which of a ball stands before its centre.
	if b := s.Layers[layer].Bodies; len(b) > 0 && b[0].Shape == "sphere" {
		from += b[0].Width / 2
	}
	x := at.AddMul(axis, from)
	var key content.Hash
	key.Keys(s.Scene.EmitterKey(layer))
	key.Floats(s.Scene.Flux(layer), x.X, x.Y, x.Z, axis.X, axis.Y, axis.Z)
	key.Bool(r.Receptor == "dome")
	sum := s.number(key.Key(), func() (sum float64) {
		for _, e := range s.Scene.Emitters {
			if e.Layer == layer {
				sum += e.Direct(x, axis.Neg(), r.Receptor == "dome")
			}
		}
		return
	})
	if sum <= 0 {
		s.problem(diag.Error, "stage.reads", path, "",
			"this light gives nothing on its axis, so the reading cannot fix its level")
		return 0
	}
	return want / sum
}

// asFoundError is the relative error to which the light at a reading's place is traced: a tenth of
// what a reading is good for.
const asFoundError = 0.007

// asFound gives the factor that makes practical i, built at unit level, read as stated at a place
// of the room as it is found: walls, furniture and the panes of its windows, nobody there, nothing
// else burning. What comes by the walls counts. It is traced with a seed of its own, so that it is
// the same in every setup, and remembered by the text of the room.
func (s *Stage) asFound(i int, path string) float64 {
	p := &s.Shoot.Room.Practicals[i]
	r := p.Reads
	want := readingLux(r, s.Shoot.House.FlatC, s.Shoot.House.DomeC)
	if want <= 0 {
		s.problem(diag.Error, "stage.reads", path+".reads", "give f-number with shutter and iso, or lux",
			"the reading does not say how much light")
		return 0
	}
	key := ""
	if text, err := json.Marshal([]any{s.Shoot.Room, s.Shoot.Kit.Surfaces, i}); err == nil {
		key = string(text)
		if s.before != nil {
			if k, ok := s.before.found[key]; ok {
				s.remember(key, k)
				return want / k
			}
		}
	}
	m := &Stage{Shoot: s.Shoot, Setup: &shoot.Setup{}, Index: s.Index, Scene: trace.New(),
		opt: Options{Files: s.opt.Files, Bare: true}, mats: map[string]int{}, kit: s.kit}
	for _, w := range s.Shoot.Room.Windows {
		m.Setup.Off = append(m.Setup.Off, w.Name)
	}
	m.room()
	m.fittings()
	m.objects(m.Shoot.Room.Objects, "")
	m.windows()
	layer := m.addLayer(Layer{Name: p.Name, Spectrum: s.practicalColour(p, path), K: 1})
	m.practical(layer, p, "")
	if m.list.Has(diag.Error) || m.Scene.Prepare() != nil {
		return 0 // the room itself cannot be built, which is told where it is built
	}
	at := vec3(*r.At)
	rec := trace.Receptor{Kind: trace.Flat, At: at, Facing: m.towards(layer, at)}
	if r.Facing.Set() {
		rec.Facing = m.direction(r.Facing, at, rec.Facing, "")
	}
	if r.Receptor == "dome" {
		rec.Kind = trace.Dome
	}
	lux := func(t trace.Band) float64 { return m.Layers[layer].Fold.Apply(&t)[1] }
	wanted := func(_, done int, t *trace.Transport) int {
		mean, sq := 0.0, 0.0
		for k := range trace.Reps {
			v := lux(t.Parts[k][layer])
			mean, sq = mean+v/trace.Reps, sq+v*v/trace.Reps
		}
		if mean > 0 && math.Sqrt(max(0, sq-mean*mean)/(trace.Reps-1)) < asFoundError*mean {
			return done
		}
		return 2 * done
	}
	out, err := m.Scene.Measure(context.Background(), []trace.Receptor{rec}, trace.MeasureOptions{Seed: 1, Start: 32,
		Most: 2048, Wanted: wanted})
	if err != nil {
		return 0
	}
	got := lux(out[0].Total(layer))
	if !(got > 0) {
		s.problem(diag.Error, "stage.reads", path+".reads.at",
			"hold the meter where the light reaches, and say where it faced",
			"no light of %s comes to %s, so the reading there cannot fix its level", p.Name, xyz(at))
		return 0
	}
	s.remember(key, got)
	return want / got
}

// remember keeps the light at a reading's place for the next stage.
func (s *Stage) remember(key string, light float64) {
	if s.memo.found == nil {
		s.memo.found = map[string]float64{}
	}
	s.memo.found[key] = light
}

// towards is the direction from a place to the middle of a layer's bodies.
func (s *Stage) towards(layer int, at geom.Vec) geom.Vec {
	var c geom.Vec
	b := s.Layers[layer].Bodies
	for _, x := range b {
		c = c.AddMul(x.At.Sub(at), 1/float64(len(b)))
	}
	if c.Len2() < 1e-12 {
		return geom.V(0, 0, 1)
	}
	return c.Unit()
}

// practicalFrame aims a practical, down where nothing is said, and turns it: anticlockwise seen
// from behind it, along its aim.
func (s *Stage) practicalFrame(p *shoot.Practical, at geom.Vec, path string) geom.Frame {
	f := geom.UprightFrame(geom.V(0, 0, -1))
	if p.Aim != nil {
		f = frameTo(at, s.target(*p.Aim, at, path+".aim"))
	}
	return f.Roll(-float64(p.Turn) * deg)
}

func practicalCentre(p *shoot.Practical) geom.Vec {
	if len(p.Path) > 0 {
		b := geom.Empty()
		for _, c := range p.Path {
			b = b.Grow(vec3(c))
		}
		return b.Centre()
	}
	if p.At != nil {
		return vec3(*p.At)
	}
	return geom.Vec{}
}

// Illuminance gives what a reading says, in lux, at C of its receptor.
func readingLux(r *shoot.Reads, flatC, domeC float64) float64 {
	if r.Lux > 0 {
		return float64(r.Lux)
	}
	c := flatC
	if r.Receptor == "dome" {
		c = domeC
	}
	iso := float64(r.ISO)
	if iso == 0 {
		iso = 100
	}
	n := float64(r.FNumber.N)
	t := float64(r.Shutter)
	if t <= 0 || n <= 0 {
		return 0
	}
	return n * n / t * c / iso
}

// middle gives the point half way along a path and the direction there.
func middle(p []geom.Vec) (geom.Vec, geom.Vec) {
	half := pathLength(p) / 2
	for i := 1; i < len(p); i++ {
		l := p[i].Sub(p[i-1]).Len()
		if half <= l {
			return p[i-1].Lerp(p[i], half/l), p[i].Sub(p[i-1]).Unit()
		}
		half -= l
	}
	return p[len(p)-1], geom.V(1, 0, 0)
}

// freeSide gives the direction across a tube in which there is most room: away from the nearest
// wall, or down from the ceiling.
func (s *Stage) freeSide(p, dir geom.Vec) geom.Vec {
	corners, z := Outline(&s.Shoot.Room)
	best, side := math.Inf(1), geom.FrameOf(dir).S
	try := func(dist float64, in geom.Vec) {
		in = in.AddMul(dir, -in.Dot(dir))
		if dist < best && in.Len() > 0.3 {
			best, side = dist, in.Unit()
		}
	}
	for n := 1; n <= len(corners); n++ {
		if a, _, _, in, ok := Wall(corners, n); ok {
			try(math.Abs(p.Sub(a).Dot(in)), in)
		}
	}
	if z > 0 {
		try(math.Abs(CeilingAt(&s.Shoot.Room, p.X, p.Y)-p.Z), geom.V(0, 0, -1))
		try(math.Abs(p.Z), geom.V(0, 0, 1))
	}
	return side
}
