package trace

import (
	"context"
	"errors"
	"math"
	"runtime"
	"sync/atomic"

	"halfstop/geom"
	"halfstop/parallel"
	"halfstop/sample"
)

// ReceptorKind says how a receptor weighs light by direction.
type ReceptorKind uint8

const (
	Flat      ReceptorKind = iota // by the cosine: illuminance. ISO 2720 flat receptor.
	Dome                          // by (1+cos)/2 over the whole sphere: an ideal hemispherical dome. Check: A8.
	Spot                          // evenly within a narrow cone: luminance of what is seen
	Spherical                     // evenly from all round: what a flat receptor turned to a lone light reads, wherever that stands
)

// Receptor is where light is measured. Flat and Dome sit at At and look along Facing (unit). A Spot's eye is at At.
type Receptor struct {
	Kind   ReceptorKind
	At     geom.Vec
	Facing geom.Vec
	Angle  float64 // full angle of a Spot's cone, rad
}

// Reps is the number of independent randomisations that each measurement is made of; the scatter among them is the honest
// error of their mean.
const Reps = 32

// Transport is what one receptor gets from every layer, per unit emission: illuminance in lx (Flat, Dome) or luminance in
// cd/m² (Spot) in each window.
type Transport struct {
	Direct      []Band       // straight from the emitters; for a Spot, by one surface at most
	Bounced     []Band       // by way of surfaces or haze
	Airlight    []Band       // for a Spot in haze: the part of both that the haze scatters into the way to the eye; else nil
	Parts       [Reps][]Band // whole of each randomisation
	DirectParts [Reps][]Band // direct part of each randomisation
	Paths       int          // traced so far, all randomisations together
}

// Whole returns direct plus bounced of a layer.
func (t *Transport) Total(layer int) Band {
	b := t.Direct[layer]
	for i := range b {
		b[i] += t.Bounced[layer][i]
	}
	return b
}

// Measuring says how much work to spend.
type MeasureOptions struct {
	Seed    uint64
	Layers  []int // layers to trace; nil all
	Start   int   // paths of each randomisation in the first round; 0 is 16
	Most    int   // most paths of each randomisation; 0 is 4096
	Threads int   // 0: as many as the machine has
	// DirectOnly leaves out all that comes by way of surfaces or haze: quick, for fields of many receptors.
	DirectOnly bool
	Bounces    int // most surfaces on the way; 0: no bound
	// Enough is asked after each round whether receptor i is good enough; nil: never, so that Most are traced. It must depend on
	// the Transport only, so that the same seed gives the same answer.
	Enough func(i int, t *Transport) bool
	// Round is told of the paths traced and the most there may be after each round; nil for nobody.
	Round func(done, most int)
}

// ErrStopped is returned with what was measured so far when the context ends the work.
var ErrStopped = errors.New("stopped before the error asked for was reached")

// Measure traces receptors until each is good enough. The answer depends on the seed, not on the number of threads. When ctx
// ends, the receptors as they are after the last whole round come back with ErrStopped (empty Transports, Paths 0, if not
// even the first round was done).
func (sc *Scene) Measure(ctx context.Context, recs []Receptor, m MeasureOptions) ([]Transport, error) {
	start, most, threads := m.Start, m.Most, m.Threads
	if start <= 0 {
		start = 16
	}
	if most <= 0 {
		most = 4096
	}
	start = min(start, most)
	if threads <= 0 {
		threads = runtime.GOMAXPROCS(0)
	}
	type sums struct{ direct, bounced, veil [][Bands]float64 }
	veiled := func(i int) bool { return sc.Medium != nil && recs[i].Kind == Spot }
	acc := make([][Reps]sums, len(recs))
	out := make([]Transport, len(recs))
	for i := range recs {
		for r := range Reps {
			acc[i][r] = sums{direct: make([][Bands]float64, sc.Layers), bounced: make([][Bands]float64, sc.Layers)}
			if veiled(i) {
				acc[i][r].veil = make([][Bands]float64, sc.Layers)
			}
		}
	}
	live := make([]int, len(recs))
	for i := range live {
		live[i] = i
	}
	done := 0 // paths of each randomisation of the live receptors
	for len(live) > 0 && done < most {
		n := start
		if done > 0 {
			n = min(done, most-done)
		}
		// One unit of work: one randomisation of one receptor.
		units := int64(len(live) * Reps)
		var next atomic.Int64
		var wg parallel.Group
		var fault faults
		for range min(threads, int(units)) {
			wg.Go(func() {
				defer fault.catch()
				w := newIntegrator(sc, m.Layers)
				w.maxBounces = m.Bounces
				if m.DirectOnly {
					w.mode = directLight
				}
				if sc.Medium != nil {
					w.airlight = make([]Band, sc.Layers)
				}
				for {
					u := next.Add(1) - 1
					if u >= units || ctx.Err() != nil {
						return
					}
					i, r := live[u/Reps], int(u%Reps)
					w.measureReplicate(&recs[i], sample.New(m.Seed, uint64(i)).Rep(r), uint32(done), uint32(n))
					for l := range sc.Layers {
						for b := range Bands {
							acc[i][r].direct[l][b] += float64(w.direct[l][b])
							acc[i][r].bounced[l][b] += float64(w.bounced[l][b])
							if acc[i][r].veil != nil {
								acc[i][r].veil[l][b] += float64(w.airlight[l][b])
							}
						}
					}
				}
			})
		}
		wg.Wait()
		fault.raise()
		if ctx.Err() != nil {
			return out, ErrStopped
		}
		done += n
		// Means so far, and which receptors go on.
		keep := live[:0]
		for _, i := range live {
			t := &out[i]
			t.Direct, t.Bounced, t.Paths = make([]Band, sc.Layers), make([]Band, sc.Layers), done*Reps
			if veiled(i) {
				t.Airlight = make([]Band, sc.Layers)
			}
			for r := range Reps {
				t.Parts[r], t.DirectParts[r] = make([]Band, sc.Layers), make([]Band, sc.Layers)
				for l := range sc.Layers {
					for b := range Bands {
						d, bo := acc[i][r].direct[l][b]/float64(done), acc[i][r].bounced[l][b]/float64(done)
						t.Direct[l][b] += float32(d / Reps)
						t.Bounced[l][b] += float32(bo / Reps)
						if t.Airlight != nil {
							t.Airlight[l][b] += float32(acc[i][r].veil[l][b] / float64(done) / Reps)
						}
						t.Parts[r][l][b], t.DirectParts[r][l][b] = float32(d+bo), float32(d)
					}
				}
			}
			if m.Enough == nil || !m.Enough(i, t) {
				keep = append(keep, i)
			}
		}
		live = keep
		if m.Round != nil {
			m.Round(done, most)
		}
	}
	return out, nil
}

// measure traces n paths of one randomisation into w.direct and w.bounced.
func (w *integrator) measureReplicate(r *Receptor, seq sample.Seq, first, n uint32) {
	clear(w.direct)
	clear(w.bounced)
	clear(w.airlight)
	w.seq = seq
	w.directDepth = 0
	if r.Kind == Spot {
		w.directDepth = 1
	}
	for i := range n {
		w.index = first + i
		w.dim = 0
		switch r.Kind {
		case Flat:
			w.traceFromReceptor(flatReceptor, r.At, r.Facing)
		case Dome:
			w.traceFromReceptor(domeReceptor, r.At, r.Facing)
		case Spherical:
			w.traceFromReceptor(sphericalReceptor, r.At, r.Facing)
		case Spot:
			u, v := w.next2D()
			f := geom.FrameOf(r.Facing)
			sin := math.Sqrt(u) * math.Sin(r.Angle/2)
			s, c := math.Sincos(2 * math.Pi * v)
			w.traceFromCamera(r.At, f.Out(sin*c, sin*s, math.Sqrt(1-sin*sin)))
		}
	}
}
