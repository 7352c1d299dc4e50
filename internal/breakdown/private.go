package breakdown

import (
	"cmp"
	"fmt"
	"maps"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"halfstop/record"
	"halfstop/shoot"
)

// Private is what a shoot and its record say that is no one else's business.
type Private struct {
	terms []term
	keep  map[string]bool
	hits  map[string]bool // kinds of which something was taken out of a text that stays
}

// term is one private text.
type term struct{ kind, text string }

// Kinds are what can be kept on purpose (--keep).
func Kinds() []string { return []string{"title", "date", "place", "names", "notes", "time"} }

// PrivateOf gathers what is private: the title and its words, the date, place and zone, names of
// people, notes, what the log says, whose a switch is, times, files.
func PrivateOf(f *shoot.File, r *record.Record, keep []string) *Private {
	p := &Private{keep: map[string]bool{}, hits: map[string]bool{}}
	for _, k := range keep {
		p.keep[k] = true
	}
	add := func(kind, text string) {
		text = strings.TrimSpace(text)
		if len([]rune(text)) >= 2 && !p.keep[kind] {
			p.terms = append(p.terms, term{kind, text})
		}
	}
	add("title", f.Shoot.Title)
	for _, w := range strings.FieldsFunc(f.Shoot.Title, apartFrom) {
		if first := []rune(w); len(first) > 2 && unicode.IsUpper(first[0]) {
			add("title", w)
		}
	}
	add("date", f.Shoot.Date)
	add("date", r.Date)
	add("place", f.Shoot.Place.Zone)
	add("place", path.Base(f.Shoot.Place.Zone))
	for _, v := range []float64{f.Shoot.Place.Latitude, f.Shoot.Place.Longitude} {
		if v != 0 {
			add("place", fmt.Sprint(v))
		}
	}
	add("notes", f.Shoot.Notes)
	for i := range f.Setups {
		add("notes", f.Setups[i].Notes)
		add("time", f.Setups[i].At)
	}
	for _, h := range []string{f.Shoot.Hours.Access, f.Shoot.Hours.Sitter, f.Shoot.Hours.Strike, f.Shoot.Hours.Out} {
		add("time", h)
	}
	for _, m := range f.Day.People {
		p.person(m.Name)
	}
	for _, a := range f.Accepted {
		add("notes", a.Reason)
	}
	for _, x := range f.Room.Practicals {
		add("whose", x.Whose)
		add("file", x.Photometry)
	}
	for _, o := range f.Room.Objects {
		add("file", o.Mesh)
	}
	for _, e := range r.Log {
		p.person(e.Who)
		add("log", e.Text)
	}
	for _, x := range r.Pictures {
		if x.Says != "computed" {
			add("file", path.Base(x.File))
			add("file", strings.TrimSuffix(path.Base(x.File), path.Ext(x.File)))
		}
	}
	add("notes", r.Notes)
	// The longest first, so that a name inside a longer text goes with it.
	slices.SortStableFunc(p.terms, func(a, b term) int { return cmp.Compare(len(b.text), len(a.text)) })
	return p
}

func apartFrom(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// roles are names of people that name nobody.
var roles = []string{"photographer", "assistant", "hair", "make", "up", "and", "first", "second", "third", "sitter",
	"stylist", "producer", "crew", "other"}

// person adds a name and its parts, unless it is a role.
func (p *Private) person(name string) {
	if p.keep["names"] {
		return
	}
	own := false
	for _, w := range strings.FieldsFunc(name, apartFrom) {
		if len([]rune(w)) > 1 && !slices.Contains(roles, strings.ToLower(w)) {
			own = true
			p.terms = append(p.terms, term{"names", w})
		}
	}
	if own {
		p.terms = append(p.terms, term{"names", name})
	}
}

// loose are private things that have a form of their own: an address of mail, a link, a telephone
// number, coordinates, a time of day, a date, a path.
var loose = []struct {
	kind string
	form *regexp.Regexp
}{
	{"mail or link", regexp.MustCompile(`(?i)[\w.+-]+@[\w-]+\.[\w.]+|https?://\S+|www\.\S+`)},
	{"telephone number", regexp.MustCompile(`\+?\d[\d ()/-]{7,}\d`)},
	{"coordinates", regexp.MustCompile(`-?\d{1,3}\.\d{3,}\s*[,;]\s*-?\d{1,3}\.\d{3,}|\d{1,3}°\s*\d{1,2}['′]`)},
	{"date", regexp.MustCompile(`\d{4}-\d{2}-\d{2}|\d{1,2}[./]\d{1,2}[./]\d{2,4}`)},
	{"time", regexp.MustCompile(`\b([01]?\d|2[0-3]):[0-5]\d\b|` +
		`\b([01]?\d|2[0-3])[:.][0-5]\d\s*(h|uhr|o'clock|am|pm)\b`)},
	{"file", regexp.MustCompile(`(?i)([a-z]:)?([\\/][\w.-]+){2,}`)},
}

// mark stands where something was taken out.
const mark = "…"

// Clean gives a text that stays without what is private in it.
func (p *Private) Clean(s string) string {
	for _, t := range p.terms {
		for {
			i := indexWord(s, t.text)
			if i < 0 {
				break
			}
			p.hits[t.kind] = true
			s = s[:i] + mark + s[i+len(t.text):]
		}
	}
	for _, l := range loose {
		if !p.keep[l.kind] && l.form.MatchString(s) {
			p.hits[l.kind] = true
			s = l.form.ReplaceAllString(s, mark)
		}
	}
	return s
}

// indexWord finds a text as whole words, whatever its case; -1 where it is not there.
func indexWord(s, word string) int {
	low, w := strings.ToLower(s), strings.ToLower(word)
	if len(low) != len(s) || len(w) != len(word) { // letters whose lower case is of another length
		low, w = s, word
	}
	for from := 0; ; {
		i := strings.Index(low[from:], w)
		if i < 0 {
			return -1
		}
		i += from
		before, after := lastRune(low[:i]), firstRune(low[i+len(w):])
		if !isWord(before) && !isWord(after) {
			return i
		}
		from = i + 1
	}
}

func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

func firstRune(s string) rune {
	for _, r := range s {
		return r
	}
	return 0
}

func lastRune(s string) (last rune) {
	for _, r := range s {
		last = r
	}
	return last
}

// cleanAll cleans every text that a value holds, in place.
func (p *Private) cleanAll(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() && v.Kind() == reflect.Pointer {
			p.cleanAll(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				p.cleanAll(v.Field(i))
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			p.cleanAll(v.Index(i))
		}
	case reflect.String:
		if v.CanSet() {
			v.SetString(p.Clean(v.String()))
		}
	}
}

// Survives gives the first private text that is in a finished file; nothing for none. Pictures in
// it are made here and hold no text.
func (p *Private) Survives(data []byte) string {
	s := string(data)
	for _, t := range p.terms {
		if indexWord(s, t.text) >= 0 {
			return t.kind
		}
	}
	return ""
}

// Listed says what is left out, by kind, with how much of it there was.
func (p *Private) Listed() (out []string) {
	names := map[string]string{"title": "the title of the shoot and its words", "date": "the date",
		"place": "place, coordinates and time zone",
		"notes": "notes and reasons", "time": "times of day", "names": "names of people", "whose": "whose a switch is",
		"file": "names and paths of files", "log": "the lines of the log", "mail or link": "addresses and links",
		"telephone number": "telephone numbers", "coordinates": "coordinates"}
	count := map[string]int{}
	for _, t := range p.terms {
		count[t.kind]++
	}
	for k := range p.hits {
		count[k] += 0
	}
	for _, kind := range slices.Sorted(maps.Keys(count)) {
		line := names[kind]
		if p.hits[kind] {
			line += " (some stood in a text that stays; " + mark + " is in its place)"
		}
		out = append(out, line)
	}
	return append(out, "what photographs say of camera, place and time (EXIF, GPS): they are drawn anew")
}
