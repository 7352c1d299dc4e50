package trace

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"halfstop/geom"
	"halfstop/sample"
)

// Lens is a thin lens with a sensor behind it. Lengths in metres.
type Lens struct {
	At             geom.Vec
	Right, Up      geom.Vec // unit, in the picture
	Axis           geom.Vec // unit, out of the front
	Width, Height  float64  // of the sensor as held
	Image          float64  // from lens to sensor
	Focus          float64  // distance of the sharp plane along Axis
	Radius         float64  // of the opening; 0 is a pinhole
	Blades         int      // of the diaphragm; under 5: round
	ShiftX, ShiftY float64  // of the sensor's middle, metres, as seen in the picture
}

// ray gives the ray of picture point x, y (0 to 1 from the top left) through lens point u, v.
func (l *Lens) ray(x, y, u, v float64) (o, d geom.Vec) {
	d = l.Axis.Mul(l.Image).AddMul(l.Right, (x-0.5)*l.Width+l.ShiftX).AddMul(l.Up, (0.5-y)*l.Height+l.ShiftY)
	if l.Radius <= 0 {
		return l.At, d.Unit()
	}
	p := l.At.AddMul(d, l.Focus/l.Image)
	a, b := sample.Disc(u, v)
	if l.Blades >= 5 {
		a, b = bladed(a, b, l.Blades)
	}
	o = l.At.AddMul(l.Right, a*l.Radius).AddMul(l.Up, b*l.Radius)
	return o, p.Sub(o).Unit()
}

// bladed squeezes the unit disc into a regular polygon of the same area, evenly.
func bladed(a, b float64, n int) (float64, float64) {
	r, phi := math.Hypot(a, b), math.Atan2(b, a)
	w := 2 * math.Pi / float64(n)
	k := math.Floor(phi/w + 0.5)
	// Within one sector a point of the disc at angle s from the middle goes to the triangle by area.
	s := phi - k*w
	h := math.Tan(w/2) * (s / (w / 2))
	scale := math.Sqrt(math.Pi / (float64(n) * math.Tan(w/2)))
	sn, cs := math.Sincos(k * w)
	x, y := r*scale, r*scale*h
	return x*cs - y*sn, x*sn + y*cs
}

// Film holds what each layer leaves on each pixel, as radiance in the 16 windows per unit emission, summed over Samples.
type Film struct {
	W, H    int
	Layers  int
	Samples int
	T       []Band     // [layer·W·H + y·W + x], sums
	Albedo  []Band     // of the first surface, sums; for denoising
	Normal  []geom.Vec // sums
	Depth   []float32  // sums, metres
	lens    Lens
}

// FilmBytes is what a film of this size takes.
func FilmBytes(w, h, layers int) int64 { return int64(w) * int64(h) * (int64(layers+1)*64 + 28) }

// NewFilm makes an empty film.
func NewFilm(w, h, layers int, lens Lens) *Film {
	return &Film{W: w, H: h, Layers: layers, T: make([]Band, w*h*layers), Albedo: make([]Band, w*h), Normal: make([]geom.Vec, w*h),
		Depth: make([]float32, w*h), lens: lens}
}

// At returns the mean of a layer at a pixel.
func (f *Film) At(layer, x, y int) Band {
	b := f.T[(layer*f.H+y)*f.W+x]
	if f.Samples > 0 {
		scaleBand(&b, 1/float32(f.Samples))
	}
	return b
}

// Expose adds n samples to every pixel; layers nil: all. The picture depends on seed, not on threads. It stops between rows
// when ctx ends and then reports ErrStopped; the film is then to be thrown away or kept as a draft (Samples is not raised).
func (sc *Scene) Expose(ctx context.Context, f *Film, n int, seed uint64, layers []int, rows func(done, of int)) error {
	var next, done atomic.Int64
	var wg sync.WaitGroup
	first := f.Samples
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			w := newWalker(sc, layers)
			w.directMax = 1
			var rec record
			w.rec = &rec
			for {
				y := int(next.Add(1) - 1)
				if y >= f.H || ctx.Err() != nil {
					return
				}
				for x := range f.W {
					i := y*f.W + x
					clear(w.direct)
					clear(w.bounced)
					w.seq = sample.New(seed, uint64(i))
					for k := range n {
						w.index, w.dim = uint32(first+k), 0
						rec = record{}
						du, dv := w.two()
						lu, lv := w.two()
						o, d := f.lens.ray((float64(x)+du)/float64(f.W), (float64(y)+dv)/float64(f.H), lu, lv)
						w.fromEye(o, d)
						if rec.hit {
							for b := range Bands {
								f.Albedo[i][b] += rec.albedo[b]
							}
							f.Normal[i] = f.Normal[i].Add(rec.normal)
							f.Depth[i] += float32(rec.depth)
						}
					}
					for l := range sc.Layers {
						t := &f.T[l*f.W*f.H+i]
						for b := range Bands {
							t[b] += w.direct[l][b] + w.bounced[l][b]
						}
					}
				}
				if rows != nil {
					rows(int(done.Add(1)), f.H)
				}
			}
		})
	}
	wg.Wait()
	if ctx.Err() != nil {
		return ErrStopped
	}
	f.Samples += n
	return nil
}
