package server

import (
	"fmt"
	"math"
	"strings"

	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/stage"
)

func cameraView(m *model, s *stage.Stage, setup string) *CameraView {
	c, cam, w := s.View, meter.CameraOf(s), s.Setup.Camera
	f := meter.FactsOf(s, cam, nil)
	path := setup + ".camera"
	lens := lensOf(s, &cam)
	v := &CameraView{Path: path, At: c.At.Array(), AtCount: len(w.At), Axis: c.Axis.Array(), Right: c.Right.Array(),
		Up: c.Up.Array(), AimName: w.Aim.Name, Sensor: w.Sensor, Upright: w.Upright,
		Width: float64(c.Format.Width), Height: float64(c.Format.Height), Lens: float64(c.Lens), Image: lens.Image,
		Focus: float64(c.Focus), Near: float64(f.Near),
		WhiteBalance: written(m.job.Doc, path+".white balance"), Sync: float64(w.Sync), SyncText: w.Sync.String(),
		Lit: cam.Lit(), Clip: float64(f.Clip), Floor: float64(f.Floor), Clean: float64(f.Clean),
		Exposure: exposureOf(s, &cam)}
	v.FocusText, v.Crop = written(m.job.Doc, path+".focus"), [4]float64{0, 0, 1, 1}
	if w.Crop != nil {
		v.Crop = *w.Crop
	}
	if v.WhiteBalance == "" {
		v.WhiteBalance = "5500 K"
	}
	aim := c.At.AddMul(c.Axis, max(0.3, float64(c.Focus)))
	v.Aim = aim.Array()
	if far := float64(f.Far); !math.IsInf(far, 0) {
		v.Far = &far
	}
	v.Aperture, v.Shutter, v.ISO = apertures(w.Aperture, path), shutters(w.Shutter, path), isos(w.ISO, path)
	return v
}

// series runs over third stops from lo to hi.
func apertures(now q.FNumber, path string) Dialled {
	d := Dialled{Text: "f/" + engravedF(now), Value: float64(now), Path: path + ".aperture", Steps: []DialValue{}}
	for third := range 3*10 + 1 { // f/1 to f/32
		n := q.FNumber(math.Exp2(float64(third) / 6))
		t, _ := n.Engraved()
		p, err := q.ParseFNumber("f/" + t)
		if err != nil {
			continue
		}
		d.Steps = append(d.Steps, DialValue{"f/" + t, float64(p), -2 * math.Log2(float64(p)/float64(now))})
	}
	return d
}

func engravedF(n q.FNumber) string {
	t, over := n.Engraved()
	if math.Abs(float64(over)) > 0.02 {
		return strings.TrimPrefix(n.String(), "f/")
	}
	return t
}

func shutters(now q.Seconds, path string) Dialled {
	d := Dialled{Text: now.String(), Value: float64(now), Path: path + ".shutter", Steps: []DialValue{}}
	last := ""
	for third := 0; third <= 3*15; third++ { // 4 s to 1/8000 s
		t, at, _ := q.Seconds(4 * math.Exp2(-float64(third)/3)).Engraved()
		if t == last {
			continue
		}
		last = t
		p, err := q.ParseSeconds(t)
		if err != nil {
			p = at
		}
		d.Steps = append(d.Steps, DialValue{t, float64(p), math.Log2(float64(p) / float64(now))})
	}
	return d
}

// isoSeries is the marked series of third stops, ISO 12232's rounding continued.
var isoSeries = []float64{50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500,
	3200, 4000, 5000, 6400, 8000, 10000, 12800, 16000, 20000, 25600}

func isos(now q.ISO, path string) Dialled {
	d := Dialled{Text: fmt.Sprintf("%g", float64(now)), Value: float64(now), Path: path + ".iso", Steps: []DialValue{}}
	for _, v := range isoSeries {
		d.Steps = append(d.Steps, DialValue{fmt.Sprintf("%g", v), v, math.Log2(v / float64(now))})
	}
	return d
}
