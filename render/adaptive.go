package render

import (
	"math"

	"halfstop/spectrum"
	"halfstop/stage"
)

// AdaptiveSampler estimates the error that is left in each tile of a picture and chooses the pixels
// that need more samples.
//
// Where a mean m of n samples is made of two halves, m minus its first half has just the variance
// of m: so the change by the last doubling of the samples estimates the error that is left (as half
// buffers do: Rousselle, Knaus and Zwicker 2012). Relative errors are over √(Y² + (0.01 mean)²), as
// in docs/speed.md.
type AdaptiveSampler struct {
	w, h, tw int
	target   float64
	previous []float64 // luminance after the round before
	tileMSE  []float64 // mean square relative change of each tile
}

// tileSide is the side of a tile, pixels.
const tileSide = 16

// NewAdaptiveSampler makes a sampler for a picture of w × h pixels that is to have the relative
// error target; target 0 never leaves a pixel out.
func NewAdaptiveSampler(w, h int, target float64) *AdaptiveSampler {
	tw, th := (w+tileSide-1)/tileSide, (h+tileSide-1)/tileSide
	return &AdaptiveSampler{w: w, h: h, tw: tw, target: target, tileMSE: make([]float64, tw*th)}
}

// Update takes the picture after a round of samples and returns its estimated relative error, root
// mean square over the pixels; 0 after the first round.
func (a *AdaptiveSampler) Update(px []spectrum.XYZ) float64 {
	now := make([]float64, len(px))
	mean := 0.0
	for i, t := range px {
		now[i] = t.Y
		mean += t.Y / float64(len(px))
	}
	was, first := a.previous, a.previous == nil
	a.previous = now
	if first {
		return 0
	}
	sum, n := make([]float64, len(a.tileMSE)), make([]float64, len(a.tileMSE))
	for i, y := range now {
		k := a.tileOf(i)
		e := y - was[i]
		sum[k] += e * e / (y*y + 1e-4*mean*mean + 1e-300)
		n[k]++
	}
	sampled := a.Want()
	total := 0.0
	for k := range sum {
		if sampled == nil || a.unfinished(k) {
			sum[k] /= n[k]
		} else {
			sum[k] = a.tileMSE[k] // it had no new samples
		}
		total += sum[k] * n[k] / float64(len(px))
	}
	a.tileMSE = sum
	return math.Sqrt(total)
}

func (a *AdaptiveSampler) tileOf(i int) int { return i/a.w/tileSide*a.tw + i%a.w/tileSide }

// unfinished reports whether a tile or one beside it has over half the error aimed at: by its
// neighbours too, since a tile that looks quiet too early would stay wrong.
func (a *AdaptiveSampler) unfinished(k int) bool {
	x, y := k%a.tw, k/a.tw
	for j := max(0, y-1); j <= y+1 && j*a.tw < len(a.tileMSE); j++ {
		for i := max(0, x-1); i <= min(x+1, a.tw-1); i++ {
			if a.tileMSE[j*a.tw+i] > a.target*a.target/4 {
				return true
			}
		}
	}
	return false
}

// Want chooses the pixels of the next round for trace.Scene.ExposeMasked: nil for all of them, as
// long as nothing is known or no error is aimed at.
func (a *AdaptiveSampler) Want() func(i int) bool {
	known := false
	for _, v := range a.tileMSE {
		known = known || v > 0
	}
	if a.target == 0 || !known {
		return nil
	}
	unfinished := make([]bool, len(a.tileMSE))
	for k := range unfinished {
		unfinished[k] = a.unfinished(k)
	}
	return func(i int) bool { return unfinished[a.tileOf(i)] }
}

// CacheCellSize gives the side, metres, of the irradiance cache's cells (trace.Film.CacheCell) for
// a picture of so many samples a pixel: 0.2 in a room of 9 m from corner to corner, larger in
// larger ones, finer for pictures that are given time.
func CacheCellSize(s *stage.Stage, samples int) float64 {
	size := 0.2
	if b := s.Scene.Bounds(); b.Size().Len() > 0 {
		size *= min(4, max(0.5, b.Size().Len()/9))
	}
	switch {
	case samples >= 128:
		return size / 2
	case samples >= 32:
		return size / math.Sqrt2
	}
	return size
}
