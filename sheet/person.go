package sheet

import "math"

// The proportions of a figure as shares of the stature; common practice, no source. At heights from
// the sole to the neck: half the width seen from the front, and seen from the side the extent
// forwards and backwards.
var silhouette = []struct{ z, half, fore, aft float64 }{
	{0.000, 0.086, 0.098, 0.046}, {0.022, 0.086, 0.094, 0.048}, {0.045, 0.060, 0.034, 0.042},
	{0.150, 0.068, 0.026, 0.050},
	{0.270, 0.070, 0.036, 0.040}, {0.400, 0.088, 0.050, 0.052}, {0.480, 0.100, 0.056, 0.076},
	{0.560, 0.097, 0.060, 0.058},
	{0.620, 0.090, 0.060, 0.046}, {0.720, 0.110, 0.072, 0.060}, {0.770, 0.128, 0.058, 0.066},
	{0.800, 0.132, 0.040, 0.062},
	{0.818, 0.100, 0.022, 0.054}, {0.836, 0.040, 0.018, 0.040}, {0.885, 0.034, 0.022, 0.036},
}

const hip = 0.48

// fromAbove returns the outline in the plan, metres about the head: shoulders, head, and the nose
// as a line.
func (s Sitter) fromAbove() (shoulders, head []xy, nose [2]xy) {
	k := s.stature() / 1.7
	back := xy{-0.03 * k * math.Cos(s.Facing), -0.03 * k * math.Sin(s.Facing)}
	o := xy{s.At[0], s.At[1]}
	shoulders = ellipse2(o.add(back), 0.13*k, 0.235*k, s.Facing)
	head = ellipse2(o, 0.098*k, 0.078*k, s.Facing)
	d := xy{math.Cos(s.Facing), math.Sin(s.Facing)}
	nose = [2]xy{o.add(d.mul(0.095 * k)), o.add(d.mul(0.20 * k))}
	return
}

// ellipse2 is an ellipse in metres as a polygon with a fixed number of corners.
func ellipse2(c xy, rx, ry, turn float64) []xy {
	pts := make([]xy, 40)
	cs, sn := math.Cos(turn), math.Sin(turn)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(len(pts))
		x, y := rx*math.Cos(a), ry*math.Sin(a)
		pts[i] = xy{c.x + x*cs - y*sn, c.y + x*sn + y*cs}
	}
	return pts
}

func (s Sitter) stature() float64 {
	if s.Stature > 0 {
		return s.Stature
	}
	return 1.70
}

// fromSide returns the parts of the outline in the section: x along the section from the head, z
// over the floor, metres. facing is the angle between the sitter's facing and the section's x axis,
// radians.
func (s Sitter) fromSide(facing float64) [][]xy {
	h := s.stature()
	c, n := math.Cos(facing), math.Sin(facing)
	half := func(front, side float64) float64 { return h * math.Hypot(front*n, side*c) }
	seat := s.Seat
	if seat == 0 {
		seat = 0.45
	}
	lift := 0.0
	from := 0.0
	lean := 0.0
	switch s.Pose {
	case PoseSeated:
		from = hip - 0.02
		lift = seat - from*h
	case PoseLeaning:
		lean = 0.10 * h * c
	}
	shift := func(z float64) float64 { return lean * (1 - z/0.87) }
	var left, right []xy
	for _, p := range silhouette {
		if p.z < from {
			continue
		}
		w := half(p.half, (p.fore+p.aft)/2)
		mid := shift(p.z) + c*h*(p.fore-p.aft)/2
		left = append(left, xy{mid - w, p.z*h + lift + s.Floor})
		right = append(right, xy{mid + w, p.z*h + lift + s.Floor})
	}
	trunk := append([]xy(nil), left...)
	for i := len(right) - 1; i >= 0; i-- {
		trunk = append(trunk, right[i])
	}
	eyes := 0.928*h + lift + s.Floor
	parts := [][]xy{rounded(sub{trunk, true}).pts, ellipse2(xy{c * 0.004 * h, eyes}, half(0.046, 0.056), 0.071*h, 0)}
	if math.Abs(c) > 0.4 {
		// The nose shows where the sitter faces.
		tip := c*0.004*h + math.Copysign(half(0, 0.056)+0.012*h, c)
		parts = append(parts, []xy{{tip, eyes - 0.012*h}, {tip * 0.8, eyes + 0.02*h}, {tip * 0.8, eyes - 0.02*h}})
	}
	if s.Pose == PoseSeated {
		// Thighs, shanks and feet. Seen from the front the projection shortens them.
		r := 0.046 * h
		top := seat + r + s.Floor
		knee := xy{0.25 * h * c, top}
		ankle := xy{0.26 * h * c, 0.03*h + s.Floor}
		toe := xy{0.36 * h * c, 0.02*h + s.Floor}
		side := h * 0.05 * math.Abs(n)
		parts = append([][]xy{limb(xy{0, top}, knee, r+side, r*0.9+side),
			limb(knee, ankle, 0.036*h+side, 0.028*h+side), limb(ankle, toe, 0.026*h+side, 0.02*h+side)}, parts...)
	}
	return parts
}

// limb is a tapered capsule.
func limb(a, b xy, ra, rb float64) []xy {
	return hull(append(ellipse2(a, ra, ra, 0), ellipse2(b, rb, rb, 0)...))
}
