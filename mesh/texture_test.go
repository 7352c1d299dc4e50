package mesh

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"
)

// sheetGLB is a sheet of 1 × 1 m, lying, of two triangles, with a texture on it, as scanning
// programs write it: corner 0 at the low end of u and v.
func sheetGLB(image, material string, pic []byte) []byte {
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	put([]float32{0, 0, 0, 1, 0, 0, 1, 0, 1, 0, 0, 1}) // 48 bytes: y up
	put([]float32{0, 0, 1, 0, 1, 1, 0, 1})             // 32 bytes: u, v
	put([]uint16{0, 1, 2, 0, 2, 3})                    // 12 bytes
	b.Write(pic)
	return pack(fmt.Sprintf(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
"meshes":[{"primitives":[{"attributes":{"POSITION":0,"TEXCOORD_0":1},"indices":2,"material":0}]}],
"materials":[{"pbrMetallicRoughness":%s}],"textures":[{"source":0}],"images":[%s],
"accessors":[{"bufferView":0,"componentType":5126,"count":4,"type":"VEC3"},
{"bufferView":1,"componentType":5126,"count":4,"type":"VEC2"},{"bufferView":2,"componentType":5123,"count":6,"type":"SCALAR"}],
"bufferViews":[{"buffer":0,"byteOffset":0,"byteLength":48},{"buffer":0,"byteOffset":48,"byteLength":32},
{"buffer":0,"byteOffset":80,"byteLength":12},{"buffer":0,"byteOffset":92,"byteLength":%d}],"buffers":[{"byteLength":%d}]}`,
		material, image, len(pic), 92+len(pic)), b.Bytes())
}

// half is a picture whose left half is one grey and whose right half another.
func half(w, h int, left, right uint8) image.Image {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := left
			if x >= w/2 {
				v = right
			}
			m.SetNRGBA(x, y, color.NRGBA{v, v, v, 255})
		}
	}
	return m
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestTextures: of a sheet whose texture is dark at the left and light at the right, the triangle
// right below has three quarters of the light and the one left above a quarter (their areas in
// each half), in linear light as glTF 2.0 says, times the material's factor; by PNG and JPEG, in
// the file or in its description; also where the texture is averaged down.
func TestTextures(t *testing.T) {
	const dark, light = 60, 220
	d, l := linear(dark/255.), linear(light/255.)
	const plain, inside = `{"baseColorTexture":{"index":0}}`, `{"bufferView":3,"mimeType":"image/png"}`
	pngs := pngOf(t, half(256, 64, dark, light))
	var jpg bytes.Buffer
	if err := jpeg.Encode(&jpg, half(256, 64, dark, light), &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	uri := fmt.Sprintf(`{"uri":"data:image/png;base64,%s"}`, base64.StdEncoding.EncodeToString(pngs))
	for name, c := range map[string]struct {
		image, material string
		pic             []byte
		factor          float64
	}{"PNG": {inside, plain, pngs, 1}, "JPEG": {inside, plain, jpg.Bytes(), 1}, "in the text": {uri, plain, nil, 1},
		"averaged down": {inside, plain, pngOf(t, half(6000, 1500, dark, light)), 1},
		"with a factor": {inside, `{"baseColorFactor":[0.5,0.5,0.5,1],"baseColorTexture":{"index":0}}`, pngs, 0.5},
	} {
		m, err := Parse(name, sheetGLB(c.image, c.material, c.pic))
		if err != nil || len(m.Faces) != 2 || len(m.Left) > 0 {
			t.Errorf("%s: %v %+v", name, err, m)
			continue
		}
		for i, want := range []float64{c.factor * (d/4 + 3*l/4), c.factor * (3*d/4 + l/4)} {
			// 1 % for samples along the edge between the halves, half a step of 8 bits is less.
			if got := linear(float64(m.Faces[i][1]) / 255); m.Faces[i][3] != 255 || math.Abs(got/want-1) > 0.01 {
				t.Errorf("%s: triangle %d: %.4f, want %.4f", name, i, got, want)
			}
		}
	}
	// A material without a texture is a colour too.
	if m, err := Parse("plain", sheetGLB(inside, `{"baseColorFactor":[0.2,0.3,0.4,1]}`, pngs)); err != nil ||
		m.Faces[0] != [4]uint8{codeSRGB(0.2), codeSRGB(0.3), codeSRGB(0.4), 255} {
		t.Errorf("%v %+v", err, m)
	}
	// What cannot be read is left out, and said: the room is there all the same.
	huge := bytes.Clone(pngs)
	for _, at := range []int{16, 20} { // its width and height; the checksum of the header is not good now
		binary.BigEndian.PutUint32(huge[at:], 60000)
	}
	vast := bytes.Clone(huge) // with a good checksum
	binary.BigEndian.PutUint32(vast[29:], crc32.ChecksumIEEE(vast[12:29]))
	for why, c := range map[string]struct {
		image string
		pic   []byte
	}{"another file": {`{"uri":"../../secret.png"}`, nil}, "neither JPEG nor PNG": {inside, []byte("RIFF1234WEBP")},
		"not whole": {inside, pngs[:len(pngs)/2]}, "checksum": {inside, huge}, "60000 × 60000": {inside, vast},
		"no data": {`{"bufferView":4}`, pngs}, "no picture": {``, pngs}} {
		m, err := Parse("sheet", sheetGLB(c.image, plain, c.pic))
		if err != nil || m.Faces != nil || len(m.Left) != 1 || !strings.Contains(m.Left[0], why) {
			t.Errorf("%s: %v %+v", why, err, m)
		}
	}
	if m, err := Parse("room.obj", []byte("mtllib room.mtl\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n")); err != nil ||
		len(m.Left) != 1 {
		t.Errorf("%v %+v", err, m)
	}
}
