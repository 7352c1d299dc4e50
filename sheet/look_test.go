package sheet

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestLook writes the demonstration to the folder named in SHEET_LOOK, to be looked at by a person.
func TestLook(t *testing.T) {
	dir := os.Getenv("SHEET_LOOK")
	if dir == "" {
		t.Skip("set SHEET_LOOK to a folder to write the demonstration sheets there")
	}
	all := map[string]Plan{"aisle": aisle(), "bench": windowBench(), "table": foldingTable()}
	for name, p := range odd() {
		all["odd-"+name] = p
	}
	for seed := int64(1); seed <= 3; seed++ {
		all[fmt.Sprintf("crowd-%d", seed)] = crowded(seed)
	}
	for name, p := range all {
		for on, opt := range map[string]Options{"a4": {}, "letter": {Paper: Letter, Feet: true}} {
			start := time.Now()
			d, err := Draw(p, opt)
			if err != nil {
				t.Fatal(err)
			}
			drawn := time.Since(start)
			base := filepath.Join(dir, name+"-"+on)
			os.WriteFile(base+".svg", d.SVG(), 0o644)
			os.WriteFile(base+".pdf", d.PDF(), 0o644)
			for i := 1; i <= d.Pages(); i++ {
				f, _ := os.Create(fmt.Sprintf("%s-%d.png", base, i))
				png.Encode(f, d.PNG(i, 200))
				f.Close()
			}
			t.Log(base, d.Scale(), d.Pages(), drawn, time.Since(start), d.Notes())
		}
	}
}
