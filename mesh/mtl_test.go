package mesh

import (
	"errors"
	"fmt"
	"image"
	"math"
	"strings"
	"testing"
)

// folder is a folder of files for a Reader; it notes every name that is asked for.
type folder struct {
	files map[string]string
	asked []string
}

func (f *folder) read(name string, most int64) ([]byte, error) {
	f.asked = append(f.asked, name)
	s, ok := f.files[name]
	switch {
	case !ok:
		return nil, errors.New(name + ": no such file")
	case int64(len(s)) > most:
		return nil, errors.New(name + ": too large")
	}
	return []byte(s), nil
}

// sheetOBJ is a sheet of two triangles as sheetGLB's: the right below one, the left above one. The
// texture's origin is its lower left corner.
const sheetOBJ = "mtllib room.mtl\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nvt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\n" +
	"usemtl the wall\nf 1/1 2/2 3/3\nf -4/-4 -2/-2/1 -1/-1\n"

// TestMaterials: of a sheet whose texture is dark at the left and light at the right, the triangle
// right below has three quarters of the light (areas in each half), times Kd in linear light; a
// texture is told from its mirror image; a material alone, corners' own colours and what cannot be
// had count as they should.
func TestMaterials(t *testing.T) {
	const dark, light = 60, 220
	d, l := linear(dark/255.), linear(light/255.)
	pic := string(pngOf(t, half(256, 64, dark, light)))
	for name, c := range map[string]struct {
		mtl    string
		factor float64
	}{
		"texture":          {"newmtl the wall\nmap_Kd wall.png\n", 1},
		"with Kd":          {"newmtl other\nKd 1 0 0\nnewmtl the wall\r\nKd 0.5 0.5 0.5\r\nmap_Kd wall.png\r\n", 0.5},
		"black Kd":         {"newmtl the wall\nKd 0 0 0\nmap_Kd wall.png\n", 1},
		"options":          {"newmtl the wall\nmap_Kd -clamp on -s 1 1 1 -o 0 0 -bm 1 wall.png\n", 1},
		"in a folder":      {"newmtl the wall\nmap_Kd tex\\big wall.png\n", 1},
		"dots that return": {"newmtl the wall\nmap_Kd tex/../wall.png\n", 1},
	} {
		f := &folder{files: map[string]string{"room.mtl": c.mtl, "wall.png": pic, "tex/big wall.png": pic}}
		m, err := Reader{f.read}.Parse(name, []byte(sheetOBJ))
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

	// The origin is below: a sheet on the lower quarter of a picture, light there, is light.
	g := image.NewNRGBA(image.Rect(0, 0, 64, 64))
	for i := range g.Pix {
		g.Pix[i] = 60
		if i >= len(g.Pix)*3/4 || i%4 == 3 {
			g.Pix[i] = 220
		}
	}
	low := strings.NewReplacer("vt 1 1", "vt 1 0.25", "vt 0 1", "vt 0 0.25").Replace(sheetOBJ)
	f := &folder{files: map[string]string{"room.mtl": "newmtl the wall\nmap_Kd g.png\n", "g.png": string(pngOf(t, g))}}
	m, err := Reader{f.read}.Parse("low", []byte(low))
	if err != nil || m.Faces[0][1] != 220 || m.Faces[1][1] != 220 {
		t.Errorf("the picture is upside down: %v %+v", err, m)
	}

	plain := strings.NewReplacer("/1", "", "/2", "", "/3", "", "/-4", "", "/-2", "", "/-1", "")
	f = &folder{files: map[string]string{"room.mtl": "newmtl the wall\nKd 0.2 0.3 0.4\n"}}
	m, err = Reader{f.read}.Parse("kd", []byte(plain.Replace(sheetOBJ)+"usemtl none\nf 1 2 3\n"))
	if err != nil || len(m.Faces) != 3 || m.Faces[0] != [4]uint8{codeSRGB(0.2), codeSRGB(0.3), codeSRGB(0.4), 255} ||
		m.Faces[2][3] != 0 || len(m.Left) != 1 || !strings.Contains(m.Left[0], "line 13") {
		t.Errorf("Kd alone: %v %+v", err, m)
	}
	// Corners that have a colour of their own say more than a material's one colour.
	own := strings.NewReplacer("v 0 0 0\n", "v 0 0 0 0.5 0.5 0.5\n", "v 1 0 0\n", "v 1 0 0 0.5 0.5 0.5\n",
		"v 1 1 0\n", "v 1 1 0 0.5 0.5 0.5\n", "v 0 1 0\n", "v 0 1 0 0.5 0.5 0.5\n").Replace(sheetOBJ)
	if m, err = (Reader{f.read}).Parse("own", []byte(own)); err != nil || m.Faces != nil || m.Colours[0][0] != 128 {
		t.Errorf("corners with colours: %v %+v", err, m)
	}
}

// TestMaterialsRefused: a name that would lead out of the mesh's folder is not even asked for; what
// is missing, torn, moved or too large is said with its line; the triangles are there all the same,
// and without colour.
func TestMaterialsRefused(t *testing.T) {
	pic := string(pngOf(t, half(256, 64, 60, 220)))
	for _, c := range []struct{ obj, mtl, says string }{
		{"mtllib ../../etc/passwd", "", "line 1: the file of materials \"../../etc/passwd\" lies outside"},
		{"mtllib /etc/passwd", "", "lies outside"},
		{`mtllib C:\scans\room.mtl`, "", "lies outside"},
		{`mtllib ..\..\room.mtl`, "", "lies outside"},
		{"mtllib http://host/room.mtl", "", "lies outside"},
		{"mtllib a/../../room.mtl", "", "lies outside"},
		{"mtllib gone.mtl", "", "gone.mtl: no such file"},
		{"", "map_Kd ../wall.png", "room.mtl:2: the texture \"../wall.png\" lies outside"},
		{"", "map_Kd /etc/wall.png", "room.mtl:2: the texture"},
		{"", "map_Kd gone.png", "room.mtl:2: the texture cannot be read"},
		{"", "map_Kd room.mtl", "neither JPEG nor PNG"},
		{"", "map_Kd torn.png", "not whole"},
		{"", "map_Kd -s 2 2 1 wall.png", "moved or scaled"},
		{"", "Kd 2 0 0", "room.mtl:2: Kd"},
	} {
		obj := sheetOBJ
		if c.obj != "" {
			obj = strings.Replace(obj, "mtllib room.mtl", c.obj, 1)
		}
		f := &folder{files: map[string]string{"room.mtl": "newmtl the wall\n" + c.mtl + "\n", "wall.png": pic,
			"torn.png": pic[:len(pic)/2]}}
		m, err := Reader{f.read}.Parse("a.obj", []byte(obj))
		if err != nil || len(m.Tris) != 2 || m.Faces != nil || !strings.Contains(strings.Join(m.Left, "\n"), c.says) {
			t.Errorf("%s%s: %v %+v", c.obj, c.mtl, err, m)
			continue
		}
		for _, name := range f.asked {
			if strings.Contains(name, "..") || strings.HasPrefix(name, "/") || strings.Contains(name, ":") {
				t.Errorf("%s%s: asked for %q", c.obj, c.mtl, name)
			}
		}
	}
	// A mesh that names files without end costs a bounded number of reads.
	var b strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&b, "mtllib m%d.mtl\n", i)
	}
	f := &folder{}
	if m, err := (Reader{f.read}).Parse("many", []byte(b.String()+sheetOBJ)); err != nil || len(f.asked) > mostOthers ||
		len(m.Left) > mostLeft {
		t.Errorf("%d files asked for, %v", len(f.asked), err)
	}
}
