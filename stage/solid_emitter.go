package stage

import (
	"halfstop/geom"
	"halfstop/shoot"
)

// solidDepth is where the black body of a flat emitter lies along its normal, metres: half a
// millimetre behind, but in its plane where both faces shine.
func solidDepth(e *shoot.Emitter) float64 {
	if e.TwoSided {
		return 0
	}
	return -0.0005
}

// polygonNormal is the normal of a flat polygon by the right-hand rule, of the length of twice its
// area.
func polygonNormal(pts []geom.Vec) (n geom.Vec) {
	for i := 2; i < len(pts); i++ {
		n = n.Add(pts[i-1].Sub(pts[0]).Cross(pts[i].Sub(pts[0])))
	}
	return n
}
