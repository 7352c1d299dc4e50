package record

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"maps"
	"math"
	"slices"

	"halfstop/answer"
	"halfstop/geom"
	"halfstop/spectrum"
	"halfstop/stage"
)

// GLTF writes the set of a metered setup as glTF 2.0: camera, lights (KHR_lights_punctual, candela;
// a flash as the intensity that gives the same exposure over the shutter time), and all that stands
// there, by material. What belongs to the house (tubes, bulbs, windows) is a light at the middle of
// each body: the file knows no other. Metres, y up. Source: Khronos, glTF 2.0 specification and
// KHR_lights_punctual. Check: TestGLTF.
func GLTF(m *answer.Metered) ([]byte, error) {
	g := &gltf{Asset: map[string]string{"version": "2.0", "generator": "halfstop"}, Scenes: []gltfScene{{}}}
	s := m.Stage
	if v := s.View; v != nil {
		yfov := 2 * math.Atan(float64(v.Format.Height)/2/float64(v.Lens))
		g.Cameras = append(g.Cameras, gltfCamera{"perspective",
			gltfPerspective{float64(v.Format.Width / v.Format.Height), yfov,
				0.05, 200}})
		n := 0
		// A camera looks along its node's −z with +y up; S of the stage's frame points to the left.
		g.node(gltfNode{Name: "camera", Camera: &n, Rotation: quaternion(v.Frame.S.Neg(), v.Frame.T, v.Frame.N.Neg()),
			Translation: yUp(v.At)})
	}
	for i := range s.Layers {
		l := &s.Layers[i]
		if len(l.Bodies) == 0 {
			continue
		}
		if l.Source == nil {
			g.house(s, i)
			continue
		}
		b := &l.Bodies[0]
		cd := l.Source.Axial
		if l.Flash {
			cd /= float64(m.Camera.Shutter)
		}
		g.light(l, b, cd, b.Shape == "sphere")
	}
	g.set(s)
	if len(g.lights()) > 0 {
		g.ExtensionsUsed = []string{"KHR_lights_punctual"}
	}
	return json.MarshalIndent(g, "", " ")
}

type gltf struct {
	Asset          map[string]string `json:"asset"`
	Scene          int               `json:"scene"`
	Scenes         []gltfScene       `json:"scenes"`
	Nodes          []gltfNode        `json:"nodes,omitempty"`
	Cameras        []gltfCamera      `json:"cameras,omitempty"`
	Meshes         []gltfMesh        `json:"meshes,omitempty"`
	Materials      []gltfMaterial    `json:"materials,omitempty"`
	Accessors      []gltfAccessor    `json:"accessors,omitempty"`
	BufferViews    []gltfView        `json:"bufferViews,omitempty"`
	Buffers        []gltfBuffer      `json:"buffers,omitempty"`
	Extensions     *gltfExtensions   `json:"extensions,omitempty"`
	ExtensionsUsed []string          `json:"extensionsUsed,omitempty"`
}

type gltfScene struct {
	Nodes []int `json:"nodes,omitempty"`
}

type gltfNode struct {
	Name        string         `json:"name"`
	Camera      *int           `json:"camera,omitempty"`
	Mesh        *int           `json:"mesh,omitempty"`
	Translation [3]float64     `json:"translation"`
	Rotation    [4]float64     `json:"rotation"`
	Extensions  map[string]any `json:"extensions,omitempty"`
}

type gltfCamera struct {
	Type        string          `json:"type"`
	Perspective gltfPerspective `json:"perspective"`
}

type gltfPerspective struct {
	AspectRatio float64 `json:"aspectRatio"`
	YFov        float64 `json:"yfov"`
	ZNear       float64 `json:"znear"`
	ZFar        float64 `json:"zfar"`
}

type gltfLight struct {
	Name      string     `json:"name"`
	Type      string     `json:"type"`
	Intensity float64    `json:"intensity"`
	Color     [3]float64 `json:"color"`
	Spot      *gltfCone  `json:"spot,omitempty"`
}

type gltfCone struct {
	Inner float64 `json:"innerConeAngle"`
	Outer float64 `json:"outerConeAngle"`
}

type gltfExtensions struct {
	Lights struct {
		Lights []gltfLight `json:"lights"`
	} `json:"KHR_lights_punctual"`
}

type gltfMesh struct {
	Name       string          `json:"name"`
	Primitives []gltfPrimitive `json:"primitives"`
}

type gltfPrimitive struct {
	Attributes map[string]int `json:"attributes"`
	Material   int            `json:"material"`
}

type gltfMaterial struct {
	Name        string `json:"name"`
	DoubleSided bool   `json:"doubleSided"`
	PBR         struct {
		Base  [4]float64 `json:"baseColorFactor"`
		Metal float64    `json:"metallicFactor"`
		Rough float64    `json:"roughnessFactor"`
	} `json:"pbrMetallicRoughness"`
}

type gltfAccessor struct {
	BufferView int       `json:"bufferView"`
	Component  int       `json:"componentType"`
	Count      int       `json:"count"`
	Type       string    `json:"type"`
	Min        []float64 `json:"min,omitempty"`
	Max        []float64 `json:"max,omitempty"`
}

type gltfView struct {
	Buffer int `json:"buffer"`
	Offset int `json:"byteOffset"`
	Length int `json:"byteLength"`
	Target int `json:"target"`
}

type gltfBuffer struct {
	Length int    `json:"byteLength"`
	URI    string `json:"uri,omitempty"`
}

func (g *gltf) node(n gltfNode) {
	g.Scenes[0].Nodes = append(g.Scenes[0].Nodes, len(g.Nodes))
	g.Nodes = append(g.Nodes, n)
}

func (g *gltf) lights() []gltfLight {
	if g.Extensions == nil {
		return nil
	}
	return g.Extensions.Lights.Lights
}

func (g *gltf) add(l gltfLight) {
	if g.Extensions == nil {
		g.Extensions = &gltfExtensions{}
	}
	g.Extensions.Lights.Lights = append(g.Extensions.Lights.Lights, l)
}

// light adds a light of so many candela along its axis, as a point that shines all round or into
// the half space before it.
func (g *gltf) light(l *stage.Layer, b *stage.Body, cd float64, allRound bool) {
	light := gltfLight{Name: l.Name, Type: "spot", Intensity: round(cd, 3), Color: tint(l),
		Spot: &gltfCone{0, math.Pi/2 - 0.01}}
	if allRound {
		light.Type, light.Spot = "point", nil
	}
	n := len(g.lights())
	g.add(light)
	f := b.Frame
	g.node(gltfNode{Name: l.Name, Translation: yUp(b.At), Rotation: quaternion(f.S.Neg(), f.T, f.N.Neg()),
		Extensions: map[string]any{"KHR_lights_punctual": map[string]int{"light": n}}})
}

// house adds the bodies of a light of the house: the layer's flux Φ in equal parts, each as Φ/π
// along the normal of a flat face (Lambert) or Φ/4π all round.
func (g *gltf) house(s *stage.Stage, layer int) {
	l := &s.Layers[layer]
	lm := s.Scene.Flux(layer) * l.K / float64(len(l.Bodies))
	if !(lm > 0) || math.IsInf(lm, 0) {
		return
	}
	for k := range l.Bodies {
		b := &l.Bodies[k]
		flat := b.Shape == "rectangle" || b.Shape == "disc" || b.Shape == "octagon"
		if flat {
			g.light(l, b, lm/math.Pi, false)
		} else {
			g.light(l, b, lm/(4*math.Pi), true)
		}
	}
}

// set adds all surfaces of the scene, a mesh of one primitive for each material, and gives their
// bytes; nil where there are none. Base colours are of the diffuse reflectance under daylight.
func (g *gltf) set(s *stage.Stage) []byte {
	byMat := map[int][]float32{}
	s.Scene.EachTriangle(func(mat int, corners [3]geom.Vec) {
		for _, c := range corners {
			p := yUp(c)
			byMat[mat] = append(byMat[mat], float32(p[0]), float32(p[1]), float32(p[2]))
		}
	})
	fold := spectrum.FoldCIE(spectrum.Daylight(6504))
	le := binary.LittleEndian
	var data []byte
	const arrays, float = 34962, 5126
	for _, mat := range slices.Sorted(maps.Keys(byMat)) {
		at, places := len(data), byMat[mat]
		lo, hi := slices.Repeat([]float64{math.Inf(1)}, 3), slices.Repeat([]float64{math.Inf(-1)}, 3)
		for k, v := range places {
			data = le.AppendUint32(data, math.Float32bits(v))
			lo[k%3], hi[k%3] = min(lo[k%3], float64(v)), max(hi[k%3], float64(v))
		}
		g.BufferViews = append(g.BufferViews, gltfView{0, at, len(data) - at, arrays})
		g.Accessors = append(g.Accessors, gltfAccessor{BufferView: len(g.BufferViews) - 1, Component: float,
			Count: len(places) / 3, Type: "VEC3", Min: lo, Max: hi})
		m := s.Scene.Material(mat)
		x := fold.Apply(&m.Diffuse)
		c := spectrum.SRGB.Linear(spectrum.XYZ{X: float64(x[0]), Y: float64(x[1]), Z: float64(x[2])})
		look := gltfMaterial{Name: m.Name, DoubleSided: true}
		look.PBR.Base = [4]float64{0, 0, 0, 1}
		look.PBR.Rough = 1
		for k := range c {
			look.PBR.Base[k] = round(min(1, max(0, c[k])), 4)
		}
		g.Materials = append(g.Materials, look)
		n := len(g.Meshes)
		g.Meshes = append(g.Meshes, gltfMesh{m.Name, []gltfPrimitive{{map[string]int{"POSITION": n}, n}}})
		g.node(gltfNode{Name: m.Name, Mesh: &n, Rotation: [4]float64{0, 0, 0, 1}})
	}
	if data == nil {
		return nil
	}
	uri := "data:application/octet-stream;base64," + base64.StdEncoding.EncodeToString(data)
	g.Buffers = []gltfBuffer{{len(data), uri}}
	return data
}

// yUp turns a place of the stage, z up, to glTF's, y up.
func yUp(p geom.Vec) [3]float64 { return [3]float64{p.X, p.Z, -p.Y} }

// quaternion is the rotation whose axes are x, y, z, given in the stage's frame.
func quaternion(x, y, z geom.Vec) [4]float64 {
	a, b, c := yUp(x), yUp(y), yUp(z)
	m := [3][3]float64{{a[0], b[0], c[0]}, {a[1], b[1], c[1]}, {a[2], b[2], c[2]}}
	var q [4]float64
	switch t := m[0][0] + m[1][1] + m[2][2]; {
	case t > 0:
		s := 2 * math.Sqrt(t+1)
		q = [4]float64{(m[2][1] - m[1][2]) / s, (m[0][2] - m[2][0]) / s, (m[1][0] - m[0][1]) / s, s / 4}
	case m[0][0] > m[1][1] && m[0][0] > m[2][2]:
		s := 2 * math.Sqrt(1+m[0][0]-m[1][1]-m[2][2])
		q = [4]float64{s / 4, (m[0][1] + m[1][0]) / s, (m[0][2] + m[2][0]) / s, (m[2][1] - m[1][2]) / s}
	case m[1][1] > m[2][2]:
		s := 2 * math.Sqrt(1+m[1][1]-m[0][0]-m[2][2])
		q = [4]float64{(m[0][1] + m[1][0]) / s, s / 4, (m[1][2] + m[2][1]) / s, (m[0][2] - m[2][0]) / s}
	default:
		s := 2 * math.Sqrt(1+m[2][2]-m[0][0]-m[1][1])
		q = [4]float64{(m[0][2] + m[2][0]) / s, (m[1][2] + m[2][1]) / s, s / 4, (m[1][0] - m[0][1]) / s}
	}
	return q
}

// tint is a light's colour, linear sRGB, its largest part 1.
func tint(l *stage.Layer) [3]float64 {
	x := l.Spectrum.XYZ()
	c := spectrum.SRGB.Linear(spectrum.XYZ{X: x.X / x.Y, Y: 1, Z: x.Z / x.Y})
	most := max(c[0], c[1], c[2], 1e-9)
	for i := range c {
		c[i] = round(max(0, c[i])/most, 4)
	}
	return c
}
