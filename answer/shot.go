package answer

import (
	"math"

	"halfstop/meter"
	"halfstop/optics"
	"halfstop/picture"
	q "halfstop/quantity"
	"halfstop/spectrum"
	"halfstop/trace"
)

// cropLens narrows a lens to a part of its frame and gives the pixels that the part takes.
func cropLens(l *trace.Lens, c [4]float64, w, h int) (int, int) {
	px, py := max(1, int(math.Round((c[2]-c[0])*float64(w)))), max(1, int(math.Round((c[3]-c[1])*float64(h))))
	l.ShiftX += ((c[0]+c[2])/2 - 0.5) * l.Width
	l.ShiftY += (0.5 - (c[1]+c[3])/2) * l.Height
	l.Width *= c[2] - c[0]
	l.Height *= c[3] - c[1]
	return px, py
}

// Linear mixes the picture, or with light 0 or more only that layer, on the scale where mid-grey is 0.18.
func (f *Framed) Linear(light int) []spectrum.XYZ {
	if f.clean != nil {
		return f.dim(f.mixClean(light))
	}
	m := f.Mix
	if light >= 0 {
		m.Weight = make([]float64, len(f.Mix.Weight))
		m.Weight[light] = f.Mix.Weight[light]
	}
	return f.dim(picture.Linear(f.Film, &m))
}

// Range is where the sensor ends at the camera's sensitivity.
func (f *Framed) Range() picture.Range {
	cam := meter.CameraOf(f.Stage)
	return picture.Range{Floor: float64(cam.Sensor.Floor(cam.ISO, 1)), Clip: float64(cam.Sensor.Clip(cam.ISO))}
}

// Grain adds the sensor's noise; photosites is how many million the sensor has.
func (f *Framed) Grain(px []spectrum.XYZ, seed uint64, photosites float64) []spectrum.XYZ {
	cam := meter.CameraOf(f.Stage)
	sensor := optics.Sensor{FullWell: cam.Sensor.FullWell, ReadNoise: cam.Sensor.ReadNoise}
	return picture.Grain(px, seed, photosites*1e6/float64(f.Film.W*f.Film.H), func(level float64) float64 {
		return sensor.SNR(q.Stops(level), cam.ISO)
	})
}

// dim darkens towards the corners by the fourth power of the cosine and by what the lens's rim hides, where the camera says so.
func (f *Framed) dim(px []spectrum.XYZ) []spectrum.XYZ {
	v := f.Stage.View
	if v == nil || !v.Set.Falloff {
		return px
	}
	lens := LensOf(f.Stage, meter.CameraOf(f.Stage))
	if f.crop != ([4]float64{}) {
		cropLens(&lens, f.crop, f.Film.W, f.Film.H)
	}
	dim(px, f.Film.W, f.Film.H, &lens)
	return px
}

// dim scales a picture by the fourth power of the cosine and by what the lens's rims leave open. Both depend on the distance from the axis
// alone; the latter takes a sum, so it is taken at even distances and drawn straight between them, within 0.001 of itself: TestDim.
func dim(px []spectrum.XYZ, w, h int, lens *trace.Lens) {
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
