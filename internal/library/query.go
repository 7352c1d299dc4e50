package library

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
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
	Not    []string // what the texts must not hold
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
	focal = regexp.MustCompile(`(?i)(?:^|\s)(\d{2,3})\s*mm(?:\s|$)`)
	not   = regexp.MustCompile(`(?i)\b(?:no|without|not)\s+(?:a\s+|an\s+|any\s+)?([a-z]{3,})\b`)
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
	{"strobe", "flash"}, {"daylight", "window"}, {"outside", "outdoor", "outdoors", "exterior"},
	{"stairs", "steps", "staircase"}, {"small", "tiny", "narrow"}, {"large", "big"}, {"available", "ambient"},
}

// stop are words that say nothing.
var stop = []string{"a", "an", "the", "with", "and", "or", "of", "in", "on", "at", "by", "for", "from", "shot",
	"setup", "picture", "room",
	"than", "is", "to", "no", "any", "off", "all", "around", "through", "mm"}

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
	if m := focal.FindStringSubmatch(rest); m != nil {
		v, _ := strconv.ParseFloat(m[1], 64)
		q.Bounds = append(q.Bounds, Bound{"lens", "=", v, strings.TrimSpace(m[0])})
		rest = strings.Replace(rest, m[0], " ", 1)
	}
	for _, m := range not.FindAllStringSubmatch(rest, -1) {
		switch w := strings.ToLower(m[1]); w {
		case "room":
			q.Words = append(q.Words, "outside")
		case "light", "lights", "heads":
			q.Bounds = append(q.Bounds, Bound{"lights", "=", 0, m[0]})
		default:
			q.Not = append(q.Not, w)
		}
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
	for _, w := range q.Not {
		q.Said = append(q.Said, "no "+w)
	}
	return q
}

// match is a word in the language of FTS5, with what means the same; of a word of
// four letters and more the beginning is enough.
func match(w string) string {
	if strings.HasPrefix(w, `"`) {
		return w
	}
	all := []string{`"` + w + `"`}
	if len(w) > 3 { // 'car' is not the beginning of a carpet
		all[0] += "*"
	}
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
	File   string   `json:"file"` // below the folder
	Facts  Facts    `json:"facts"`
	Lacks  []string `json:"lacks,omitempty"` // of the question, what does not hold
	score  float64
	id     int64
	facets string // its values, a line each
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
	weight := make([]float64, 0, len(q.Words)) // of each word: a rare one says more
	for k, w := range append(slices.Clone(q.Words), q.Not...) {
		rows, err := l.db.QueryContext(ctx,
			"SELECT rowid, bm25(words, 4, 3, 3, 2, 3, 1) FROM words WHERE words MATCH ?", match(w))
		if err != nil {
			return nil, err
		}
		n := 0.0
		for rows.Next() {
			n++
			var id int64
			var s float64
			if err := rows.Scan(&id, &s); err != nil {
				return nil, err
			}
			if words[id] == nil {
				words[id] = &scored{has: make([]bool, len(q.Words)+len(q.Not))}
			}
			words[id].has[k] = true
			if k < len(q.Words) {
				words[id].score -= s // SQLite's is the better the lower
			}
		}
		if err := rows.Err(); err != nil {
			return nil, err
		}
		all := float64(max(out.All, 2))
		weight = append(weight, 60+40*math.Log(all/min(max(n, 1), all))/math.Log(all))
	}
	where, args := []string{"1"}, []any{}
	for _, p := range picks {
		where, args = append(where, "instr(facets, ?) > 0"), append(args, "\n"+p.line()+"\n")
	}
	picked := len(where)
	for _, b := range q.Bounds {
		where, args = append(where, b.Column+" "+b.Op+" ?"), append(args, b.Value)
		if b.Column == "ceiling" || b.Column == "minute" || b.Column == "ratio" {
			where = append(where, b.Column+" > 0")
		}
	}
	take := func(cond string, args []any, near bool) ([]Hit, error) {
		rows, err := l.db.QueryContext(ctx,
			"SELECT id, file, facets, lights, ceiling, area, ratio, level, minute, lens FROM setups WHERE "+
				cond, args...)
		if err != nil {
			return nil, err
		}
		defer rows.Close()
		var hits []Hit
		for rows.Next() {
			var h Hit
			var v [7]float64
			err := rows.Scan(&h.id, &h.File, &h.facets, &v[0], &v[1], &v[2], &v[3], &v[4], &v[5], &v[6])
			if err != nil {
				return nil, err
			}
			w := words[h.id]
			for k, word := range q.Words {
				if w == nil || !w.has[k] {
					h.Lacks = append(h.Lacks, strings.Trim(word, `"`))
					h.score -= weight[k]
				}
			}
			for k, word := range q.Not {
				if w != nil && w.has[len(q.Words)+k] {
					h.Lacks = append(h.Lacks, "no "+word)
					h.score -= 100
				}
			}
			if w != nil {
				h.score += w.score
			}
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
			hits = append(hits, h)
		}
		slices.SortStableFunc(hits, func(a, b Hit) int {
			return cmp.Or(cmp.Compare(b.score, a.score), strings.Compare(a.File, b.File))
		})
		return hits, rows.Err()
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
		if hits, err = take(strings.Join(where[:picked], " AND "), args[:picked-1], true); err != nil {
			return nil, err
		}
	}
	// Facets are of what fits; where nothing does, of the nearest that are shown.
	out.facets(hits[:max(out.Exact, min(len(hits), most))])
	out.Hits = append(out.Hits, hits[:min(len(hits), most)]...)
	return out, l.tell(ctx, out.Hits)
}

// tell reads the facts of hits.
func (l *Library) tell(ctx context.Context, hits []Hit) error {
	read, err := l.db.PrepareContext(ctx, "SELECT facts FROM setups WHERE id = ?")
	if err != nil {
		return err
	}
	defer read.Close()
	for i := range hits {
		var text string
		if err := read.QueryRowContext(ctx, hits[i].id).Scan(&text); err != nil {
			return err
		}
		if err := json.Unmarshal([]byte(text), &hits[i].Facts); err != nil {
			return err
		}
	}
	return nil
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

// line is a value as the index has it.
func (p Pick) line() string { return p.Facet + "=" + strings.ReplaceAll(p.Value, "\n", " ") }

// facets counts the hits by ratio, pattern, lights, kit, room and time.
func (f *Found) facets(hits []Hit) {
	count := map[string]map[string]int{}
	for i := range hits {
		for line := range strings.SplitSeq(strings.Trim(hits[i].facets, "\n"), "\n") {
			facet, value, _ := strings.Cut(line, "=")
			if count[facet] == nil {
				count[facet] = map[string]int{}
			}
			count[facet][value]++
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
	rows, err := l.db.QueryContext(ctx, "SELECT id, file, look FROM setups")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var hits []Hit
	me := like.seen()
	for rows.Next() {
		var h Hit
		var text string
		if err := rows.Scan(&h.id, &h.File, &text); err != nil {
			return nil, err
		}
		x := lookOf(text)
		if x.Setup == me.Setup && x.Title == me.Title && x.Recorded == me.Recorded {
			continue
		}
		h.score = -me.from(&x)
		hits = append(hits, h)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return nil, err
	}
	slices.SortStableFunc(hits, func(a, b Hit) int { return cmp.Compare(b.score, a.score) })
	hits = hits[:min(len(hits), most)]
	return hits, l.tell(ctx, hits)
}

// look is what two setups are held against each other by.
type look struct {
	Setup, Title, Pattern string
	Recorded, Haze        bool
	Ratio, Level, Kelvin  float64
	Lights                int
	Points                map[string]float64
}

func (x *Facts) seen() look {
	return look{x.Setup, x.Title, x.Pattern, x.Recorded, x.Haze, x.Ratio, x.Level, x.Kelvin, x.Lights, x.Points}
}

// text is a look as the index has it: ten thousand are read for one question, and JSON takes four
// times as long.
func (x *look) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%q\t%q\t%q\t%v\t%v\t%g\t%g\t%g\t%d", x.Setup, x.Title, x.Pattern, x.Recorded, x.Haze, x.Ratio,
		x.Level, x.Kelvin, x.Lights)
	for name, v := range x.Points {
		fmt.Fprintf(&b, "\t%q\t%g", name, v)
	}
	return b.String()
}

func lookOf(text string) (x look) {
	next := func() string {
		var f string
		f, text, _ = strings.Cut(text, "\t")
		return f
	}
	word := func() string { s, _ := strconv.Unquote(next()); return s }
	number := func() float64 { v, _ := strconv.ParseFloat(next(), 64); return v }
	x.Setup, x.Title, x.Pattern = word(), word(), word()
	x.Recorded, x.Haze = next() == "true", next() == "true"
	x.Ratio, x.Level, x.Kelvin, x.Lights = number(), number(), number(), int(number())
	for text != "" {
		if x.Points == nil {
			x.Points = map[string]float64{}
		}
		name := word()
		x.Points[name] = number()
	}
	return x
}

// from is how unlike two looks are, in about stops.
func (x *look) from(y *look) float64 {
	stops := func(v float64) float64 { return math.Log2(max(v, 1)) }
	d := math.Abs(stops(x.Ratio)-stops(y.Ratio)) + 0.7*math.Abs(x.Level-y.Level) +
		0.4*math.Abs(float64(x.Lights-y.Lights))
	if x.Pattern != y.Pattern {
		d += 0.7
	}
	if x.Haze != y.Haze {
		d += 0.5
	}
	if x.Kelvin > 0 && y.Kelvin > 0 { // 60 mired are as much as a stop
		d += min(2, math.Abs(1e6/x.Kelvin-1e6/y.Kelvin)/60)
	}
	off, both := 0.0, 0.0
	for name, v := range x.Points {
		if w, ok := y.Points[name]; ok {
			off, both = off+min(3, math.Abs(v-w)), both+1
		}
	}
	if both > 0 {
		d += off / both
	}
	return d
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
