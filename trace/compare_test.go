package trace

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// frames are the means and squared standard errors of a small picture's pixels over independent
// runs.
type frames struct {
	name      string
	mean, se2 [pixels * pixels]float64
	runs      int
}

// compareFrames tests whether two pictures have the same expectation, pixel by pixel (Welch 1947)
// and as whole frames, with a chance of 1 % of a false alarm over all tests of a family (Šidák
// 1967). Where it fails it says p-values and writes both pictures and their difference in standard
// errors.
func compareFrames(t *testing.T, a, b *frames, family int) {
	t.Helper()
	alpha := 1 - math.Pow(0.99, 1/float64(family*(pixels*pixels+1)))
	var p [pixels * pixels]float64
	var sum, v, least float64
	least = 1
	mean := 0.0
	for i := range p {
		d, va, vb := a.mean[i]-b.mean[i], a.se2[i], b.se2[i]
		sum, v, mean = sum+d, v+va+vb, mean+b.mean[i]
		p[i] = 1
		if va+vb > 0 {
			df := (va + vb) * (va + vb) / (va*va/float64(a.runs-1) + vb*vb/float64(b.runs-1))
			p[i] = studentTwoSided(math.Abs(d)/math.Sqrt(va+vb), df)
		} else if math.Abs(d) > 1e-6*math.Abs(b.mean[i]) {
			p[i] = 0
		}
		least = min(least, p[i])
	}
	frame := 1.0
	if v > 0 {
		frame = math.Erfc(math.Abs(sum) / math.Sqrt(2*v))
	}
	t.Logf("whole frame %+.2f %% ± %.2f %%, p = %.2g; least p of a pixel %.2g (%.1g fails)", 100*sum/mean,
		100*math.Sqrt(v)/mean, frame, least, alpha)
	if frame >= alpha && least >= alpha {
		return
	}
	var list strings.Builder
	for i := range p {
		if p[i] < 100*alpha {
			fmt.Fprintf(&list, "\n  pixel %d, %d: %.5g ± %.2g against %.5g ± %.2g, p = %.2g", i%pixels, i/pixels,
				a.mean[i], math.Sqrt(a.se2[i]),
				b.mean[i], math.Sqrt(b.se2[i]), p[i])
		}
	}
	file, err := writeDifference(t, a, b)
	if err != nil {
		file = err.Error()
	}
	t.Errorf("%s and %s differ: frame p = %.2g, pixel p = %.2g, %.1g allowed%s\n  pictures and difference: %s",
		a.name, b.name, frame, least, alpha,
		list.String(), file)
}

// writeDifference writes both pictures and their difference, red too bright and blue too dark by up
// to 6 standard errors.
func writeDifference(t *testing.T, a, b *frames) (string, error) {
	const side = 24
	img := image.NewRGBA(image.Rect(0, 0, 3*pixels*side, pixels*side))
	top := 0.0
	for i := range a.mean {
		top = max(top, a.mean[i], b.mean[i])
	}
	grey := func(x float64) color.Color { return color.Gray{uint8(255 * math.Pow(max(0, x/top), 1/2.2))} }
	for y := range pixels * side {
		for x := range pixels * side {
			i := y/side*pixels + x/side
			z := (a.mean[i] - b.mean[i]) / math.Sqrt(a.se2[i]+b.se2[i]+1e-300) / 6
			k := uint8(255 * (1 - min(1, math.Abs(z))))
			c := color.RGBA{255, k, k, 255}
			if z < 0 {
				c = color.RGBA{k, k, 255, 255}
			}
			img.Set(x, y, grey(a.mean[i]))
			img.Set(x+pixels*side, y, grey(b.mean[i]))
			img.Set(x+2*pixels*side, y, c)
		}
	}
	dir, err := os.MkdirTemp("", "halfstop-difference-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, strings.NewReplacer("/", "-", " ", "-").Replace(t.Name())+".png")
	f, err := os.Create(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	return path, png.Encode(f, img)
}

// studentTwoSided is the probability that Student's t of df degrees lies beyond ±x: a numeric
// integral of the density, substituted to a finite range.
func studentTwoSided(x, df float64) float64 {
	// t = √df tan θ: the tail is ∫ cos^(df−1) from atan(x/√df) to π/2 over the same from 0.
	tail := func(from float64) float64 {
		const n = 2000
		sum := 0.0
		for i := range n {
			th := from + (math.Pi/2-from)*(float64(i)+0.5)/n
			sum += math.Pow(math.Cos(th), df-1)
		}
		return sum * (math.Pi/2 - from) / n
	}
	return tail(math.Atan(x/math.Sqrt(df))) / tail(0)
}

// The tails above against a table of Student's t (Abramowitz and Stegun 1964, table 26.10).
func TestStudentTwoSided(t *testing.T) {
	for _, c := range []struct{ x, df, p float64 }{{2.228, 10, 0.05}, {4.587, 10, 0.001}, {2.042, 30, 0.05},
		{3.646, 30, 0.001}} {
		if p := studentTwoSided(c.x, c.df); math.Abs(p/c.p-1) > 0.01 {
			t.Errorf("t %g, %g degrees: %g, want %g", c.x, c.df, p, c.p)
		}
	}
}
