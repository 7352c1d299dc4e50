package spectrum

import "math"

// invert returns the inverse of a 3×3 matrix. ok is false where it is singular.
func invert(m [3][3]float64) (out [3][3]float64, ok bool) {
	a, b, c := m[0][0], m[0][1], m[0][2]
	d, e, f := m[1][0], m[1][1], m[1][2]
	g, h, i := m[2][0], m[2][1], m[2][2]
	D := a*(e*i-f*h) - b*(d*i-f*g) + c*(d*h-e*g)
	if D == 0 || math.IsNaN(D) || math.IsInf(D, 0) {
		return out, false
	}
	return [3][3]float64{
		{(e*i - f*h) / D, (c*h - b*i) / D, (b*f - c*e) / D},
		{(f*g - d*i) / D, (a*i - c*g) / D, (c*d - a*f) / D},
		{(d*h - e*g) / D, (b*g - a*h) / D, (a*e - b*d) / D},
	}, true
}

func apply(m [3][3]float64, v [3]float64) [3]float64 {
	return [3]float64{
		m[0][0]*v[0] + m[0][1]*v[1] + m[0][2]*v[2],
		m[1][0]*v[0] + m[1][1]*v[1] + m[1][2]*v[2],
		m[2][0]*v[0] + m[2][1]*v[1] + m[2][2]*v[2],
	}
}

func multiply(a, b [3][3]float64) (out [3][3]float64) {
	for i := range out {
		for j := range out[i] {
			for k := range 3 {
				out[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return out
}
