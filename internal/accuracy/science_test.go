package accuracy

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	testName = regexp.MustCompile(`\b(Test|Fuzz|Example)[A-Z]\w*`)
	roomName = regexp.MustCompile(`^\s*([a-z]+(?:/[a-z]+)*)\s+(?:Test|Fuzz|Example)[A-Z]`)
	caseID   = regexp.MustCompile(`^[A-Z][0-9]*(\.\w+)?( \w+)?$`)
)

// TestScience: every test named in docs/science.md exists in the room said, and every group of
// cases of TestAccuracy is in its table.
func TestScience(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "..", "docs", "science.md"))
	if err != nil {
		t.Fatal(err)
	}
	ids := rows(t)
	rooms := map[string]string{}
	sources := func(room string) string {
		if s, ok := rooms[room]; ok {
			return s
		}
		files, _ := filepath.Glob(filepath.Join("..", "..", filepath.FromSlash(room), "*_test.go"))
		var b strings.Builder
		for _, f := range files {
			s, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			b.Write(s)
		}
		rooms[room] = b.String()
		return b.String()
	}
	lines := 0
	for n, line := range strings.Split(string(src), "\n") {
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if !strings.HasPrefix(line, "|") || len(cells) != 3 || strings.HasPrefix(line, "|---") ||
			strings.HasPrefix(line, "| formula") {
			continue
		}
		lines++
		if strings.TrimSpace(cells[1]) == "" {
			t.Errorf("science.md:%d: no source", n+1)
		}
		if !testName.MatchString(cells[2]) {
			t.Errorf("science.md:%d: no test", n+1)
		}
		for _, part := range strings.Split(cells[2], ";") {
			m := roomName.FindStringSubmatch(part)
			if m == nil {
				t.Errorf("science.md:%d: %q names no room", n+1, part)
				continue
			}
			for _, name := range testName.FindAllString(part, -1) {
				if !strings.Contains(sources(m[1]), "func "+name+"(") {
					t.Errorf("science.md:%d: there is no %s in %s", n+1, name, m[1])
				}
			}
			if _, after, ok := strings.Cut(part, "TestAccuracy "); ok {
				for _, id := range strings.Split(after, ",") {
					id = strings.TrimSpace(id)
					if !caseID.MatchString(id) || !anyWith(ids, id) {
						t.Errorf("science.md:%d: accuracy.md has no case %q", n+1, id)
					}
				}
			}
		}
	}
	if lines < 40 {
		t.Errorf("%d formulas read", lines)
	}
}

func anyWith(ids map[string][]string, prefix string) bool {
	for id := range ids {
		if strings.HasPrefix(id, prefix) {
			return true
		}
	}
	return false
}
