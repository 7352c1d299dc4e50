package photo

import (
	"errors"
	"math"

	"halfstop/geom"
)

// Sight is a place of the room and where it lies in a photograph.
type Sight struct {
	At   geom.Vec // metres
	X, Y float64  // shares of width and height from the top left
}

// Station is where a photograph was taken from.
type Station struct {
	At, Axis geom.Vec // metres; unit vector of the lens' axis
	Roll     float64  // radians, anticlockwise as the camera turns
	Lens     float64  // focal length as on 36 × 24 mm by the longer side, mm
	Off      float64  // root mean square miss of the places, shares of the width
	SD       geom.Vec // one standard deviation of At, metres
	LensSD   float64  // and of Lens, mm; 0 where it was given
}

// clickError is how well a corner is hit by hand, one standard deviation, share of the width:
// common practice, no source.
const clickError = 0.003

// ErrNoStation says that no camera sees the places so.
var ErrNoStation = errors.New("no camera position fits these corners: look whether two are mixed up")

// Resect finds the camera from four or more places of known position: space resection by
// Gauss-Newton with Levenberg's damping from many starts (Luhmann and others, Close-Range
// Photogrammetry, 2014, section 4.2). aspect is height over width; lens is the focal length in mm
// as on full frame, 0 where it is not known. Principal point in the middle, no distortion. Errors:
// fewer than four places, places on a line, no fit within 3 % of the width. Check: TestResect.
func Resect(list []Sight, aspect, lens float64) (*Station, error) {
	if len(list) < 4 {
		return nil, errors.New("four corners are needed")
	}
	if !(aspect > 0) {
		return nil, errors.New("the picture has no size")
	}
	mid := geom.Vec{}
	for _, s := range list {
		mid = mid.Add(s.At.Mul(1 / float64(len(list))))
	}
	reach, flat := 0.0, 0.0
	a := list[0].At
	for _, s := range list {
		reach = max(reach, s.At.Sub(mid).Len())
		for _, t := range list {
			flat = max(flat, s.At.Sub(a).Cross(t.At.Sub(a)).Len())
		}
	}
	if reach < 0.05 || flat < 0.02*reach*reach {
		return nil, errors.New("the corners lie on one line: take corners that span a wall or the room")
	}
	r := resection{list: list, aspect: aspect, long: max(1, aspect), fixed: lens > 0}
	focal := []float64{20, 35, 70}
	if lens > 0 {
		focal = []float64{lens}
	}
	best, found := math.Inf(1), [7]float64{}
	for _, f := range focal {
		for _, far := range [4]float64{0.7, 1.4, 2.5, 5} {
			for k := range 16 {
				for _, up := range [3]float64{-0.3, 0.2, 0.8} {
					sn, cs := math.Sincos(float64(k) * math.Pi / 8)
					at := mid.Add(geom.V(cs, sn, up).Mul(far * reach))
					d := mid.Sub(at)
					p := [7]float64{at.X, at.Y, at.Z, math.Atan2(d.Y, d.X), math.Atan2(d.Z, math.Hypot(d.X, d.Y)), 0,
						math.Log(f / 36 * r.long)}
					if e := r.refine(&p); e < best {
						best, found = e, p
					}
				}
			}
		}
	}
	off := math.Sqrt(best / float64(len(list)))
	if !(off < 0.03) {
		return nil, ErrNoStation
	}
	st := &Station{At: geom.V(found[0], found[1], found[2]), Roll: found[5], Off: off,
		Lens: 36 * math.Exp(found[6]) / r.long}
	se, ce := math.Sincos(found[4])
	sy, cy := math.Sincos(found[3])
	st.Axis = geom.V(cy*ce, sy*ce, se)
	sd := r.spread(&found)
	st.SD = geom.V(sd[0], sd[1], sd[2])
	if !r.fixed {
		st.LensSD = st.Lens * sd[6]
	}
	return st, nil
}

// Ray is the direction (unit) in which the camera saw a place of its picture, in shares of width
// and height from the top left; aspect is height over width.
func (s *Station) Ray(x, y, aspect float64) geom.Vec {
	flat := geom.V(s.Axis.Y, -s.Axis.X, 0).Unit()
	if flat.Len2() == 0 {
		flat = geom.V(1, 0, 0) // straight up or down
	}
	over := flat.Cross(s.Axis)
	sr, cr := math.Sincos(s.Roll)
	right, up := flat.Mul(cr).AddMul(over, sr), over.Mul(cr).AddMul(flat, -sr)
	f := s.Lens / 36 * max(1, aspect) // in widths
	return s.Axis.Mul(f).AddMul(right, x-0.5).AddMul(up, (0.5-y)*aspect).Unit()
}

type resection struct {
	list   []Sight
	aspect float64
	long   float64 // longer side over the width
	fixed  bool    // the focal length is given
}

// misses gives the differences in shares of the width, x and y of each place; false where one lies
// behind the camera.
func (r *resection) misses(p *[7]float64, out []float64) bool {
	se, ce := math.Sincos(p[4])
	sy, cy := math.Sincos(p[3])
	axis := geom.V(cy*ce, sy*ce, se)
	right := geom.V(sy, -cy, 0)
	up := right.Cross(axis)
	sr, cr := math.Sincos(p[5])
	right, up = right.Mul(cr).AddMul(up, sr), up.Mul(cr).AddMul(right, -sr)
	f := math.Exp(p[6])
	for i, s := range r.list {
		d := s.At.Sub(geom.V(p[0], p[1], p[2]))
		z := d.Dot(axis)
		if z < 1e-3 {
			return false
		}
		out[2*i] = 0.5 + f*d.Dot(right)/z - s.X
		out[2*i+1] = 0.5*r.aspect - f*d.Dot(up)/z - s.Y*r.aspect
	}
	return true
}

func sumSquares(v []float64) (s float64) {
	for _, x := range v {
		s += x * x
	}
	return s
}

// normal gives JᵀJ and Jᵀe about p.
func (r *resection) normal(p *[7]float64) (a [7][7]float64, g [7]float64, err float64, ok bool) {
	n := 2 * len(r.list)
	e, up, down := make([]float64, n), make([]float64, n), make([]float64, n)
	if !r.misses(p, e) {
		return a, g, 0, false
	}
	j := make([][7]float64, n)
	for k := range 7 {
		if k == 6 && r.fixed {
			continue
		}
		const h = 1e-5
		x, y := *p, *p
		x[k] += h
		y[k] -= h
		if !r.misses(&x, up) || !r.misses(&y, down) {
			return a, g, 0, false
		}
		for i := range n {
			j[i][k] = (up[i] - down[i]) / (2 * h)
		}
	}
	for i := range n {
		for k := range 7 {
			g[k] += j[i][k] * e[i]
			for l := range 7 {
				a[k][l] += j[i][k] * j[i][l]
			}
		}
	}
	return a, g, sumSquares(e), true
}

// refine walks to the nearest least sum of squares and gives it.
func (r *resection) refine(p *[7]float64) float64 {
	damp := 1e-3
	var last float64
	e := make([]float64, 2*len(r.list))
	for range 60 {
		a, g, err, ok := r.normal(p)
		if !ok {
			return math.Inf(1)
		}
		last = err
		moved := false
		for range 8 {
			b := a
			for k := range 7 {
				b[k][k] += damp*a[k][k] + 1e-12
			}
			d, ok := solve7(b, g)
			if ok {
				q := *p
				for k := range 7 {
					q[k] -= d[k]
				}
				if r.misses(&q, e) && sumSquares(e) < err {
					*p, damp, moved = q, damp/4, true
					break
				}
			}
			damp *= 4
		}
		if !moved || last < 1e-18 {
			break
		}
	}
	if r.misses(p, e) {
		return sumSquares(e)
	}
	return math.Inf(1)
}

// spread gives a standard deviation of each parameter for corners clicked as well as a hand does.
func (r *resection) spread(p *[7]float64) (sd [7]float64) {
	a, _, _, ok := r.normal(p)
	if !ok {
		return sd
	}
	for k := range 7 {
		a[k][k] += 1e-9
	}
	for k := range 7 {
		var unit [7]float64
		unit[k] = 1
		if x, ok := solve7(a, unit); ok && x[k] > 0 {
			sd[k] = clickError * math.Sqrt(x[k])
		}
	}
	return sd
}

// solve7 solves a x = b by elimination with pivots; false where a has none.
func solve7(a [7][7]float64, b [7]float64) ([7]float64, bool) {
	for c := range 7 {
		p := c
		for i := c + 1; i < 7; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[p][c]) {
				p = i
			}
		}
		if math.Abs(a[p][c]) < 1e-15 {
			return b, false
		}
		a[c], a[p] = a[p], a[c]
		b[c], b[p] = b[p], b[c]
		for i := range 7 {
			if i != c {
				k := a[i][c] / a[c][c]
				for l := c; l < 7; l++ {
					a[i][l] -= k * a[c][l]
				}
				b[i] -= k * b[c]
			}
		}
	}
	for c := range 7 {
		b[c] /= a[c][c]
	}
	return b, true
}
