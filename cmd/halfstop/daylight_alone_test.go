package main

import (
	"strings"
	"testing"
)

// TestBalanceByDaylightAlone: a place with no light of one's own is balanced like any other. It
// ended in a fault once, with nothing in the table of settings.
func TestBalanceByDaylightAlone(t *testing.T) {
	code, out, errs := cli(t, "", "balance", "../../zoo/street-window.yaml")
	if code != exitOK || !strings.Contains(out, "everything asked for is met") || errs != "" {
		t.Errorf("exit %d\n%s%s", code, out, errs)
	}
}
