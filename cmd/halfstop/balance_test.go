package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const lookShoot = `halfstop: 1   # a comment that stays
setups:
  - name: Lab
    camera: {at: [0, -3], height: 1.4 m, aim: [0, 0, 1.4], aperture: f/4, shutter: 1/125 s, iso: 100}
    lights:
      - {name: key, emitter: {shape: point, intensity: 400 cd s}, at: [2, 0, 1.4], aim: [0, 0, 1.4], power: 1/4}   # and this one
    points:
      - {name: lit, at: [0, 0, 1.4], facing: x+}
    look:
      - {point: lit, reads: f/4, priority: must}
`

// --write changes the setting in place: comments and all else stay, the old text is beside it, and
// the file then balances as it is. N² = E·S/C: f/4 wants 40 lx·s, 400 cd·s at 2 m give 100 at full,
// so the setting is −1.3 st (inverse square; ISO 2720).
func TestBalanceWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shoot.yaml")
	if err := os.WriteFile(path, []byte(lookShoot), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, errs := cli(t, "", "balance", path, "--write")
	if code != exitOK {
		t.Fatalf("exit %d: %s%s", code, out, errs)
	}
	got, _ := os.ReadFile(path)
	if want := strings.Replace(lookShoot, "power: 1/4", "power: 1/2 - 0.3", 1); string(got) != want {
		t.Errorf("%s", got)
	}
	if old, err := os.ReadFile(path + ".1.bak"); err != nil || string(old) != lookShoot {
		t.Error("no backup", err)
	}
	code, out, _ = cli(t, "", "balance", path, "--json")
	var v struct {
		Version int
		Setups  []struct {
			Changed, Missed int
			Edits           []any
			Lights          []map[string]any
			Targets         []map[string]any
		}
	}
	if err := json.Unmarshal([]byte(out), &v); err != nil || code != exitOK {
		t.Fatal(code, err)
	}
	if s := v.Setups[0]; v.Version != 1 || s.Changed != 0 || s.Missed != 0 || len(s.Edits) != 0 ||
		s.Lights[0]["now"] != "1/2 - 0.3" || s.Targets[0]["met"] != true {
		t.Errorf("%+v", s)
	}
}

func TestBalanceWriteRefused(t *testing.T) {
	for _, args := range [][]string{{"balance", "--write"}, {"balance", "-", "--write"}} {
		code, _, errs := cli(t, lookShoot, args...)
		if code != exitInput || !strings.Contains(errs, "cannot be written") {
			t.Errorf("%v: exit %d, %q", args, code, errs)
		}
	}
}

// A look that cannot be had ends with exit code 1, and ways with it.
func TestBalanceMissed(t *testing.T) {
	short := strings.Replace(lookShoot, "reads: f/4,", "reads: f/16,", 1)
	code, out, _ := cli(t, short, "balance", "-")
	if code != exitFindings || !strings.Contains(out, "key is at full") {
		t.Errorf("exit %d\n%s", code, out)
	}
	code, out, errs := cli(t, short, "ways", "-", "--json")
	var v struct {
		Setups []struct {
			Missed []map[string]any
			Ways   []map[string]any
		}
	}
	if err := json.Unmarshal([]byte(out), &v); err != nil || code != exitFindings {
		t.Fatal(code, err, errs)
	}
	if w := v.Setups[0].Ways; len(v.Setups[0].Missed) == 0 || len(w) < 2 || w[0]["words"] == "" || len(w) > 7 {
		t.Errorf("%v", w)
	}
}

func TestMatchCommand(t *testing.T) {
	code, out, errs := cli(t, "", "match", "practicals.sign", "--json")
	var v struct {
		XY   [2]float64
		Ways []map[string]any
	}
	if err := json.Unmarshal([]byte(out), &v); err != nil || code != exitOK || len(v.Ways) == 0 {
		t.Fatal(code, err, errs)
	}
	for _, bad := range []string{"nonsense", "x=9 y=9", "none.spdx", "10 K"} {
		if code, _, errs := cli(t, "", "match", bad); code != exitInput || errs == "" {
			t.Errorf("%s: exit %d %q", bad, code, errs)
		}
	}
}
