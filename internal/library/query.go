package library

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Query is a question as a person asks it, taken apart.
type Query struct {
	Bounds []Bound  // what must hold
	Words  []string // what is searched in the texts; each counts
	Said   []string // the question as it was understood
}

// Bound is a condition on a number.
type Bound struct {
	Column string
	Op     string // '<', '<=', '>', '>=', '='
	Value  float64
	Words  string
}

// quantities are what a question can compare, with the words for each and the unit of its column.
var quantities = []struct {
	column, unit string
	words        []string
}{
	{"ceiling", "m", []string{"ceiling", "height"}},
	{"area", "m²", []string{"area", "room", "floor"}},
	{"ratio", ":1", []string{"ratio"}},
	{"lights", "", []string{"lights", "light", "heads"}},
	{"lens", "mm", []string{"lens", "focal"}},
	{"level", "st", []string{"level", "mean"}},
	{"minute", "h", []string{"time", "hour", "after", "before"}},
}

var (
	bound = regexp.MustCompile(`(?i)\b([a-z]+)\s*(<=|>=|<|>|=|under|over|below|above|at most|at least)\s*` +
		`(-?\d+(?:[.,]\d+)?)(?::(\d+))?\s*(cm|mm|m2|m²|m|ft|st|h)?(?:\s|$)`)
	count = regexp.MustCompile(`(?i)\b(one|two|three|four|five|six|seven|eight|nine|\d)\s+(?:lights?|heads?)\b`)
	ops   = map[string]string{"under": "<", "below": "<", "over": ">", "above": ">", "at most": "<=",
		"at least": ">="}
)

// synonyms are words that mean the same here; a question for one finds the others. Trade words of
// common practice.
var synonyms = [][]string{
	{"softbox", "box"}, {"octa", "octabox"}, {"umbrella", "brolly"}, {"rim", "edge", "kicker"}, {"gel", "filter"},
	{"reflector", "bounce", "dish"}, {"lamp", "bulb", "practical"}, {"neon", "sign", "tube"}, {"gridded",
		"grid", "egg", "honeycomb"},
	{"backlight", "hair", "edge"}, {"smoke", "haze", "fog"}, {"dusk", "evening"}, {"tungsten", "warm"}, {"led",
		"panel"},
	{"strobe", "flash"}, {"daylight", "window"},
}

// stop are words that say nothing.
var stop = []string{"a", "an", "the", "with", "and", "or", "of", "in", "on", "at", "by", "for", "from", "shot",
	"setup", "picture", "room",
	"than", "is", "to", "no", "any"}

// Parse takes a question apart: conditions on numbers, numbers of lights, and words.
func Parse(text string) Query {
	var q Query
	rest := text
	for _, m := range bound.FindAllStringSubmatch(text, -1) {
		for _, k := range quantities {
			if !slices.Contains(k.words, strings.ToLower(m[1])) {
				continue
			}
			v, err := strconv.ParseFloat(strings.ReplaceAll(m[3], ",", "."), 64)
			if err != nil {
				continue
			}
			switch unit := strings.ToLower(m[5]); {
			case k.column == "minute":
				v *= 60
				if m[4] != "" {
					add, _ := strconv.ParseFloat(m[4], 64)
					v += add
				}
			case unit == "cm":
				v /= 100
			case unit == "mm" && k.unit == "m":
				v /= 1000
			case unit == "ft":
				v *= 0.3048
			}
			op := cmp.Or(ops[strings.ToLower(m[2])], m[2])
			q.Bounds = append(q.Bounds, Bound{k.column, op, v, strings.TrimSpace(m[0])})
			rest = strings.Replace(rest, strings.TrimSpace(m[0]), " ", 1)
		}
	}
	for _, m := range count.FindAllStringSubmatch(rest, -1) {
		n := slices.Index(numbers, strings.ToLower(m[1]))
		if n < 0 {
			n, _ = strconv.Atoi(m[1])
		}
		q.Bounds = append(q.Bounds, Bound{"lights", "=", float64(n), m[0]})
		rest = strings.Replace(rest, m[0], " ", 1)
	}
	for _, k := range []string{"low key", "high key"} {
		if i := strings.Index(strings.ToLower(rest), k); i >= 0 {
			q.Words = append(q.Words, `"`+k+`"`)
			rest = rest[:i] + " " + rest[i+len(k):]
		}
	}
	for _, w := range strings.FieldsFunc(strings.ToLower(rest), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 127)
	}) {
		if !slices.Contains(stop, w) && !slices.Contains(q.Words, w) {
			q.Words = append(q.Words, w)
		}
	}
	for _, b := range q.Bounds {
		q.Said = append(q.Said, b.Words)
	}
	q.Said = append(q.Said, q.Words...)
	return q
}

// match is a word in the language of FTS5, with what means the same; the beginning of a word is
// enough.
func match(w string) string {
	if strings.HasPrefix(w, `"`) {
		return w
	}
	all := []string{`"` + w + `"*`}
	for _, set := range synonyms {
		if slices.Contains(set, w) {
			for _, o := range set {
				if o != w {
					all = append(all, `"`+o+`"`)
				}
			}
		}
	}
	return "(" + strings.Join(all, " OR ") + ")"
}

// Hit is a setup that was found.
type Hit struct {
	File  string   `json:"file"` // below the folder
	Facts Facts    `json:"facts"`
	Lacks []string `json:"lacks,omitempty"` // of the question, what does not hold
	score float64
}

// Found is what a search gives.
type Found struct {
	Version int              `json:"version"` // of this shape: 1
	Said    []string         `json:"understood"`
	All     int              `json:"setups"` // in the library
	Hits    []Hit            `json:"hits"`
	Exact   int              `json:"exact"` // hits for which all of the question holds; they come first
	Facets  map[string][]Bin `json:"facets"`
}

// Bin is one value of a facet with how many hits have it.
type Bin struct {
	Value string `json:"value"`
	Count int    `json:"count"`
}

// Search answers a question: setups for which all of it holds come first, by how well their words
// fit (BM25); then the nearest, each with what it lacks. most 0 is 20. Of all of them only those of
// the values picked of facets. Check: TestQuestions, TestPicks.
func (l *Library) Search(ctx context.Context, text string, most int, picks ...Pick) (*Found, error) {
	q := Parse(text)
	out := &Found{Version: 1, Said: q.Said, Hits: []Hit{}, Facets: map[string][]Bin{}}
	if most <= 0 {
		most = 20
	}
	if err := l.db.QueryRowContext(ctx, "SELECT count(*) FROM setups").Scan(&out.All); err != nil {
		return nil, err
	}
	// How many of the words each setup has, and how well.
	type scored struct {
		has   []bool
		score float64
	}
	words := map[int64]*scored{}
	for k, w := range q.Words {
		rows, err := l.db.QueryContext(ctx,
			"SELECT rowid, bm25(words, 4, 3, 3, 2, 3, 1) FROM words WHERE words MATCH ?", match(w))
		if err != nil {
			return nil, err
		}
		for rows.Next() {
			var id int64
			var s float64
			if err := rows.Scan(&id, &s); err != nil {
				return nil, err
			}
			if words[id] == nil {
				words[id] = &scored{has: make([]bool, len(q.Words))}
			}
			words[id].has[k] = true
			words[id].score -= s // SQLite's is the better the lower
		}
		if err := rows.Err(); err != nil {
			return nil, err
		}
	}
	where, args := []string{"1"}, []any{}
	for _, b := range q.Bounds {
		where, args = append(where, b.Column+" "+b.Op+" ?"), append(args, b.Value)
		if b.Column == "ceiling" || b.Column == "minute" || b.Column == "ratio" {
			where = append(where, b.Column+" > 0")
		}
	}
	take := func(cond string, args []any, near bool) ([]Hit, error) {
		rows, err := l.db.QueryContext(ctx,
			"SELECT id, file, facts, lights, ceiling, area, ratio, level, minute, lens FROM setups WHERE "+
				cond, args...)
		if err != nil {
			return nil, err
		}
		defer rows.Close()
		var hits []Hit
		var texts []string
		for rows.Next() {
			var h Hit
			var id int64
			var facts string
			var v [7]float64
			if err := rows.Scan(&id, &h.File, &facts, &v[0], &v[1], &v[2], &v[3], &v[4], &v[5], &v[6]); err != nil {
				return nil, err
			}
			w := words[id]
			for k, word := range q.Words {
				if w == nil || !w.has[k] {
					h.Lacks = append(h.Lacks, strings.Trim(word, `"`))
				}
			}
			if w != nil {
				h.score = w.score
			}
			h.score -= 100 * float64(len(h.Lacks))
			if near {
				value := map[string]float64{"lights": v[0], "ceiling": v[1], "area": v[2], "ratio": v[3],
					"level": v[4], "minute": v[5],
					"lens": v[6]}
				for _, b := range q.Bounds {
					if !b.holds(value[b.Column]) {
						h.Lacks = append(h.Lacks, b.Words)
						h.score -= 60 + 40*min(1, math.Abs(value[b.Column]-b.Value)/max(math.Abs(b.Value), 1))
					}
				}
			}
			hits, texts = append(hits, h), append(texts, facts)
		}
		order := make([]int, len(hits))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(hits[b].score, hits[a].score), strings.Compare(hits[a].File, hits[b].File))
		})
		var best []Hit
		for _, i := range order {
			if len(best) == most && !(len(hits[i].Lacks) == 0) {
				break
			}
			if err := json.Unmarshal([]byte(texts[i]), &hits[i].Facts); err != nil {
				return nil, err
			}
			if !hits[i].Facts.picked(picks) {
				continue
			}
			best = append(best, hits[i])
			if len(best) >= 20*most {
				break
			}
		}
		return best, rows.Err()
	}
	hits, err := take(strings.Join(where, " AND "), args, false)
	if err != nil {
		return nil, err
	}
	for _, h := range hits {
		if len(h.Lacks) == 0 {
			out.Exact++
		}
	}
	if out.Exact == 0 && len(q.Bounds) > 0 {
		if hits, err = take("1", nil, true); err != nil {
			return nil, err
		}
	}
	out.facets(hits)
	out.Hits = append(out.Hits, hits[:min(len(hits), most)]...)
	return out, nil
}

func (b *Bound) holds(v float64) bool {
	if v <= 0 && (b.Column == "ceiling" || b.Column == "minute" || b.Column == "ratio") {
		return false
	}
	switch b.Op {
	case "<":
		return v < b.Value
	case "<=":
		return v <= b.Value
	case ">":
		return v > b.Value
	case ">=":
		return v >= b.Value
	}
	return v == b.Value
}

// Pick is a value of a facet that is asked for.
type Pick struct{ Facet, Value string }

// facets are the values that a setup has of each facet: ratio, pattern, lights, kit, room, hour.
func (x *Facts) facets() (out []Pick) {
	add := func(facet, value string) {
		if p := (Pick{facet, value}); value != "" && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	add("pattern", x.Pattern)
	add("lights", strconv.Itoa(x.Lights))
	if x.Ratio > 0 {
		add("ratio", fmt.Sprintf("%.0f:1", math.Exp2(math.Round(math.Log2(x.Ratio)))))
	}
	for _, k := range x.Kit {
		add("kit", k)
	}
	switch {
	case x.Area == 0:
		add("room", "none")
	case x.Area < 15:
		add("room", "under 15 m²")
	case x.Area < 40:
		add("room", "15 to 40 m²")
	default:
		add("room", "over 40 m²")
	}
	if x.Minute >= 0 {
		add("hour", fmt.Sprintf("%02d", x.Minute/60))
	}
	return out
}

func (x *Facts) picked(picks []Pick) bool {
	if len(picks) == 0 {
		return true
	}
	has := x.facets()
	for _, p := range picks {
		if !slices.Contains(has, p) {
			return false
		}
	}
	return true
}

// facets counts the hits by ratio, pattern, lights, kit, room and time.
func (f *Found) facets(hits []Hit) {
	count := map[string]map[string]int{}
	for i := range hits {
		for _, p := range hits[i].Facts.facets() {
			if count[p.Facet] == nil {
				count[p.Facet] = map[string]int{}
			}
			count[p.Facet][p.Value]++
		}
	}
	for facet, values := range count {
		var list []Bin
		for v, n := range values {
			list = append(list, Bin{v, n})
		}
		slices.SortFunc(list, func(a, b Bin) int {
			return cmp.Or(cmp.Compare(b.Count, a.Count),
				strings.Compare(a.Value, b.Value))
		})
		f.Facets[facet] = list[:min(len(list), 8)]
	}
}

// Near gives the setups that look most like one, by light rather than by words: levels at the
// points that both were recorded at, ratio, mean level, colour of the key, number of lights,
// pattern.
// Check: TestNear.
func (l *Library) Near(ctx context.Context, like *Facts, most int) ([]Hit, error) {
	rows, err := l.db.QueryContext(ctx, "SELECT file, facts FROM setups")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var hits []Hit
	for rows.Next() {
		var h Hit
		var text string
		if err := rows.Scan(&h.File, &text); err != nil {
			return nil, err
		}
		if err := json.Unmarshal([]byte(text), &h.Facts); err != nil {
			return nil, err
		}
		x := &h.Facts
		if x.Setup == like.Setup && x.Title == like.Title && x.Recorded == like.Recorded {
			continue
		}
		stops := func(v float64) float64 { return math.Log2(max(v, 1)) }
		h.score = -math.Abs(stops(x.Ratio)-stops(like.Ratio)) - 0.7*math.Abs(x.Level-like.Level) -
			0.4*math.Abs(float64(x.Lights-like.Lights))
		if x.Pattern != like.Pattern {
			h.score -= 0.7
		}
		if x.Haze != like.Haze {
			h.score -= 0.5
		}
		if x.Kelvin > 0 && like.Kelvin > 0 { // 60 mired are as much as a stop
			h.score -= min(2, math.Abs(1e6/x.Kelvin-1e6/like.Kelvin)/60)
		}
		off, both := 0.0, 0.0
		for name, v := range like.Points {
			if w, ok := x.Points[name]; ok {
				off, both = off+min(3, math.Abs(v-w)), both+1
			}
		}
		if both > 0 {
			h.score -= off / both
		}
		hits = append(hits, h)
	}
	slices.SortStableFunc(hits, func(a, b Hit) int { return cmp.Compare(b.score, a.score) })
	return hits[:min(len(hits), most)], rows.Err()
}

// Find gives the facts of a file's setup, by its name.
func (l *Library) Find(ctx context.Context, file, setup string) (*Facts, error) {
	rows, err := l.db.QueryContext(ctx, "SELECT facts FROM setups WHERE file = ? ORDER BY id", file)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		var x Facts
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		if err := json.Unmarshal([]byte(text), &x); err != nil {
			return nil, err
		}
		if setup == "" || strings.EqualFold(x.Setup, setup) {
			return &x, nil
		}
	}
	return nil, fmt.Errorf("%s has no setup %q in the library", file, setup)
}
