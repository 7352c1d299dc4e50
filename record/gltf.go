package record

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"math"

	"halfstop/answer"
	"halfstop/geom"
	"halfstop/spectrum"
	"halfstop/stage"
)

// GLTF writes the set of a metered setup as glTF 2.0: camera, lights (KHR_lights_punctual, candela;
// a flash as the intensity that gives the same exposure over the shutter time), the room's shell.
// Metres, y up. Source: Khronos, glTF 2.0 specification and KHR_lights_punctual. Check: TestGLTF.
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
		if len(l.Bodies) == 0 || l.Source == nil {
			continue
		}
		b := &l.Bodies[0]
		cd := l.Source.Axial
		if l.Flash {
			cd /= float64(m.Camera.Shutter)
		}
		light := gltfLight{Name: l.Name, Type: "spot", Intensity: round(cd, 3), Color: tint(l),
			Spot: &gltfCone{0, math.Pi/2 - 0.01}}
		if b.Shape == "sphere" {
			light.Type, light.Spot = "point", nil
		}
		n := len(g.lights())
		g.add(light)
		f := b.Frame
		g.node(gltfNode{Name: l.Name, Translation: yUp(b.At), Rotation: quaternion(f.S.Neg(), f.T, f.N.Neg()),
			Extensions: map[string]any{"KHR_lights_punctual": map[string]int{"light": n}}})
	}
	g.shell(s)
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
	Indices    int            `json:"indices"`
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

// shell adds the walls, seen from inside, and gives their bytes; nil where there are none.
func (g *gltf) shell(s *stage.Stage) []byte {
	corners, height := stage.Outline(&s.Shoot.Room)
	if len(corners) < 3 || height <= 0 {
		return nil
	}
	var places []geom.Vec
	var tris []uint16
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		n := uint16(len(places))
		places = append(places, geom.V(a.X, a.Y, 0), geom.V(b.X, b.Y, 0), geom.V(b.X, b.Y, height),
			geom.V(a.X, a.Y, height))
		tris = append(tris, n, n+2, n+1, n, n+3, n+2)
	}
	le := binary.LittleEndian
	var data []byte
	lo, hi := []float64{math.Inf(1), math.Inf(1), math.Inf(1)}, []float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, p := range places {
		for c, v := range yUp(p) {
			data = le.AppendUint32(data, math.Float32bits(float32(v)))
			lo[c], hi[c] = min(lo[c], float64(float32(v))), max(hi[c], float64(float32(v)))
		}
	}
	at := len(data)
	for _, t := range tris {
		data = le.AppendUint16(data, t)
	}
	const arrays, elements, float, short = 34962, 34963, 5126, 5123
	g.BufferViews = []gltfView{{0, 0, at, arrays}, {0, at, len(data) - at, elements}}
	g.Accessors = []gltfAccessor{{BufferView: 0, Component: float, Count: len(places), Type: "VEC3", Min: lo,
		Max: hi},
		{BufferView: 1, Component: short, Count: len(tris), Type: "SCALAR"}}
	uri := "data:application/octet-stream;base64," + base64.StdEncoding.EncodeToString(data)
	g.Buffers = []gltfBuffer{{len(data), uri}}
	g.Meshes = []gltfMesh{{"walls", []gltfPrimitive{{map[string]int{"POSITION": 0}, 1}}}}
	n := 0
	g.node(gltfNode{Name: "walls", Mesh: &n, Rotation: [4]float64{0, 0, 0, 1}})
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
