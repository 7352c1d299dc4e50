package diag

import "strings"

// Nearest returns the word of known that word most likely means, or "" where none is near.
//
// The distance is EditDistance, without case and without the difference between space, hyphen and
// underscore. A word is near within a third of its length, at least one edit. Of equals it is the
// earliest of known. Check: TestNearest.
func Nearest(word string, known []string) string {
	w := fold(word)
	if len(w) == 0 || len(w) > 64 {
		return ""
	}
	best, bestD := "", max(1, (len(w)+1)/3)+1
	for _, k := range known {
		f := fold(k)
		if len(f) > 2*len(w)+2 {
			continue
		}
		if d := editDistance(w, f); d < bestD && d < len(f) {
			best, bestD = k, d
		}
	}
	return best
}

func fold(s string) []rune {
	return []rune(strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(strings.TrimSpace(s))))
}

// EditDistance is the number of single letters to insert, delete, replace or swap with their
// neighbour that turns a into b: the optimal string alignment distance (Damerau 1964; Levenshtein
// 1966).
func EditDistance(a, b string) int { return editDistance([]rune(a), []rune(b)) }

func editDistance(a, b []rune) int {
	before, prev, cur := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
}
