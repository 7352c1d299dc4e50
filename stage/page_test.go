package stage

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"halfstop/figure"
)

// TestHeldByAPage: what a page holds of a picture's scene stays good while a hand drags, though
// what moves is sent from the scene of the readings, whose people are drawn coarsely: both number
// their materials alike, in every room of the zoo. A person who goes elsewhere is the same body,
// and one who is another person is not.
func TestHeldByAPage(t *testing.T) {
	files, err := filepath.Glob("../zoo/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no rooms", err)
	}
	stature := regexp.MustCompile(`stature: [0-9.]+ m`)
	place := regexp.MustCompile(`(sitter: \{at: )\[[^\]]*\]`)
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		src := string(text)
		coarse, _ := raised(t, src, Options{Detail: figure.Shadow})
		fine, _ := raised(t, src, Options{Detail: figure.Far, Pixels: [2]int{320, 213}})
		if coarse.Scene.MaterialsKey() != fine.Scene.MaterialsKey() {
			t.Errorf("%s: materials are numbered in another way for a picture", f)
		}
		mats := func(s *Stage) (out []uint32) {
			for _, tr := range s.Scene.GPUMoving(s.Moving(), 0, 0).Tris {
				out = append(out, tr.Mat)
			}
			return out
		}
		if !slices.Equal(mats(coarse), mats(fine)) {
			t.Errorf("%s: lights and panels are of other materials in a picture", f)
		}
		if coarse.Setup.Sitter == nil {
			continue
		}
		if len(coarse.People) == 0 {
			t.Errorf("%s: the sitter is no body", f)
			continue
		}
		at := coarse.People[0].At
		moved := place.ReplaceAllString(src, "${1}["+fmt.Sprintf("%.3f, %.3f]", at.X+0.07, at.Y-0.05))
		there, list := raised(t, moved, Options{Detail: figure.Shadow})
		if there.People[0].At == at {
			t.Fatalf("%s: the sitter was not moved: %s", f, list.Text())
		}
		if there.Keys.Still != coarse.Keys.Still {
			t.Errorf("%s: a sitter who stands elsewhere makes another scene", f)
		}
		short := stature.ReplaceAllString(src, "stature: 1.52 m")
		if other, _ := raised(t, short, Options{Detail: figure.Shadow}); other.Keys.Still == coarse.Keys.Still {
			t.Errorf("%s: a short sitter is taken for the one who sat", f)
		}
	}
}
