package answer

import (
	"strings"
	"testing"
)

// TestRuns: lamps of one grid are told as one, others by name.
func TestRuns(t *testing.T) {
	for names, want := range map[string]string{
		"panel 1,panel 2,panel 3,key":           "panel 1 to 3,key",
		"panel 1,panel 2":                       "panel 1,panel 2",
		"bulb 2,bulb 3,bulb 4,bulb 6,sign":      "bulb 2 to 4,bulb 6,sign",
		"key,window":                            "key,window",
		"panel 1,bulb 2,panel 3,row 0,row 1":    "panel 1,bulb 2,panel 3,row 0,row 1",
		"wall lamp 9,wall lamp 10,wall lamp 11": "wall lamp 9 to 11",
	} {
		if got := strings.Join(runs(strings.Split(names, ",")), ","); got != want {
			t.Errorf("%s: %s, want %s", names, got, want)
		}
	}
}
