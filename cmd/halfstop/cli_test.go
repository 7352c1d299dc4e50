package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// cli runs one command line and returns its exit code and what it printed.
func cli(t *testing.T, stdin string, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = execute(context.Background(), args, strings.NewReader(stdin), &o, &e)
	return code, o.String(), e.String()
}

const labShoot = `halfstop: 1
setups:
  - name: Lab
    lights:
      - {name: lamp, emitter: {shape: disc, size: 1 m, luminance: 1000 cd/m2}, at: [0, 0, 1], aim: [0, 0, 0]}
    points:
      - {name: p, at: [0, 0, 0], facing: up}
      - {name: dark, at: [0, 0, 0], facing: down}
`

// The JSON of meter has the published keys, and the number of check-value B2.1 within 0.02 st.
func TestMeterJSON(t *testing.T) {
	code, out, errs := cli(t, labShoot, "meter", "-", "--json")
	if code != exitOK || errs != "" {
		t.Fatalf("exit %d, stderr %q", code, errs)
	}
	var v struct {
		Setups []struct {
			Name   string
			Points []map[string]any
		}
	}
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		t.Fatal(err)
	}
	p := v.Setups[0].Points[0]
	for _, k := range []string{"name", "receptor", "lux", "lux_seconds", "exposure_lux_seconds", "f_number", "stops",
		"error_stops", "lights"} {
		if _, ok := p[k]; !ok {
			t.Errorf("a point has no %q", k)
		}
	}
	if lux := p["lux"].(float64); lux < 628.319/1.014 || lux > 628.319*1.014 {
		t.Errorf("B2.1: %g lx, want 628.319", lux)
	}
	l := p["lights"].([]any)[0].(map[string]any)
	for _, k := range []string{"name", "lux", "direct", "bounced", "share"} {
		if _, ok := l[k]; !ok {
			t.Errorf("a light has no %q", k)
		}
	}
	if d := v.Setups[0].Points[1]; d["stops"] != nil || d["f_number"].(float64) != 0 {
		t.Errorf("in the dark: stops %v, f-number %v", d["stops"], d["f_number"])
	}
}

// The same seed gives the same numbers; another seed others.
func TestSeed(t *testing.T) {
	_, a, _ := cli(t, labShoot, "meter", "-", "--json", "--seed", "7")
	_, b, _ := cli(t, labShoot, "meter", "-", "--json", "--seed", "7")
	_, c, _ := cli(t, labShoot, "meter", "-", "--json", "--seed", "8")
	if a != b || a == c {
		t.Errorf("same seed equal: %v, other seed equal: %v", a == b, a == c)
	}
}

// A plan is written in each of its formats.
func TestPlanFormats(t *testing.T) {
	dir := t.TempDir()
	for ext, magic := range map[string]string{"pdf": "%PDF-", "svg": "<svg", "png": "\x89PNG"} {
		path := filepath.Join(dir, "lab."+ext)
		if code, _, errs := cli(t, labShoot, "plan", "-", "-o", path); code != exitOK {
			t.Fatalf("%s: exit %d: %s", ext, code, errs)
		}
		b, err := os.ReadFile(path)
		if err != nil || !bytes.Contains(b[:min(len(b), 300)], []byte(magic)) {
			t.Errorf("%s: %v, starts with %q", ext, err, b[:min(len(b), 20)])
		}
	}
}

// The commands that the README shows are commands, with flags that there are.
func TestReadme(t *testing.T) {
	b, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile("(?m)(?:`|go run ./cmd/)halfstop( [^`\n]*)").FindAllStringSubmatch(string(b), -1)
	if len(found) < 6 {
		t.Fatalf("only %d commands found in the README", len(found))
	}
	for _, m := range found {
		args := strings.Fields(strings.TrimSuffix(m[1], "`"))
		root := newRoot(&env{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}})
		root.InitDefaultCompletionCmd()
		c, rest, err := root.Find(args)
		if err != nil || c == root {
			t.Errorf("README: halfstop %s: %v", strings.Join(args, " "), err)
			continue
		}
		for _, a := range rest {
			if name, ok := strings.CutPrefix(a, "--"); ok && c.Flags().Lookup(name) == nil && name != "json" {
				t.Errorf("README: halfstop %s: there is no %s", strings.Join(args, " "), a)
			}
		}
	}
}
