package answer

import (
	"math"

	"halfstop/geom"
	"halfstop/kind"
	"halfstop/sheet"
	"halfstop/shoot"
)

func objectsOf(list []shoot.Object) (out []sheet.Object) {
	for _, o := range list {
		var pts []geom.Vec
		sn, cs := math.Sincos(o.Turn.Radians())
		lo, hi := 0.0, 0.0
		switch {
		case o.Box != nil:
			if o.Box.Inside {
				continue
			}
			a := geom.Vec{X: float64(o.Box.At[0])}
			if len(o.Box.At) > 1 {
				a.Y = float64(o.Box.At[1])
			}
			if len(o.Box.At) > 2 {
				a.Z = float64(o.Box.At[2])
			}
			x, y := float64(o.Box.Size[0]), float64(o.Box.Size[1])
			for _, c := range [4][2]float64{{0, 0}, {x, 0}, {x, y}, {0, y}} {
				pts = append(pts, a.Add(geom.V(c[0]*cs-c[1]*sn, c[0]*sn+c[1]*cs, 0)))
			}
			lo, hi = a.Z, a.Z+float64(o.Box.Size[2])
			if o.Kind == "steps" {
				out = append(out, treads(pts, lo, hi)...)
			}
		case o.Sphere != nil:
			r := float64(o.Sphere.Diameter) / 2
			c := geom.V(float64(o.Sphere.At[0]), float64(o.Sphere.At[1]), float64(o.Sphere.At[2]))
			pts, lo, hi = ring(c, r), c.Z-r, c.Z+r
		case o.Cylinder != nil:
			r := float64(o.Cylinder.Diameter) / 2
			c := geom.V(float64(o.Cylinder.At[0]), float64(o.Cylinder.At[1]), float64(o.Cylinder.At[2]))
			pts, lo, hi = ring(c, r), c.Z, c.Z+float64(o.Cylinder.Height)
		case o.Quad != nil && len(o.Quad.Size) > 0:
			pts, lo, hi = flatFoot(o.Quad)
		case len(o.Polygon) > 0:
			for _, c := range o.Polygon {
				pts = append(pts, geom.V(float64(c[0]), float64(c[1]), 0))
				lo, hi = min(lo, float64(c[2])), max(hi, float64(c[2]))
			}
		default:
			continue // discs and meshes have no footprint to draw yet
		}
		f := sheet.Object{Name: o.Name, Lo: lo, Hi: hi}
		for _, c := range pts {
			f.Foot = append(f.Foot, [2]float64{c.X, c.Y})
		}
		out = append(out, f)
	}
	return out
}

// treads are the steps of a flight but the highest, each a strip of its foot.
func treads(foot []geom.Vec, lo, hi float64) (out []sheet.Object) {
	n := kind.StepsOf(hi - lo)
	for i := range n - 1 {
		a, b := float64(i)/float64(n), float64(i+1)/float64(n)
		f := sheet.Object{Lo: lo, Hi: lo + (hi-lo)*b}
		for _, c := range [4]geom.Vec{foot[0].Lerp(foot[3], a), foot[1].Lerp(foot[2], a), foot[1].Lerp(foot[2], b),
			foot[0].Lerp(foot[3], b)} {
			f.Foot = append(f.Foot, [2]float64{c.X, c.Y})
		}
		out = append(out, f)
	}
	return out
}
