package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// hazeReach is as far as haze is followed where nothing stops the way, metres.
const hazeReach = 200

// hazeLayerSamples is how many layers a picture with a cache samples for what haze scatters into a
// camera ray.
const hazeLayerSamples = 2.0

// sampleInScattering adds, for every layer, light that the haze scatters into the way from o along
// d over length: one place along the way a layer, drawn half by the angle that it subtends at the
// light (equiangular) and half by extinction. vertices counts the scattering as one. Source: Kulla
// and Fajardo 2012. Check: G3.1 to G3.4.
func (w *integrator) sampleInScattering(o, d geom.Vec, length float64, beta *Band, vertices int) {
	med := w.sc.Medium
	st := med.Extinction
	if st <= 0 || med.Albedo <= 0 || length <= 0 {
		return
	}
	var s lightSample
	// Every layer on the rays that matter most; in pictures with a cache, whose haze is averaged
	// over many pixels, two of them by turns. On later rays one layer.
	all := vertices <= max(1, w.directDepth)
	prob := 1.0
	if all && w.cache != nil {
		prob = min(1, hazeLayerSamples/float64(len(w.layers())))
	}
	lights, mid := &w.airLights, o.AddMul(d, min(length, 4)/2)
	if !all {
		lights.weighLayers(w.layers(), mid, 1)
	}
	turn := systematic(0)
	if !all || prob < 1 {
		u, _ := w.next2D()
		turn = systematic(u)
	}
	for _, l := range w.layers() {
		if len(w.sc.byLayer[l]) == 0 {
			continue
		}
		if !all {
			prob = lights.layer[l]
		}
		if prob < 1 && !turn.take(prob) {
			continue
		}
		pick, u := w.next2D()
		a, b := w.next2D()
		// An emitter by its importance half way.
		lights.weigh(l, mid, nil, prob)
		e, pick := lights.Sample(l, pick, prob)
		// A place along the way.
		t, pdf := w.sampleDistance(e, o, d, length, pick, u)
		p := o.AddMul(d, t)
		if pdf <= 0 || !e.sample(p, a, b, &s) {
			continue
		}
		w.f = Grey(1)
		if !w.unoccluded(p, s.w, s.dist) {
			continue
		}
		k := math.Exp(-st*t) * w.connectionTransmittance(s.dist) * st * med.Albedo * sample.HGPdf(d.Dot(s.w),
			med.G) * s.le / (s.pdf * pdf * lights.PMF(e))
		w.addEmission(e, beta, vertices, k)
	}
}

// sampleDistance draws a distance along the way and returns its density.
func (w *integrator) sampleDistance(e *Emitter, o, d geom.Vec, length, pick, u float64) (t, pdf float64) {
	st := w.sc.Medium.Extinction
	// By extinction, cut off at length.
	whole := -math.Expm1(-st * length)
	byExtinction := func(t float64) float64 { return st * math.Exp(-st*t) / whole }
	if math.IsInf(e.radius, 1) {
		t = -math.Log1p(-u*whole) / st
		return t, byExtinction(t)
	}
	along := e.centre.Sub(o).Dot(d)
	h := max(e.centre.Sub(o.AddMul(d, along)).Len(), 1e-4+e.radius/4)
	a0, a1 := math.Atan2(-along, h), math.Atan2(length-along, h)
	byAngle := func(t float64) float64 { x := t - along; return h / ((a1 - a0) * (h*h + x*x)) }
	if pick < 0.5 {
		t = along + h*math.Tan(a0+u*(a1-a0))
		t = min(length, max(0, t))
	} else {
		t = -math.Log1p(-u*whole) / st
	}
	return t, (byAngle(t) + byExtinction(t)) / 2
}
