package server

import (
	"math"
	"strconv"
	"strings"

	"halfstop/answer"
	"halfstop/balance"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
	"halfstop/ways"
)

func lensOf(s *stage.Stage, cam *meter.Camera) trace.Lens { return render.LensOf(s, *cam) }

// exposureOf is what a page needs to turn light into picture.
func exposureOf(s *stage.Stage, cam *meter.Camera) ExposureOf {
	m := render.MixOf(s, *cam, -1)
	d65 := spectrum.SRGB.XYZ([3]float64{1, 1, 1})
	a := spectrum.CAT16(s.White, d65)
	e := ExposureOf{Factor: m.Exposure, Lens: m.Exposure / 0.18 / float64(cam.ISO) * 10,
		White: [3]float64{s.White.X, s.White.Y, s.White.Z},
		Tone:  toneOf(render.RenderingOf(s))}
	for r := range 3 {
		for c := range 3 {
			e.Adapt[3*r+c] = a[r][c]
		}
	}
	for c, x := range [3]spectrum.XYZ{{X: 1}, {Y: 1}, {Z: 1}} {
		l := spectrum.SRGB.Linear(x)
		for r := range 3 {
			e.SRGB[3*r+c] = l[r]
		}
	}
	return e
}

// toneOf says a rendering to the page. Check: TestToneIsPictures.
func toneOf(r picture.Rendering) ToneConstants {
	// as picture.Tone
	t := ToneConstants{Join: 0.5, White: picture.Clipped, Power: (picture.Clipped - 0.5) / 0.5, Glare: r.Glare}
	n, half, scale, straight := r.Constants()
	if straight {
		t.Join, t.White, t.Power = 1, 1, 1
	}
	t.Sigmoid, t.Half, t.Scale = n, half, scale
	return t
}

// readingsOf weighs measured light for a model's settings.
func readingsOf(m *model, index int, s *stage.Stage, meas *meter.Measured, word string, asked float64) *ReadingsView {
	cam := meter.CameraOf(s)
	x := &answer.Metered{Stage: s, Measured: meas, Camera: cam, Readings: meter.Weigh(s, meas, cam)}
	x.Facts = meter.FactsOf(s, cam, x.Readings)
	v := &ReadingsView{Revision: m.rev, Index: index, Word: word, Asked: asked, Readings: x.JSON(),
		Look: []WishResult{}, Units: []PointUnits{}, Assumed: []AssumedView{}}
	for _, a := range x.Assumed() {
		v.Assumed = append(v.Assumed, AssumedView(a))
	}
	units := func(t *trace.Transport) [][3]float64 {
		out := [][3]float64{}
		if t == nil {
			return out
		}
		for l := range s.Layers {
			b := t.Total(l)
			out = append(out, s.Layers[l].Fold.Apply(&b))
		}
		return out
	}
	for i, p := range s.Points {
		u := PointUnits{Incident: units(meas.Incident[i]), Picture: units(meas.Seen[i])}
		switch p.Receptor {
		case "spot":
			u.Constant = cam.K
		case "dome":
			u.Constant = cam.DomeC
		default:
			u.Constant = cam.FlatC
		}
		v.Units = append(v.Units, u)
	}
	for _, w := range lookViews(m, s, "") {
		v.Look = append(v.Look, resultOf(s, x.Readings, &w))
	}
	return v
}

// resultOf judges one wish. A miss inside its tolerance is met: the same tolerance that balance and
// the meter's first sentence go by.
func resultOf(s *stage.Stage, rs []meter.Reading, w *WishView) WishResult {
	out := WishResult{Wants: []WantResult{}}
	find := func(name string) *meter.Reading {
		if i := s.PointNamed(name); i >= 0 && i < len(rs) && !rs[i].Dark {
			return &rs[i]
		}
		return nil
	}
	r := find(w.Point)
	own := &shoot.Wish{}
	for i := range s.Setup.Look {
		if l := &s.Setup.Look[i]; strings.HasSuffix(w.Path, "look["+strconv.Itoa(i)+"]") {
			own = l
		}
	}
	within := ways.ToleranceOf(own, balance.Level)
	for _, want := range w.Wants {
		var got WantResult
		judge := func(predicted, miss float64) {
			if math.IsNaN(predicted) || math.IsInf(predicted, 0) || math.IsNaN(miss) || math.IsInf(miss, 0) {
				return
			}
			got.Predicted, got.Miss, got.Met = &predicted, &miss, math.Abs(miss) <= within
		}
		switch {
		case r == nil:
		case want.Kind == "reads":
			judge(float64(r.FNumber), 2*math.Log2(float64(r.FNumber) / *want.Lo))
		case want.Kind == "stops":
			judge(float64(r.Stops), float64(r.Stops)-*want.Lo)
		case want.Kind == "darkest":
			judge(float64(r.Stops), min(0, float64(r.Stops)-*want.Lo))
		case want.Kind == "brightest":
			judge(float64(r.Stops), max(0, float64(r.Stops)-*want.Hi))
		case want.Kind == "above":
			if o := find(want.To); o != nil {
				// As answer's look: what a meter reads where both are incident, else levels in the
				// picture.
				d := float64(r.Stops - o.Stops)
				if r.Receptor != "spot" && o.Receptor != "spot" {
					d = 2 * math.Log2(float64(r.FNumber/o.FNumber))
				}
				judge(d, d-*want.Lo)
			}
		case want.Kind == "ambient":
			a := 0.0
			for _, l := range r.Lights {
				if !l.Flash {
					a += l.Share
				}
			}
			got.Predicted = &a
			got.Met = math.Abs(a-*want.Lo) <= 0.05
		case want.Kind == "warmer":
			if white, _, ok := spectrum.CCTOhno2013(s.White.XY()); ok && r.Kelvin > 0 {
				d := 1e6/r.Kelvin - 1e6/white
				off := d - *want.Lo
				got.Predicted, got.Miss = &d, &off
				got.Met = math.Abs(off) <= ways.ToleranceOf(own, balance.Warmth)
			}
		case want.Kind == "colour" && want.XY != nil:
			d := spectrum.DeltaUVPrime(r.XY, spectrum.XY{X: want.XY[0], Y: want.XY[1]})
			got.Predicted, got.Miss, got.Met = &d, &d, d <= 0.006 // as answer's look
		}
		out.Wants = append(out.Wants, got)
	}
	return out
}
