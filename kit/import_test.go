package kit

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

// added lays an import over the catalogue, as a file of kit that it was written to.
func added(t *testing.T, im *Import) Kit {
	t.Helper()
	src := []byte("")
	for _, e := range im.Entries {
		doc, _ := yamltext.Parse("kit.yaml", src)
		next, err := doc.Append(e.List, e.Value)
		if err != nil {
			t.Fatal(err)
		}
		src = next
	}
	own, list := Decode("kit.yaml", src)
	if len(list) > 0 {
		t.Fatalf("%s\n%s", list.Text(), src)
	}
	k := Merge(Catalogue(), own)
	for _, p := range k.CheckOwn(own) {
		t.Errorf("%s %q: %s", p.List, p.Name, p.Error())
	}
	return k
}

const cosineIES = "IESNA:LM-63-2002\n[TEST] x\n[LUMINAIRE] test lamp\nTILT=NONE\n" +
	"1 -1 2 3 1 1 2 0.3 0.6 0\n1 1 80\n0 45 90\n0\n100 70.71 0\n"

// TestImport: each format becomes an entry that resolves to what the file says; what was assumed
// and ignored is told.
func TestImport(t *testing.T) {
	read := func(o ImportOptions, name, src string) *Import {
		t.Helper()
		im, list := o.Read(name, []byte(src))
		if im == nil {
			t.Fatalf("%s: %s", name, list.Text())
		}
		return im
	}
	im := read(ImportOptions{}, "some/where/lamp.ies", cosineIES)
	k := added(t, im)
	s, err := k.Resolve(Want{Head: "test lamp", Files: func(name string) ([]byte, error) {
		if name != "kit/lamp.ies" {
			return nil, fmt.Errorf("asked for %s", name)
		}
		return []byte(cosineIES), nil
	}})
	if err != nil || math.Abs(s.Axial-200) > 1e-6 || s.Width != 0.6 || s.Height != 0.3 || s.Watts != 80 ||
		im.Copies != "lamp.ies" ||
		im.Format != "LM-63" {
		t.Errorf("%+v %v %+v", s, err, im)
	}
	if all := strings.Join(im.Assumed, "\n"); !strings.Contains(all, "5600 K") || !strings.Contains(all, "continuous") {
		t.Errorf("assumed: %s", all)
	}

	// Spectra: a surface, a gel in per cent, the light of a head.
	k = added(t, read(ImportOptions{Name: "our green wall"}, "a.csv",
		"nm,reflectance\n400,0.1\n500,0.2\n550,0.5\n600,0.2\n700,0.1\n"))
	if x, ok := k.FindSurface("our green wall"); !ok || len(x.Spectrum) != 5 || x.Spectrum[2][1] != 0.5 {
		t.Errorf("%+v", x)
	}
	im = read(ImportOptions{}, "old gel.csv", "nm;transmittance\n400;10\n550;50\n700;90\n")
	k = added(t, im)
	if c, _, err := k.Transmittance("old gel"); err != nil || math.Abs(c.At(550)-0.5) > 1e-9 ||
		!strings.Contains(strings.Join(im.Assumed, ""), "per cent") {
		t.Errorf("%v %v %q", c.At(550), err, im.Assumed)
	}
	k = added(t, read(ImportOptions{Head: "led point 120"}, "m.csv", "400,0.1\n500,0.5\n600,1\n700,1\n"))
	a, err := k.Resolve(Want{Head: "led point 120"})
	cat := Catalogue()
	b, _ := cat.Resolve(Want{Head: "led point 120"})
	if err != nil || math.Abs(a.AxialFull/b.AxialFull-1) > 1e-9 || a.Spectrum.XY().X < b.Spectrum.XY().X+0.03 {
		t.Errorf("level %g of %g, xy %v of %v, %v", a.AxialFull, b.AxialFull, a.Spectrum.XY(), b.Spectrum.XY(), err)
	}

	// A description of a fixture: flux over the cone of its face, emitters that mix, channels.
	emitter := func(name string, nm int) string {
		return fmt.Sprintf(`<Emitter Name=%q Color="0.3,0.3,1"><Measurement Physical="100">
<MeasurementPoint WaveLength="%d" Energy="0"/>`+
			`<MeasurementPoint WaveLength="%d" Energy="1"/><MeasurementPoint WaveLength="%d" Energy="0"/>
</Measurement></Emitter>`, name, nm-20, nm, nm+20)
	}
	xml := `<GDTF><FixtureType Name="mixer"><PhysicalDescriptions>
<Emitters>` + emitter("Red", 630) + emitter("Green", 530) + emitter("Blue", 460) +
		`</Emitters><Properties><Weight Value="2"/></Properties></PhysicalDescriptions><Geometries>
<Beam Name="b" LuminousFlux="3141.59" BeamAngle="120" BeamRadius="0.1"
ColorTemperature="5600" PowerConsumption="40"/></Geometries>
<DMXModes><DMXMode Name="m"><DMXChannels><DMXChannel Offset="1,2"><LogicalChannel Attribute="Dimmer"/></DMXChannel>
<DMXChannel Offset="3"><LogicalChannel Attribute="Shutter1Strobe"/></DMXChannel></DMXChannels></DMXMode></DMXModes>
</FixtureType></GDTF>`
	var z bytes.Buffer
	w := zip.NewWriter(&z)
	f, _ := w.Create("description.xml")
	_, _ = f.Write([]byte(xml))
	_ = w.Close()
	im = read(ImportOptions{}, "mixer.gdtf", z.String())
	k = added(t, im)
	s, err = k.Resolve(Want{Head: "mixer"})
	if err != nil || math.Abs(s.Axial-1000) > 1 || !s.InGamut || len(s.Drives) != 3 ||
		s.Weight != 2 { // Lambert: π lm a cd
		t.Errorf("%+v %v", s, err)
	}
	h, _ := k.FindHead("mixer")
	if len(h.Channels) != 2 || h.Channels[0].Does != "dimmer" || !h.Channels[0].Fine ||
		h.Channels[1].Does != "shutter1strobe" {
		t.Errorf("%+v", h.Channels)
	}
	red, err := k.Resolve(Want{Head: "mixer", Colour: Ask{Light: mustLight(t, h, 0)}})
	if err != nil || red.Drives[1] > 0.01 || red.Drives[2] > 0.01 {
		t.Errorf("asked for its own red: %v %v", red.Drives, err)
	}
}

func mustLight(t *testing.T, h Head, i int) spectrum.Curve {
	t.Helper()
	c, err := h.Colour.emitter(i)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestImportRefused: what cannot be read is refused with its place or its reason; nothing that a
// file names is fetched.
func TestImportRefused(t *testing.T) {
	for _, c := range []struct{ name, src, says string }{
		{"a.ies", "IESNA91\nTILT=../../etc/passwd\n1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n1 1\n", "TILT"},
		{"a.csv", "400,0.5\n700,0.5\n", "--head"},
		{"a.csv", "nm,reflectance\n400,500\n700,200\n", "cannot be"},
		{"a.csv", "nm,reflectance\n1000,0.5\n1100,0.2\n", "fewer than two"},
		{"a.gdtf", "PK\x03\x04 broken", "no archive"},
		{"a.xml", "<a/>", "no TM-33"},
		{"a.bin", "\x00\x01\x02", ""},
		{"a.ldt", "", ""},
	} {
		im, list := ImportOptions{}.Read(c.name, []byte(c.src))
		all := list.Text()
		for _, m := range list {
			all += m.Fix
		}
		if im != nil || !list.Has(diag.Error) || !strings.Contains(all, c.says) {
			t.Errorf("%s %.20q: %v %s", c.name, c.src, im, all)
		}
	}
}
