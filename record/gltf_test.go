package record

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestGLTF: camera and lights stand and look where the stage has them; the Khronos validator, where
// it is installed (npm ci in web), finds nothing.
func TestGLTF(t *testing.T) {
	m := madeOf(t, jobOf(t, den))
	data, err := GLTF(m.Metered)
	if err != nil {
		t.Fatal(err)
	}
	var g gltf
	if err := json.Unmarshal(data, &g); err != nil {
		t.Fatal(err)
	}
	// Key, edge and the lamp of the place; a mesh for each material, the sitter's and the room's.
	if len(g.lights()) != 3 || len(g.Cameras) != 1 || len(g.Meshes) < 5 || len(g.Meshes) != len(g.Materials) {
		t.Fatalf("%d lights, %d cameras, %d meshes, %d materials", len(g.lights()), len(g.Cameras), len(g.Meshes),
			len(g.Materials))
	}
	stage, corners := m.Metered.Stage, 0
	for _, a := range g.Accessors {
		corners += a.Count
	}
	if corners != 3*stage.Scene.Triangles() {
		t.Errorf("%d corners of %d triangles", corners, stage.Scene.Triangles())
	}
	for _, l := range g.lights() {
		// A sphere of 400 lm gives 400/4π cd each way.
		if l.Name == "lamp" && (l.Type != "point" || math.Abs(l.Intensity-400/(4*math.Pi)) > 0.02) {
			t.Errorf("the lamp is %+v", l)
		}
	}
	for _, n := range g.Nodes {
		// Turned by its quaternion, −z is where it looks (glTF 2.0, 3.10.3 and the extension).
		q := n.Rotation
		x, y, z, w := q[0], q[1], q[2], q[3]
		look := [3]float64{-(2*x*z + 2*w*y), -(2*y*z - 2*w*x), -(1 - 2*x*x - 2*y*y)}
		if r := math.Sqrt(x*x + y*y + z*z + w*w); math.Abs(r-1) > 1e-9 {
			t.Errorf("%s: its rotation has the length %g", n.Name, r)
		}
		s := m.Metered.Stage
		want, at := s.View.Axis, s.View.At
		if k := s.LayerNamed(n.Name); k >= 0 {
			want, at = s.Layers[k].Bodies[0].Frame.N, s.Layers[k].Bodies[0].At
		} else if n.Camera == nil {
			continue
		}
		v, p := yUp(want), yUp(at)
		for c := range 3 {
			if math.Abs(look[c]-v[c]) > 1e-9 || math.Abs(n.Translation[c]-p[c]) > 1e-9 {
				t.Errorf("%s looks along %v from %v, want %v from %v", n.Name, look, n.Translation, v, p)
				break
			}
		}
	}
	validGLTF(t, "a.gltf", data)
}

// validGLTF has the Khronos validator (npm ci in web) look at a file: nothing is found. Where CI
// has the page's tools and not this one, that is a fault.
func validGLTF(t *testing.T, name string, data []byte) {
	t.Helper()
	node, err := exec.LookPath("node")
	tools, err2 := filepath.Abs("../web/node_modules")
	validator := filepath.Join(tools, "gltf-validator")
	if _, err3 := os.Stat(validator); err != nil || err2 != nil || err3 != nil {
		if _, err := os.Stat(tools); err == nil && os.Getenv("CI") == "true" {
			t.Error("web/node_modules is there without gltf-validator: npm ci in web")
		}
		t.Log("=== NO GLTF-VALIDATOR: THE FILE IS NOT CHECKED BY KHRONOS'S TOOL ===")
		return
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	const js = `require(process.argv[1]).validateBytes(new Uint8Array(require("fs").readFileSync(process.argv[2])))
.then(r => console.log(r.issues.numErrors, r.issues.numWarnings, JSON.stringify(r.issues.messages)))`
	out, err := exec.Command(node, "-e", js, validator, path).CombinedOutput()
	if err != nil || !strings.HasPrefix(string(out), "0 0 ") {
		t.Errorf("%s: %v: %s", name, err, out)
	}
}

// TestRetouch: what is mixed and what is clipped is said.
func TestRetouch(t *testing.T) {
	r := madeOf(t, jobOf(t, strings.Replace(den, "power: 1/32", "power: 1/1, gel: full orange", 1))).Record
	text := Retouch(r)
	for _, want := range []string{"CLIPPED", "face key side", "ISO 400"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	r.Title, r.Panels = "", []Panel{{Kind: "black", Size: []float64{1.2, 1.8}}}
	if s := Invoice(r); !strings.Contains(s, "1 × black 1.2 × 1.8 m") || strings.Contains(s, ": ,") {
		t.Errorf("the invoice says\n%s", s)
	}
	if s := Invoice(r); !strings.Contains(s, "1 × softbox 60x90") || !strings.Contains(s, "Nothing was logged") {
		t.Errorf("the invoice says\n%s", s)
	}
}
