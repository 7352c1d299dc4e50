package record

import (
	"archive/zip"
	"bytes"
	"crypto/sha1"
	"encoding/binary"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"math"
	"strings"

	"halfstop/geom"
	"halfstop/kit"
	"halfstop/stage"
)

// MVR writes the set of a staged setup as My Virtual Rig 1.6: the lights that were brought, each a
// fixture with a GDTF description of its head and modifier, what they are aimed at, and the set.
// The same setup gives the same bytes. Places are millimetres, z up. Source: DIN SPEC 15801 and DIN
// SPEC 15800 (1.1). Check: TestMVR.
func MVR(s *stage.Stage) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	put := func(name string, data []byte) error {
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err == nil {
			_, err = w.Write(data)
		}
		return err
	}
	id := func(what string) string { return uuid(s.Setup.Name + "\n" + what) }
	layer := mvrLayer{Name: s.Setup.Name, UUID: id("layer")}
	if glb, err := setGLB(s); err != nil {
		return nil, err
	} else if glb != nil {
		if err := put("set.glb", glb); err != nil {
			return nil, err
		}
		layer.List.Objects = []mvrObject{{Name: "set", UUID: id("set"), Matrix: identity,
			Geometries: mvrGeometries{[]mvrGeometry{{"set.glb"}}}, FixtureID: "0"}}
	}
	types := map[string]string{} // file of a GDTF description by head and modifier
	for i := range s.Layers {
		l := &s.Layers[i]
		if l.Light < 0 || l.Source == nil || len(l.Bodies) == 0 {
			continue
		}
		set := &s.Setup.Lights[l.Light]
		what := strings.Join(strings.Fields(set.Head+" "+set.Modifier+" "+set.Grid), " ")
		if types[what] == "" {
			types[what] = fmt.Sprintf("generic@%s_%d.gdtf", plainName(what), len(types)+1)
			data, err := gdtf(what, l.Source)
			if err == nil {
				err = put(types[what], data)
			}
			if err != nil {
				return nil, err
			}
		}
		n := len(layer.List.Fixtures) + 1
		b := &l.Bodies[0]
		f := mvrFixture{Name: l.Name, UUID: id("light " + l.Name), Spec: types[what], Mode: "Dimmer",
			FixtureID: fmt.Sprint(n), Numeric: n, Unit: n,
			Matrix: matrix(b.Frame.S.Neg(), b.Frame.T, b.Frame.N.Neg(), b.At)}
		xy := l.Spectrum.XY()
		f.Colour = fmt.Sprintf("%.5f,%.5f,%.5f", xy.X, xy.Y, 100.0)
		if l.Target != nil {
			f.Focus = id("aim of " + l.Name)
			layer.List.Focus = append(layer.List.Focus, mvrFocus{Name: "aim of " + l.Name, UUID: f.Focus,
				Matrix: matrix(geom.V(1, 0, 0), geom.V(0, 1, 0), geom.V(0, 0, 1), *l.Target)})
		}
		if p := set.Patch; p != nil {
			f.Addresses = &mvrAddresses{[]mvrAddress{{0, (p.Universe-1)*512 + p.Address}}}
		}
		layer.List.Fixtures = append(layer.List.Fixtures, f)
	}
	doc := mvrDoc{Major: 1, Minor: 6, Provider: "halfstop", ProviderVersion: "1"}
	doc.Scene.Layers.Layer = []mvrLayer{layer}
	text, err := xml.MarshalIndent(doc, "", " ")
	if err == nil {
		err = put("GeneralSceneDescription.xml", append([]byte(xml.Header), text...))
	}
	if err == nil {
		err = z.Close()
	}
	return b.Bytes(), err
}

type mvrDoc struct {
	XMLName         xml.Name `xml:"GeneralSceneDescription"`
	Major           int      `xml:"verMajor,attr"`
	Minor           int      `xml:"verMinor,attr"`
	Provider        string   `xml:"provider,attr"`
	ProviderVersion string   `xml:"providerVersion,attr"`
	Scene           struct {
		Layers struct {
			Layer []mvrLayer
		}
	}
}

type mvrLayer struct {
	Name string `xml:"name,attr"`
	UUID string `xml:"uuid,attr"`
	List struct {
		Objects  []mvrObject  `xml:"SceneObject"`
		Focus    []mvrFocus   `xml:"FocusPoint"`
		Fixtures []mvrFixture `xml:"Fixture"`
	} `xml:"ChildList"`
}

type mvrObject struct {
	Name       string        `xml:"name,attr"`
	UUID       string        `xml:"uuid,attr"`
	Matrix     string        `xml:"Matrix"`
	Geometries mvrGeometries `xml:"Geometries"`
	FixtureID  string        `xml:"FixtureID"`
	Numeric    int           `xml:"FixtureIDNumeric"`
	List       struct{}      `xml:"ChildList"`
}

type mvrGeometries struct {
	Geometry []mvrGeometry `xml:"Geometry3D"`
}

type mvrGeometry struct {
	File string `xml:"fileName,attr"`
}

type mvrFocus struct {
	Name       string   `xml:"name,attr"`
	UUID       string   `xml:"uuid,attr"`
	Matrix     string   `xml:"Matrix"`
	Geometries struct{} `xml:"Geometries"`
}

type mvrFixture struct {
	Name      string        `xml:"name,attr"`
	UUID      string        `xml:"uuid,attr"`
	Matrix    string        `xml:"Matrix"`
	Spec      string        `xml:"GDTFSpec"`
	Mode      string        `xml:"GDTFMode"`
	Focus     string        `xml:"Focus,omitempty"`
	FixtureID string        `xml:"FixtureID"`
	Numeric   int           `xml:"FixtureIDNumeric"`
	Unit      int           `xml:"UnitNumber"`
	Addresses *mvrAddresses `xml:"Addresses"`
	Colour    string        `xml:"Color"` // as the standard's example has it; its table: CIEColor
	List      struct{}      `xml:"ChildList"`
}

type mvrAddresses struct {
	Address []mvrAddress `xml:"Address"`
}

type mvrAddress struct {
	Break int `xml:"break,attr"`
	Slot  int `xml:",chardata"` // counted through the universes, from 1
}

const identity = "{1.000000,0.000000,0.000000}{0.000000,1.000000,0.000000}{0.000000,0.000000,1.000000}" +
	"{0.000000,0.000000,0.000000}"

// matrix is the node's axes x, y, z and its place, in the format's words: rows, millimetres.
func matrix(x, y, z, at geom.Vec) string {
	var b strings.Builder
	for _, v := range []geom.Vec{x, y, z, at.Mul(1000)} {
		fmt.Fprintf(&b, "{%.6f,%.6f,%.6f}", v.X+0, v.Y+0, v.Z+0)
	}
	return b.String()
}

// uuid is version 5 of RFC 4122 in the namespace of names, so that the same thing keeps its number.
func uuid(name string) string {
	h := sha1.New()
	h.Write([]byte{0x6b, 0xa7, 0xb8, 0x11, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8})
	h.Write([]byte("halfstop\n" + name))
	u := h.Sum(nil)[:16]
	u[6], u[8] = u[6]&0x0f|0x50, u[8]&0x3f|0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:])
}

// plainName keeps what every file system and the format's names take.
func plainName(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, s)
}

// beamOf gives what a GDTF beam says of a source at full: flux in lumens (0 for a flash), and the
// full angles at a half and at a tenth of the intensity on the axis, degrees.
func beamOf(s *kit.Source) (lumens, beam, field float64) {
	at := func(deg int) float64 {
		if len(s.Profile) == 0 {
			return max(0, math.Cos(float64(deg)*math.Pi/180))
		}
		if deg < len(s.Profile) {
			return s.Profile[deg]
		}
		return 0
	}
	angle := func(share float64) float64 {
		for d := range 180 {
			if a, b := at(d), at(d+1); b < share {
				return 2 * (float64(d) + (a-share)/max(a-b, 1e-12))
			}
		}
		return 360
	}
	if !s.Flash {
		for d := range 180 {
			lumens += (at(d) + at(d+1)) / 2 * 2 * math.Pi * (math.Cos(float64(d)*math.Pi/180) -
				math.Cos(float64(d+1)*math.Pi/180)) * s.AxialFull
		}
	}
	return lumens, angle(0.5), angle(0.1)
}

// gdtf describes a head with its modifier: one beam, one channel that dims it.
func gdtf(name string, s *kit.Source) ([]byte, error) {
	lumens, beam, field := beamOf(s)
	says := "a continuous head as recorded; its flux is at full"
	if s.Flash {
		says = "a flash as recorded: light a pop, so no flux is given"
	}
	shape, kind := "Cube", "Rectangle"
	w, h := float64(s.Width), float64(s.Height)
	if s.Shape != "rectangle" {
		shape, kind, h = "Cylinder", "Wash", w
	}
	w, h = max(w, 0.02), max(h, 0.02)
	kelvin := ColourOf(s.Spectrum.XY()).Kelvin
	lamp := "LED"
	switch {
	case s.Flash:
		lamp = "Discharge"
	case s.Hot:
		lamp = "Tungsten"
	}
	plain := strings.ReplaceAll(plainName(name), "-", " ")
	esc := func(t string) string {
		var b bytes.Buffer
		_ = xml.EscapeText(&b, []byte(t)) // a buffer does not fail
		return b.String()
	}
	text := fmt.Sprintf(`%s<GDTF DataVersion="1.1">
 <FixtureType Name="%s" ShortName="%s" LongName="%s" Manufacturer="generic" Description="%s" FixtureTypeID="%s">
  <AttributeDefinitions>
   <ActivationGroups/>
   <FeatureGroups><FeatureGroup Name="Dimmer" Pretty="Dimmer"><Feature Name="Dimmer"/></FeatureGroup></FeatureGroups>
   <Attributes>
    <Attribute Name="Dimmer" Pretty="Dim" Feature="Dimmer.Dimmer" PhysicalUnit="LuminousIntensity"/>
   </Attributes>
  </AttributeDefinitions>
  <Wheels/>
  <PhysicalDescriptions/>
  <Models><Model Name="Face" Length="%.4f" Width="%.4f" Height="%.4f" PrimitiveType="%s"/></Models>
  <Geometries>
   <Geometry Name="Base" Model="Face">
    <Beam Name="Beam" LampType="%s" PowerConsumption="%.1f" LuminousFlux="%.1f"
     ColorTemperature="%.0f" BeamAngle="%.2f" FieldAngle="%.2f" RectangleRatio="%.4f"
     BeamRadius="%.4f" BeamType="%s"/>
   </Geometry>
  </Geometries>
  <DMXModes>
   <DMXMode Name="Dimmer" Geometry="Base">
    <DMXChannels>
     <DMXChannel DMXBreak="1" Offset="1" Highlight="255/1" Geometry="Beam">
      <LogicalChannel Attribute="Dimmer" Snap="No" Master="Grand">
       <ChannelFunction Name="Dimmer 1" Attribute="Dimmer" DMXFrom="0/1" PhysicalFrom="0" PhysicalTo="1"/>
      </LogicalChannel>
     </DMXChannel>
    </DMXChannels>
    <Relations/>
    <FTMacros/>
   </DMXMode>
  </DMXModes>
 </FixtureType>
</GDTF>
`, xml.Header, plain, plain[:min(len(plain), 20)], esc(name), says, uuid("type "+name), w, h, max(0.05,
		float64(s.Depth)), shape, lamp, float64(s.Watts), lumens, kelvin, beam, field, w/h, w/2, kind)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	out, err := z.CreateHeader(&zip.FileHeader{Name: "description.xml", Method: zip.Deflate})
	if err == nil {
		_, err = out.Write([]byte(text))
	}
	if err == nil {
		err = z.Close()
	}
	return b.Bytes(), err
}

// setGLB is all that stands in the set as binary glTF 2.0; nil where there is none.
func setGLB(s *stage.Stage) ([]byte, error) {
	g := &gltf{Asset: map[string]string{"version": "2.0", "generator": "halfstop"}, Scenes: []gltfScene{{}}}
	data := g.set(s)
	if data == nil {
		return nil, nil
	}
	g.Buffers[0].URI = ""
	text, err := json.Marshal(g)
	if err != nil {
		return nil, err
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	for len(data)%4 != 0 {
		data = append(data, 0)
	}
	le := binary.LittleEndian
	out := le.AppendUint32([]byte("glTF"), 2)
	out = le.AppendUint32(out, uint32(12+8+len(text)+8+len(data)))
	out = append(le.AppendUint32(out, uint32(len(text))), "JSON"...)
	out = append(out, text...)
	out = append(le.AppendUint32(out, uint32(len(data))), "BIN\x00"...)
	return append(out, data...), nil
}
