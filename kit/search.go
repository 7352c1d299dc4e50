package kit

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Search finds entries by terms as a photographer says them, parted by commas, 'and' or blanks:
// words of a kind, a name, an owner or a quality ('soft', 'flash', 'battery', 'boom', 'hire'), and
// figures with their unit, each with 'under', 'over', 'up to', 'from' or 'about': 'soft, 60 cm,
// under 1 kg', '60x90', 'over 400 Ws', 'carries 9 kg', '3 m high'. All terms hold. A bare size is
// within a sixth of one of the thing's own. Where nothing fits, alone says for each term how many
// things it fits by itself. Check: TestSearch.
func Search(list []Entry, query string) (found []Entry, alone []string) {
	terms := termsOf(query)
	for i := range list {
		if !slices.ContainsFunc(terms, func(t term) bool { return !t.fits(&list[i]) }) {
			found = append(found, list[i])
		}
	}
	if len(found) == 0 {
		for _, t := range terms {
			n := 0
			for i := range list {
				if t.fits(&list[i]) {
					n++
				}
			}
			alone = append(alone, fmt.Sprintf("%s fits %d", t.says, n))
		}
	}
	return found, alone
}

type term struct {
	says   string
	word   string
	what   string // 'size', 'pair', 'kg', 'load', 'power', 'high'
	x, y   float64
	lo, hi bool // at least, at most; neither: about
}

func (t *term) number(v float64) bool {
	switch {
	case !(v > 0):
		return false
	case t.lo:
		return v >= t.x*(1-1e-9)
	case t.hi:
		return v <= t.x*(1+1e-9)
	}
	return math.Abs(math.Log(v/t.x)) <= math.Log(7.0/6)
}

func (t *term) fits(e *Entry) bool {
	switch t.what {
	case "kg":
		return t.number(e.Kilos)
	case "load":
		return e.load >= t.x*(1-1e-9)
	case "power":
		return t.number(e.power)
	case "high":
		return e.high >= t.x*(1-1e-9)
	case "pair":
		a, b := max(t.x, t.y), min(t.x, t.y)
		near := func(v, w float64) bool { return math.Abs(math.Log(v/w)) < 0.08 }
		return len(e.size) > 1 && near(e.size[0], a) && near(e.size[1], b) ||
			len(e.size) == 1 && a == b && near(e.size[0], a)
	case "size":
		if t.lo || t.hi {
			return len(e.size) > 0 && t.number(e.size[0])
		}
		return slices.ContainsFunc(e.size, t.number)
	}
	return hasWord(e.words, t.word)
}

// hasWord finds a word where another begins: 'soft' in 'softbox', not 'oft'.
func hasWord(words, word string) bool {
	for at := 0; ; {
		i := strings.Index(words[at:], word)
		if i < 0 {
			return false
		}
		if i += at; i == 0 || !letter(words[i-1]) {
			return true
		}
		at = i + 1
	}
}

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c >= 0x80 }

var (
	pairOf   = regexp.MustCompile(`^(\d+(?:\.\d+)?) ?(?:x|×|by) ?(\d+(?:\.\d+)?) ?(mm|cm|m|in|ft)?$`)
	figureOf = regexp.MustCompile(
		`^(?:(under|below|less than|at most|up to|max|<=?|over|above|more than|at least|` +
			`from|min|>=?|about|around|carries|holds|for) ?)?` +
			`(\d+(?:\.\d+)?) ?(mm|cm|m|in|ft|kg|g|lb|ws|w|j)( high| tall| and up)?$`)
	parts = regexp.MustCompile(`\s*(?:[,;]|\band\b)\s*`)
	units = map[string]float64{"mm": 0.001, "cm": 0.01, "m": 1, "in": 0.0254, "ft": 0.3048, "kg": 1, "g": 0.001,
		"lb": 0.4536,
		"ws": 1, "w": 1, "j": 1}
)

// termsOf takes a query apart. A part that is no figure is taken word by word.
func termsOf(query string) (out []term) {
	q := strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(query, "\u00a0", " ")), " "))
	q = regexp.MustCompile(`(\d),(\d)`).ReplaceAllString(q, "$1.$2") // a decimal comma
	for _, p := range parts.Split(q, -1) {
		if p == "" {
			continue
		}
		// Figures may stand among words: 'soft 60 cm under 1 kg'.
		words := strings.Fields(p)
		for i := 0; i < len(words); {
			taken := false
			for n := min(5, len(words)-i); n >= 1; n-- {
				if t, ok := figureTerm(strings.Join(words[i:i+n], " ")); ok {
					out = append(out, t)
					i, taken = i+n, true
					break
				}
			}
			if !taken {
				w := strings.Trim(words[i], `"'.`)
				if w != "" && !slices.Contains([]string{"a", "the", "with", "of", "for", "in", "my", "all", "light",
					"lights"}, w) {
					if len(w) > 4 {
						w = strings.TrimSuffix(w, "s") // boxes are found as box
						if w == "boxe" {
							w = "box"
						}
					}
					out = append(out, term{says: strconv.Quote(w), word: w})
				}
				i++
			}
		}
	}
	return out
}

func figureTerm(s string) (term, bool) {
	if m := pairOf.FindStringSubmatch(s); m != nil {
		a, _ := strconv.ParseFloat(m[1], 64)
		b, _ := strconv.ParseFloat(m[2], 64)
		k := units[m[3]]
		if m[3] == "" {
			k = 0.01
		}
		return term{says: s, what: "pair", x: a * k, y: b * k}, a > 0 && b > 0
	}
	m := figureOf.FindStringSubmatch(s)
	if m == nil {
		return term{}, false
	}
	v, _ := strconv.ParseFloat(m[2], 64)
	t := term{says: s, x: v * units[m[3]]}
	switch m[1] {
	case "under", "below", "less than", "at most", "up to", "max", "<", "<=":
		t.hi = true
	case "over", "above", "more than", "at least", "from", "min", ">", ">=":
		t.lo = true
	}
	if m[4] == " and up" {
		t.lo = true
	}
	switch m[3] {
	case "kg", "g", "lb":
		t.what = "kg"
		if m[1] == "carries" || m[1] == "holds" || m[1] == "for" {
			t.what = "load"
		}
	case "ws", "w", "j":
		t.what = "power"
	default:
		t.what = "size"
		if m[4] == " high" || m[4] == " tall" {
			t.what = "high"
		}
	}
	return t, t.x > 0
}
