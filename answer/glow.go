package answer

import (
	"context"

	"halfstop/picture"
	"halfstop/trace"
)

const (
	glowSamples = 12 // more for a pixel on the edge of a lamp
	glowOver    = 6  // by how many times it outshines what is beside it
)

// Outline gives more samples to the pixels on the edges of lamps that outshine what is beside them: there an error of one pixel is many times all
// others'. An edge is told by what pixels see and by how much brighter one is than the other, over all lights at the setup's levels. To be called once every
// pixel has a sample.
func Outline(ctx context.Context, sc *trace.Scene, f *trace.Film, mix *picture.Mix, seed uint64) error {
	px, kind := picture.Linear(f, mix), f.Features.ID
	// Chosen before any is exposed: kinds change as samples come.
	edge := make([]bool, f.W*f.H)
	picture.EachRow(f.H, func(y int) {
		for x := range f.W {
			i := y*f.W + x
			for j := max(0, y-1); j <= min(f.H-1, y+1); j++ {
				for k := max(0, x-1); k <= min(f.W-1, x+1); k++ {
					q := j*f.W + k
					if differ(kind[i], kind[q]) && max(px[i].Y, px[q].Y) > glowOver*min(px[i].Y, px[q].Y) {
						edge[i] = true
					}
				}
			}
		}
	})
	return sc.ExposeMasked(ctx, f, glowSamples, seed, nil, func(i int) bool { return edge[i] }, nil)
}

// differ reports whether one of two neighbours sees a lamp and the other none, or one of them more than one thing.
func differ(a, b uint32) bool {
	mixed := func(k uint32) bool { return k == trace.MixedID || k == trace.MixedEmitterID }
	return trace.HasEmitter(a) != trace.HasEmitter(b) || mixed(a) || mixed(b)
}
