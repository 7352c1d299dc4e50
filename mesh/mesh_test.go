package mesh

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A cube of 2 × 1 × 3 with its lowest corner at (1, 2, 0):
// eight corners, twelve triangles, each face outward.
var (
	cubeAt = func() (out [][3]float32) {
		for i := range 8 {
			out = append(out, [3]float32{1 + 2*float32(i&1), 2 + float32(i>>1&1), 3 * float32(i>>2)})
		}
		return out
	}()
	cubeQuads = [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}}
)

// volume of a closed surface, by the divergence theorem: 6
// for the cube, whatever the order of its corners.
func volume(m *Mesh) float64 {
	sum := 0.0
	for _, t := range m.Tris {
		a, b, c := m.Pos[t[0]], m.Pos[t[1]], m.Pos[t[2]]
		d := func(i int, v [3]float32) float64 { return float64(v[i]) }
		sum += d(0, a)*(d(1, b)*d(2, c)-d(2, b)*d(1, c)) + d(1, a)*(d(2, b)*d(0, c)-d(0, b)*d(2, c)) + d(2,
			a)*(d(0, b)*d(1, c)-d(1, b)*d(0, c))
	}
	return sum / 6
}

func cubeOBJ() []byte {
	var b strings.Builder
	b.WriteString("# cube\r\n\n\no cube\n")
	for i, p := range cubeAt {
		fmt.Fprintf(&b, "v %g %g\t%g %.3f 0.5 0\r\n", p[0], p[1], p[2], float64(i)/7)
	}
	for i, q := range cubeQuads {
		if i%2 == 0 {
			fmt.Fprintf(&b, "f %d/1/1 %d//2 %d %d\n", q[0]+1, q[1]+1, q[2]+1, q[3]+1)
		} else {
			fmt.Fprintf(&b, "f %d %d %d %d\n", int(q[0])-8, int(q[1])-8, int(q[2])-8, int(q[3])-8)
		}
	}
	return []byte(b.String())
}

func cubePLY(format string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b,
		"ply\nformat %s 1.0\ncomment cube\nelement vertex 8\nproperty float x\nproperty double y\nproperty float z\n"+
			"property uchar red\nproperty uchar green\nproperty uchar blue\nelement face 6\nproperty uchar "+
			"flags\nproperty list uchar int vertex_indices\nend_header\n", format)
	var order binary.ByteOrder
	switch format {
	case "binary_little_endian":
		order = binary.LittleEndian
	case "binary_big_endian":
		order = binary.BigEndian
	}
	for i, p := range cubeAt {
		if order == nil {
			fmt.Fprintf(&b, "%g %g %g %d 128 0\n", p[0], p[1], p[2], 255*i/7)
			continue
		}
		_ = binary.Write(&b, order, p[0])
		_ = binary.Write(&b, order, float64(p[1]))
		_ = binary.Write(&b, order, p[2])
		b.Write([]byte{byte(255 * i / 7), 128, 0})
	}
	for _, q := range cubeQuads {
		if order == nil {
			fmt.Fprintf(&b, "1 4 %d %d %d %d\n", q[0], q[1], q[2], q[3])
			continue
		}
		b.Write([]byte{1, 4})
		_ = binary.Write(&b, order, q)
	}
	return b.Bytes()
}

func cubeSTL(ascii bool) []byte {
	var b bytes.Buffer
	if !ascii {
		b.Write(make([]byte, 80))
		_ = binary.Write(&b, binary.LittleEndian, uint32(12))
	} else {
		b.WriteString("solid cube\n")
	}
	for _, q := range cubeQuads {
		for _, t := range [][3]uint32{{q[0], q[1], q[2]}, {q[0], q[2], q[3]}} {
			if ascii {
				b.WriteString(" facet normal 0 0 0\n  outer loop\n")
				for _, k := range t {
					fmt.Fprintf(&b, "   vertex %g %g %g\n", cubeAt[k][0], cubeAt[k][1], cubeAt[k][2])
				}
				b.WriteString("  endloop\n endfacet\n")
				continue
			}
			b.Write(make([]byte, 12))
			for _, k := range t {
				_ = binary.Write(&b, binary.LittleEndian, cubeAt[k])
			}
			b.Write([]byte{0, 0})
		}
	}
	if ascii {
		b.WriteString("endsolid\n")
	}
	return b.Bytes()
}

// pack makes a GLB of a description and its data.
func pack(description string, bin []byte) []byte {
	for len(description)%4 != 0 {
		description += " "
	}
	var b bytes.Buffer
	b.WriteString("glTF")
	_ = binary.Write(&b, binary.LittleEndian, []uint32{2, uint32(28 + len(description) + len(bin)),
		uint32(len(description)), 0x4E4F534A})
	b.WriteString(description)
	_ = binary.Write(&b, binary.LittleEndian, []uint32{uint32(len(bin)), 0x004E4942})
	b.Write(bin)
	return b.Bytes()
}

// cubeData are the corners, y up, and the indices; the node that holds them moves by (0, 0, 0).
func cubeData() (bin []byte) {
	var b bytes.Buffer
	for _, p := range cubeAt {
		_ = binary.Write(&b, binary.LittleEndian, [3]float32{p[0], p[2], -p[1]})
	}
	for _, q := range cubeQuads {
		_ = binary.Write(&b, binary.LittleEndian, []uint16{uint16(q[0]), uint16(q[1]), uint16(q[2]), uint16(q[0]),
			uint16(q[2]), uint16(q[3])})
	}
	return b.Bytes()
}

const cubeParts = `"accessors":[{"bufferView":0,"componentType":5126,"count":8,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":36,"type":"SCALAR"}],
"bufferViews":[{"buffer":0,"byteOffset":0,"byteLength":96},{"buffer":0,"byteOffset":96,"byteLength":72}]`

func cubeGLB(nodes, meshes string) []byte {
	return pack(fmt.Sprintf(
		`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[%s],"meshes":[%s],%s,"buffers":[{"byteLength":168}]}`, nodes, meshes, cubeParts), cubeData())
}

const cubeMesh = `{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}`

// TestFormats: the same cube out of every format has volume 6 (2 × 1 × 3), twelve triangles and
// eight corners.
func TestFormats(t *testing.T) {
	data := base64.StdEncoding.EncodeToString(cubeData())
	text := fmt.Sprintf(
		`{"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],"meshes":[%s],%s,"buffers":[{"byteLength":168,"uri":"data:application/octet-stream;base64,%s"}]}`, cubeMesh, cubeParts, data)
	for name, src := range map[string][]byte{"OBJ": cubeOBJ(), "PLY ascii": cubePLY("ascii"),
		"PLY little": cubePLY("binary_little_endian"),
		"PLY big":    cubePLY("binary_big_endian"), "STL": cubeSTL(false), "STL ascii": cubeSTL(true),
		"GLB": cubeGLB(`{"mesh":0}`, cubeMesh), "glTF": []byte(text)} {
		m, err := Parse("cube", src)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if v := volume(m); math.Abs(v-6) > 1e-5 || len(m.Tris) != 12 || len(m.Pos) != 8 ||
			!strings.HasPrefix(name, m.Format) {
			t.Errorf("%s read as %s: volume %.6f, %d triangles, %d corners", name, m.Format, v, len(m.Tris), len(m.Pos))
		}
		if has := m.Colours != nil; has != strings.HasPrefix(name, "PLY") && has != strings.HasPrefix(name, "OBJ") {
			t.Errorf("%s: colours %v", name, m.Colours)
		} else if has && (m.Colours[7] != [3]uint8{255, 128, 0} || m.Colours[0] != [3]uint8{0, 128, 0}) {
			t.Errorf("%s: colours %v", name, m.Colours)
		}
	}
	// A node's scale of 2 in all directions: eight times
	// the volume; of -1 in one: turned inside out.
	for nodes, want := range map[string]float64{`{"mesh":0,"scale":[2,2,2]}`: 48,
		`{"children":[1],"scale":[2,1,1]},{"mesh":0,"translation":[5,0,0]}`: 12,
		`{"mesh":0,"matrix":[-1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1]}`:            -6,
		`{"mesh":0,"rotation":[0,0.7071067811865476,0,0.7071067811865476]}`: 6} {
		m, err := Parse("cube", cubeGLB(nodes, cubeMesh))
		if err != nil || math.Abs(volume(m)-want) > 1e-4 {
			t.Errorf("%s: %v, want %g", nodes, err, want)
		}
	}
	// Strips turn every other triangle: a quad of corners 0 1 2 3 as a strip is two triangles with
	// one sense.
	strip := strings.Replace(cubeMesh, `"indices":1`, `"mode":5`, 1)
	if m, err := Parse("strip", cubeGLB(`{"mesh":0}`, strip)); err != nil || len(m.Tris) != 6 ||
		m.Tris[1] != [3]uint32{1, 3, 2} {
		t.Errorf("a strip: %v", err)
	}
}

// TestBombs: small files that ask for much are refused, or read, within 2 s and little memory; the
// file itself not counted. 600 MiB: four million corners with triangles are 96 MiB; what is counted
// is each step of a growing slice, some four times that.
func TestBombs(t *testing.T) {
	chain := func(n int) string { // each node lists the next one twice: 2^n visits
		var s []string
		for i := range n {
			s = append(s, fmt.Sprintf(`{"children":[%d,%d],"mesh":0}`, i+1, i+1))
		}
		return strings.Join(append(s, `{"mesh":0}`), ",")
	}
	reuse := func(parts, count int) []byte { // one index list in many parts
		p := strings.Repeat(`,{"attributes":{"POSITION":0},"indices":1}`, parts)[1:]
		d := fmt.Sprintf(`{"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],"meshes":[{"primitives":[%s]}],
		"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"},{"bufferView":1,"componentType":5121,"count":%d,"type":"SCALAR"}],
		"bufferViews":[{"byteLength":36},{"byteOffset":36,"byteLength":%d}],"buffers":[{"byteLength":%d}]}`, p, count, count, count+36)
		return pack(d, make([]byte, count+36))
	}
	accessor := func(a string) []byte {
		return pack(fmt.Sprintf(
			`{"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],"meshes":[%s],"accessors":[%s],"bufferViews":[{"byteLength":96}],"buffers":[{}]}`,
			strings.Replace(cubeMesh, `,"indices":1`, "", 1), a), cubeData())
	}
	header := func(elements string) []byte {
		return []byte("ply\nformat binary_little_endian 1.0\n" + elements + "end_header\n1234567890")
	}
	ascii := func(elements string) []byte {
		return bytes.Replace(header(elements), []byte("binary_little_endian"), []byte("ascii"), 1)
	}
	xyz := "property float x\nproperty float y\nproperty float z\n"
	for name, src := range map[string][]byte{
		"offset near 2^63": accessor(
			`{"bufferView":0,"byteOffset":9223372036854775807,"componentType":5126,"count":1,"type":"VEC3"}`),
		"offset below 0": accessor(
			`{"bufferView":0,"byteOffset":-12,"componentType":5126,"count":1,"type":"VEC3"}`),
		"count near 2^63": accessor(
			`{"bufferView":0,"componentType":5126,"count":768614336404564650,"type":"VEC3"}`),
		"chunk past the end": append(cubeGLB(`{"mesh":0}`, cubeMesh)[:12], 0xff, 0xff, 0xff, 0xff, 0x4a, 0x53,
			0x4f, 0x4e, 1, 2, 3, 4),
		"nodes that list each other": cubeGLB(`{"children":[1],"mesh":0},{"children":[0],"mesh":0}`, cubeMesh),
		"2^50 visits":                cubeGLB(chain(50), cubeMesh),
		"one index list 600 times":   reuse(600, 900_000),
		"parts without end": cubeGLB(strings.Repeat(`{"mesh":0},`, 3)+`{"mesh":0}`,
			`{"primitives":[`+strings.Repeat(`{"attributes":{"POSITION":9}},`, 50000)+`{}]}`),
		"a million empty objects":   pack(`{"nodes":[`+strings.Repeat("{},", 1_000_000)+`{}]}`, nil),
		"brackets":                  pack(strings.Repeat("[", 1_000_000), nil),
		"newlines":                  bytes.Repeat([]byte("\n"), 200<<20),
		"blanks":                    bytes.Repeat([]byte(" "), 100<<20),
		"corners without end":       bytes.Repeat([]byte("v 0 0 0\n"), 6<<20),
		"a face without end":        append([]byte("v 0 0 0\nf"), bytes.Repeat([]byte(" 1"), 5<<20)...),
		"PLY of 2^62 corners":       header("element vertex 4611686018427387904\n" + xyz),
		"PLY of 2^62 nothings":      header("element nothing 4611686018427387904\nelement vertex 1\n" + xyz),
		"PLY text of 2^62 nothings": ascii("element nothing 4611686018427387904\nelement vertex 1\n" + xyz),
		"PLY list of 2^31":          header("element face 1\nproperty list uint uint vertex_indices\n"),
		"PLY of a million corners":  header("element vertex 1000000\n" + xyz),
		"STL count without data":    append(make([]byte, 80), 0xff, 0xff, 0xff, 0xff),
	} {
		// Half a minute is a hang on any machine; on a quiet one each takes under two seconds.
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		start := time.Now()
		m, err := Parse(name, src)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		taken := (after.TotalAlloc - before.TotalAlloc) >> 20
		if m != nil || err == nil || took > 30*time.Second || taken > 600 {
			t.Errorf("%s: %v; %v, %d MiB", name, err, took.Round(time.Millisecond), taken)
		}
	}
	if _, err := Parse("big", make([]byte, MostBytes+1)); err == nil || !strings.Contains(err.Error(), "256 MiB") {
		t.Errorf("a file over the limit: %v", err)
	}
}

// TestPlaces: what is wrong with a text is said with its line.
func TestPlaces(t *testing.T) {
	for src, want := range map[string]string{
		"v 0 0 0\n\n\nv 1 x 0\n":               "line 4: \"x\" is no number",
		"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n": "line 4: \"4\" names no corner",
		"v 1\n":                                "line 1: one of a corner's three numbers is missing",
		"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float " +
			"z\nend_header\n1 2 b\n": "line 8: \"b\" is no number",
		"solid a\nfacet\nouter loop\nvertex 0 0 0\nendloop\n": "line 5: a facet ends with 1 corners",
		"":                                     "no triangles",
		"v 0 0 0\nv 1e9 0 0\nv 0 1 0\nf 1 2 3": "corner 2 lies at",
	} {
		if _, err := Parse("a.obj", []byte(src)); err == nil || !strings.Contains(err.Error(), want) ||
			!strings.HasPrefix(err.Error(), "a.obj: ") {
			t.Errorf("%q: %v, want %q", src, err, want)
		}
	}
}

// sane looks at what a reader made of anything.
func sane(t *testing.T, src []byte) {
	m, err := Parse("f", src)
	if (m == nil) == (err == nil) {
		t.Fatalf("%v and %v", m, err)
	}
	if m == nil {
		return
	}
	if m.Colours != nil && len(m.Colours) != len(m.Pos) {
		t.Fatalf("%d colours of %d corners", len(m.Colours), len(m.Pos))
	}
	for _, tri := range m.Tris {
		for _, k := range tri {
			if int(k) >= len(m.Pos) {
				t.Fatalf("corner %d of %d", k, len(m.Pos))
			}
		}
	}
}

func FuzzOBJ(f *testing.F) {
	f.Add("v 0 0 0\nv 1 0 0 1 1 1\nv 0 1 0\nf 1/1/1 2 -1\n")
	f.Fuzz(func(t *testing.T, src string) { sane(t, []byte(src)) })
}

// FuzzGLB packs a description and data, so that what is tried is past the frame of chunks.
func FuzzGLB(f *testing.F) {
	whole := cubeGLB(`{"mesh":0}`, cubeMesh)
	n := binary.LittleEndian.Uint32(whole[12:])
	f.Add(string(whole[20:20+n]), cubeData(), false)
	f.Add(`{"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0,"children":[]}],"meshes":[{"primitives":[{"attributes":{"POSITION":0,"COLOR_0":0},"mode":6}]}],"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"}],"bufferViews":[{"byteLength":36}],"buffers":[{}]}`, make([]byte, 36), false)
	pic := pngOf(f, half(4, 4, 60, 220))
	whole = sheetGLB(`{"bufferView":3}`, `{"baseColorTexture":{"index":0}}`, pic)
	n = binary.LittleEndian.Uint32(whole[12:])
	f.Add(string(whole[20:20+n]), whole[28+n:], false)
	f.Add("{}", []byte{}, true)
	f.Fuzz(func(t *testing.T, description string, bin []byte, raw bool) {
		if raw {
			sane(t, append([]byte("glTF\x02\x00\x00\x00"), bin...))
			return
		}
		if json.Valid([]byte(description)) {
			sane(t, pack(description, bin))
		}
	})
}

func FuzzPLY(f *testing.F) {
	f.Add(cubePLY("ascii"))
	f.Add(cubePLY("binary_little_endian"))
	f.Add([]byte("ply\nformat binary_big_endian 1.0\nelement vertex 3\nproperty char x\nproperty char y\nproperty " +
		"char z\nelement face 1\nproperty list uchar uchar " +
		"vertex_index\nend_header\n\x00\x00\x00\x01\x00\x00\x00\x01\x00\x03\x00\x01\x02"))
	f.Fuzz(func(t *testing.T, src []byte) { sane(t, src) })
}

func FuzzSTL(f *testing.F) {
	f.Add([]byte("solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 "+
		"0\nendloop\nendfacet\nendsolid\n"), true)
	f.Add(make([]byte, 100), false)
	f.Fuzz(func(t *testing.T, src []byte, ascii bool) {
		if ascii {
			sane(t, append([]byte("solid facet "), src...))
			return
		}
		n := len(src) / 50
		b := append(make([]byte, 80), byte(n), byte(n>>8), byte(n>>16), byte(n>>24))
		sane(t, append(b, src[:50*n]...))
	})
}

func ExampleParse() {
	m, err := Parse("step.obj", []byte("v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\n"))
	fmt.Println(m.Format, len(m.Tris), "triangles", err)
	_, err = Parse("step.obj", []byte("v 0 0 0\nf 1 2 3\n"))
	fmt.Println(err)
	// Output:
	// OBJ 2 triangles <nil>
	// step.obj: line 2: "2" names no corner; there are 1 so far
}
