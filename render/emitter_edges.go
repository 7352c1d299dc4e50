package render

import (
	"context"

	"halfstop/picture"
	"halfstop/trace"
)

const (
	emitterEdgeSamples  = 12 // more for a pixel on the edge of an emitter
	emitterEdgeContrast = 6  // by how many times it outshines what is beside it
)

// RefineEmitterEdges gives more samples to the pixels on the edges of emitters that outshine what
// is beside them: there the error of one pixel is many times that of all others. An edge is told by
// the features of neighbouring pixels and by the ratio of their luminances, over all layers at the
// setup's levels. Call it once, when every pixel has a sample.
func RefineEmitterEdges(ctx context.Context, sc *trace.Scene, f *trace.Film, mix *picture.Mix, seed uint64) error {
	px, kind := picture.Linear(f, mix), f.Features.ID
	// Chosen before any is exposed: features change as samples come.
	edge := make([]bool, f.W*f.H)
	picture.EachRow(f.H, func(y int) {
		for x := range f.W {
			i := y*f.W + x
			for j := max(0, y-1); j <= min(f.H-1, y+1); j++ {
				for k := max(0, x-1); k <= min(f.W-1, x+1); k++ {
					q := j*f.W + k
					if emitterEdge(kind[i], kind[q]) &&
						max(px[i].Y, px[q].Y) > emitterEdgeContrast*min(px[i].Y, px[q].Y) {
						edge[i] = true
					}
				}
			}
		}
	})
	return sc.ExposeMasked(ctx, f, emitterEdgeSamples, seed, nil, func(i int) bool { return edge[i] }, nil)
}

// emitterEdge reports whether one of two neighbours sees an emitter and the other none, or one of
// them more than one thing.
func emitterEdge(a, b uint32) bool {
	mixed := func(k uint32) bool { return k == trace.MixedID || k == trace.MixedEmitterID }
	return trace.HasEmitter(a) != trace.HasEmitter(b) || mixed(a) || mixed(b)
}
