package photometry

import (
	"strings"
	"testing"
)

// TestOneMistakeOnce: a file that is cut off anywhere, or that has a wrong count of angles, gives
// one error that says what to do.
func TestOneMistakeOnce(t *testing.T) {
	const whole = "IESNA:LM-63-2002\nTILT=NONE\n1 2300 1 5 1 1 2 0.3 0.3 0\n1 1 50\n0 22.5 45 67.5 90\n0\n" +
		"1000 900 600 200 0\n"
	head := strings.Index(whole, "1 2300")
	for cut := head; cut < len(whole)-3; cut++ {
		if whole[cut] != ' ' && whole[cut] != '\n' {
			continue // within a number: that is another number
		}
		if _, list := lm63("cut.ies", []byte(whole[:cut])); len(list) != 1 || list[0].Fix == "" {
			t.Errorf("cut after %q: %s", whole[head:cut], list.Text())
		}
	}
	planes := strings.Replace(whole, "1 2300 1 5 1", "1 2300 1 5 2", 1)
	if _, list := lm63("planes.ies", []byte(planes)); len(list) != 1 ||
		!strings.Contains(list[0].Fix, "counts of angles") {
		t.Errorf("a wrong count of planes: %s", list.Text())
	}
}
