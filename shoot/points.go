package shoot

import (
	"strings"

	"halfstop/diag"
)

// anatomical are the points of the sitter's body. A target writes 'sitter.' before them; a point's
// 'on' and a look may leave that out. Left and right are the sitter's own: 'cheek left' is the
// sitter's left cheek. 'face key side' and the like depend on the light, 'near cheek' and 'far
// cheek' on the camera.
var anatomical = []string{
	"face", "face toward camera", "face toward key", "face key side", "face shadow side",
	"eyes", "near eye", "eye left", "eye right",
	"forehead", "nose tip", "sellion", "subnasale", "cheek left", "cheek right", "key cheek", "shadow cheek",
	"near cheek", "far cheek", "chin",
	"menton", "ear left", "ear right",
	"hair", "hair left", "hair right", "hair back", "hair edge", "hair edge left", "hair edge right", "crown",
	"throat", "chest", "shoulder", "shoulder left", "shoulder right", "hands", "hand", "hand left", "hand right",
	"knees", "knee left", "knee right", "feet", "foot left", "foot right",
}

// Anatomical reports whether name is one of the sitter's own points, with or without 'sitter.'
// before it, and returns it without.
func Anatomical(name string) (string, bool) {
	n := strings.TrimPrefix(fold(name), "sitter.")
	for _, a := range anatomical {
		if a == n {
			return a, true
		}
	}
	return "", false
}

// AnatomicalNames returns the sitter's own points.
func AnatomicalNames() []string { return append([]string(nil), anatomical...) }

// nearPoint returns the point that a name most likely means: one that begins with it, else the
// nearest by edit distance.
func nearPoint(name string) string {
	for _, a := range anatomical {
		if name != "" && strings.HasPrefix(a, name+" ") {
			return a
		}
	}
	return diag.Nearest(name, anatomical)
}

// fold is the form of a name for comparison: lower case, single spaces.
func fold(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }
