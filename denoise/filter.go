package denoise

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"halfstop/parallel"
)

// Layer is the light of one layer: three numbers a pixel, the second of which is its luminance, and
// the variance of that luminance as the mean that it is. Variance +Inf or NaN is taken as not known
// and measured from the neighbours.
type Layer struct {
	C   [][3]float32
	Var []float32
	// Airlight says that the light does not come from the surfaces: it has nothing of their
	// texture.
	Airlight bool
}

const levels = 6 // steps of 1, 2, 4, 8, 16, 32 pixels

// luminanceTolerance is how many standard deviations of both pixels a difference may have to pass
// for noise, by level. It grows because what is left of a speckle after a step is spread over its
// neighbours, whose noise is then no longer independent. Taking both pixels' noise, not the middle
// one's only, keeps the light of speckles: measured on the demonstration, the sum of a picture
// changes by 0.5 % at most, against a loss of 3 to 13 % without.
var luminanceTolerance = [levels]float32{2, 3, 4, 5, 6, 6}

// together bounds what the layers that are filtered at one time take, in bytes; layerBytes is what
// one takes for each pixel.
const (
	batchBytes = 128 << 20
	layerBytes = 56
)

// Filter returns the n layers of a picture of so many samples a pixel without their grain; of
// those that are airlight, nil in place of a picture and what it is in airlight. load fills a
// layer, whose C and Var are as long as the picture has pixels; each is asked for when its turn
// comes, from any goroutine, so that large pictures take little beside what is returned. It stops
// early with ctx's error. The answer does not depend on the number of threads.
func Filter(ctx context.Context, s *Features, samples, n int, load func(l int, into *Layer)) (out [][][3]float32,
	airlight []*Airlight, err error) {
	out, airlight = make([][][3]float32, n), make([]*Airlight, n)
	grid := newBilateralGrid(s, samples)
	var balance sync.Once
	edge := make([]uint8, len(near)*s.W*s.H)
	some := min(n, max(1, batchBytes/(layerBytes*max(1, s.W*s.H))))
	states := make([]*state, some) // used again for each batch
	for first := 0; first < n; first += some {
		work := make([]*state, min(some, n-first))
		var wg parallel.Group
		for k := range work {
			if states[k] == nil {
				states[k] = newState(s.W * s.H)
			}
			wg.Go(func() {
				w := states[k]
				w.layer.Airlight, w.layer.C = false, make([][3]float32, s.W*s.H)
				load(first+k, &w.layer)
				if w.layer.Airlight {
					balance.Do(func() { grid.balance(s) })
					airlight[first+k] = grid.filter(s, w.layer.C)
					return
				}
				s.suppressFireflies(&w.layer, w.guide)
				w.divide(s)
				work[k] = w
			})
		}
		wg.Wait()
		if err := s.filter(ctx, work, edge); err != nil {
			return nil, nil, err
		}
		for k, w := range work {
			if w != nil {
				out[first+k] = w.end(s)
			}
		}
	}
	return out, airlight, nil
}

// filter averages over widening neighbourhoods; nil ones are passed over.
func (s *Features) filter(ctx context.Context, work []*state, edge []uint8) error {
	work = slices.DeleteFunc(slices.Clone(work), func(w *state) bool { return w == nil })
	if len(work) == 0 {
		return ctx.Err()
	}
	for level := range levels {
		step := 1 << level
		taps, middle := at(level)
		rows(s.H, func(y0, y1 int) { s.edgeStoppingWeights(taps, step, y0, y1, edge) })
		for _, w := range work {
			if level == 0 {
				w.begin(s, edge)
			}
			if ctx.Err() != nil {
				return ctx.Err()
			}
			rows(s.H, func(y0, y1 int) { w.pass(s, level, taps, middle, y0, y1, edge) })
			w.swap()
		}
	}
	return nil
}

// rows calls f for bands of rows on all processors.
func rows(h int, f func(y0, y1 int)) {
	const band = 8
	var next atomic.Int64
	var wg parallel.Group
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for {
				y := int(next.Add(band)) - band
				if y >= h {
					return
				}
				f(y, min(h, y+band))
			}
		})
	}
	wg.Wait()
}

// pixel is a layer's light divided by albedo, with the variance of its luminance.
type pixel struct{ x, y, z, v float32 }

// state is one layer at work.
type state struct {
	layer     Layer // its light, and where the answer goes
	now, then []pixel
	guide     []float32 // luminance by which pixels are compared
	noise     []float32 // its variance
}

// leastAlbedo is what a layer is divided by at least: less would blow up the light that black
// surfaces reflect as a mirror.
const leastAlbedo = 0.04

func (s *Features) divisor(i int) float32 { return divisor(s.Albedo[i]) }

func divisor(albedo float32) float32 {
	if albedo <= 0 {
		return 1
	}
	return max(albedo, leastAlbedo)
}

func newState(n int) *state {
	return &state{layer: Layer{Var: make([]float32, n)}, now: make([]pixel, n), then: make([]pixel, n),
		guide: make([]float32, n), noise: make([]float32, n)}
}

// divide takes the layer divided by albedo.
func (w *state) divide(s *Features) {
	l := &w.layer
	for i, c := range l.C {
		k := 1 / s.divisor(i)
		v := float32(math.NaN())
		if !math.IsInf(float64(l.Var[i]), 0) {
			v = l.Var[i] * k * k
		}
		w.now[i] = pixel{c[0] * k, c[1] * k, c[2] * k, v}
	}
}

// begin fills in variances and what pixels are first compared by: means over like neighbours.
func (w *state) begin(s *Features, edge []uint8) {
	vs := w.layer.Var // no longer needed as it came
	rows(s.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range s.W {
				i := y*s.W + x
				p := w.now[i]
				sw, sy, syy, sv, svw := float32(1), p.y, p.y*p.y, float32(0), float32(0)
				w2 := float32(1)
				if p.v == p.v {
					sv, svw = p.v, 1
				}
				for k := range near {
					wk := float32(edge[len(near)*i+k]) * (1. / 255)
					if wk == 0 {
						continue
					}
					q := w.now[i+near[k].dy*s.W+near[k].dx]
					sw += wk
					w2 += wk * wk
					sy += wk * q.y
					syy += wk * q.y * q.y
					if q.v == q.v {
						sv += wk * q.v
						svw += wk
					}
				}
				m := sy / sw
				v := max(0, syy/sw-m*m)
				if svw > 0 {
					v = sv / svw
				}
				vs[i] = v
				w.guide[i] = m
				w.noise[i] = v * w2 / (sw * sw)
			}
		}
	})
	for i := range w.now {
		w.now[i].v = vs[i]
	}
}

// pass averages over the taps of one level.
func (w *state) pass(s *Features, level int, taps []tap, middle float32, y0, y1 int, edge []uint8) {
	step := 1 << level
	t2 := luminanceTolerance[level] * luminanceTolerance[level]
	nt := len(taps)
	var offs [24]int
	for k, t := range taps {
		offs[k] = (t.dy*s.W + t.dx) * step
	}
	off := offs[:nt]
	for y := y0; y < y1; y++ {
		for x := range s.W {
			i := y*s.W + x
			p := &w.now[i]
			cy, cv := w.guide[i], w.noise[i]
			a := pixel{p.x * middle, p.y * middle, p.z * middle, p.v * middle * middle}
			sum := float32(middle)
			cv += 1e-6*cy*cy + 1e-30 // differences below a thousandth of the light itself are nothing to keep
			wk := edge[nt*i : nt*i+nt]
			for k := range off {
				if wk[k] == 0 {
					continue
				}
				j := i + off[k]
				d := w.guide[j] - cy
				t := 1 - d*d/(t2*(cv+w.noise[j]))
				if level == 0 {
					// Means over neighbours may be alike by chance on both sides of an edge in a
					// picture that has next to no noise: then the pixels themselves must pass as
					// well. The bound is 30 deviations, since a speckle's own neighbours see a
					// fifth of it in their estimate at most and must still take it in (at 3 the
					// error of the demonstration was four times as high).
					e := w.now[j].y - p.y
					t = min(t, 1-e*e/(1000*(p.v+w.now[j].v)+1e-6*p.y*p.y+1e-30))
				}
				if t <= 0 {
					continue
				}
				t *= t * taps[k].h * float32(wk[k]) * (1. / 255)
				q := &w.now[j]
				a.x += t * q.x
				a.y += t * q.y
				a.z += t * q.z
				a.v += t * t * q.v
				sum += t
			}
			r := 1 / sum
			w.then[i] = pixel{a.x * r, a.y * r, a.z * r, a.v * r * r}
		}
	}
}

// swap makes the averages the present; pixels are compared by them from now on.
func (w *state) swap() {
	w.now, w.then = w.then, w.now
	for i := range w.now {
		w.guide[i], w.noise[i] = w.now[i].y, w.now[i].v
	}
}

// end gives the light with albedo in it again.
func (w *state) end(s *Features) [][3]float32 {
	out := w.layer.C
	for i, p := range w.now {
		k := s.divisor(i)
		out[i] = [3]float32{p.x * k, p.y * k, p.z * k}
	}
	return out
}
