package record

import (
	"math"

	"halfstop/geom"
	"halfstop/render"
	"halfstop/spectrum"
)

// Region is a part of two pictures held against each other.
type Region struct {
	Name   string  `json:"name"`
	Stops  float64 `json:"stops"`        // mean luminance, new over old
	DeltaE float64 `json:"delta_e_2000"` // of the mean colours, each under its camera's white
}

// Regions holds two pictures of one setup against each other, region by region: face, hair, chest,
// and what lies left and right of the sitter. mirrored: the new one has left and right changed.
func Regions(old, now *render.Frame, mirrored bool) (out []Region) {
	if old.Stage.Sitter == nil || now.Stage.Sitter == nil {
		return nil
	}
	a, b := boxes(old, false), boxes(now, mirrored)
	x, y := old.Linear(-1), now.Linear(-1)
	for i := range a {
		p, ok1 := mean(x, old, a[i].box)
		q, ok2 := mean(y, now, b[i].box)
		if !ok1 || !ok2 {
			continue
		}
		// Scene white is a perfect diffuser at the exposure of mid-grey: Y = 1 where grey is 0.18.
		r := Region{Name: a[i].name, DeltaE: round(spectrum.DeltaE2000(p.Lab(old.Stage.White),
			q.Lab(now.Stage.White)), 1)}
		if p.Y > 0 && q.Y > 0 {
			r.Stops = round(math.Log2(q.Y/p.Y), 2)
		}
		out = append(out, r)
	}
	return out
}

type named struct {
	name string
	box  [4]float64 // left, top, right, bottom, shares of the frame
}

// boxes are the regions of a picture.
func boxes(f *render.Frame, mirrored bool) []named {
	s := f.Stage
	round := func(mark string, r float64) [4]float64 {
		at := s.Sitter.Landmarks[mark].At
		x, y, _, in := s.View.Project(s.View.Sight(at))
		x2, _, _, in2 := s.View.Project(s.View.Sight(at.AddMul(s.View.Frame.S, r)))
		if !in && !in2 {
			return [4]float64{}
		}
		d := math.Abs(x2 - x)
		e := d * float64(s.View.Format.Width) / float64(s.View.Format.Height)
		return [4]float64{x - d, y - e, x + d, y + e}
	}
	face := round("face", 0.07)
	b := s.Sitter.Bounds()
	left, right := 1.0, 0.0
	for k := range 8 {
		p := geom.V(pick(k&1, b.Lo.X, b.Hi.X), pick(k>>1&1, b.Lo.Y, b.Hi.Y), pick(k>>2, b.Lo.Z, b.Hi.Z))
		if x, _, _, ok := s.View.Project(s.View.Sight(p)); ok {
			left, right = min(left, x), max(right, x)
		}
	}
	l, r := [4]float64{0, 0, left, 1}, [4]float64{right, 0, 1, 1}
	if mirrored {
		l, r = r, l
	}
	return []named{{"face", face}, {"hair", round("crown", 0.05)}, {"chest", round("chest", 0.08)},
		{"left of the sitter", l}, {"right of the sitter", r}}
}

func pick(k int, a, b float64) float64 {
	if k == 0 {
		return a
	}
	return b
}

// mean is the mean light of a box of a picture; false for a box of hardly anything.
func mean(px []spectrum.XYZ, f *render.Frame, box [4]float64) (m spectrum.XYZ, ok bool) {
	w, h := f.Film.W, f.Film.H
	x0, x1 := max(0, int(box[0]*float64(w))), min(w, int(math.Ceil(box[2]*float64(w))))
	y0, y1 := max(0, int(box[1]*float64(h))), min(h, int(math.Ceil(box[3]*float64(h))))
	n := 0
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			m = m.Add(px[y*w+x])
			n++
		}
	}
	if n < w*h/2000 || n == 0 {
		return m, false
	}
	return m.Scale(1 / float64(n)), true
}
