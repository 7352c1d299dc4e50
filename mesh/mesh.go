// Package mesh reads triangles from files: Wavefront OBJ, glTF 2.0 (binary GLB, or JSON with its
// data inside), PLY (ASCII and binary) and STL (ASCII and binary).
//
// It must not know rooms or files on disk. The materials of an OBJ lie in other files, which Reader
// asks for; any other file that is named is not read. Everything is counted against MostBytes,
// MostCorners and MostTriangles before memory is taken for it.
package mesh

import (
	"bytes"
	"fmt"
	"math"
	"slices"
)

// What is read at most. A phone's scan of a room has some hundred thousand to a million triangles.
const (
	MostBytes     = 256 << 20 // of a file
	MostCorners   = 4 << 20
	MostTriangles = 4 << 20
)

// farthest is the largest coordinate believed, in units of the file.
const farthest = 1e5

// Mesh is what a file holds, in the file's own units; of glTF metres. z is up for glTF (whose y is
// up), else as in the file.
type Mesh struct {
	Pos     [][3]float32 // corners
	Tris    [][3]uint32  // corners of each triangle, by index into Pos
	Colours [][3]uint8   // of the corners, coded as sRGB; nil where the file has none
	Faces   [][4]uint8   // mean colour of each triangle by its material, texture and corners, coded as sRGB; the
	// fourth is 0 where it has none; nil where only corners have colours, or nothing has
	Format string   // 'OBJ', 'GLB', 'glTF', 'PLY', 'STL'
	Left   []string // what of the file was left out, each as 'texture 2 lies in another file: …'
}

// Size is how large the mesh is along x, y and z, in its own units.
func (m *Mesh) Size() (size [3]float64) {
	for c := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range m.Pos {
			lo, hi = min(lo, float64(p[c])), max(hi, float64(p[c]))
		}
		if hi > lo {
			size[c] = hi - lo
		}
	}
	return size
}

// Parse reads a file of any of the formats, told apart by its content. The error names the file,
// the line or byte, and what is wrong there; it is never nil beside a nil Mesh. A Mesh has at least
// one triangle, and every coordinate is under 100,000.
// Check: TestFormats, TestBombs, FuzzOBJ, FuzzGLB, FuzzPLY, FuzzSTL.
func Parse(name string, src []byte) (*Mesh, error) { return Reader{}.Parse(name, src) }

// Parse reads a file as the function Parse does, and the materials of an OBJ with it: Kd times
// map_Kd (JPEG, PNG). What of them cannot be had is left out, and said with its line. Check:
// TestMaterials, TestMaterialsRefused.
func (r Reader) Parse(name string, src []byte) (*Mesh, error) {
	m, err := r.parse(src)
	if err == nil {
		err = m.check()
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return m, nil
}

func (r Reader) parse(src []byte) (*Mesh, error) {
	switch {
	case len(src) > MostBytes:
		return nil, fmt.Errorf("it has %d MiB; %d MiB are read at most: simplify it first", len(src)>>20, MostBytes>>20)
	case bytes.HasPrefix(src, []byte("glTF")):
		return parseGLB(src)
	case bytes.HasPrefix(bytes.TrimLeft(src[:min(len(src), 64)], " \t\r\n\ufeff"), []byte("{")):
		return parseGLTF(src)
	case bytes.HasPrefix(src, []byte("ply\n")), bytes.HasPrefix(src, []byte("ply\r")):
		return parsePLY(src)
	case isSTL(src):
		return parseSTL(src)
	}
	return parseOBJ(src, r.Files)
}

func (m *Mesh) check() error {
	if len(m.Tris) == 0 {
		return fmt.Errorf("no triangles in it")
	}
	for i, p := range m.Pos {
		for _, v := range p {
			if !(math.Abs(float64(v)) < farthest) {
				return fmt.Errorf("corner %d lies at %v, which is no place in a room", i+1, p)
			}
		}
	}
	return nil
}

// room reports whether that many more corners and triangles may be taken.
func (m *Mesh) room(corners, triangles int) error {
	if corners > MostCorners-len(m.Pos) {
		return fmt.Errorf("more than %d corners: simplify it first", MostCorners)
	}
	if triangles > MostTriangles-len(m.Tris) {
		return fmt.Errorf("more than %d triangles: simplify it first", MostTriangles)
	}
	return nil
}

// mostLeft remarks on what was left out are kept.
const mostLeft = 8

// leave remarks that something is left out, once.
func (m *Mesh) leave(s string) {
	if len(m.Left) < mostLeft && !slices.Contains(m.Left, s) {
		m.Left = append(m.Left, s)
	}
}

// fan adds a polygon as triangles from its first corner.
func (m *Mesh) fan(ids []uint32) error {
	if len(ids) < 3 {
		return nil
	}
	if err := m.room(0, len(ids)-2); err != nil {
		return err
	}
	for i := 2; i < len(ids); i++ {
		m.Tris = append(m.Tris, [3]uint32{ids[0], ids[i-1], ids[i]})
	}
	return nil
}

// weld makes one corner of those that are equal to the bit,
// and keeps the order in which they first come.
func (m *Mesh) weld() {
	size := 1
	for size < 2*len(m.Pos) {
		size *= 2
	}
	table := make([]uint32, size) // 1 + the number of the kept corner
	to := make([]uint32, len(m.Pos))
	kept := uint32(0)
	for i, p := range m.Pos {
		h := uint64(14695981039346656037) // FNV-1a over the words
		for _, v := range p {
			h = (h ^ uint64(math.Float32bits(v+0))) * 1099511628211
		}
		at := (h ^ h>>29) & uint64(size-1)
		for ; table[at] != 0 && m.Pos[table[at]-1] != p; at = (at + 1) & uint64(size-1) {
		}
		if table[at] == 0 {
			m.Pos[kept] = p
			kept++
			table[at] = kept
		}
		to[i] = table[at] - 1
	}
	m.Pos = m.Pos[:kept]
	for i := range m.Tris {
		for k := range 3 {
			m.Tris[i][k] = to[m.Tris[i][k]]
		}
	}
}
