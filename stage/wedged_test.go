package stage

import (
	"fmt"
	"strings"
	"testing"
)

// TestWedged: a pole between floor and ceiling, of 2.1 to 3.7 m in the catalogue, wants a ceiling
// in its reach: in the open and in a hall it is refused, under a low part of the hall it is not; on
// a platform its foot is the platform. What has feet is not asked.
func TestWedged(t *testing.T) {
	const room = `room: {size: [6, 5, %s]%s}
setups:
  - name: A
    camera: {at: [1, 1], height: 1.4 m, aim: sitter.face, lens: 50 mm, aperture: f/4, shutter: 1/125 s, iso: 100}
    sitter: {at: [3, 3], faces: camera}
    lights: [{role: key, head: battery head 200, stand: %s, at: [4, 2], height: 2 m, aim: sitter.face, power: 1/16}]
`
	for _, x := range []struct{ height, more, stand, want string }{
		{"2.8", "", "pole", ""},
		{"3.6", "", "pole", ""},
		{"5.2", "", "pole", "5.20 m apart"},
		{"5.2", "", "light stand 300", ""},
		{"5.2", ", ceilings: [{name: low, at: [3.5, 1.5], size: [1, 1], height: 3 m}]", "pole", ""},
		{"3.9", ", objects: [{name: low, kind: platform, box: {at: [3.5, 1.5, 0], size: [1, 1, 0.4]}}]", "pole", ""},
		{"", "", "pole", "open sky"},
	} {
		text := fmt.Sprintf(room, x.height, x.more, x.stand)
		if x.height == "" {
			_, text, _ = strings.Cut(text, "\n")
		}
		f, d := staged(t, "halfstop: 1\n"+text)
		_, list := Build(f, d, 0, Options{})
		got := ""
		for _, m := range list {
			if m.Code == "stage.pole" {
				got = m.Text
			}
		}
		if (got == "") != (x.want == "") || !strings.Contains(got, x.want) {
			t.Errorf("%+v: %q", x, got)
		}
	}
}
