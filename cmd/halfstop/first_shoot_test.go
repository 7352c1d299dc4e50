package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// number is what may differ between the page and what is printed.
var number = regexp.MustCompile(`[−+-]? ?\d+(\.\d+)?(/\d+)?( [+−-] \d\.\d)?`)

// TestFirstShoot does what 'Your first shoot in ten minutes' says, in an empty folder: every
// command, every change of the file. A line that the page shows under a command must be printed,
// but for its numbers.
func TestFirstShoot(t *testing.T) {
	page, err := os.ReadFile("../../docs/first-shoot.md")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	findings := map[string]bool{"halfstop balance kitchen": true, "halfstop ways kitchen": true} // the page says so
	ran, edit := 0, ""
	blocks := regexp.MustCompile("(?s)<!-- (.*?) -->\n|```([a-z]+)\n(.*?)```").FindAllStringSubmatch(string(page), -1)
	for _, b := range blocks {
		switch {
		case b[1] != "":
			edit = b[1]
		case b[2] == "yaml":
			apply(t, edit, b[3])
			edit = ""
		case b[2] == "console":
			out := ""
			for _, line := range strings.Split(strings.TrimSpace(b[3]), "\n") {
				command, is := strings.CutPrefix(line, "$ ")
				if !is {
					if !strings.Contains(number.ReplaceAllString(out, "#"), number.ReplaceAllString(line, "#")) {
						t.Errorf("the page shows %q; printed was\n%s", line, out)
					}
					continue
				}
				ran++
				code, o, errs := cli(t, "", split(command)[1:]...)
				out = o
				want := exitOK
				if findings[command] {
					want = exitFindings
				}
				if code != want {
					t.Errorf("%s: exit %d, want %d\n%s%s", command, code, want, o, errs)
				}
			}
		default:
			t.Errorf("a block of %q is not tried by this test", b[2])
		}
	}
	if ran < 10 {
		t.Errorf("only %d commands were found on the page", ran)
	}
	for _, made := range []string{"sheets/first.pdf", "kitchen.jpg", "kitchen/shoot.yaml.1.bak"} {
		if _, err := os.Stat(made); err != nil {
			t.Errorf("%s was not made", made)
		}
	}
}

// split parts a command line at spaces outside single quotes.
func split(line string) (args []string) {
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			args = append(args, part)
		} else {
			args = append(args, strings.Fields(part)...)
		}
	}
	return args
}

// apply changes a file as the page says: 'append: FILE', or 'below: LINE FILE'.
func apply(t *testing.T, how, text string) {
	t.Helper()
	word := strings.Fields(how)
	path := filepath.FromSlash(word[len(word)-1])
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	out := string(src)
	switch word[0] {
	case "append:":
		out += text
	case "below:":
		at := strings.Index(out, word[1]+"\n")
		if at < 0 {
			t.Fatalf("%s has no line %q", path, word[1])
		}
		at += len(word[1]) + 1
		out = out[:at] + text + out[at:]
	default:
		t.Fatalf("%q is no way to change a file", how)
	}
	if err := os.WriteFile(path, []byte(out), 0o644); err != nil {
		t.Fatal(err)
	}
}
