package render

import (
	"math"

	"halfstop/meter"
	"halfstop/picture"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// LensOf gives the camera of a stage to trace. The stage must have a View.
func LensOf(s *stage.Stage, cam meter.Camera) trace.Lens {
	v := s.View
	f, d := float64(v.Lens), float64(v.Focus)
	img := f
	if d > f*1.001 {
		img = f * d / (d - f)
	}
	l := trace.Lens{At: v.At, Right: v.Right, Up: v.Up, Axis: v.Axis, Width: float64(v.Format.Width),
		Height: float64(v.Format.Height),
		Image:  img, Focus: d, Radius: f / float64(cam.Aperture) / 2, Blades: v.Set.Blades,
		ShiftX: float64(v.Set.Shift[0]), ShiftY: float64(v.Set.Shift[1])}
	if v.Set.Falloff {
		l.Rim = max(f/rimNumber/2, l.Radius)
		l.RimShift = rimShift * l.Rim / (math.Hypot(l.Width, l.Height) / 2)
	}
	return l
}

// The barrel of an uncorrected lens: its rims are as wide as an opening of f/1.8, and stand so far
// from it that wide open the corner of the frame gets 0.42 of the middle's light, 1.25 stops less;
// two stops down nothing is clipped. Common practice, no source. Check: TestRim of trace.
const rimNumber, rimShift = 1.8, 0.475

// fitLens narrows a lens's sensor to the shape of width × height pixels, about its middle, and
// reports whether anything worth telling (over 1 %) was cut off. Pixels stay square.
func fitLens(lens *trace.Lens, width, height int) bool {
	shape := float64(width) / float64(height)
	was := lens.Width / lens.Height
	if shape > was {
		lens.Height = lens.Width / shape
	} else {
		lens.Width = lens.Height * shape
	}
	return math.Abs(math.Log(shape/was)) > 0.01
}

// cropLens narrows a lens to a part of its frame (x0, y0, x1, y1 as shares from the top left) and
// gives the pixels that the part takes.
func cropLens(l *trace.Lens, c [4]float64, w, h int) (int, int) {
	px, py := max(1, int(math.Round((c[2]-c[0])*float64(w)))), max(1, int(math.Round((c[3]-c[1])*float64(h))))
	l.ShiftX += ((c[0]+c[2])/2 - 0.5) * l.Width
	l.ShiftY += (0.5 - (c[1]+c[3])/2) * l.Height
	l.Width *= c[2] - c[0]
	l.Height *= c[3] - c[1]
	return px, py
}

// MixOf weighs the layers of a stage by their settings and the camera's; solo 0 or more mutes all
// others.
func MixOf(s *stage.Stage, cam meter.Camera, solo int) picture.Mix {
	n := float64(cam.Aperture)
	lens := cam.LensFactor() / (n * n)
	m := picture.Mix{White: s.White, Exposure: 0.18 * lens * float64(cam.ISO) / 10}
	for i, l := range s.Layers {
		m.Folds = append(m.Folds, l.Fold)
		w := l.K * float64(cam.Shutter)
		if l.Flash {
			w = l.K * cam.Lit()
		}
		if solo >= 0 && i != solo {
			w = 0
		}
		m.Weight = append(m.Weight, w)
	}
	return m
}

// RenderingOf gives how a stage's picture is printed.
func RenderingOf(s *stage.Stage) picture.Rendering {
	p := s.Setup.Picture
	if p == nil {
		return picture.Standard(0)
	}
	r := picture.Standard(p.Contrast)
	switch p.Rendering {
	case "flat":
		r = picture.Plain()
	case "linear":
		r = picture.Straight()
	}
	r.Glare = float64(p.Glare)
	return r
}

// falloff darkens a picture towards its corners where the camera asks for it.
func (f *Frame) falloff(px []spectrum.XYZ) []spectrum.XYZ {
	v := f.Stage.View
	if v == nil || !v.Set.Falloff {
		return px
	}
	lens := LensOf(f.Stage, meter.CameraOf(f.Stage))
	if f.crop != ([4]float64{}) {
		cropLens(&lens, f.crop, f.Film.W, f.Film.H)
	}
	falloff(px, f.Film.W, f.Film.H, &lens)
	return px
}

// falloff scales a picture by the fourth power of the cosine off the axis and by what the lens's
// rims leave open (mechanical vignetting). Both depend on the distance from the axis alone; the
// latter takes a sum, so it is taken at even distances and drawn straight between them, within
// 0.001 of itself. Check: TestFalloff.
func falloff(px []spectrum.XYZ, w, h int, lens *trace.Lens) {
	const steps = 512
	far := math.Hypot(lens.Width/2+math.Abs(lens.ShiftX), lens.Height/2+math.Abs(lens.ShiftY))
	if !(far > 0 && far <= math.MaxFloat64) {
		return
	}
	var open [steps + 2]float64
	for i := range open {
		open[i] = lens.Vignetting((far*float64(i)/steps-lens.ShiftX)/lens.Width+0.5, 0.5+lens.ShiftY/lens.Height)
	}
	picture.EachRow(h, func(row int) {
		y := (0.5-(float64(row)+0.5)/float64(h))*lens.Height + lens.ShiftY
		for col := range w {
			x := ((float64(col)+0.5)/float64(w)-0.5)*lens.Width + lens.ShiftX
			off := x*x + y*y
			c := 1 / (1 + off/(lens.Image*lens.Image)) // squared cosine of the angle off the axis
			d := math.Sqrt(off) / far * steps
			i := int(d)
			k := c * c * (open[i] + (open[i+1]-open[i])*(d-float64(i)))
			p := &px[row*w+col]
			p.X *= k
			p.Y *= k
			p.Z *= k
		}
	})
}
