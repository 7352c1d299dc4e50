package mesh

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strings"
)

// gltf is what is read of a description (glTF 2.0, ISO/IEC 12113).
type gltf struct {
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
			Material   *int           `json:"material"`
		} `json:"primitives"`
	} `json:"meshes"`
	Materials []struct {
		PBR struct {
			Factor  []float64    `json:"baseColorFactor"`
			Texture *gltfTexture `json:"baseColorTexture"`
		} `json:"pbrMetallicRoughness"`
	} `json:"materials"`
	Textures []struct {
		Source *int `json:"source"`
	} `json:"textures"`
	Images []struct {
		URI        string `json:"uri"`
		BufferView *int   `json:"bufferView"`
	} `json:"images"`
	Accessors []struct {
		BufferView    *int            `json:"bufferView"`
		ByteOffset    int64           `json:"byteOffset"`
		ComponentType int             `json:"componentType"`
		Count         int64           `json:"count"`
		Type          string          `json:"type"`
		Sparse        json.RawMessage `json:"sparse"`
	} `json:"accessors"`
	BufferViews []struct {
		Buffer     int   `json:"buffer"`
		ByteOffset int64 `json:"byteOffset"`
		ByteLength int64 `json:"byteLength"`
		ByteStride int64 `json:"byteStride"`
	} `json:"bufferViews"`
	Buffers []struct {
		URI string `json:"uri"`
	} `json:"buffers"`
}

const (
	mostDescription = 8 << 20 // bytes of a GLB's description
	mostThings      = 200_000 // objects and lists in it
	mostParts       = 1 << 20 // parts of meshes drawn, all nodes together
)

// parseGLB reads the chunks of a binary file.
func parseGLB(src []byte) (*Mesh, error) {
	if len(src) < 20 || binary.LittleEndian.Uint32(src[4:]) != 2 {
		return nil, fmt.Errorf("byte 4: only version 2 of the format is understood")
	}
	var text, bin []byte
	for at := int64(12); at+8 <= int64(len(src)); {
		n, kind := int64(binary.LittleEndian.Uint32(src[at:])), binary.LittleEndian.Uint32(src[at+4:])
		if n > int64(len(src))-at-8 {
			return nil, fmt.Errorf("byte %d: a chunk of %d bytes runs past the end of the file", at, n)
		}
		at += 8
		switch {
		case kind == 0x4E4F534A && text == nil:
			text = src[at : at+n]
		case kind == 0x004E4942 && bin == nil:
			bin = src[at : at+n]
		}
		at += n
	}
	if len(text) > mostDescription {
		return nil, fmt.Errorf("its description has %d bytes; %d are read at most", len(text), mostDescription)
	}
	m, err := readGLTF(text, bin)
	if m != nil {
		m.Format = "GLB"
	}
	return m, err
}

// parseGLTF reads the text form, whose data must stand inside it.
func parseGLTF(src []byte) (*Mesh, error) {
	m, err := readGLTF(bytes.TrimPrefix(src, []byte("\ufeff")), nil)
	if m != nil {
		m.Format = "glTF"
	}
	return m, err
}

func readGLTF(text, bin []byte) (*Mesh, error) {
	if n := bytes.Count(text, []byte("{")) + bytes.Count(text, []byte("[")); n > mostThings {
		return nil, fmt.Errorf("its description has %d parts; %d are read at most: join its meshes first", n,
			mostThings)
	}
	if n := bytes.Count(text, []byte(",")); n > 4*mostThings {
		return nil, fmt.Errorf("its description has %d values; %d are read at most: join its meshes first", n,
			4*mostThings)
	}
	var g gltf
	if err := json.Unmarshal(text, &g); err != nil {
		if s, ok := err.(*json.SyntaxError); ok {
			return nil, fmt.Errorf("byte %d of its description: %w", s.Offset, err)
		}
		return nil, fmt.Errorf("its description cannot be read: %w", err)
	}
	for _, x := range g.ExtensionsRequired {
		if x != "KHR_materials_unlit" { // which asks for the base colour as it is
			return nil, fmt.Errorf("it needs the extension %q, which is not understood: export it without",
				clip([]byte(x)))
		}
	}
	r := glbReader{g: &g, bin: bin, m: &Mesh{}, seen: make([]bool, len(g.Nodes)),
		decoded: make([][]byte, len(g.Buffers))}
	if g.Scene < 0 || g.Scene >= len(g.Scenes) {
		return nil, fmt.Errorf("it has no scene")
	}
	r.textures()
	id := [16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}
	for _, n := range g.Scenes[g.Scene].Nodes {
		if err := r.node(n, id, 0); err != nil {
			return nil, err
		}
	}
	if !r.coloured {
		r.m.Colours = nil
	}
	return r.m, nil
}

type glbReader struct {
	g        *gltf
	bin      []byte
	m        *Mesh
	seen     []bool
	decoded  [][]byte
	parts    int
	coloured bool
	tex      []*texture // by texture; nil: not read
	painted  bool       // m.Faces is kept
	samples  int        // looked up in textures so far
}

func (r *glbReader) node(n int, m [16]float64, depth int) error {
	if n < 0 || n >= len(r.g.Nodes) {
		return fmt.Errorf("it names node %d of %d", n, len(r.g.Nodes))
	}
	if r.seen[n] || depth > 256 {
		return fmt.Errorf("node %d hangs in two places or too deep: nodes make trees", n)
	}
	r.seen[n] = true
	nd := &r.g.Nodes[n]
	w := times(m, local(nd.Matrix, nd.Translation, nd.Rotation, nd.Scale))
	if nd.Mesh != nil {
		if *nd.Mesh < 0 || *nd.Mesh >= len(r.g.Meshes) {
			return fmt.Errorf("node %d names mesh %d of %d", n, *nd.Mesh, len(r.g.Meshes))
		}
		placed := map[int]uint32{} // accessors of positions already placed by this node
		for _, p := range r.g.Meshes[*nd.Mesh].Primitives {
			if r.parts++; r.parts > mostParts {
				return fmt.Errorf("more than %d parts of meshes", mostParts)
			}
			mode := 4
			if p.Mode != nil {
				mode = *p.Mode
			}
			if mode < 4 || mode > 6 {
				continue // points and lines have no surface
			}
			position, ok := p.Attributes["POSITION"]
			if !ok {
				return fmt.Errorf("a part of mesh %d has no positions", *nd.Mesh)
			}
			colour := -1
			if c, ok := p.Attributes["COLOR_0"]; ok {
				colour = c
			}
			first, there := placed[position]
			if !there {
				first = uint32(len(r.m.Pos))
				if err := r.positions(position, colour, w); err != nil {
					return err
				}
				placed[position] = first
			}
			tris, corners := len(r.m.Tris), int(r.g.Accessors[position].Count)
			if err := r.triangles(first, corners, p.Indices, mode); err != nil {
				return err
			}
			if err := r.paint(tris, first, p.Attributes, corners, p.Material, colour >= 0); err != nil {
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

// local is a node's matrix, by columns.
func local(matrix, move, turn, scale []float64) [16]float64 {
	m := [16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}
	if len(matrix) == 16 {
		copy(m[:], matrix)
		return m
	}
	if len(turn) == 4 {
		x, y, z, w := turn[0], turn[1], turn[2], turn[3]
		m = [16]float64{1 - 2*(y*y+z*z), 2 * (x*y + z*w), 2 * (x*z - y*w), 0, 2 * (x*y - z*w), 1 - 2*(x*x+z*z),
			2 * (y*z + x*w), 0,
			2 * (x*z + y*w), 2 * (y*z - x*w), 1 - 2*(x*x+y*y), 0, 0, 0, 0, 1}
	}
	if len(scale) == 3 {
		for c := range 3 {
			for k := range 3 {
				m[4*c+k] *= scale[c]
			}
		}
	}
	if len(move) == 3 {
		copy(m[12:15], move)
	}
	return m
}

func times(a, b [16]float64) (w [16]float64) {
	for c := range 4 {
		for k := range 4 {
			for j := range 4 {
				w[4*c+k] += a[4*j+k] * b[4*c+j]
			}
		}
	}
	return w
}

// componentBytes are the sizes of the numbers of an accessor.
var componentBytes = map[int]int64{5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}

// data returns the bytes and stride of an accessor whose elements have so many numbers.
func (r *glbReader) data(a int, numbers int64) (b []byte, stride, count int, err error) {
	bad := func(format string, args ...any) ([]byte, int, int, error) {
		return nil, 0, 0, fmt.Errorf("accessor %d: %s", a, fmt.Sprintf(format, args...))
	}
	if a < 0 || a >= len(r.g.Accessors) {
		return bad("there are %d", len(r.g.Accessors))
	}
	ac := &r.g.Accessors[a]
	if ac.Sparse != nil || ac.BufferView == nil || *ac.BufferView < 0 || *ac.BufferView >= len(r.g.BufferViews) {
		return bad("it is sparse or has no data, which is not understood")
	}
	v := &r.g.BufferViews[*ac.BufferView]
	buf, err := r.buffer(v.Buffer)
	if err != nil {
		return nil, 0, 0, err
	}
	long, size := int64(len(buf)), numbers*componentBytes[ac.ComponentType]
	if size == 0 {
		return bad("its numbers are of the kind %d, which is not understood", ac.ComponentType)
	}
	if v.ByteOffset < 0 || v.ByteOffset > long || v.ByteLength < 0 || v.ByteLength > long-v.ByteOffset {
		return bad("its view of %d bytes from %d runs past the end of %d", v.ByteLength, v.ByteOffset, long)
	}
	buf = buf[v.ByteOffset : v.ByteOffset+v.ByteLength]
	long = v.ByteLength
	step := v.ByteStride
	if step == 0 {
		step = size
	}
	if step < size || step > 4096 {
		return bad("a stride of %d bytes for elements of %d", step, size)
	}
	if ac.ByteOffset < 0 || ac.ByteOffset > long || ac.Count < 0 || ac.Count > 1<<31 ||
		ac.Count > 0 && (ac.Count-1)*step+size > long-ac.ByteOffset {
		return bad("%d elements from byte %d run past the end of %d", ac.Count, ac.ByteOffset, long)
	}
	return buf[ac.ByteOffset:], int(step), int(ac.Count), nil
}

// buffer gives a buffer's bytes; one that stands in the description is decoded once.
func (r *glbReader) buffer(n int) ([]byte, error) {
	if n < 0 || n >= len(r.g.Buffers) || r.g.Buffers[n].URI == "" {
		return r.bin, nil
	}
	if r.decoded[n] == nil {
		_, data, ok := strings.Cut(r.g.Buffers[n].URI, ";base64,")
		if !ok || !strings.HasPrefix(r.g.Buffers[n].URI, "data:") {
			return nil, fmt.Errorf("buffer %d lies in another file; export it as one", n)
		}
		b, err := base64.StdEncoding.DecodeString(data)
		if err != nil {
			return nil, fmt.Errorf("buffer %d: %w", n, err)
		}
		r.decoded[n] = b
	}
	return r.decoded[n], nil
}

// positions places the corners of an accessor; y up becomes z up.
func (r *glbReader) positions(pos, colour int, m [16]float64) error {
	b, stride, n, err := r.data(pos, 3)
	if err != nil {
		return err
	}
	if r.g.Accessors[pos].ComponentType != 5126 || r.g.Accessors[pos].Type != "VEC3" {
		return fmt.Errorf("accessor %d: positions are not three floats each", pos)
	}
	if err := r.m.room(n, 0); err != nil {
		return err
	}
	for i := range n {
		var v [3]float64
		for k := range 3 {
			v[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[i*stride+4*k:])))
		}
		x := m[0]*v[0] + m[4]*v[1] + m[8]*v[2] + m[12]
		y := m[1]*v[0] + m[5]*v[1] + m[9]*v[2] + m[13]
		z := m[2]*v[0] + m[6]*v[1] + m[10]*v[2] + m[14]
		r.m.Pos = append(r.m.Pos, [3]float32{float32(x), float32(-z), float32(y)})
	}
	return r.colours(colour, n)
}

// colours reads COLOR_0, linear in the file, as sRGB; corners without one are left black.
func (r *glbReader) colours(colour, n int) error {
	if colour < 0 {
		r.m.Colours = append(r.m.Colours, make([][3]uint8, n)...)
		return nil
	}
	numbers := int64(3)
	if colour < len(r.g.Accessors) && r.g.Accessors[colour].Type == "VEC4" {
		numbers = 4
	}
	b, stride, have, err := r.data(colour, numbers)
	if err != nil {
		return err
	}
	if have != n {
		return fmt.Errorf("accessor %d: %d colours for %d corners", colour, have, n)
	}
	r.coloured = true
	read, size := number(r.g.Accessors[colour].ComponentType), int(componentBytes[r.g.Accessors[colour].ComponentType])
	for i := range n {
		var c [3]uint8
		for k := range 3 {
			if read != nil {
				c[k] = codeSRGB(read(b[i*stride+size*k:]))
			}
		}
		r.m.Colours = append(r.m.Colours, c)
	}
	return nil
}

// number reads a number of an accessor, whole ones as shares of their largest; nil: the kind is
// not one for shares.
func number(kind int) func(b []byte) float64 {
	switch kind {
	case 5121:
		return func(b []byte) float64 { return float64(b[0]) / 255 }
	case 5123:
		return func(b []byte) float64 { return float64(binary.LittleEndian.Uint16(b)) / 65535 }
	case 5126:
		return func(b []byte) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(b))) }
	}
	return nil
}

// codeSRGB is the transfer function of IEC 61966-2-1.
func codeSRGB(v float64) uint8 {
	switch {
	case !(v > 0):
		return 0
	case v >= 1:
		return 255
	case v <= 0.0031308:
		return uint8(math.Round(255 * 12.92 * v))
	}
	return uint8(math.Round(255 * (1.055*math.Pow(v, 1/2.4) - 0.055)))
}

// triangles adds those of one part: a list (mode 4), a
// strip (5) or a fan (6), over n corners from first.
func (r *glbReader) triangles(first uint32, n int, indices *int, mode int) error {
	at, count := func(i int) uint32 { return uint32(i) }, n
	if indices != nil {
		b, stride, have, err := r.data(*indices, 1)
		if err != nil {
			return err
		}
		count = have
		switch r.g.Accessors[*indices].ComponentType {
		case 5121:
			at = func(i int) uint32 { return uint32(b[i*stride]) }
		case 5123:
			at = func(i int) uint32 { return uint32(binary.LittleEndian.Uint16(b[i*stride:])) }
		case 5125:
			at = func(i int) uint32 { return binary.LittleEndian.Uint32(b[i*stride:]) }
		default:
			return fmt.Errorf("accessor %d: indices are not whole numbers", *indices)
		}
	}
	many := count / 3
	if mode != 4 {
		many = max(0, count-2)
	}
	if err := r.m.room(0, many); err != nil {
		return err
	}
	for i := range many {
		var t [3]uint32
		switch mode {
		case 4:
			t = [3]uint32{at(3 * i), at(3*i + 1), at(3*i + 2)}
		case 5: // every other one is turned round
			t = [3]uint32{at(i), at(i + 1 + i%2), at(i + 2 - i%2)}
		case 6:
			t = [3]uint32{at(0), at(i + 1), at(i + 2)}
		}
		for k, v := range t {
			if int64(v) >= int64(n) {
				return fmt.Errorf("triangle %d names corner %d of %d, counted from 0", i+1, v, n)
			}
			t[k] = first + v
		}
		r.m.Tris = append(r.m.Tris, t)
	}
	return nil
}
