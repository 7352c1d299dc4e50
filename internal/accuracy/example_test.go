package accuracy

import (
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
)

// Every worked example of docs/shoot-file.md meters without an error, and every point of it is lit.
func TestWorkedExamples(t *testing.T) {
	for _, name := range shoot.Examples() {
		a, list, err := ask(string(shoot.Example(name)), nil, meter.Work{Seed: 1, Samples: 4096})
		if err != nil || list.Has(diag.Error) {
			t.Errorf("%s: %v\n%s", name, err, list.Text())
			continue
		}
		for _, s := range a.Setups {
			if len(s.Points) == 0 {
				t.Errorf("%s: %s has no points", name, s.Name)
			}
			for _, p := range s.Points {
				if p.Stops == nil {
					t.Errorf("%s: %s is dark", name, p.Name)
				}
			}
		}
	}
	a, _, err := ask(string(shoot.Example("2-point.yaml")), nil, meter.Work{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the point example", a.point("below").Lux, 250, straight)
	near(t, "aslant", a.point("aslant").Lux, 1000*2/11.1803398875, straight)
}
