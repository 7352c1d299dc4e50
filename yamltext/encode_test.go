package yamltext

import (
	"reflect"
	"testing"
)

type written struct {
	Version int       `yaml:"format"`
	Name    string    `yaml:"name"`
	At      string    `yaml:"at"`
	Share   float64   `yaml:"share"`
	None    float64   `yaml:"none"`
	Zero    float64   `yaml:"zero" keep:"zero"`
	Maybe   *float64  `yaml:"maybe"`
	List    []float64 `yaml:"list"`
	Words   []string  `yaml:"some words"`
	In      inner     `yaml:"in"`
	Many    []inner   `yaml:"many"`
}

type inner struct {
	A string   `yaml:"a"`
	B []string `yaml:"b"`
	C []inner  `yaml:"c"`
}

// TestEncode: what is written reads back as it was, texts that look like something else too.
func TestEncode(t *testing.T) {
	third := 1.0 / 3
	in := written{Version: 1, Name: "no", At: "17:40", Share: 0.1, Maybe: &third, List: []float64{1, 2.5e-9, -3},
		Words: []string{"2026-03-14", "f/4 + 0.3", "a, b", "", "1/64 - 1.2", "#x: y", "Zeile\nzwei", "ünter \u0085"},
		In:    inner{A: "true", B: []string{"1"}},
		Many: []inner{{A: "x: y"}, {B: []string{"-"}}, {},
			{A: "z", C: []inner{{A: "deep", C: []inner{{B: []string{"~"}}}}}}}}
	text := Encode(&in)
	var out written
	if _, list := Decode("test", text, &out); len(list) > 0 {
		t.Fatalf("%s\n%s", list.Text(), text)
	}
	if !reflect.DeepEqual(in, out) {
		t.Errorf("read back\n%+v, want\n%+v\n%s", out, in, text)
	}
	if again := Encode(&out); string(again) != string(text) {
		t.Error("written again it is another text")
	}
}
