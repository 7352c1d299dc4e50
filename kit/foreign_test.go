package kit

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf16"

	"halfstop/diag"
)

func utf16Of(s string, order binary.ByteOrder) string {
	var b bytes.Buffer
	_ = binary.Write(&b, order, append([]uint16{0xfeff}, utf16.Encode([]rune(s))...))
	return b.String()
}

// TestForeignSpectra: one spectrum (a peak of 0.5 at 550 nm), written as programs of other
// countries and habits write theirs. What was taken for granted is told.
func TestForeignSpectra(t *testing.T) {
	line := func(sep, comma string, times float64) string {
		var b strings.Builder
		for nm := 400; nm <= 700; nm += 50 {
			v := 0.1
			if nm == 550 {
				v = 0.5
			}
			fmt.Fprintf(&b, "%d%s%s\n", nm, sep, strings.Replace(fmt.Sprintf("%.3f", v*times), ".", comma, 1))
		}
		return b.String()
	}
	plain := line(",", ".", 1)
	fields, values := "", ""
	for nm := 400; nm <= 700; nm += 50 {
		fields += fmt.Sprintf(" SPECTRAL_NM%d", nm)
		values += map[bool]string{true: " 0,5", false: " 0,1"}[nm == 550]
	}
	for name, c := range map[string]struct {
		src  string
		of   string
		says string // among what was read and assumed
	}{
		"semicolons.csv": {src: "Wellenlänge [nm];Reflexionsgrad\n" + line(";", ",", 1)},
		"percent.csv":    {src: "nm;Reflexion (%)\n" + line(";", ",", 100), says: "per cent"},
		"tabs.tsv":       {src: "\ufeffnm\treflectance\r\n" + strings.ReplaceAll(line("\t", ",", 1), "\n", "\r\n")},
		"blanks.txt":     {src: line("  ", ",", 1), of: "reflectance"},
		"quotes.csv": {src: "\"nm\",\"Reflectance\"\n" + strings.ReplaceAll(line("\",\"", ",", 1), "\n",
			"\"\n\"")},
		"utf16.csv":       {src: utf16Of("nm\treflectance\n"+line("\t", ".", 1), binary.LittleEndian)},
		"utf16be.csv":     {src: utf16Of("nm\treflectance\n"+line("\t", ".", 1), binary.BigEndian)},
		"micrometres.csv": {src: "um,reflectance\n0.4,0.1\n0.55,0.5\n0.7,0.1\n", says: "micrometres"},
		"noise.csv":       {src: "nm,reflectance\n380,-0.002\n" + plain, says: "noise"},
		"preamble.csv":    {src: "Instrument: X\nHumidity: 45 %\nDate,2020\n\nnm,reflectance\n" + plain},
		"rows.csv": {src: "name,400,450,500,549,550,551,600,650,700\nwall,.1,.1,.1,.5,.5,.5,.1,.1,.1\n",
			of: "reflectance"},
		"rows percent.csv": {src: "Sample;400;450;500;550;600;650;675;700\nRemission %;10;10;10;50;10;10;10;10\n"},
		"fields.txt": {src: "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME" + fields +
			"\nEND_DATA_FORMAT\nBEGIN_DATA\n" +
			"1 \"our green wall\"" + values + "\nEND_DATA\n", of: "reflectance"},
	} {
		if strings.HasPrefix(name, "quotes") { // each line begins and ends with one
			c.src = strings.TrimSuffix(strings.Replace(c.src, "\n4", "\n\"4", 1), "\"")
		}
		im, list := ImportOptions{Name: "wall", Of: c.of}.Read(name, []byte(c.src))
		if im == nil {
			t.Errorf("%s: %s", name, list.Text())
			continue
		}
		k := added(t, im)
		s, ok := k.FindSurface("wall")
		at := func(nm float64) float64 {
			for _, p := range s.Spectrum {
				if p[0] == nm {
					return p[1]
				}
			}
			return math.NaN()
		}
		if !ok || math.Abs(at(550)-0.5) > 1e-9 || math.Abs(at(400)-0.1) > 1e-9 || math.Abs(at(700)-0.1) > 1e-9 {
			t.Errorf("%s: %v", name, s.Spectrum)
		}
		if all := strings.Join(append(im.Read, im.Assumed...), "\n"); !strings.Contains(all, c.says) {
			t.Errorf("%s: does not say %q: %s", name, c.says, all)
		}
	}
}

// TestForeignSpectraRefused: what can be read in two ways, or holds no spectrum, is refused.
func TestForeignSpectraRefused(t *testing.T) {
	for _, c := range []struct{ name, src, says string }{
		{"commas.csv", "400,0,100\n550,0,500\n700,0,100\n", "two ways"},
		{"angstrom.csv", "A,reflectance\n4000,0.1\n7000,0.2\n", "4000 to 7000 nm"},
		{"dark.csv", "nm,reflectance\n400,-0.3\n500,0.2\n", "400 nm is -0.3"},
		{"lab.txt", "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\nEND_DATA_FORMAT\nBEGIN_DATA\n1 50\nEND_DATA\n",
			"no spectrum"},
		{"what.csv", "400,0.1\n700,0.2\n", "--of reflectance"},
		{"letter.pdf", "%PDF-1.4\n%x\n1 0 obj\n", "none of those"},
	} {
		im, list := ImportOptions{}.Read(c.name, []byte(c.src))
		all := list.Text()
		for _, m := range list {
			all += m.Fix
		}
		if im != nil || !list.Has(diag.Error) || !strings.Contains(all, c.says) {
			t.Errorf("%s: %v %s", c.name, im, all)
		}
	}
}

// TestForeignLamps: a lamp's colour stands in words, not in a field; editions without a first line
// are told for what they are; UTF-16 is read.
func TestForeignLamps(t *testing.T) {
	ldt := func(colour string) string {
		s := "maker\n1\n1\n1\n0\n3\n45\nreport\nlamp\n1\nf\nd\n300\n0\n80\n250\n0\n0\n0\n0\n0\n" +
			"100\n100\n1\n0\n1\n1\nLED\n1000\n" +
			colour + "\n80\n10\n"
		return s + strings.Repeat("0.5\n", 10) + "0\n0\n45\n90\n300,5\n200\n0\n"
	}
	for _, c := range []struct{ name, src, format, colour string }{
		{"1986.ies", strings.Replace(cosineIES, "IESNA:LM-63-2002\n[TEST] x\n[LUMINAIRE] test lamp", "test lamp", 1),
			"LM-63", "{kelvin: 5600 K}"},
		{"words.ies", strings.Replace(cosineIES, "TILT", "[LAMP] LED 3200K CRI 95\nTILT", 1), "LM-63",
			"{kelvin: 3200 K}"},
		{"tuned.ies", strings.Replace(cosineIES, "TILT", "[LAMP] 2700K - 6500K\nTILT", 1), "LM-63",
			"{kelvin: 5600 K}"},
		{"text.txt", cosineIES, "LM-63", "{kelvin: 5600 K}"},
		{"utf16.ies", utf16Of(cosineIES, binary.LittleEndian), "LM-63", "{kelvin: 5600 K}"},
		{"kelvin.ldt", ldt("4000K"), "EULUMDAT", "{kelvin: 4000 K}"},
		{"code.ldt", ldt("930"), "EULUMDAT", "{kelvin: 3000 K}"},
		{"none.ldt", ldt("weiß"), "EULUMDAT", "{kelvin: 5600 K}"},
	} {
		im, list := ImportOptions{}.Read(c.name, []byte(c.src))
		if im == nil {
			t.Errorf("%s: %s", c.name, list.Text())
			continue
		}
		added(t, im)
		said := strings.Contains(strings.Join(im.Assumed, "\n"), "says no colour")
		if im.Format != c.format || !strings.Contains(im.Entries[0].Value, c.colour) ||
			said != strings.Contains(c.colour, "56") {
			t.Errorf("%s: %s %s\n%q", c.name, im.Format, im.Entries[0].Value, im.Assumed)
		}
	}
}

// TestLampsOfALuminaire: an EULUMDAT file with two sets of lamps is a head with the one that is
// asked, the first where none is; that they are two is what is asked, not a remark.
func TestLampsOfALuminaire(t *testing.T) {
	src := "maker\n1\n1\n1\n0\n3\n45\nreport\nlamp\n1\nf\nd\n300\n0\n80\n250\n0\n0\n0\n0\n0\n100\n64.5\n1\n0\n2\n" +
		"1\nshort\n1000\n3000K\n80\n12\n1\nlong\n3200\n4000K\n80\n30\n" +
		strings.Repeat("0.5\n", 10) + "0\n0\n45\n90\n500\n100\n0\n"
	for set, want := range map[int][]string{0: {"{kelvin: 3000 K}", "watts: 12 W"},
		2: {"{kelvin: 4000 K}", "watts: 30 W", "lamp set: 2"}} {
		im, list := ImportOptions{LampSet: set}.Read("lamp.ldt", []byte(src))
		if im == nil || len(list) > 0 || len(im.LampSets) != 2 || im.LampSet != max(1, set) {
			t.Fatalf("set %d: %+v %s", set, im, list.Text())
		}
		added(t, im)
		for _, w := range want {
			if !strings.Contains(im.Entries[0].Value, w) {
				t.Errorf("set %d: no %q in %s", set, w, im.Entries[0].Value)
			}
		}
		if set == 0 && strings.Contains(im.Entries[0].Value, "lamp set") {
			t.Errorf("the first set is written: %s", im.Entries[0].Value)
		}
	}
	if im, list := (ImportOptions{LampSet: 3}).Read("lamp.ldt", []byte(src)); im != nil || !list.Has(diag.Error) {
		t.Errorf("set 3 of two passes: %v", im)
	}
}

// TestModesOfAFixture: pixels that share a description have a channel each, the light of the body
// that is driven is counted once a pixel, and a mode that is not there is refused with those
// that are.
func TestModesOfAFixture(t *testing.T) {
	pixels := func(n int) string {
		s := ""
		for i := range n {
			s += fmt.Sprintf(`<GeometryReference Geometry="Pixel"><Break DMXBreak="1" DMXOffset="%d"/>`+
				`</GeometryReference>`, 1+3*i)
		}
		return s
	}
	channel := func(slot int, part, does string) string {
		return fmt.Sprintf(`<DMXChannel DMXBreak="1" Offset="%d" Geometry="%s"><LogicalChannel Attribute="%s"/>`+
			`</DMXChannel>`, slot, part, does)
	}
	xml := `<GDTF><FixtureType Name="tube"><Geometries><Geometry Name="Whole">` + pixels(4) + `</Geometry>
<Geometry Name="Half">` + pixels(2) + `</Geometry><Beam Name="Pixel" LuminousFlux="200" BeamAngle="110"
BeamRadius="0.02"/></Geometries><DMXModes><DMXMode Name="Simple" Geometry="Whole"><DMXChannels>` +
		channel(1, "Whole", "Dimmer") + `</DMXChannels></DMXMode><DMXMode Name="Pixels" Geometry="Whole">` +
		`<DMXChannels>` +
		channel(1, "Pixel", "ColorAdd_R") + channel(2, "Pixel", "ColorAdd_G") + channel(3, "Pixel", "ColorAdd_B") +
		`</DMXChannels></DMXMode></DMXModes></FixtureType></GDTF>`
	var z bytes.Buffer
	w := zip.NewWriter(&z)
	f, _ := w.Create("description.xml")
	_, _ = f.Write([]byte(xml))
	_ = w.Close()
	for mode, n := range map[string]int{"": 1, "pixels": 12} {
		im, list := ImportOptions{Mode: mode}.Read("tube.gdtf", z.Bytes())
		if im == nil {
			t.Fatal(list.Text())
		}
		k := added(t, im)
		h, _ := k.FindHead("tube")
		if len(h.Channels) != n || len(im.Modes) != 2 || !strings.Contains(im.Entries[0].Value, "flux: 800 lm") {
			t.Errorf("mode %q: %d channels, %q, %s", mode, len(h.Channels), im.Modes, im.Entries[0].Value)
		}
		if n == 12 && (h.Channels[3].Does != "red" || h.Channels[11].Does != "blue") {
			t.Errorf("%+v", h.Channels)
		}
	}
	im, list := ImportOptions{Mode: "fast"}.Read("tube.gdtf", z.Bytes())
	if im != nil || !strings.Contains(list.Text(), "Simple, Pixels") {
		t.Errorf("a mode that is not there: %v %s", im, list.Text())
	}
}
