package shoot

import (
	"os"
	"strings"
	"testing"

	"halfstop/diag"
)

func mustRead(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestParseLaunderette(t *testing.T) {
	f, doc, l := Parse("launderette.yaml", mustRead(t, "testdata/launderette.yaml"), Options{})
	if len(l) > 0 {
		t.Fatal(l.Text())
	}
	s := f.Setups[0]
	if s.Camera.Shutter != 1.0/60 || s.Camera.Lens != 0.05 || s.Lights[1].Colour.Like != "practicals.sign" ||
		s.Lights[0].Name != "key" || float64(*s.Lights[1].Level) != 0.6 ||
		s.Look[0].Reads.N != 4 || s.Look[2].By != 0.7 || float64(*s.Look[3].Darkest) != -5.5 ||
		f.House.FlatC != 250 || s.Camera.Sync != 1.0/200 ||
		f.Room.Surfaces["walls"].Preset != "off-white gloss" || s.Sitter.Faces.Word != "camera" ||
		s.Camera.WhiteBalance.Kelvin != 5200 || s.May != nil ||
		f.Room.Practicals[0].Diameter != 0.012 || f.Room.Objects[1].Surface.Diffuse.Value != 0.5 ||
		f.Room.Objects[1].Scale != 1 || s.Sitter.Cloth.Preset != "navy wool" ||
		f.Room.Outside.Ground.Value != 0.2 || s.Lights[0].Aim.Name != "sitter.face" {
		t.Errorf("%+v", s)
	}
	if got := doc.Pos("setups[0].lights[1].level").String(); got != "launderette.yaml:26:131" {
		t.Error(got)
	}
}

// parse gives the messages of a text, codes only.
func codes(l diag.List) string {
	var out []string
	for _, m := range l {
		out = append(out, m.Code)
	}
	return strings.Join(out, " ")
}
