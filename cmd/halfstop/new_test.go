package main

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// In rooms, people and kit of many sizes new either writes a shoot that checks clean and has its
// look, or says what is in the way.
func TestNewRooms(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	pick := func(list ...string) string { return list[r.Intn(len(list))] }
	written, short := 0, 0
	const tries = 14
	for i := range tries {
		dir := filepath.Join(t.TempDir(), fmt.Sprint("shoot ", i))
		args := []string{"new", dir, "--room", fmt.Sprintf("%.1f x %.1f x %.2f m", 3+7*r.Float64(), 2.4+5*r.Float64(),
			2.2+2*r.Float64()),
			"--walls", pick("white emulsion", "15 %", "sage green paint"), "--pose", pick("standing", "seated"),
			"--stature", fmt.Sprintf("%.2f m", 1.1+0.9*r.Float64()), "--lens", pick("35 mm", "50 mm", "85 mm"),
			"--head", pick("battery head 200", "battery head 500", "mains head 500"), "--side", pick("left", "right"),
			"--modifier", pick("softbox 60x90", "octa 120", "umbrella white 105", "standard reflector", "strip 30x120")}
		code, out, errs := cli(t, "", args...)
		if code == exitInput && strings.Contains(errs, "no room for this") {
			continue
		}
		if code != exitOK {
			t.Errorf("%v: exit %d: %s", args, code, errs)
			continue
		}
		written++
		if code, out, _ := cli(t, "", "check", dir); code != exitOK || !strings.HasPrefix(out, "nothing found\n") {
			t.Errorf("%v: check: exit %d: %s", args, code, out)
		}
		// a head may be too strong at its lowest setting, and new says so
		had := !strings.Contains(out, "instead of f/4")
		if !had {
			short++
		}
		if code, out, errs := cli(t, "", "meter", dir); code != exitOK ||
			strings.Contains(out, "As set, the look is met") != had {
			t.Errorf("%v: meter: exit %d: %s%s", args, code, out, errs)
		}
	}
	if written < tries*2/3 {
		t.Errorf("only %d of %d rooms have a place for the key", written, tries)
	}
	if short > tries/4 {
		t.Errorf("%d of %d keys do not give the aperture", short, written)
	}
}

// What nobody said of a new room is not written as if it had been: meter and check list it, what
// matters most first, until the file says it.
func TestNewAssumes(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "bare")
	if code, _, errs := cli(t, "", "new", dir, "--room", "5 x 4 x 2.6 m"); code != exitOK {
		t.Fatal(errs)
	}
	file := filepath.Join(dir, "shoot.yaml")
	assumed := func() (parts [2][]string) {
		for i, command := range []string{"meter", "check"} {
			code, out, errs := cli(t, "", command, dir)
			if code != exitOK {
				t.Errorf("%s: exit %d: %s%s", command, code, out, errs)
			}
			for _, m := range regexp.MustCompile(`(?m)^(\w+) reflectance assumed \d+ %: ± \d\.\d st at `).
				FindAllStringSubmatch(out, -1) {
				parts[i] = append(parts[i], m[1])
			}
		}
		return parts
	}
	is := func(when string, want ...string) {
		t.Helper()
		for i, parts := range assumed() {
			if !slices.Equal(parts, want) {
				t.Errorf("%s, %s lists %q, not %q", when, []string{"meter", "check"}[i], parts, want)
			}
		}
	}
	is("new", "Wall", "Floor", "Ceiling")
	say := func(surfaces string) {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		src = regexp.MustCompile(`(?m)^  (# )?surfaces: .*$`).ReplaceAll(src, []byte("  surfaces: {"+surfaces+"}"))
		if err := os.WriteFile(file, src, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	say("floor: grey lino")
	is("the floor is said", "Wall", "Ceiling")
	say("walls: 55 %, floor: grey lino, ceiling: white emulsion")
	is("all is said")
}
