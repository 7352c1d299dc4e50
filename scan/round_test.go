package scan

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"halfstop/mesh"
)

// written puts a mesh into every format that scans come in, after the formats' own descriptions:
// Wavefront OBJ with colours after the place, PLY (ASCII, both binary orders), STL (ASCII, binary),
// GLB and glTF 2.0.
func written(m *mesh.Mesh) map[string][]byte {
	out := map[string][]byte{}
	var obj, sa, sb, pa bytes.Buffer
	for i, p := range m.Pos {
		c := m.Colours[i]
		fmt.Fprintf(&obj, "v %g %g %g %.4f %.4f %.4f\n", p[0], p[1], p[2], float64(c[0])/255, float64(c[1])/255,
			float64(c[2])/255)
	}
	for _, t := range m.Tris {
		fmt.Fprintf(&obj, "f %d %d %d\n", t[0]+1, t[1]+1, t[2]+1)
	}
	out["OBJ"] = obj.Bytes()
	head := func(format string) string {
		return fmt.Sprintf("ply\nformat %s 1.0\nelement vertex %d\n"+
			"property float x\nproperty float y\nproperty float z\n"+
			"property uchar red\nproperty uchar green\nproperty uchar blue\nelement face %d\n"+
			"property list uchar int vertex_indices\nend_header\n", format, len(m.Pos), len(m.Tris))
	}
	pa.WriteString(head("ascii"))
	for i, p := range m.Pos {
		fmt.Fprintf(&pa, "%g %g %g %d %d %d\n", p[0], p[1], p[2], m.Colours[i][0], m.Colours[i][1], m.Colours[i][2])
	}
	for _, t := range m.Tris {
		fmt.Fprintf(&pa, "3 %d %d %d\n", t[0], t[1], t[2])
	}
	out["PLY ascii"] = pa.Bytes()
	for name, o := range map[string]binary.ByteOrder{"binary_little_endian": binary.LittleEndian,
		"binary_big_endian": binary.BigEndian} {
		var b bytes.Buffer
		b.WriteString(head(name))
		for i, p := range m.Pos {
			_ = binary.Write(&b, o, p)
			b.Write(m.Colours[i][:])
		}
		for _, t := range m.Tris {
			b.WriteByte(3)
			_ = binary.Write(&b, o, t)
		}
		out["PLY "+name] = b.Bytes()
	}
	sa.WriteString("solid room\n")
	sb.Write(make([]byte, 80))
	_ = binary.Write(&sb, binary.LittleEndian, uint32(len(m.Tris)))
	for _, t := range m.Tris {
		sa.WriteString("facet normal 0 0 0\nouter loop\n")
		sb.Write(make([]byte, 12))
		for _, k := range t {
			p := m.Pos[k]
			fmt.Fprintf(&sa, "vertex %g %g %g\n", p[0], p[1], p[2])
			_ = binary.Write(&sb, binary.LittleEndian, p)
		}
		sa.WriteString("endloop\nendfacet\n")
		sb.Write([]byte{0, 0})
	}
	sa.WriteString("endsolid room\n")
	out["STL ascii"], out["STL"] = sa.Bytes(), sb.Bytes()
	// glTF: y up, colours linear.
	var bin bytes.Buffer
	for _, p := range m.Pos {
		_ = binary.Write(&bin, binary.LittleEndian, [3]float32{p[0], p[2], -p[1]})
	}
	for i := range m.Pos {
		for _, c := range m.Colours[i] {
			_ = binary.Write(&bin, binary.LittleEndian, float32(linear(c)))
		}
	}
	for _, t := range m.Tris {
		_ = binary.Write(&bin, binary.LittleEndian, t)
	}
	n, k := len(m.Pos), len(m.Tris)
	text := func(uri string) string {
		return fmt.Sprintf(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
"meshes":[{"primitives":[{"attributes":{"POSITION":0,"COLOR_0":1},"indices":2}]}],
"accessors":[{"bufferView":0,"componentType":5126,"count":%d,"type":"VEC3"},
{"bufferView":1,"componentType":5126,"count":%d,"type":"VEC3"},
{"bufferView":2,"componentType":5125,"count":%d,"type":"SCALAR"}],"bufferViews":[{"buffer":0,"byteLength":%d},
{"buffer":0,"byteOffset":%d,"byteLength":%d},{"buffer":0,"byteOffset":%d,"byteLength":%d}],
"buffers":[{"byteLength":%d%s}]}`, n, n, 3*k, 12*n, 12*n, 12*n, 24*n, 12*k, bin.Len(), uri)
	}
	json := text("")
	for len(json)%4 != 0 {
		json += " "
	}
	var glb bytes.Buffer
	glb.WriteString("glTF")
	_ = binary.Write(&glb, binary.LittleEndian, []uint32{2, uint32(28 + len(json) + bin.Len()), uint32(len(json)),
		0x4E4F534A})
	glb.WriteString(json)
	_ = binary.Write(&glb, binary.LittleEndian, []uint32{uint32(bin.Len()), 0x004E4942})
	glb.Write(bin.Bytes())
	out["GLB"] = glb.Bytes()
	out["glTF"] = []byte(text(`,"uri":"data:application/octet-stream;base64,` +
		base64.StdEncoding.EncodeToString(bin.Bytes()) + `"`))
	return out
}

// TestRoundTrip: a T-shaped room with noise of 1 cm, holes and clutter comes back out of every
// format: the corners within 2 cm, the height, what stands in it, and the reflectances to two steps
// of 8 bits (PLY and STL with z up, glTF with y up; STL has no colours).
func TestRoundTrip(t *testing.T) {
	corners := [][2]float64{{2, 0}, {4.5, 0}, {4.5, 3}, {6.5, 3}, {6.5, 6}, {0, 6}, {0, 3}, {2, 3}}
	m := shaped(3, corners, 2.6)
	want, err := Find(m, Options{Up: "z+", Unit: "m"})
	if err != nil {
		t.Fatal(err)
	}
	files := written(m)
	if len(files) != 8 {
		t.Fatalf("%d formats", len(files))
	}
	for name, src := range files {
		got, err := mesh.Parse(name, src)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		r, err := Find(got, Options{Up: "z+", Unit: "m"})
		if err != nil || len(r.Outline) != len(corners) || r.Things == nil {
			t.Errorf("%s: %v, %+v", name, err, r)
			continue
		}
		worst := math.Abs(r.Ceiling - 2.6)
		for _, c := range corners {
			near := math.Inf(1)
			for _, p := range r.Outline {
				near = min(near, dist(p, c))
			}
			worst = max(worst, near)
		}
		if worst > 0.02 || r.ThingsBefore != want.ThingsBefore {
			t.Errorf("%s: off by %.3f m, %d triangles stand in it, want %d", name, worst, r.ThingsBefore,
				want.ThingsBefore)
		}
		for part, c := range want.Colours {
			has := got.Colours != nil || got.Faces != nil
			if d := math.Abs(r.Colours[part][1] - c[1]); has && d > 0.01*c[1]+0.002 {
				t.Errorf("%s: %s %.4f, want %.4f", name, part, r.Colours[part][1], c[1])
			}
		}
	}
}
