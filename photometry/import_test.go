package photometry

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/geom"
)

// tm33Of writes a table as TM-33: the way of 2018 with long names, or that of 2023 with short ones.
func tm33Of(long bool, cd func(h, v float64) float64, hs, vs []float64) []byte {
	var b strings.Builder
	root, inner, end := "LuminaireOpticalData", "<IntensityDistribution>", "</IntensityDistribution>"
	if !long {
		root, inner, end = "IESTM33-22", "<LuminousData><Multiplier>2</Multiplier><LuminousIntensity>",
			"</LuminousIntensity></LuminousData>"
	}
	fmt.Fprintf(&b, `<?xml version="1.0"?><%s><Header><Description>a test lamp</Description></Header>
<Luminaire><Dimensions>`+
		`<Length>600</Length><Width>300</Width><Height>100</Height></Dimensions></Luminaire><Emitter>
<Quantity>1</Quantity>`+
		`<InputWatts>40</InputWatts><CCT>4000</CCT>%s`, root, inner)
	for _, h := range hs {
		for _, v := range vs {
			if long {
				fmt.Fprintf(&b, `<IntensityData horz="%g" vert="%g">%g</IntensityData>`, h, v, cd(h, v))
			} else {
				fmt.Fprintf(&b, `<IntData h="%g" v="%g">%g</IntData>`, h, v, cd(h, v)/2)
			}
		}
	}
	fmt.Fprintf(&b, `%s<SpectralDistribution><Wavelengths>400 500 600</Wavelengths><Values>1 2 1</Values>
</SpectralDistribution>`+
		`</Emitter><CustomData>x</CustomData></%s>`, end, root)
	return []byte(b.String())
}

// TestTM33: a cosine of 100 cd has π · 100 lm (Lambert), either way of writing; a quadrant that
// differs from plane to plane is found in every quarter; size, watts, colour and spectrum are
// there, and what is not read is told.
func TestTM33(t *testing.T) {
	var vs []float64
	for v := 0.0; v <= 90; v += 5 {
		vs = append(vs, v)
	}
	cosine := func(_, v float64) float64 { return 100 * math.Max(0, math.Cos(v*math.Pi/180)) }
	for _, long := range []bool{true, false} {
		for _, hs := range [][]float64{{0}, {0, 90}, {0, 90, 180, 270}} {
			w, a, list := ParseTM33("a.xml", tm33Of(long, cosine, hs, vs))
			if w == nil {
				t.Fatal(list.Text())
			}
			if f := w.Flux(); math.Abs(f/(100*math.Pi)-1) > 0.002 { // steps of 5°: J2.1 has 313.96 of 314.16
				t.Errorf("long %v, planes %v: %.2f lm", long, hs, f)
			}
			if a.Name != "a test lamp" || a.Watts != 40 || a.Kelvin != 4000 || len(a.Spectrum) != 3 ||
				w.Opening.Shape != ShapeRectangle || w.Opening.Length != 0.6 || w.Opening.Width != 0.3 ||
				strings.Join(a.Ignored, "") != "CustomData" {
				t.Errorf("%+v %+v", a, w.Opening)
			}
			// What a head's photometry: reads is the same.
			again, _ := (Options{}).Parse("a.xml", tm33Of(long, cosine, hs, vs))
			if again == nil || again.Flux() != w.Flux() {
				t.Error("Parse does not read it")
			}
		}
	}
	plane := func(h, v float64) float64 { return cosine(h, v) * (1 + h/90) }
	w, _, _ := ParseTM33("a.xml", tm33Of(true, plane, []float64{0, 90}, vs))
	d := func(phi float64) geom.Vec {
		sn, cs := math.Sincos(phi * math.Pi / 180)
		return geom.V(cs, sn, 1)
	}
	for _, phi := range []float64{0, 180} {
		if a, b := w.Candela(d(phi)), w.Candela(d(phi+90)); math.Abs(b/a-2) > 0.001 {
			t.Errorf("towards C%g %.2f cd, across %.2f; want twice", phi, a, b)
		}
	}
}

// TestTM33Lists: other programs put the values into a list that is called like its items, and
// factor and type beside it.
func TestTM33Lists(t *testing.T) {
	src := string(tm33Of(true, func(_, v float64) float64 { return 100 - v }, []float64{0}, []float64{0, 45, 90}))
	src = strings.Replace(src, "<IntensityDistribution>", "<LuminousData><LuminousIntensity>"+
		"<PhotometryType>CIE-C</PhotometryType><Multiplier>2</Multiplier><IntData>", 1)
	src = strings.Replace(src, "</IntensityDistribution>", "</IntData></LuminousIntensity></LuminousData>", 1)
	w, _, list := ParseTM33("a.xml", []byte(src))
	if w == nil || w.Axial() != 200 {
		t.Errorf("%v %s", w, list.Text())
	}
	if w, _, list = ParseTM33("a.xml", []byte(strings.Replace(src, "CIE-C", "CIE-B", 1))); w != nil {
		t.Error("type B is read as C")
	}
	_ = list
}

// TestTM33Refused: each mistake is told with its line.
func TestTM33Refused(t *testing.T) {
	good := string(tm33Of(true, func(h, v float64) float64 { return 1 }, []float64{0}, []float64{0, 45, 90}))
	for what, src := range map[string]string{
		"intensity": strings.Replace(good, ">1</IntensityData>", ">x</IntensityData>", 1),
		"values": strings.Replace(strings.Replace(good, `horz="0" vert="45"`,
			`horz="90" vert="45"`, 1), "&", "", -1),
		"twice":       strings.Replace(good, `vert="45"`, `vert="0"`, 1),
		"well-formed": good[:len(good)-40],
		"entities": strings.Replace(good, "<LuminaireOpticalData>",
			"<!DOCTYPE a [<!ENTITY b 'c'>]><LuminaireOpticalData>", 1),
		"no TM-33": "<a/>",
		"no table": "<LuminaireOpticalData/>",
		"type C": strings.Replace(good, "<IntensityDistribution>",
			"<IntensityDistribution><PhotometryType>B</PhotometryType>", 1),
		"deep":           strings.Repeat("<a>", 100),
		"every intensit": strings.ReplaceAll(good, ">1</IntensityData>", ">0</IntensityData>"),
	} {
		w, _, list := ParseTM33("a.xml", []byte(src))
		if w != nil || !strings.Contains(list.Text(), what) || len(list) == 0 || list[0].Pos.Line == 0 {
			t.Errorf("%s: %v %s", what, w != nil, list.Text())
		}
	}
}

// gdtf packs a description.
func gdtf(description string, others ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range append(others, "description.xml") {
		w, _ := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if name == "description.xml" {
			_, _ = w.Write([]byte(description))
		}
	}
	_ = z.Close()
	return b.Bytes()
}

const fixture = `<?xml version="1.0"?><GDTF DataVersion="1.2"><FixtureType Name="test" LongName="test head">
<PhysicalDescriptions><Emitters><Emitter Name="Red" Color="0.69,0.31,20"><Measurement Physical="50">
<MeasurementPoint WaveLength="600" Energy="9"/>
<MeasurementPoint WaveLength="610" Energy="9"/></Measurement><Measurement Physical="100">
<MeasurementPoint WaveLength="640" Energy="1"/>
<MeasurementPoint WaveLength="620" Energy="2"/></Measurement></Emitter><Emitter Name="Lime" Color="0.4,0.55,50"/>
</Emitters>
<Properties><Weight Value="3.2"/></Properties></PhysicalDescriptions>
<Wheels><Wheel Name="gobo"/></Wheels>
<Geometries><Geometry Name="base"><GeometryReference Name="p1" Geometry="pixel"/>
<GeometryReference Name="p2" Geometry="pixel"/></Geometry>
<Geometry Name="pixel">
<Beam Name="b" LampType="LED" LuminousFlux="1500" ColorTemperature="5600" BeamAngle="40" BeamRadius="0.05"
PowerConsumption="60"/></Geometry></Geometries>
<DMXModes><DMXMode Name="8 bit"><DMXChannels>
<DMXChannel Offset="1,2"><LogicalChannel Attribute="Dimmer"><ChannelFunction Default="0/1"/></LogicalChannel>
</DMXChannel>
<DMXChannel Offset="3"><LogicalChannel Attribute="Shutter1"><ChannelFunction Default="255/1"/></LogicalChannel>
</DMXChannel>
<DMXChannel Offset="5"><LogicalChannel Attribute="ColorAdd_R"/></DMXChannel>
</DMXChannels></DMXMode></DMXModes></FixtureType></GDTF>`

// TestGDTF: what a description carries of light and of dialling is there; a pixel that is repeated
// counts as often; what is not read is told.
func TestGDTF(t *testing.T) {
	f, list := ParseGDTF("a.gdtf", gdtf(fixture, "models/3ds/a.3ds", "wheels/x.png"))
	if f == nil {
		t.Fatal(list.Text())
	}
	if f.Name != "test head" || f.Lumens != 3000 || f.Watts != 120 || f.Kelvin != 5600 || f.Beam != 40 ||
		f.Kilos != 3.2 ||
		math.Abs(f.Radius-0.05*math.Sqrt2) > 1e-9 || f.Lamp != "LED" {
		t.Errorf("%+v", f)
	}
	if len(f.Emitters) != 2 || len(f.Emitters[0].Spectrum) != 2 || f.Emitters[0].Spectrum[0] != [2]float64{620, 2} ||
		f.Emitters[1].XY != [2]float64{0.4, 0.55} {
		t.Errorf("%+v", f.Emitters)
	}
	c := f.Modes[0].Channels
	if len(c) != 4 || c[0].Attribute != "Dimmer" || !c[0].Fine || c[1].Rest != 1 || c[2].Attribute != "" ||
		c[3].Attribute != "ColorAdd_R" {
		t.Errorf("%+v", c)
	}
	if s := strings.Join(f.Ignored, "; "); !strings.Contains(s, "models") || !strings.Contains(s, "wheels") ||
		!strings.Contains(s, "one face") {
		t.Errorf("ignored: %s", s)
	}
	if s := strings.Join(f.Usual, "; "); s != "0.05 m radius" {
		t.Errorf("the format's own defaults: %s", s)
	}
}

// TestGDTFRefused: bombs and members that lead outside are refused, in little memory.
func TestGDTFRefused(t *testing.T) {
	bomb := gdtf("<GDTF>" + strings.Repeat(" ", maxBytes+10) + "</GDTF>")
	if len(bomb) > 1<<17 {
		t.Fatalf("the bomb has %d bytes: it is none", len(bomb))
	}
	for what, src := range map[string][]byte{
		"no archive":         []byte("hello"),
		"unpacks to more":    bomb,
		"outside":            gdtf(fixture, "../../etc/passwd"),
		"would lie":          gdtf(fixture, "/etc/passwd"),
		"no description.xml": gdtf("", "x/description.xml")[:0],
		"entities": gdtf(`<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]>` +
			fixture[strings.Index(fixture, "<GDTF"):]),
		"well-formed":  gdtf("<GDTF>"),
		"FixtureType":  gdtf("<GDTF/>"),
		"LuminousFlux": gdtf(strings.Replace(fixture, `LuminousFlux="1500"`, `LuminousFlux="-5"`, 1)),
	} {
		f, list := ParseGDTF("a.gdtf", src)
		if what == "no description.xml" {
			what = "no archive"
		}
		if f != nil || !strings.Contains(list.Text(), what) {
			t.Errorf("%s: %v %s", what, f != nil, list.Text())
		}
	}
}

// TestColumns: spectra as spreadsheets write them.
func TestColumns(t *testing.T) {
	for _, c := range []struct{ src, quantity string }{
		{"wavelength,reflectance\n400,0.5\n410,0.25\n", "reflectance"},
		{"nm;Transmittance %\n400;50\n410;25\n", "transmittance"},
		{"400;0,5\n410;0,25\n", ""},
		{"# a meter\n400\t0.5\n410\t0.25\n", ""},
		{"400 0.5\r\n410 0.25\r\n", ""},
	} {
		s, list := ParseSpectral("a.csv", []byte(c.src))
		if s == nil {
			t.Errorf("%q: %s", c.src, list.Text())
			continue
		}
		if fmt.Sprint(s.Pairs) != "[[400 0.5] [410 0.25]]" || s.Quantity != c.quantity {
			t.Errorf("%q: %v %q", c.src, s.Pairs, s.Quantity)
		}
	}
	for _, bad := range []string{"400,x\n", "400\n", "400,1\nend,2\n", "5,1\n6,2\n", "400,-1\n410,2\n", "hello\n",
		"400,1\n400,2\n"} {
		if s, list := ParseSpectral("a.csv", []byte(bad)); s != nil || len(list) == 0 {
			t.Errorf("%q is read as %v", bad, s)
		}
	}
}

func FuzzTM33(f *testing.F) {
	f.Add(tm33Of(true, func(h, v float64) float64 { return 1 }, []float64{0}, []float64{0, 90}))
	f.Add(tm33Of(false, func(h, v float64) float64 { return v }, []float64{0, 90}, []float64{0, 90}))
	f.Fuzz(func(t *testing.T, src []byte) {
		w, _, list := ParseTM33("f.xml", src)
		if w == nil && len(list) == 0 {
			t.Fatal("refused without a word")
		}
		if w != nil {
			sound(t, w)
		}
	})
}

func FuzzGDTF(f *testing.F) {
	f.Add([]byte(fixture), true)
	f.Add(gdtf(fixture), false)
	f.Fuzz(func(t *testing.T, src []byte, inside bool) {
		if inside {
			src = gdtf(string(src))
		}
		if x, list := ParseGDTF("f.gdtf", src); x == nil && len(list) == 0 {
			t.Fatal("refused without a word")
		}
	})
}
