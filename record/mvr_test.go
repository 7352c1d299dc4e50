package record

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/photometry"
)

// mvrNode is any element, to hold the file's tree against the standard's tables.
type mvrNode struct {
	XMLName xml.Name
	Attrs   []xml.Attr `xml:",any,attr"`
	Text    string     `xml:",chardata"`
	Nodes   []mvrNode  `xml:",any"`
}

func (n *mvrNode) attr(name string) string {
	for _, a := range n.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (n *mvrNode) all(name string) (out []*mvrNode) {
	for i := range n.Nodes {
		if n.Nodes[i].XMLName.Local == name {
			out = append(out, &n.Nodes[i])
		}
		out = append(out, n.Nodes[i].all(name)...)
	}
	return out
}

// Children that DIN SPEC 15801 (MVR 1.6, tables of its nodes) asks of each node written here.
var mvrNeeds = map[string][]string{"GeneralSceneDescription": {"Scene"}, "Scene": {"Layers"}, "Layer": {"ChildList"},
	"SceneObject": {"Geometries", "FixtureID", "ChildList"}, "FocusPoint": {"Geometries"},
	"Fixture": {"Matrix", "GDTFSpec", "GDTFMode", "FixtureID", "UnitNumber", "ChildList"}}

var version5 = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`) // RFC 4122

// TestMVR: an archive as DIN SPEC 15801 has it, with everything at its root; each fixture names a
// GDTF file that is there and that the reader of package photometry understands; fixtures stand and
// look where the stage has them, by a reader of its own for matrices; numbers of things are unique
// and stay; names of any script come through.
func TestMVR(t *testing.T) {
	text := strings.Replace(den, "role: edge,", "role: edge, name: \"縁 & <rim>\", patch: {universe: 2, address: 7},", 1)
	text = strings.Replace(text, "head: battery head 200, modifier: standard reflector, grid: grid 20",
		"head: rgb panel 300", 1)
	text = strings.Replace(text, "power: 1/64", "level: 40 %", 1)
	s, list := jobOf(t, text).Stage(0, figure.Shadow)
	if s == nil {
		t.Fatal(list.Text())
	}
	data, err := MVR(s)
	again, _ := MVR(s)
	if err != nil || !bytes.Equal(data, again) {
		t.Fatalf("%v; twice the same bytes: %v", err, bytes.Equal(data, again))
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if files[f.Name], err = io.ReadAll(r); err != nil || f.Method != zip.Deflate && f.Method != zip.Store ||
			!regexp.MustCompile(`^[\w@-]+\.(xml|gdtf|glb)$`).MatchString(f.Name) {
			t.Errorf("%s: method %d, %v", f.Name, f.Method, err)
		}
	}
	var root mvrNode
	if err := xml.Unmarshal(files["GeneralSceneDescription.xml"], &root); err != nil {
		t.Fatal(err)
	}
	if root.attr("verMajor") != "1" || root.attr("verMinor") != "6" {
		t.Errorf("version %s.%s", root.attr("verMajor"), root.attr("verMinor"))
	}
	seen := map[string]bool{}
	for name, needs := range mvrNeeds {
		for _, n := range append(root.all(name), &root) {
			if n.XMLName.Local != name {
				continue
			}
			for _, need := range needs {
				has := false
				for _, c := range n.Nodes {
					has = has || c.XMLName.Local == need
				}
				if !has {
					t.Errorf("%s has no %s", name, need)
				}
			}
			if u := n.attr("uuid"); name != "GeneralSceneDescription" && name != "Scene" {
				if !version5.MatchString(u) || seen[u] {
					t.Errorf("%s: uuid %q", name, u)
				}
				seen[u] = true
			}
		}
	}
	lights := root.all("Fixture")
	if len(lights) != 2 || lights[1].attr("name") != "縁 & <rim>" || len(lights[1].all("Address")) != 1 ||
		strings.TrimSpace(lights[1].all("Address")[0].Text) != "519" {
		t.Fatalf("%d fixtures, %+v", len(lights), lights)
	}
	for _, n := range lights {
		b := s.Layers[s.LayerNamed(n.attr("name"))].Bodies[0]
		var m [12]float64
		if k, err := fmt.Sscanf(n.all("Matrix")[0].Text, "{%f,%f,%f}{%f,%f,%f}{%f,%f,%f}{%f,%f,%f}", &m[0], &m[1],
			&m[2], &m[3], &m[4], &m[5], &m[6], &m[7], &m[8], &m[9], &m[10], &m[11]); k != 12 {
			t.Fatal(err)
		}
		// A GDTF beam goes along −z; rows are the axes in the world, the last the place in mm.
		at, way := b.At.Array(), b.Frame.N.Array()
		for c := range 3 {
			if math.Abs(m[9+c]/1000-at[c]) > 1e-6 || math.Abs(-m[6+c]-way[c]) > 1e-6 {
				t.Errorf("%s stands at %v, looks along %v; want %v, %v", n.attr("name"), m[9:], m[6:9], at, way)
			}
		}
		spec := n.all("GDTFSpec")[0].Text
		f, list := photometry.ParseGDTF(spec, files[spec])
		if f == nil || list.Has(diag.Error) || len(f.Modes) != 1 || f.Modes[0].Name != n.all("GDTFMode")[0].Text {
			t.Errorf("%s: %+v %s", spec, f, list.Text())
		}
	}
	validGLTF(t, "set.glb", files["set.glb"])
}

// TestMVRSchema: sets of rooms that are unlike each other hold to the standards' tables, as
// Debian's xmllint reads them (testdata/*.xsd, ours); a flash, hot and cold heads name their lamps.
func TestMVRSchema(t *testing.T) {
	tool, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("=== NO XMLLINT: MVR AND GDTF ARE NOT HELD AGAINST A SCHEMA ===")
	}
	schema := func(name, xsd string, data []byte) {
		t.Helper()
		path := filepath.Join(t.TempDir(), "a.xml")
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(tool, "--noout", "--nonet", "--schema", xsd, path).CombinedOutput(); err != nil {
			t.Errorf("%s: %s", name, out)
		}
	}
	lamps := ""
	for _, room := range []string{"bar", "stage-haze", "greenhouse", "night-street", "car"} {
		text, err := os.ReadFile("../zoo/" + room + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, list := jobOf(t, string(text)).Stage(0, figure.Shadow)
		if s == nil {
			t.Fatal(list.Text())
		}
		data, err := MVR(s)
		if err != nil {
			t.Fatal(err)
		}
		for name, data := range unzip(t, data) {
			switch filepath.Ext(name) {
			case ".xml":
				schema(room+" "+name, "testdata/mvr-1.6.xsd", data)
			case ".glb":
				validGLTF(t, name, data)
			case ".gdtf":
				text := unzip(t, data)["description.xml"]
				schema(room+" "+name, "testdata/gdtf-1.1.xsd", text)
				lamps += regexp.MustCompile(`LampType="\w+"`).FindString(string(text))
			}
		}
	}
	for _, lamp := range []string{"Discharge", "Tungsten", "LED"} {
		if !strings.Contains(lamps, lamp) {
			t.Errorf("no lamp is %s: %s", lamp, lamps)
		}
	}
}

func unzip(t *testing.T, data []byte) map[string][]byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if files[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

// TestBeam: flux and angles of a Lambertian face by closed form: π times the intensity on the axis;
// half of it at 60°, a tenth at 84.26° off the axis.
func TestBeam(t *testing.T) {
	s, list := jobOf(t, strings.Replace(strings.Replace(den,
		"head: battery head 200,\n         modifier: softbox 60x90",
		"head: rgb panel 300", 1), "power: 1/32", "level: 50 %", 1)).Stage(0, figure.Shadow)
	if s == nil {
		t.Fatal(list.Text())
	}
	src := *s.Layers[s.LayerNamed("key")].Source
	src.Profile = nil
	lumens, beam, field := beamOf(&src)
	if math.Abs(lumens/(math.Pi*src.AxialFull)-1) > 1e-3 || math.Abs(beam-120) > 0.1 || math.Abs(field-168.52) > 0.1 {
		t.Errorf("%g lm, %g°, %g°", lumens/src.AxialFull, beam, field)
	}
}
