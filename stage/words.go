package stage

import "strings"

func equal(a, b string) bool {
	return a != "" && strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

func hasPrefix(s, p string) bool { return len(s) >= len(p) && strings.EqualFold(s[:len(p)], p) }

func trimPrefixes(s string, ps ...string) string {
	for _, p := range ps {
		if hasPrefix(s, p) {
			return s[len(p):]
		}
	}
	return s
}

// oneOf lists words for a fix: 'a, b or c'.
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
