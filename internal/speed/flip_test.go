//go:build unix

package speed

import (
	"image"
	"image/color"
	"math"
	"testing"

	"halfstop/parallel"
)

// flipDegree is how many pixels a degree of sight holds: a monitor of 0.7 m and 3,840 pixels from
// 0.7 m away, the measure's own default.
const flipDegree = 67.

// flip gives the difference between two pictures as a person sees it who flips between them, from 0
// to 1, mean over the pixels, and that of each pixel: FLIP for pictures of low dynamic range
// (Andersson, Nilsson, Akenine-Möller, Oskarsson, Åström and Fairchild 2020). Its constants are
// those of the paper.
func flip(a, b image.Image) (mean float64, each []float64) {
	x, y := flipped(a), flipped(b)
	// HyAB's largest distance, between green and blue, to the paper's power.
	most := math.Pow(hyab(huntOf([3]float64{0, 1, 0}), huntOf([3]float64{0, 0, 1})), 0.7)
	each = make([]float64, len(x.lab))
	for i := range each {
		e := math.Pow(hyab(x.lab[i], y.lab[i]), 0.7)
		if part := 0.4 * most; e < part {
			e *= 0.95 / part
		} else {
			e = 0.95 + (e-part)/(most-part)*0.05
		}
		feature := max(math.Abs(x.edge[i]-y.edge[i]), math.Abs(x.point[i]-y.point[i]))
		each[i] = math.Pow(e, 1-math.Sqrt(feature/math.Sqrt2))
		mean += each[i] / float64(len(each))
	}
	return
}

type flipPicture struct {
	lab         [][3]float64 // what the eye resolves of it, Hunt's effect in a* and b*
	edge, point []float64
}

func flipped(img image.Image) (p flipPicture) {
	r := img.Bounds()
	w, h := r.Dx(), r.Dy()
	var ch [3][]float64 // Y, Cx, Cz: L*a*b* without its roots
	for k := range ch {
		ch[k] = make([]float64, w*h)
	}
	for y := range h {
		for x := range w {
			c := color.NRGBAModel.Convert(img.At(r.Min.X+x, r.Min.Y+y)).(color.NRGBA)
			t := xyzOf([3]float64{toLinear(c.R), toLinear(c.G), toLinear(c.B)})
			i := y*w + x
			ch[0][i], ch[1][i], ch[2][i] = 116*t[1]-16, 500*(t[0]-t[1]), 200*(t[1]-t[2])
		}
	}
	grey := make([]float64, w*h)
	for i, v := range ch[0] {
		grey[i] = (v + 16) / 116
	}
	// Features as large as 0.082 degrees.
	sd := 0.5 * 0.082 * flipDegree
	n := int(math.Ceil(3 * sd))
	var g, edge, point []float64
	for k := -n; k <= n; k++ {
		x := float64(k)
		e := math.Exp(-x * x / (2 * sd * sd))
		g, edge, point = append(g, e), append(edge, -x*e), append(point, (x*x/(sd*sd)-1)*e)
	}
	unit(g)
	unit(edge)
	unit(point)
	norm := func(k []float64) []float64 {
		a, b := separable(grey, w, h, k, g), separable(grey, w, h, g, k)
		for i := range a {
			a[i] = math.Hypot(a[i], b[i])
		}
		return a
	}
	p.edge, p.point = norm(edge), norm(point)
	// What the eye's contrast sensitivity leaves: sums of Gaussians of a width in degrees.
	type gauss struct{ a, b float64 }
	n = int(math.Ceil(3 * math.Sqrt(0.04/(2*math.Pi*math.Pi)) * flipDegree))
	for k, parts := range [3][]gauss{{{1, 0.0047}}, {{1, 0.0053}}, {{34.1, 0.04}, {13.5, 0.025}}} {
		out, whole := make([]float64, w*h), 0.
		for _, q := range parts {
			var g []float64
			for j := -n; j <= n; j++ {
				x := float64(j) / flipDegree
				g = append(g, math.Exp(-math.Pi*math.Pi*x*x/q.b))
			}
			one := 0.
			for _, v := range g {
				one += v
			}
			unit(g)
			weight := q.a * math.Sqrt(math.Pi/q.b) * one * one
			whole += weight
			for i, v := range separable(ch[k], w, h, g, g) {
				out[i] += v * weight
			}
		}
		for i := range out {
			out[i] /= whole
		}
		ch[k] = out
	}
	p.lab = make([][3]float64, w*h)
	for i := range p.lab {
		y := (ch[0][i] + 16) / 116
		c := rgbOf([3]float64{y + ch[1][i]/500, y, y - ch[2][i]/200})
		for k := range c {
			c[k] = min(1, max(0, c[k]))
		}
		p.lab[i] = huntOf(c)
	}
	return
}

// unit scales what is above and what is below zero in a kernel to sums of 1.
func unit(k []float64) {
	up, down := 0., 0.
	for _, v := range k {
		up, down = up+max(0, v), down-min(0, v)
	}
	for i, v := range k {
		if v > 0 {
			k[i] /= up
		} else if v < 0 {
			k[i] /= down
		}
	}
}

// separable filters by one kernel along rows and one along columns; beyond the frame its border
// goes on.
func separable(in []float64, w, h int, kx, ky []float64) []float64 {
	pass := func(in []float64, k []float64, along, across, stepA, stepB int) []float64 {
		out, n := make([]float64, len(in)), len(k)/2
		var wg parallel.Group
		const strip = 64
		for from := 0; from < across; from += strip {
			wg.Go(func() {
				for b := from; b < min(across, from+strip); b++ {
					for a := range along {
						sum := 0.
						for j, v := range k {
							sum += v * in[min(along-1, max(0, a+j-n))*stepA+b*stepB]
						}
						out[a*stepA+b*stepB] = sum
					}
				}
			})
		}
		wg.Wait()
		return out
	}
	return pass(pass(in, kx, w, h, 1, w), ky, h, w, w, 1)
}

func toLinear(v uint8) float64 {
	if x := float64(v) / 255; x > 0.04045 {
		return math.Pow((x+0.055)/1.055, 2.4)
	} else {
		return x / 12.92
	}
}

// sRGB's primaries (IEC 61966-2-1), scaled so that white is 1, 1, 1.
var toXYZ = [3][3]float64{
	{0.4124564 / 0.9504700, 0.3575761 / 0.9504700, 0.1804375 / 0.9504700},
	{0.2126729, 0.7151522, 0.0721750},
	{0.0193339 / 1.0888300, 0.1191920 / 1.0888300, 0.9503041 / 1.0888300},
}

func xyzOf(c [3]float64) (t [3]float64) {
	for k, row := range toXYZ {
		t[k] = row[0]*c[0] + row[1]*c[1] + row[2]*c[2]
	}
	return
}

// rgbOf undoes xyzOf, by Cramer's rule.
func rgbOf(t [3]float64) (c [3]float64) {
	m := toXYZ
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
			m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	d := det(m)
	for k := range c {
		n := m
		for j := range n {
			n[j][k] = t[j]
		}
		c[k] = det(n) / d
	}
	return
}

// huntOf gives L*a*b* of linear sRGB with colours weaker where they are dark.
func huntOf(c [3]float64) [3]float64 {
	t := xyzOf(c)
	f := func(x float64) float64 {
		if const6 := 6. / 29; x <= const6*const6*const6 {
			return x/(3*const6*const6) + 4./29
		}
		return math.Cbrt(x)
	}
	l, a, b := 116*f(t[1])-16, 500*(f(t[0])-f(t[1])), 200*(f(t[1])-f(t[2]))
	return [3]float64{l, 0.01 * l * a, 0.01 * l * b}
}

func hyab(a, b [3]float64) float64 {
	return math.Abs(a[0]-b[0]) + math.Hypot(a[1]-b[1], a[2]-b[2])
}

// TestFlip holds the measure against what can be worked out beside it: HyAB's distances of colours
// by their published L*a*b* (green 87.735, −86.183, 83.179; blue 32.297, 79.188, −107.860), which
// give 1 between green and blue and, between black and white, 0.95 and a share of what is left.
func TestFlip(t *testing.T) {
	flat := func(c color.NRGBA) *image.NRGBA {
		m := image.NewNRGBA(image.Rect(0, 0, 24, 16))
		for i := range 24 * 16 {
			m.SetNRGBA(i%24, i/24, c)
		}
		return m
	}
	green, blue := color.NRGBA{G: 255, A: 255}, color.NRGBA{B: 255, A: 255}
	black, white := color.NRGBA{A: 255}, color.NRGBA{255, 255, 255, 255}
	l, m := 0.87735, 0.32297
	most := math.Pow(87.735-32.297+math.Hypot(-86.183*l-79.188*m, 83.179*l+107.860*m), 0.7)
	grey := 0.95 + 0.05*(math.Pow(100, 0.7)-0.4*most)/(0.6*most)
	for _, c := range []struct {
		a, b color.NRGBA
		want float64
	}{{green, green, 0}, {green, blue, 1}, {black, white, grey}, {white, black, grey}} {
		if got, _ := flip(flat(c.a), flat(c.b)); math.Abs(got-c.want) > 1e-3 {
			t.Errorf("%v beside %v: %.4f, want %.4f", c.a, c.b, got, c.want)
		}
	}
	// A checkerboard too fine for the eye is no other colour than its mean.
	fine, mean := flat(black), flat(color.NRGBA{188, 188, 188, 255}) // half of white's light
	for i := range 24 * 16 {
		if (i%24+i/24)%2 == 0 {
			fine.SetNRGBA(i%24, i/24, white)
		}
	}
	if _, each := flip(fine, mean); each[8*24+12] > 0.1 {
		t.Errorf("a fine checkerboard beside its mean: %.3f", each[8*24+12])
	}
}
