package kit

import (
	"math"
	"testing"
)

// TestLessons: three readings of a head with a box, each half a stop over, bring that pair up by
// nearly as much and make it surer; the same head with another modifier takes the head's likely
// share; another head stays.
func TestLessons(t *testing.T) {
	read := Lesson{Off: 0.5, Parts: []LessonPart{{Share: 1, Head: "battery head 500", Modifier: "octa 90"}}}
	plain := Merge(Catalogue(), Kit{})
	wise := Merge(Catalogue(), Kit{Lessons: []Lesson{read, read, read}})
	shift := func(head, modifier string) (stops, before, after float64) {
		a, err1 := plain.Resolve(Want{Head: head, Modifier: modifier})
		b, err2 := wise.Resolve(Want{Head: head, Modifier: modifier})
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		return math.Log2(b.Axial / a.Axial), float64(a.Uncertainty), float64(b.Uncertainty)
	}
	s, before, after := shift("battery head 500", "octa 90")
	// A normal mean with prior variance v and three readings of 0.1 st: shift 0.5·v/(v+0.01/3).
	v := before * before
	if want := 0.5 * v / (v + 0.01/3); math.Abs(s-want) > 1e-6 ||
		math.Abs(after-math.Sqrt(v*0.01/3/(v+0.01/3))) > 1e-6 {
		t.Errorf("%.4f st ± %.4f, closed form %.4f", s, after, want)
	}
	if o, b, a := shift("battery head 500", "softbox 60x90"); o <= 0.05 || o >= s || a >= b {
		t.Errorf("the same head with another box: %.3f st, %.3f to %.3f", o, b, a)
	}
	if o, b, a := shift("battery head 200", "standard reflector"); o != 0 || a != b {
		t.Errorf("another head moved by %.3f st", o)
	}
}
