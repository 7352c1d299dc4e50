package render

import (
	"halfstop/meter"
	"halfstop/stage"
	"halfstop/trace"
)

// Unit gives a layer of a denoised frame per unit setting, XYZ, row by row: what Restore takes.
// Nil where the frame was not denoised.
func (f *Frame) Unit(light int) [][3]float32 {
	if light >= len(f.denoised) {
		return nil
	}
	return f.denoised[light]
}

// Restore makes a frame of layers that were kept: of w × h pixels, one for each layer of the stage,
// XYZ per unit setting. It has no film to take more samples on; it mixes as the frame did that the
// layers are of. Check: TestRemixed of package record.
func Restore(s *stage.Stage, w, h, samples int, layers [][][3]float32) *Frame {
	return &Frame{Stage: s, Film: &trace.Film{W: w, H: h, Layers: len(layers)},
		Mix: MixOf(s, meter.CameraOf(s), -1), Samples: samples, denoised: layers, denoisedAt: samples}
}
