package photometry

import (
	"strings"

	"halfstop/diag"
)

// Parse reads either format, told apart by the content: a line that begins with TILT= makes it LM-63.
//
// Web is nil where the list holds an error; it may be good beside notes. Check: FuzzParse.
func Parse(name string, src []byte) (*Web, diag.List) {
	return ParseWith(name, src, nil)
}

// ParseWith is Parse with a function that fetches the file named after TILT= of an LM-63 file.
func ParseWith(name string, src []byte, files func(name string) ([]byte, error)) (*Web, diag.List) {
	for _, line := range open(name, src).lines {
		if isTilt(line) {
			return ParseLM63With(name, src, files)
		}
	}
	if t := open(name, src); len(t.lines) > 0 && strings.HasPrefix(strings.ToUpper(strings.TrimSpace(t.lines[0])), "IES") {
		return ParseLM63With(name, src, files)
	}
	return ParseEULUMDAT(name, src)
}

func isTilt(line string) bool {
	l := strings.TrimSpace(line)
	return len(l) >= 5 && strings.EqualFold(l[:4], "TILT") && strings.HasPrefix(strings.TrimSpace(l[4:]), "=")
}
