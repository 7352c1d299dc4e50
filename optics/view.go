package optics

import (
	"math"

	"halfstop/geom"
	q "halfstop/quantity"
)

// View is a camera in the place, as a thin lens: where, which way up, what sensor and lens, focused
// how far.
type View struct {
	At     geom.Vec // of the lens, metres
	Axis   geom.Vec // unit, out of the front
	Right  geom.Vec // unit, to the right in the picture
	Up     geom.Vec // unit, up in the picture
	Format Format   // as held: Upright already applied
	Lens   q.Metres
	Focus  q.Metres // distance of the sharp plane; 0 is far away
}

// Look returns a view from at towards aim, not rolled. Aim straight up or down puts +y at the right
// of the picture. Where aim is at, it looks along +y.
func Look(at, aim geom.Vec, f Format, lens, focus q.Metres) View {
	n := aim.Sub(at).Unit()
	if n.Len2() == 0 {
		n = geom.V(0, 1, 0)
	}
	fr := geom.UprightFrame(n)
	return View{At: at, Axis: n, Right: fr.S.Neg(), Up: fr.T, Format: f, Lens: lens, Focus: focus}
}

// extend returns the distance from lens to sensor: s·f/(s-f), f when focused far away.
func (v *View) extend() float64 {
	f, s := float64(v.Lens), float64(v.Focus)
	if !(s > f) {
		return f
	}
	return s * f / (s - f)
}

// Project returns where p lands: x from the left and y from the top edge of the frame, as parts of
// its width and height (inside from 0 to 1), and depth along the axis in metres. ok is false for
// points behind the lens. Check: TestProject.
func (v *View) Project(p geom.Vec) (x, y, depth float64, ok bool) {
	d := p.Sub(v.At)
	depth = d.Dot(v.Axis)
	if !(depth > 1e-6) || v.Format.Width <= 0 || v.Format.Height <= 0 {
		return 0, 0, depth, false
	}
	k := v.extend() / depth
	x = 0.5 + d.Dot(v.Right)*k/float64(v.Format.Width)
	y = 0.5 - d.Dot(v.Up)*k/float64(v.Format.Height)
	return x, y, depth, true
}

// Ray returns the direction (unit) in which the lens sees the point (x, y) of the frame: the
// inverse of Project.
func (v *View) Ray(x, y float64) geom.Vec {
	d := v.Axis.Mul(v.extend())
	d = d.AddMul(v.Right, (x-0.5)*float64(v.Format.Width))
	d = d.AddMul(v.Up, (0.5-y)*float64(v.Format.Height))
	return d.Unit()
}

// Off returns the angle of p off the axis.
func (v *View) Off(p geom.Vec) q.Degrees {
	d := p.Sub(v.At)
	return q.Degrees(math.Atan2(d.Cross(v.Axis).Len(), d.Dot(v.Axis)) * 180 / math.Pi)
}
