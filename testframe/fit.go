package testframe

import (
	"context"
	"math"
	"slices"

	"halfstop/spectrum"
)

// Image is a picture in linear light, linear sRGB, mid-grey 0.18.
type Image struct {
	W, H int
	RGB  [][3]float64
	SD   []float64 // how little is known of a pixel, in the same unit; nil: nothing to say
}

// Layer is one light's predicted picture alone, as planned.
type Layer struct {
	Name  string
	Flash bool
	House bool // of the place: its level is not set
	// Off says that it is not planned to be on; its picture is what it would give.
	Off bool
	SD  float64 // one standard deviation of its level, stops
	Image
	Bare *Image // without its gels; nil: it has none
}

// furthest is how far a photograph is looked for from the plan's place, of the frame: 2° with a
// lens of 135 mm on full frame.
const furthest = 0.14

// clip is from where on a channel of a photograph is not trusted.
const clip = 1.2

// Shift is how the photograph is turned against the plan: shares of the frame's width and height
// to the right and down, and degrees clockwise.
type Shift struct {
	X, Y, Roll float64
}

// Fitted is a photograph explained.
type Fitted struct {
	Shift   Shift
	Weight  []float64  // of each layer; 1 as predicted, 0 dark
	Bare    []bool     // the layer fits better without its gels
	Gain    [3]float64 // white balance against the plan's, luminance 1
	whiteSD float64    // how well it is known, Δu'v': a room in pink light hardly tells green
	Rest    float64    // what is left unexplained, share of the light, root mean square
	Share   []float64  // of each layer's picture, at its weight as planned, in the photograph's light
	Noise   []float64  // one standard deviation of each weight; 1 and over: the photograph does not tell
	moved   float64    // logarithm of how much likelier that place is than the plan's
	told    []Cause    // what would explain it
	before  []known    // of each weight, in the likeliest explanation
}

// known is what is known of a weight before the photograph: mean and one standard deviation.
type known struct{ mean, sd float64 }

// sampled is an image at shifted places: nearest pixels, -1 where there is none.
func sampled(w, h int, s Shift) []int {
	out := make([]int, w*h)
	sn, cs := math.Sincos(s.Roll * math.Pi / 180)
	for y := range h {
		for x := range w {
			u, v := float64(x)+0.5-float64(w)/2, float64(y)+0.5-float64(h)/2
			px := cs*u + sn*v + float64(w)/2 - s.X*float64(w)
			py := -sn*u + cs*v + float64(h)/2 - s.Y*float64(h)
			i, j := int(math.Floor(px)), int(math.Floor(py))
			if i < 0 || j < 0 || i >= w || j >= h {
				out[y*w+x] = -1
				continue
			}
			out[y*w+x] = j*w + i
		}
	}
	return out
}

// clippedWeight is what a clipped pixel says in the search of the place: a white wall behind a dark
// coat tells where the coat is.
const clippedWeight = 1 / (0.5 * 0.5 * clip * clip)

// weighed is a photograph with how much each pixel says.
type weighed struct {
	Image
	wt []float64
}

// weigh gives each pixel its weight: noise and what no picture knows go with the level, and at an
// edge a pixel is of one side or the other by chance. The level is the mean of the pixels about it:
// weights by a pixel's own value favour those that noise made darker, and levels come out low by
// twice the square of the noise (Neyman's chi-square, Hauschild and Jentschel 2001).
func weigh(m *Image) *weighed {
	out := &weighed{*m, make([]float64, len(m.RGB))}
	y := func(i, j int) float64 {
		p := m.RGB[min(m.H-1, max(0, j))*m.W+min(m.W-1, max(0, i))]
		return (p[0] + p[1] + p[2]) / 3
	}
	for j := range m.H {
		for i := range m.W {
			slope := math.Hypot(y(i+1, j)-y(i-1, j), y(i, j+1)-y(i, j-1)) / 2
			level := 0.0
			for _, d := range near {
				level += y(i+d[0], j+d[1]) / float64(len(near))
			}
			sd := 0.05*level + 0.004 + 0.5*slope
			if m.SD != nil {
				sd += m.SD[j*m.W+i]
			}
			out.wt[j*m.W+i] = 1 / (sd * sd)
		}
	}
	return out
}

// near is a pixel with the eight about it.
var near = [...][2]int{{0, 0}, {-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}

// movedTo draws layers anew at a shifted place, between their pixels; where there is nothing of
// them a pixel is as the nearest.
func movedTo(layers []Layer, s Shift) []Layer {
	out := append([]Layer{}, layers...)
	for l := range out {
		out[l].Image = moved(&layers[l].Image, s)
		if b := layers[l].Bare; b != nil {
			m := moved(b, s)
			out[l].Bare = &m
		}
	}
	return out
}

func moved(m *Image, s Shift) Image {
	out := Image{W: m.W, H: m.H, RGB: make([][3]float64, len(m.RGB))}
	for i := range out.RGB {
		for _, q := range between(m.W, m.H, i%m.W, i/m.W, s) {
			for c := range 3 {
				out.RGB[i][c] += q.share * m.RGB[q.pixel][c]
			}
		}
	}
	return out
}

// unsure is the square of how far a light's predicted picture may be off by itself, grain, cells
// and places: about an eighth. What differs between lights by less than that is left as planned
// (errors in variables, as a ridge: Golub and Van Loan 1980).
const unsure = 0.015

// solve finds the non-negative weights by coordinate descent; a light that hardly shows stays where
// the plan has it. rest is the mean weighted square that is left.
func (p *problem) solve(layers []Layer) (w []float64, rest float64) {
	n := len(layers)
	w = make([]float64, n)
	for l := range w {
		if !layers[l].Off {
			w[l] = 1
		}
	}
	for range 200 {
		moved := 0.0
		for a := range n {
			want := 1.0
			if layers[a].Off {
				want = 0
			}
			prior := unsure*p.gram[a][a] + 1e-9
			r := p.rhs[a] + prior*want
			for b := range n {
				if b != a {
					r -= p.gram[a][b] * w[b]
				}
			}
			x := max(0, r/(p.gram[a][a]+prior))
			moved = max(moved, math.Abs(x-w[a]))
			w[a] = x
		}
		if moved < 1e-6 {
			break
		}
	}
	rest = p.all
	for a := range n {
		rest -= 2 * w[a] * p.rhs[a]
		for b := range n {
			rest += w[a] * w[b] * p.gram[a][b]
		}
	}
	return w, max(0, rest) / max(1, p.n)
}

// Work says where to look and who watches.
type Work struct {
	Near *Shift             // where the camera looked by a point that somebody marked: only what is near is searched
	Step func(done, of int) // progress; nil: nobody asks
}

// Fit explains a photograph by the layers: a search over where the camera looked, coarse to
// fine, and at each place the weights that fit best. Photograph and layers must be of one size,
// some 60 to 120 pixels wide. The error is ctx's, where it ended the work.
func Fit(ctx context.Context, img *Image, layers []Layer, by Work) (Fitted, error) {
	photo := weigh(img)
	lights := stacked(layers)
	bright := lights.bright()
	one := [3]float64{1, 1, 1}
	w, h := 1/float64(photo.W), 1/float64(photo.H)
	var coarse []Shift
	steps := []float64{1, 0.5}
	best, least := Shift{}, math.Inf(1)
	if by.Near != nil {
		best, steps = *by.Near, []float64{2, 1, 0.5} // a thumb is good to some pixels
	} else {
		for x := -furthest; x <= furthest; x += 2 * w {
			for y := -furthest; y <= furthest; y += 2 * h {
				coarse = append(coarse, Shift{X: x, Y: y})
			}
		}
	}
	done, of := 0, len(coarse)+45*len(steps)+18+3*explainSteps
	step := func() bool { // false: the work is to end
		if done++; by.Step != nil {
			by.Step(done, of)
		}
		return ctx.Err() == nil
	}
	// White balance first, where the plan has the camera: it is the same wherever it looks.
	plain := sampled(photo.W, photo.H, Shift{})
	gain := whitened(photo, lights, bright, plain, layers, one)
	try := func(s Shift, every int) bool {
		p := pose(photo, lights, bright, sampled(photo.W, photo.H, s), gain, every)
		// Little overlap fits anything: a place must explain most of the photograph.
		if p.n >= 1.2*float64(photo.W*photo.H/every) {
			if _, rest := p.solve(layers); rest < least {
				best, least = s, rest
			}
		}
		return step()
	}
	for _, s := range coarse {
		if !try(s, 5) {
			return Fitted{}, ctx.Err()
		}
	}
	for _, by := range steps {
		at := best
		least = math.Inf(1)
		for _, r := range []float64{-1.5, -0.75, 0, 0.75, 1.5} {
			for dx := -1.0; dx <= 1; dx++ {
				for dy := -1.0; dy <= 1; dy++ {
					if !try(Shift{at.X + dx*by*w, at.Y + dy*by*h, at.Roll + r*by}, 2) {
						return Fitted{}, ctx.Err()
					}
				}
			}
		}
	}
	// To a quarter of a pixel, on layers drawn anew at each place.
	for again := range 2 {
		at := best
		least = math.Inf(1)
		by := []float64{0.5, 0.25}[again]
		for dx := -1.0; dx <= 1; dx++ {
			for dy := -1.0; dy <= 1; dy++ {
				s := Shift{at.X + dx*by*w, at.Y + dy*by*h, at.Roll}
				moved := lights.moved(s)
				p := pose(photo, moved, moved.bright(), plain, gain, 2)
				if _, rest := p.solve(layers); rest < least {
					best, least = s, rest
				}
				if !step() {
					return Fitted{}, ctx.Err()
				}
			}
		}
	}
	atPlan := pose(photo, lights, bright, plain, gain, 2)
	_, unmoved := atPlan.solve(layers)
	layers = movedTo(layers, best)
	lights = stacked(layers)
	bright = lights.bright()
	out := Fitted{Shift: best, Bare: make([]bool, len(layers)),
		moved: atPlan.n / 2 * math.Log((unmoved+1e-6)/(least+1e-6)) / correlatedPixels}
	out.Gain = whitened(photo, lights, bright, plain, layers, gain)
	p := pose(photo, lights, bright, plain, out.Gain, 1)
	out.Weight, _ = p.solve(layers)
	for range 3 { // with what is explained the pixels that tell nothing are known better
		told := photo.robust(layers, bright, &out, 3)
		all := summed(told, layers, bright)
		_, rest := all.problem(out.Gain, out.Bare).solve(layers)
		// What a picture does not know is alike in many pixels together.
		all.unit = 1 / (correlatedPixels * max(rest, leastRest))
		if out.explain(all, layers, step); ctx.Err() != nil {
			return Fitted{}, ctx.Err()
		}
		told = photo.robust(layers, bright, &out, outsideLess)
		p := summed(told, layers, bright).problem(out.Gain, out.Bare)
		_, rest = p.solve(layers)
		out.settle(p, told, layers, bright, rest)
		out.Gain, out.whiteSD = all.white(&out, layers)
	}
	out.Rest = unexplained(photo, layers, bright, &out)
	out.Share = shares(layers, out.Weight)
	return out, nil
}

// picture is a light's picture as it is explained, with or without its gels.
func (f *Fitted) picture(layers []Layer, l int) [][3]float64 {
	if f.Bare[l] {
		return layers[l].Bare.RGB
	}
	return layers[l].RGB
}

// gamutEdge is from where on a channel of a photograph lies at the edge of what its file can
// show: a saturated colour may have been brought in there. What is missing of it is taken from the
// explanation (as expectation maximization does: Dempster et al. 1977).
const gamutEdge = 0.003

// outsideLess is by how much less of levels a pixel says whose colour is outside what its file can
// show. How a camera brings it in is not known: some keep its luminance; one that keeps its hue
// and moves it to the brightest colour of that hue makes a blue coat brighter by a tenth, all of
// it. It is a standard deviation of 0.3 of the level, six times that of other pixels. What a light
// that is off leaves is more than that: causes are told by such places too.
const outsideLess = 36

// robust gives each pixel its weight after an explanation: what fits badly says less (Cauchy's
// weights, Holland and Welsch 1977), a clipped pixel counts only where the explanation is darker
// than it. outside is by how much less a colour says that is outside what the file can show.
func (photo *weighed) robust(layers []Layer, bright []bool, f *Fitted, outside float64) *weighed {
	out := &weighed{Image{W: photo.W, H: photo.H, RGB: slices.Clone(photo.RGB)}, slices.Clone(photo.wt)}
	for i, o := range photo.RGB {
		if bright[i] {
			continue
		}
		var v [3]float64
		for l := range layers {
			px := layers[l].RGB
			if f.Bare[l] {
				px = layers[l].Bare.RGB
			}
			for c := range v {
				v[c] += f.Weight[l] * px[i][c] * f.Gain[c]
			}
		}
		if max(o[0], o[1], o[2]) > clip {
			if max(v[0], v[1], v[2]) > clip {
				out.wt[i] = 0
				continue
			}
			for c := range o {
				o[c] = clip
			}
			out.RGB[i], out.wt[i] = o, clippedWeight
		}
		if y := luminance(v); min(o[0], o[1], o[2]) < gamutEdge && min(v[0], v[1], v[2]) < gamutEdge && y > 0 {
			k := luminance(o) / y
			o = [3]float64{v[0] * k, v[1] * k, v[2] * k}
			out.RGB[i] = o
			if min(v[0], v[1], v[2]) < 0 {
				out.wt[i] /= outside
			} else {
				out.wt[i] /= 3
			}
		}
		d := 0.0
		for c := range 3 {
			d += out.wt[i] * (o[c] - v[c]) * (o[c] - v[c]) / 3
		}
		out.wt[i] /= 1 + d/(2.4*2.4)
	}
	return out
}

// leastRest is what a prediction leaves unexplained at the least, mean weighted square.
const leastRest = 0.3

// unexplained is the root mean square of what is left, as a share of the light there and a
// little.
func unexplained(photo *weighed, layers []Layer, bright []bool, f *Fitted) float64 {
	sum, n := 0.0, 0.0
	for i, o := range photo.RGB {
		if bright[i] || max(o[0], o[1], o[2]) > clip {
			continue
		}
		for c := range 3 {
			v := 0.0
			for l := range layers {
				px := layers[l].RGB
				if f.Bare[l] {
					px = layers[l].Bare.RGB
				}
				v += f.Weight[l] * px[i][c] * f.Gain[c]
			}
			d := (o[c] - v) / (o[c] + 0.02)
			sum += min(1, d*d)
			n++
		}
	}
	return math.Sqrt(sum / max(1, n))
}

// shares gives each layer's part of the explained light.
func shares(layers []Layer, w []float64) []float64 {
	out, sum := make([]float64, len(layers)), 0.0
	for l := range layers {
		for _, p := range layers[l].RGB {
			out[l] += 0.2126*p[0] + 0.7152*p[1] + 0.0722*p[2]
		}
		sum += out[l] * max(w[l], 1e-9)
	}
	for l := range out {
		out[l] /= max(sum, 1e-12)
	}
	return out
}

// Whiteness is how far the photograph's white lies from the plan's, CIE 1976 Δu'v'.
func (f *Fitted) Whiteness() float64 {
	a := spectrum.SRGB.XYZ([3]float64{1, 1, 1}).XY()
	b := spectrum.SRGB.XYZ(f.Gain).XY()
	return spectrum.DeltaUVPrime(a, b)
}

// Mean is the light about a place of an image (shares of its size): of a square of 3 % of the
// width; clipped says that some of it cannot be trusted.
func (m *Image) Mean(x, y float64) (v [3]float64, clipped bool) {
	r := max(1, int(0.015*float64(m.W)))
	cx, cy := int(x*float64(m.W)), int(y*float64(m.H))
	n := 0.0
	for j := max(0, cy-r); j <= min(m.H-1, cy+r); j++ {
		for i := max(0, cx-r); i <= min(m.W-1, cx+r); i++ {
			p := m.RGB[j*m.W+i]
			for c := range p {
				v[c] += p[c]
			}
			clipped = clipped || max(p[0], p[1], p[2]) > clip
			n++
		}
	}
	for c := range v {
		v[c] /= max(1, n)
	}
	return v, clipped
}

// Times is an image with its light multiplied.
func (m *Image) Times(k float64) Image {
	out := Image{W: m.W, H: m.H, RGB: make([][3]float64, len(m.RGB))}
	for i, p := range m.RGB {
		out.RGB[i] = [3]float64{p[0] * k, p[1] * k, p[2] * k}
	}
	return out
}
