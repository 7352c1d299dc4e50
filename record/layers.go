package record

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
	"halfstop/stage"
)

// Layers says how the picture is kept, light by light.
type Layers struct {
	File    string   `yaml:"file" need:"true"`
	Width   int      `yaml:"width" need:"true"`
	Height  int      `yaml:"height" need:"true"`
	Samples int      `yaml:"samples a pixel"`
	Lights  []string `yaml:"lights" need:"true"` // in the order of the stage
	Plates  []string `yaml:"plates" need:"true"` // their layers' names in the file
	Bits    int      `yaml:"bits of the mantissa"`
	Within  float64  `yaml:"each number within"` // a share of itself, by the rounding
}

// Most is the size that the layers of a setup may take, bytes.
const Most = 3_000_000

// leastBits of a mantissa is how coarse a layer may be: 2^-5, 0.05 stops, to the next number.
const leastBits = 4

// Pack writes the layers of a denoised frame as an OpenEXR file of half floats that is not larger
// than most bytes: by rounding the numbers, and where that is not enough at half the size in
// pixels, again and again. Layers has no File yet. Check: TestRemixed.
func Pack(f *render.Frame, most int) ([]byte, *Layers, error) {
	if !f.Denoised() {
		return nil, nil, errors.New("only a picture that was cleaned can be kept")
	}
	l := &Layers{Width: f.Film.W, Height: f.Film.H, Samples: f.Samples}
	var plates []picture.Plate
	taken := map[string]bool{}
	for k := range f.Stage.Layers {
		name := f.Stage.Layers[k].Name
		plate := picture.PlateName(name)
		for n := 2; taken[strings.ToLower(plate)]; n++ {
			plate = fmt.Sprintf("%s %d", picture.PlateName(name), n)
		}
		taken[strings.ToLower(plate)] = true
		l.Lights, l.Plates = append(l.Lights, name), append(l.Plates, plate)
		scale := f.Mix.Weight[k] * f.Mix.Exposure
		px := make([][3]float32, f.Film.W*f.Film.H)
		for i, c := range f.Unit(k) {
			t := spectrum.XYZ{X: float64(c[0]) * scale, Y: float64(c[1]) * scale, Z: float64(c[2]) * scale}
			for b, v := range spectrum.SRGB.Linear(t) {
				px[i][b] = float32(v)
			}
		}
		plates = append(plates, picture.Plate{Name: plate, RGB: px})
	}
	if len(plates) == 0 {
		return nil, nil, errors.New("no light burns in this setup: there is nothing to keep")
	}
	for {
		for bits := 10; bits >= leastBits; bits-- {
			data, err := picture.HalfEXR(l.Width, l.Height, plates, f.Stage.White.XY(), bits)
			if err != nil {
				return nil, nil, err
			}
			if len(data) <= most {
				l.Bits, l.Within = bits, math.Exp2(-float64(bits)-1)
				return data, l, nil
			}
			if len(data) > 2*most && bits > 6 {
				bits = 6 + 1 // each bit is worth a tenth or so: far too large
			}
		}
		if l.Width < 32 || l.Height < 32 {
			return nil, nil, fmt.Errorf("%d layers cannot be kept in %d bytes", len(plates), most)
		}
		for k := range plates {
			plates[k].RGB = halved(plates[k].RGB, l.Width, l.Height)
		}
		l.Width, l.Height = l.Width/2, l.Height/2
	}
}

// halved gives a picture at half its size: means of two by two.
func halved(px [][3]float32, w, h int) [][3]float32 {
	out := make([][3]float32, (w/2)*(h/2))
	for y := range h / 2 {
		for x := range w / 2 {
			for b := range 3 {
				i := 2*y*w + 2*x
				out[y*(w/2)+x][b] = (px[i][b] + px[i+1][b] + px[i+w][b] + px[i+w+1][b]) / 4
			}
		}
	}
	return out
}

// Unpack reads kept layers: the frame of the setup as recorded, s its stage. Check: TestRemixed.
func (l *Layers) Unpack(data []byte, s *stage.Stage) (*render.Frame, error) {
	w, h, plates, err := picture.ReadEXR(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", l.File, err)
	}
	if w != l.Width || h != l.Height || len(l.Lights) != len(l.Plates) {
		return nil, fmt.Errorf("%s is a picture of %d × %d; the record says %d × %d", l.File, w, h, l.Width, l.Height)
	}
	if len(l.Lights) != len(s.Layers) {
		return nil, fmt.Errorf("%s has %d lights and the setup %d", l.File, len(l.Lights), len(s.Layers))
	}
	f := render.Restore(s, w, h, l.Samples, make([][][3]float32, len(s.Layers)))
	layers := make([][][3]float32, len(s.Layers))
	for k, name := range l.Plates {
		if l.Lights[k] != s.Layers[k].Name {
			return nil, fmt.Errorf("light %d is %q in the layers and %q in the setup", k+1, l.Lights[k],
				s.Layers[k].Name)
		}
		found := false
		for i := range plates {
			if plates[i].Name == name {
				layers[k], found = unit(plates[i].RGB, f.Mix.Weight[k]*f.Mix.Exposure), true
			}
		}
		if !found {
			return nil, fmt.Errorf("%s has no layer %q", l.File, name)
		}
	}
	return render.Restore(s, w, h, l.Samples, layers), nil
}

// unit turns linear sRGB at a setting into XYZ per unit setting.
func unit(px [][3]float32, scale float64) [][3]float32 {
	out := make([][3]float32, len(px))
	if !(scale > 0) {
		return out
	}
	for i, c := range px {
		t := spectrum.SRGB.XYZ([3]float64{float64(c[0]), float64(c[1]), float64(c[2])})
		out[i] = [3]float32{float32(t.X / scale), float32(t.Y / scale), float32(t.Z / scale)}
	}
	return out
}

// Remix mixes the layers of a recorded frame under the settings of another stage of the same
// setup, in which lights may be switched off. The error says what of it is not only another
// setting, so that it must be traced.
func Remix(f *render.Frame, now *stage.Stage) (*render.Frame, error) {
	was, lit := f.Stage, now
	if len(was.Layers) != len(now.Layers) { // held against the recorded one with the same lights on
		set := *now.Setup
		if len(set.Lights) != len(was.Setup.Lights) {
			return nil, errors.New("a light was added or taken away")
		}
		set.Lights = slices.Clone(set.Lights)
		for i := range set.Lights {
			set.Lights[i].Off = was.Setup.Lights[i].Off
		}
		set.Off = was.Setup.Off
		if lit = now.With(&set); lit == nil || len(lit.Layers) != len(was.Layers) {
			return nil, errors.New("a light burns that did not when it was recorded")
		}
	}
	switch {
	case was.Keys.Place != lit.Keys.Place:
		return nil, errors.New("the place, the sitter, a panel or a light of the house is another")
	case was.Keys.View != lit.Keys.View || was.View.Mirror == nil != (lit.View.Mirror == nil):
		return nil, errors.New("the camera stands or looks otherwise")
	case was.Keys.Colours != lit.Keys.Colours:
		return nil, errors.New("a light has another colour or gel")
	}
	for i := range was.Keys.Lights {
		if i >= len(lit.Keys.Lights) || was.Keys.Lights[i] != lit.Keys.Lights[i] {
			return nil, fmt.Errorf("%s stands or is built otherwise", was.Setup.Lights[i].Name)
		}
	}
	var layers [][][3]float32
	for k := range now.Layers {
		i := was.LayerNamed(now.Layers[k].Name)
		if i < 0 {
			return nil, fmt.Errorf("%s was not recorded", now.Layers[k].Name)
		}
		layers = append(layers, f.Unit(i))
	}
	return render.Restore(now, f.Film.W, f.Film.H, f.Samples, layers), nil
}
