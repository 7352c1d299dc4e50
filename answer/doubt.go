package answer

import (
	"math"

	"halfstop/spectrum"
	"halfstop/stage"
)

// doubt watches how a picture changes from round to round of samples, tile by tile, and says which tiles need more.
//
// Where a mean m of n samples is of two halves, m − first half has just the variance of m: so the change by the last doubling is an estimate of
// the error that is left. Relative errors are over √(Y² + (0.01 mean)²), as in docs/speed.md.
type doubt struct {
	w, h, tw int
	aim      float64
	before   []float64
	tile     []float64 // mean square relative change
}

const tileSide = 16

func newDoubt(w, h int, aim float64) *doubt {
	tw, th := (w+tileSide-1)/tileSide, (h+tileSide-1)/tileSide
	return &doubt{w: w, h: h, tw: tw, aim: aim, tile: make([]float64, tw*th)}
}

// compare takes the picture after a round and returns its error; 0 after the first.
func (d *doubt) compare(px []spectrum.XYZ) float64 {
	now := make([]float64, len(px))
	mean := 0.0
	for i, t := range px {
		now[i] = t.Y
		mean += t.Y / float64(len(px))
	}
	was, first := d.before, d.before == nil
	d.before = now
	if first {
		return 0
	}
	sum, n := make([]float64, len(d.tile)), make([]float64, len(d.tile))
	for i, y := range now {
		k := i/d.w/tileSide*d.tw + i%d.w/tileSide
		e := y - was[i]
		sum[k] += e * e / (y*y + 1e-4*mean*mean + 1e-300)
		n[k]++
	}
	open := d.want()
	total := 0.0
	for k := range sum {
		if open == nil || d.open(k) {
			sum[k] /= n[k]
		} else {
			sum[k] = d.tile[k] // it had no new samples
		}
		total += sum[k] * n[k] / float64(len(px))
	}
	d.tile = sum
	return math.Sqrt(total)
}

// open reports whether a tile or one beside it has over half the error aimed at: by its neighbours too, since one that looks quiet too early would
// stay wrong.
func (d *doubt) open(k int) bool {
	x, y := k%d.tw, k/d.tw
	for j := max(0, y-1); j <= y+1 && j*d.tw < len(d.tile); j++ {
		for i := max(0, x-1); i <= min(x+1, d.tw-1); i++ {
			if d.tile[j*d.tw+i] > d.aim*d.aim/4 {
				return true
			}
		}
	}
	return false
}

// want is for trace.Scene.ExposeWhere: nil for all pixels, as long as nothing is known or aimed at.
func (d *doubt) want() func(i int) bool {
	known := false
	for _, v := range d.tile {
		known = known || v > 0
	}
	if d.aim == 0 || !known {
		return nil
	}
	open := make([]bool, len(d.tile))
	for k := range open {
		open[k] = d.open(k)
	}
	return func(i int) bool { return open[i/d.w/tileSide*d.tw+i%d.w/tileSide] }
}

// Cells gives the side of the cells that a picture of so many samples a pixel rests on, metres: 0.2 in a room of 9 m from corner to corner, larger in
// larger ones, finer for pictures that are given time.
func Cells(s *stage.Stage, samples int) float64 {
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
