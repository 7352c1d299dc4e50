package trace

import "halfstop/geom"

// What the tests hold the room's own code against.

// AddTriangle adds one triangle; its front is the side from which a, b, c run anticlockwise.
func (sc *Scene) AddTriangle(a, b, c geom.Vec, mat int) {
	sc.tri(sc.vertex(a), sc.vertex(b), sc.vertex(c), mat)
}
