package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// PLY writes the mesh as binary little-endian PLY, without colours, in its own units.
func (m *Mesh) PLY(comment string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "ply\nformat binary_little_endian 1.0\ncomment %s\nelement vertex %d\n", comment, len(m.Pos))
	b.WriteString("property float x\nproperty float y\nproperty float z\n")
	fmt.Fprintf(&b, "element face %d\nproperty list uchar uint vertex_indices\nend_header\n", len(m.Tris))
	for _, p := range m.Pos {
		_ = binary.Write(&b, binary.LittleEndian, p) // a bytes.Buffer takes all
	}
	for _, t := range m.Tris {
		b.WriteByte(3)
		_ = binary.Write(&b, binary.LittleEndian, t)
	}
	return b.Bytes()
}
