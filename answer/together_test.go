package answer

import (
	"testing"

	"halfstop/diag"
)

// TestTogether: what is said of four lights in the same words, with other figures, is said once.
func TestTogether(t *testing.T) {
	list := diag.List{
		{Code: "a", Fix: "f", Text: "back left hangs at 4.20 m"},
		{Code: "b", Fix: "f", Text: "haze sets off smoke heads"},
		{Code: "a", Fix: "f", Text: "back mid left hangs at 4.40 m"},
		{Code: "a", Fix: "g", Text: "back hangs at 4.40 m"},
		{Code: "a", Fix: "f", Text: "back right gets hot"},
	}
	got := Together(list, []string{"back", "back left", "back mid left", "back right"})
	want := []string{"back left hangs at 4.20 m; so with back mid left", "haze sets off smoke heads",
		"back hangs at 4.40 m", "back right gets hot"}
	if len(got) != len(want) {
		t.Fatalf("%d messages: %v", len(got), got)
	}
	for i, w := range want {
		if got[i].Text != w {
			t.Errorf("%q, want %q", got[i].Text, w)
		}
	}
}
