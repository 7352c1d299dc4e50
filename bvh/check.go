package bvh

// MaxTriangles is the most a tree takes.
const MaxTriangles = 1 << 24

// farCorner bounds corner coordinates, so that areas and edge functions stay finite in float32.
const farCorner = 1e9

func usable(verts [][3]float32, tr [3]uint32) bool {
	for _, c := range tr {
		if uint64(c) >= uint64(len(verts)) {
			return false
		}
		for _, x := range verts[c] {
			if !(abs(x) <= farCorner) {
				return false
			}
		}
	}
	return true
}
