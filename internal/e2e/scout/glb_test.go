package scout

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/mesh"
	"halfstop/spectrum"
)

// The linear colours of the scanned room, its ceiling half as bright as it is.
var scanned = map[string][3]float64{"floor": {0.12, 0.07, 0.04}, "ceiling": {0.4, 0.4, 0.4},
	"walls": {0.1, 0.2, 0.1}, "things": {0.25, 0.03, 0.03}}

// texturedGLB is the room of flat as a phone writes it: one texture, a band for each colour, each
// corner on the middle of its band (glTF 2.0, binary).
func texturedGLB(t *testing.T) []byte {
	t.Helper()
	m, err := mesh.Parse("flat.obj", flat(1))
	if err != nil {
		t.Fatal(err)
	}
	parts := []string{"floor", "ceiling", "walls", "things"}
	pic := image.NewNRGBA(image.Rect(0, 0, 64*len(parts), 16))
	for x := range pic.Bounds().Dx() {
		c := scanned[parts[x/64]]
		v := func(k int) uint8 { return uint8(math.Round(255 * spectrum.Encode(c[k]))) }
		for y := range 16 {
			pic.SetNRGBA(x, y, color.NRGBA{v(0), v(1), v(2), 255})
		}
	}
	var texture, pos, uv bytes.Buffer
	if err := png.Encode(&texture, pic); err != nil {
		t.Fatal(err)
	}
	size := [3]float64{5.02, 2.68, 3.99} // y up; the last axis runs to the negative
	on := func(v float32, at float64) bool { return math.Abs(math.Abs(float64(v))-at) < 0.001 }
	for _, tri := range m.Tris {
		all := func(axis int, at float64) bool {
			return on(m.Pos[tri[0]][axis], at) && on(m.Pos[tri[1]][axis], at) && on(m.Pos[tri[2]][axis], at)
		}
		band := 3
		switch {
		case all(1, 0), all(1, 0.02): // what lies on the floor is its own colour's: no scan sees it
			band = 0
		case all(1, size[1]):
			band = 1
		case all(0, 0), all(0, size[0]), all(2, 0), all(2, size[2]):
			band = 2
		}
		for _, i := range tri {
			_ = binary.Write(&pos, binary.LittleEndian, m.Pos[i])
			_ = binary.Write(&uv, binary.LittleEndian, [2]float32{(float32(band) + 0.5) / 4, 0.5})
		}
	}
	n := 3 * len(m.Tris)
	bin := append(append(pos.Bytes(), uv.Bytes()...), texture.Bytes()...)
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	text := fmt.Sprintf(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],`+
		`"meshes":[{"primitives":[{"attributes":{"POSITION":0,"TEXCOORD_0":1},"material":0}]}],`+
		`"materials":[{"pbrMetallicRoughness":{"baseColorTexture":{"index":0}}}],"textures":[{"source":0}],`+
		`"images":[{"bufferView":2,"mimeType":"image/png"}],`+
		`"accessors":[{"bufferView":0,"componentType":5126,"count":%d,"type":"VEC3"},`+
		`{"bufferView":1,"componentType":5126,"count":%d,"type":"VEC2"}],"bufferViews":[`+
		`{"buffer":0,"byteOffset":0,"byteLength":%d},{"buffer":0,"byteOffset":%d,"byteLength":%d},`+
		`{"buffer":0,"byteOffset":%d,"byteLength":%d}],"buffers":[{"byteLength":%d}]}`,
		n, n, 12*n, 12*n, 8*n, 20*n, texture.Len(), len(bin))
	for len(text)%4 != 0 {
		text += " "
	}
	var b bytes.Buffer
	put := func(v ...uint32) { _ = binary.Write(&b, binary.LittleEndian, v) }
	put(0x46546C67, 2, uint32(12+8+len(text)+8+len(bin)))
	put(uint32(len(text)), 0x4E4F534A)
	b.WriteString(text)
	put(uint32(len(bin)), 0x004E4942)
	b.Write(bin)
	return b.Bytes()
}

// TestScanTextured: a phone's GLB with a texture is dropped: the reflectances of all surfaces come
// out of it by the ceiling's, and by the walls' where these are said to be known; who stood in the
// room is drawn out, put back, and drawn out again; it is written as the room with its surfaces;
// undone.
func TestScanTextured(t *testing.T) {
	t.Parallel()
	p, file := open(t, 820, 1180)
	glb := filepath.Join(t.TempDir(), "room.glb")
	if err := os.WriteFile(glb, texturedGLB(t), 0o644); err != nil {
		t.Fatal(err)
	}
	p.Act("scpart", `[data-arg=scan]`)
	p.Drop("[data-key=scscanempty]", glb)
	p.Until("its surfaces", `document.querySelector("[data-key=ssthings]")`, long)
	// held compares what is said of each surface to the colour times a factor.
	held := func(factor float64) {
		t.Helper()
		for part, c := range scanned {
			var got [3]int
			said := p.Str(fmt.Sprintf(`document.querySelector("[data-key=ss%s]").textContent.match(/#\w+/)[0]`, part))
			if _, err := fmt.Sscanf(said, "#%02x%02x%02x", &got[0], &got[1], &got[2]); err != nil {
				t.Fatal(said, err)
			}
			for k := range got {
				// The texture's 8 bits and the answer's: one step each.
				if want := 255 * spectrum.Encode(c[k]*factor); math.Abs(float64(got[k])-want) > 2 {
					t.Errorf("%s by %.2f: %s, channel %d is not %.0f", part, factor, said, k, want)
				}
			}
		}
	}
	held(0.8 / 0.4)
	p.Choose("[data-key=scanpart]", "walls")
	p.Fill("[data-key=scanknown]", "25")
	luminance := 0.2126*0.1 + 0.7152*0.2 + 0.0722*0.1 // of the walls: sRGB's weights, IEC 61966-2-1
	p.Until("what follows from the walls", fmt.Sprintf(
		`!document.querySelector("[data-key=ssceiling]").textContent.includes(%q)`, "#e7e7e7"), long)
	held(0.25 / luminance)
	p.Shot("scan-textured-820x1180")
	p.Axe("textured", modules)

	area := `document.querySelector("#scanplan .thg").getAttribute("d").length`
	whole := p.Str(area)
	var at [3]float64
	place := func() {
		if _, err := fmt.Sscan(p.Str(`(()=>{const e=document.querySelector("#scanplan"),c=e.getScreenCTM(),d=e.dataset;`+
			`return [d.x*c.a+c.e,d.y*c.d+c.f,d.s*c.a].join(" ")})()`), &at[0], &at[1], &at[2]); err != nil {
			t.Fatal(err)
		}
	}
	cut := func() {
		p.Run(`document.querySelector("#scanplan").scrollIntoView({block:"center"})`)
		place()
		p.Drag(at[0]+2*at[2], at[1]-0.8*at[2], 0.9*at[2], -0.7*at[2])
		p.Until("the box, and nobody in it", `document.querySelector("[data-key=cut0]")&&`+area+`<`+whole, long)
	}
	cut()
	p.Act("scanuncut", "")
	p.Until("who stood there again", `!document.querySelector("[data-key=cut0]")&&`+area+`===`+whole, long)
	cut()
	if p.Str(`document.querySelector("[data-act=scanwrite]").disabled`) == "true" {
		p.Act("scansure", "")
	}
	p.Until("that it may be written", `!document.querySelector("[data-act=scanwrite]").disabled`, long)
	p.Act("scanwrite", "")
	saved(p, file, "mesh: scan.ply", true)
	saved(p, file, "size: [5, 4, 2.7]", false)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"walls", "floor", "ceiling"} {
		if !strings.Contains(string(text), part+": {diffuse:") && !strings.Contains(string(text), part+": \"#") &&
			!strings.Contains(string(text), part+": '#") {
			t.Errorf("the shoot does not say what the %s reflect:\n%s", part, text)
		}
	}
	p.Tap("[data-key=undo]")
	saved(p, file, "size: [5, 4, 2.7]", true)
	saved(p, file, "scan.ply", false)
	p.Clean()
}
