package testframe

import (
	"math"
	"slices"
)

// pictureSD is how far the predicted picture of a light is off by itself in one part of the frame,
// of its level there: grain, a room that is not quite as drawn. What one light's picture lacks
// another's weight makes up for. With it the errors of levels in five rooms of the zoo are as large
// as is said of them (root mean square of error over standard deviation 1).
const pictureSD = 0.065

// levelSD is how far it is off as a whole: the light of few hot spots reaches all of a room second
// hand, and a picture's cells know each of them to some percent. Of a stairwell lit off a wall, the
// worst room of the zoo, pictures of eight seeds scattered by 3.1 %.
const levelSD = 0.03

// parts is how many parts a frame has across and down that are off independently of one another.
const parts = 5

// misdrawn adds to the covariance of the weights what comes of lights' pictures being off, each by
// pictureSD in each part of the frame: the covariance of least squares where the model is not quite
// the true one (a sandwich: White 1980). in is the inverse of the products.
func (f *Fitted) misdrawn(cov, in [][]float64, photo *weighed, layers []Layer, bright []bool) {
	n := len(layers)
	part := make([][][]float64, parts*parts) // of each part, its own products
	for k := range part {
		part[k] = make([][]float64, n)
		for a := range part[k] {
			part[k][a] = make([]float64, n)
		}
	}
	for i, wt := range photo.wt {
		if bright[i] || wt == 0 {
			continue
		}
		k := (i/photo.W)*parts/photo.H*parts + (i%photo.W)*parts/photo.W
		for c := range 3 {
			for a := range n {
				va := wt * f.picture(layers, a)[i][c] * f.Gain[c] * f.Gain[c]
				for b := 0; b <= a; b++ {
					part[k][a][b] += va * f.picture(layers, b)[i][c]
				}
			}
		}
	}
	d := make([]float64, n)
	for k := range part {
		for a := range n {
			for b := range a {
				part[k][b][a] = part[k][a][b]
			}
		}
		for l := range n { // how far the weights go where light l's picture is off in part k
			for a := range n {
				d[a] = 0
				for b := range n {
					d[a] += in[a][b] * part[k][b][l]
				}
				d[a] *= pictureSD * max(f.Weight[l], 0.1)
			}
			for a := range n {
				for b := range n {
					cov[a][b] += d[a] * d[b]
				}
			}
		}
	}
}

// correlatedPixels is how many pixels are off together: what a picture does not know (a fold, a
// texture, a place a little elsewhere) is no noise of single pixels.
const correlatedPixels = 100

// settle gives each light of the likeliest explanation its level: what the photograph says by least
// squares, with the covariance of what is left unexplained and of pictures that are off, and what
// was known of it before, weighed against one another (Bayes' rule for normal distributions). Noise
// is one standard deviation of the outcome, or of all explanations together where that is more.
func (f *Fitted) settle(p *problem, photo *weighed, layers []Layer, bright []bool, rest float64) {
	n := len(layers)
	in := inverse(p.withoutErrors(f.Weight, rest))
	said := make([]float64, n) // by the photograph
	cov := make([][]float64, n)
	for a := range n {
		cov[a] = make([]float64, n)
		for b := range n {
			said[a] += in[a][b] * p.rhs[b]
			cov[a][b] = correlatedPixels * rest * in[a][b]
		}
		cov[a][a] += levelSD * levelSD * f.Weight[a] * f.Weight[a]
	}
	f.misdrawn(cov, in, photo, layers, bright)
	sum := make([][]float64, n)
	for a := range n {
		sum[a] = make([]float64, n)
		copy(sum[a], cov[a])
		sum[a][a] += f.before[a].sd * f.before[a].sd
	}
	gain := inverse(sum)
	for a := range n {
		v := f.before[a].sd * f.before[a].sd
		at := f.before[a].mean
		for b := range n {
			at += v * gain[a][b] * (said[b] - f.before[b].mean)
		}
		f.Weight[a] = max(0, at)
		f.Noise[a] = max(f.Noise[a], math.Sqrt(max(0, v-v*gain[a][a]*v)))
	}
}

// withoutErrors is the matrix of products less what the lights' own errors add to its diagonal.
// What is wrong in a light's predicted picture makes its square larger and its product with the
// photograph not: least squares then brings the light down and gives its part to one whose picture
// is alike and cleaner (errors in variables, the method of moments: Fuller 1987, 2.2). The errors
// are as large as what is left unexplained, rest, shared by the lights as their squares.
func (p *problem) withoutErrors(w []float64, rest float64) [][]float64 {
	n := len(w)
	squares := 0.0
	for a := range n {
		squares += w[a] * w[a] * p.gram[a][a]
	}
	share := rest * p.n / max(squares, 1e-12)
	out := make([][]float64, n)
	for {
		for a := range n {
			out[a] = slices.Clone(p.gram[a])
			out[a][a] -= share*p.gram[a][a] - 1e-9
		}
		if positive(out) || share < 1e-6 {
			return out
		}
		share /= 2 // lights that are alike but for their errors
	}
}

// positive reports whether a symmetric matrix is positive definite by some margin (Cholesky).
func positive(a [][]float64) bool {
	n := len(a)
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, i+1)
		for j := range i + 1 {
			v := a[i][j]
			for k := range j {
				v -= l[i][k] * l[j][k]
			}
			if i != j {
				l[i][j] = v / l[j][j]
			} else if v < 1e-3*a[i][i] {
				return false
			} else {
				l[i][i] = math.Sqrt(v)
			}
		}
	}
	return true
}

// inverse is that of a matrix, by Gauss-Jordan, with a little on the diagonal for lights that do
// not show at all.
func inverse(gram [][]float64) [][]float64 {
	n := len(gram)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, 2*n)
		copy(a[i], gram[i])
		a[i][i] += 1e-9
		a[i][n+i] = 1
	}
	for i := range a {
		at := i
		for k := i; k < n; k++ {
			if math.Abs(a[k][i]) > math.Abs(a[at][i]) {
				at = k
			}
		}
		a[i], a[at] = a[at], a[i]
		d := a[i][i]
		for k := range a[i] {
			a[i][k] /= d
		}
		for r := range a {
			if f := a[r][i]; r != i && f != 0 {
				for k := range a[r] {
					a[r][k] -= f * a[i][k]
				}
			}
		}
	}
	for i := range a {
		a[i] = a[i][n:]
	}
	return a
}
