package stage

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ParseMesh reads triangles from an OBJ or a GLB (glTF 2.0 binary) file, by its first bytes. Metres; GLB's y-up is turned to
// z-up. Polygons of OBJ are fanned. The error says what in the file is not understood.
func ParseMesh(name string, src []byte) (pos [][3]float32, tris [][3]uint32, err error) {
	if bytes.HasPrefix(src, []byte("glTF")) {
		pos, tris, err = parseGLB(src)
	} else {
		pos, tris, err = parseOBJ(src)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(tris) == 0 {
		return nil, nil, fmt.Errorf("%s: no triangles in it", name)
	}
	for i, p := range pos {
		for _, v := range p {
			if !(math.Abs(float64(v)) < 1e5) {
				return nil, nil, fmt.Errorf("%s: corner %d lies at %v, which is no place in a room", name, i+1, p)
			}
		}
	}
	return pos, tris, nil
}

func parseOBJ(src []byte) (pos [][3]float32, tris [][3]uint32, err error) {
	for n, line := range strings.Split(string(src), "\n") {
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		switch f[0] {
		case "v":
			if len(f) < 4 {
				return nil, nil, fmt.Errorf("line %d: a corner needs three numbers", n+1)
			}
			var p [3]float32
			for i := range p {
				v, e := strconv.ParseFloat(f[i+1], 32)
				if e != nil {
					return nil, nil, fmt.Errorf("line %d: %q is no number", n+1, f[i+1])
				}
				p[i] = float32(v)
			}
			pos = append(pos, p)
		case "f":
			var ids []uint32
			for _, w := range f[1:] {
				k, e := strconv.Atoi(strings.SplitN(w, "/", 2)[0])
				if k < 0 {
					k += len(pos) + 1
				}
				if e != nil || k < 1 || k > len(pos) {
					return nil, nil, fmt.Errorf("line %d: %q names no corner", n+1, w)
				}
				ids = append(ids, uint32(k-1))
			}
			for i := 2; i < len(ids); i++ {
				tris = append(tris, [3]uint32{ids[0], ids[i-1], ids[i]})
			}
		}
	}
	return pos, tris, nil
}

type glb struct {
	ExtensionsRequired []string `json:"extensionsRequired"`
	Scene              int      `json:"scene"`
	Scenes             []struct {
		Nodes []int `json:"nodes"`
	} `json:"scenes"`
	Nodes []struct {
		Mesh        *int      `json:"mesh"`
		Children    []int     `json:"children"`
		Matrix      []float64 `json:"matrix"`
		Translation []float64 `json:"translation"`
		Rotation    []float64 `json:"rotation"`
		Scale       []float64 `json:"scale"`
	} `json:"nodes"`
	Meshes []struct {
		Primitives []struct {
			Attributes map[string]int `json:"attributes"`
			Indices    *int           `json:"indices"`
			Mode       *int           `json:"mode"`
		} `json:"primitives"`
	} `json:"meshes"`
	Accessors []struct {
		BufferView    *int   `json:"bufferView"`
		ByteOffset    int    `json:"byteOffset"`
		ComponentType int    `json:"componentType"`
		Count         int    `json:"count"`
		Type          string `json:"type"`
		Sparse        any    `json:"sparse"`
	} `json:"accessors"`
	BufferViews []struct {
		Buffer     int `json:"buffer"`
		ByteOffset int `json:"byteOffset"`
		ByteLength int `json:"byteLength"`
		ByteStride int `json:"byteStride"`
	} `json:"bufferViews"`
	Buffers []struct {
		URI        string `json:"uri"`
		ByteLength int    `json:"byteLength"`
	} `json:"buffers"`
}

const mostCorners = 1 << 24

func parseGLB(src []byte) ([][3]float32, [][3]uint32, error) {
	if len(src) < 20 || binary.LittleEndian.Uint32(src[4:]) != 2 {
		return nil, nil, fmt.Errorf("only version 2 of the format is understood")
	}
	var g glb
	var bin []byte
	for at := 12; at+8 <= len(src); {
		n := int(binary.LittleEndian.Uint32(src[at:]))
		kind := binary.LittleEndian.Uint32(src[at+4:])
		at += 8
		if n < 0 || at+n > len(src) {
			return nil, nil, fmt.Errorf("a chunk of %d bytes runs past the end", n)
		}
		switch kind {
		case 0x4E4F534A:
			if err := json.Unmarshal(src[at:at+n], &g); err != nil {
				return nil, nil, fmt.Errorf("its description cannot be read: %w", err)
			}
		case 0x004E4942:
			bin = src[at : at+n]
		}
		at += n
	}
	if len(g.ExtensionsRequired) > 0 {
		return nil, nil, fmt.Errorf("it needs the extension %s, which is not understood: export it without", g.ExtensionsRequired[0])
	}
	r := glbReader{g: &g, bin: bin}
	roots := []int{}
	if g.Scene >= 0 && g.Scene < len(g.Scenes) {
		roots = g.Scenes[g.Scene].Nodes
	}
	id := [16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}
	for _, n := range roots {
		if err := r.node(n, id, 0); err != nil {
			return nil, nil, err
		}
	}
	return r.pos, r.tris, nil
}

type glbReader struct {
	g    *glb
	bin  []byte
	pos  [][3]float32
	tris [][3]uint32
}

func (r *glbReader) node(n int, m [16]float64, depth int) error {
	if n < 0 || n >= len(r.g.Nodes) || depth > 64 {
		return fmt.Errorf("its nodes are not a tree")
	}
	nd := &r.g.Nodes[n]
	local := [16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}
	if len(nd.Matrix) == 16 {
		copy(local[:], nd.Matrix)
	} else {
		if len(nd.Rotation) == 4 {
			x, y, z, w := nd.Rotation[0], nd.Rotation[1], nd.Rotation[2], nd.Rotation[3]
			local = [16]float64{1 - 2*(y*y+z*z), 2 * (x*y + z*w), 2 * (x*z - y*w), 0, 2 * (x*y - z*w), 1 - 2*(x*x+z*z), 2 * (y*z + x*w), 0,
				2 * (x*z + y*w), 2 * (y*z - x*w), 1 - 2*(x*x+y*y), 0, 0, 0, 0, 1}
		}
		if len(nd.Scale) == 3 {
			for c := range 3 {
				for k := range 3 {
					local[4*c+k] *= nd.Scale[c]
				}
			}
		}
		if len(nd.Translation) == 3 {
			copy(local[12:15], nd.Translation)
		}
	}
	var w [16]float64
	for c := range 4 {
		for k := range 4 {
			for j := range 4 {
				w[4*c+k] += m[4*j+k] * local[4*c+j]
			}
		}
	}
	if nd.Mesh != nil {
		if *nd.Mesh < 0 || *nd.Mesh >= len(r.g.Meshes) {
			return fmt.Errorf("a node names mesh %d of %d", *nd.Mesh, len(r.g.Meshes))
		}
		for _, p := range r.g.Meshes[*nd.Mesh].Primitives {
			if p.Mode != nil && *p.Mode != 4 {
				continue // points and lines have no surface
			}
			position, ok := p.Attributes["POSITION"]
			if !ok {
				return fmt.Errorf("a part of mesh %d has no positions", *nd.Mesh)
			}
			if err := r.primitive(position, p.Indices, w); err != nil {
				return err
			}
		}
	}
	for _, c := range nd.Children {
		if err := r.node(c, w, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// data returns the bytes and stride of an accessor whose elements take size bytes.
func (r *glbReader) data(a, size int) (b []byte, stride, count int, err error) {
	if a < 0 || a >= len(r.g.Accessors) {
		return nil, 0, 0, fmt.Errorf("it names accessor %d of %d", a, len(r.g.Accessors))
	}
	ac := &r.g.Accessors[a]
	if ac.Sparse != nil || ac.BufferView == nil || *ac.BufferView < 0 || *ac.BufferView >= len(r.g.BufferViews) {
		return nil, 0, 0, fmt.Errorf("accessor %d is sparse or empty, which is not understood", a)
	}
	v := &r.g.BufferViews[*ac.BufferView]
	buf := r.bin
	if v.Buffer >= 0 && v.Buffer < len(r.g.Buffers) && r.g.Buffers[v.Buffer].URI != "" {
		_, data, ok := strings.Cut(r.g.Buffers[v.Buffer].URI, ";base64,")
		if !ok {
			return nil, 0, 0, fmt.Errorf("it refers to another file; export it as one")
		}
		if buf, err = base64.StdEncoding.DecodeString(data); err != nil {
			return nil, 0, 0, err
		}
	}
	stride = v.ByteStride
	if stride == 0 {
		stride = size
	}
	start := v.ByteOffset + ac.ByteOffset
	if ac.Count < 0 || ac.Count > mostCorners || stride < size || stride > 4096 || start < 0 || ac.Count > 0 && start+(ac.Count-1)*stride+size > len(buf) {
		return nil, 0, 0, fmt.Errorf("accessor %d runs past the end of its data", a)
	}
	return buf[min(start, len(buf)):], stride, ac.Count, nil
}

func (r *glbReader) primitive(pos int, indices *int, m [16]float64) error {
	b, stride, n, err := r.data(pos, 12)
	if err != nil {
		return err
	}
	if r.g.Accessors[pos].ComponentType != 5126 || r.g.Accessors[pos].Type != "VEC3" {
		return fmt.Errorf("positions are not three floats each")
	}
	first := uint32(len(r.pos))
	if len(r.pos)+n > mostCorners {
		return fmt.Errorf("more than %d corners", mostCorners)
	}
	for i := range n {
		var v [3]float64
		for k := range 3 {
			v[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[i*stride+4*k:])))
		}
		x := m[0]*v[0] + m[4]*v[1] + m[8]*v[2] + m[12]
		y := m[1]*v[0] + m[5]*v[1] + m[9]*v[2] + m[13]
		z := m[2]*v[0] + m[6]*v[1] + m[10]*v[2] + m[14]
		r.pos = append(r.pos, [3]float32{float32(x), float32(-z), float32(y)}) // y up to z up
	}
	if indices == nil {
		for i := 0; i+2 < n; i += 3 {
			r.tris = append(r.tris, [3]uint32{first + uint32(i), first + uint32(i) + 1, first + uint32(i) + 2})
		}
		return nil
	}
	if *indices < 0 || *indices >= len(r.g.Accessors) {
		return fmt.Errorf("it names accessor %d of %d", *indices, len(r.g.Accessors))
	}
	size := map[int]int{5121: 1, 5123: 2, 5125: 4}[r.g.Accessors[*indices].ComponentType]
	if size == 0 {
		return fmt.Errorf("its indices are of a kind that is not understood")
	}
	ib, istride, count, err := r.data(*indices, size)
	if err != nil {
		return err
	}
	at := func(i int) uint32 {
		p := ib[i*istride:]
		switch size {
		case 1:
			return uint32(p[0])
		case 2:
			return uint32(binary.LittleEndian.Uint16(p))
		}
		return binary.LittleEndian.Uint32(p)
	}
	for i := 0; i+2 < count; i += 3 {
		t := [3]uint32{at(i), at(i + 1), at(i + 2)}
		for _, v := range t {
			if v >= uint32(n) {
				return fmt.Errorf("an index names corner %d of %d", v, n)
			}
		}
		r.tris = append(r.tris, [3]uint32{first + t[0], first + t[1], first + t[2]})
	}
	return nil
}
