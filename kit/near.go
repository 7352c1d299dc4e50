package kit

import "math"

// on tells what a receptor on the axis reads of a face of unit intensity (cd), from dist metres
// before the face: lux for flat, the ideal dome's weight (1 + cos)/2 for dome. From afar both are
// 1/dist².
//
// A face of size is not a point: at a distance of its own width a Lambertian square reads 0.4 stop
// less than the inverse square says. Source: reference values B3 (rectangle) and A8 (dome). Check:
// TestNearFace.
func on(f emitter, dist float64, dome bool) float64 {
	weight := func(c float64) float64 {
		if dome {
			return (1 + c) / 2
		}
		return c
	}
	switch f.shape {
	case "rectangle":
		// Midpoints of 32 × 32 pieces of one quadrant: 1e-4 at a distance of a tenth of the side is
		// not needed, 1e-5 at one side is met.
		const n = 32
		sum := 0.0
		for i := range n {
			for j := range n {
				x := f.width / 2 * (float64(i) + 0.5) / n
				y := f.height / 2 * (float64(j) + 0.5) / n
				r2 := x*x + y*y + dist*dist
				c := dist / math.Sqrt(r2)
				sum += at(f.profile, math.Acos(c)/degrees) * weight(c) / r2
			}
		}
		return sum / (n * n)
	case "disc":
		const n = 256
		sum := 0.0
		for i := range n {
			r := f.width / 2 * math.Sqrt((float64(i)+0.5)/n) // rings of equal area
			r2 := r*r + dist*dist
			c := dist / math.Sqrt(r2)
			sum += at(f.profile, math.Acos(c)/degrees) * weight(c) / r2
		}
		return sum / n
	case "sphere":
		r := f.width / 2
		c := dist + r
		if !dome {
			return 1 / (c * c)
		}
		// L = I/(π r²) over a cap of half angle a: ∫ (1 + cos)/2 dΩ = π (1 - cos a) + π/2 sin² a.
		s := r / c
		ca := math.Sqrt(1 - s*s)
		if r < 1e-6 {
			return 1 / (c * c)
		}
		return (math.Pi*(s*s/(1+ca)) + math.Pi/2*s*s) / (math.Pi * r * r)
	case "tube":
		const n = 256
		d := dist + f.height/2
		sum := 0.0
		for i := range n {
			x := f.width / 2 * (float64(i) + 0.5) / n
			r2 := x*x + d*d
			c := d / math.Sqrt(r2)
			sum += c * weight(c) / r2
		}
		return sum / n
	}
	return 1 / (dist * dist)
}
