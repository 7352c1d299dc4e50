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
	for i := range px {
		x := ((float64(i%f.Film.W)+0.5)/float64(f.Film.W)-0.5)*lens.Width + lens.ShiftX
		y := (0.5-(float64(i/f.Film.W)+0.5)/float64(f.Film.H))*lens.Height + lens.ShiftY
		k := optics.Cos4(q.Degrees(math.Atan(math.Hypot(x, y)/lens.Image) * 180 / math.Pi))
		k *= lens.Open((float64(i%f.Film.W)+0.5)/float64(f.Film.W), (float64(i/f.Film.W)+0.5)/float64(f.Film.H))
		px[i].X *= k
		px[i].Y *= k
		px[i].Z *= k
	}
	return px
}
