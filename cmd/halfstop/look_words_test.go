package main

import (
	"strings"
	"testing"

	"halfstop/ways"
)

// TestLookWords: a miss within what the kit is known to is no fault before a meter has been held
// there, and one beyond it stands first.
func TestLookWords(t *testing.T) {
	near := ways.TargetNow{Words: "face", Priority: "must", Predicted: "f/4 + 0.3", Residual: 0.3, Known: 0.5,
		Off: "0.3 st over"}
	far := ways.TargetNow{Words: "hair", Priority: "nice", Predicted: "−2.0 st", Residual: -1.2, Known: 0.5,
		Off: "1.2 st short"}
	if got, _ := lookWords([]ways.TargetNow{near}); !strings.Contains(got, "metered first") ||
		!strings.Contains(got, "± 0.5 st") || strings.Contains(got, "Not as the look asks") {
		t.Error(got)
	}
	got, worst := lookWords([]ways.TargetNow{near, far})
	if !strings.HasPrefix(got, "Not as the look asks: 'hair'") || !strings.Contains(got, "meter first") ||
		worst.Words != "hair" {
		t.Error(got)
	}
	near.Known = 0.3 // it was metered
	if got, _ := lookWords([]ways.TargetNow{near}); !strings.HasPrefix(got, "Not as the look asks: 'face'") {
		t.Error(got)
	}
}
