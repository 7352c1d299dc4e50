package ownkit

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// LearnedInto is the file that lessons are kept in.
const LearnedInto = "learned.yaml"

const learnedHead = "# What readings have taught; written by 'halfstop learn --write' and the Kit screen. " +
	"Take a lesson back by deleting it.\n"

// Keep puts the lessons of one place into kit/learned.yaml: those of it that stand there and are
// not among them go, those that are the same stay as they are written, those of other places stay.
// A lesson of one of these readings that was kept without a title goes too: it is written anew.
func Keep(files []shoot.KitFile, place string, lessons []kit.Lesson) ([]Change, error) {
	before := textOf(files, LearnedInto)
	want, have := map[string]bool{}, map[string]bool{}
	for i := range lessons {
		want[LessonText(&lessons[i])] = true
	}
	src, old := []byte(learnedHead), []kit.Lesson{}
	gone := []int{}
	if before != nil {
		k, list := kit.Decode(filepath.Join("kit", LearnedInto), before)
		if err := list.Err(); err != nil {
			return nil, err
		}
		src, old = before, k.Lessons
	}
	for i := range old {
		text := LessonText(&old[i])
		mine := old[i].Place == place || shoot.Untitled(old[i].Place) && slices.ContainsFunc(lessons,
			func(l kit.Lesson) bool { return l.Date == old[i].Date && l.Words == old[i].Words })
		if mine && (!want[text] || have[text]) {
			gone = append(gone, i)
			continue
		}
		have[text] = true
	}
	var add []kit.Addition
	for i := range lessons {
		if text := LessonText(&lessons[i]); !have[text] {
			have[text] = true
			add = append(add, kit.Addition{List: "lessons", Value: text})
		}
	}
	src, err := added(LearnedInto, src, add) // first: a list that becomes empty loses its lines
	if err != nil {
		return nil, err
	}
	for _, i := range slices.Backward(gone) {
		doc, _ := yamltext.Parse(filepath.Join("kit", LearnedInto), src)
		if src, err = doc.Delete(fmt.Sprintf("lessons[%d]", i)); err != nil {
			return nil, err
		}
	}
	if string(src) == string(before) || before == nil && len(add) == 0 {
		return nil, nil
	}
	if err := stands(files, LearnedInto, src); err != nil {
		return nil, err
	}
	return []Change{{LearnedInto, before, src}}, nil
}

// Forget takes out of all files of kit the lessons that match, and says how many they were.
func Forget(files []shoot.KitFile, match func(*kit.Lesson) bool) (out []Change, n int, err error) {
	for _, f := range files {
		k, list := kit.Decode(f.Name, f.Src)
		if list.Err() != nil {
			continue
		}
		name := filepath.Base(f.Name)
		src := append([]byte{}, f.Src...)
		doc, _ := yamltext.Parse(f.Name, src)
		for i := len(k.Lessons) - 1; i >= 0; i-- {
			if !match(&k.Lessons[i]) {
				continue
			}
			if src, err = doc.Delete(fmt.Sprintf("lessons[%d]", i)); err != nil {
				return nil, 0, err
			}
			doc, _ = yamltext.Parse(f.Name, src)
			n++
		}
		if string(src) != string(f.Src) {
			out = append(out, Change{name, f.Src, src})
		}
	}
	return out, n, nil
}

// LessonText writes a lesson as one entry of a list; two that say the same are written the same.
func LessonText(l *kit.Lesson) string {
	var b strings.Builder
	fmt.Fprintf(&b, "{date: %s, place: %s, words: %s, off: %s, noise: %s, parts: [",
		strconv.Quote(l.Date), strconv.Quote(l.Place),
		strconv.Quote(l.Words), quoted(l.Off), quoted(l.Noise))
	for i, p := range l.Parts {
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "{share: %.4f, bounced: %.3f", float64(p.Share), float64(p.Bounced))
		for _, f := range [][2]string{{"head", p.Head}, {"modifier", p.Modifier}, {"grid", p.Grid},
			{"house", p.House}} {
			if f[1] != "" {
				fmt.Fprintf(&b, ", %s: %s", f[0], strconv.Quote(f[1]))
			}
		}
		for n, g := range p.Gel {
			if n == 0 {
				b.WriteString(", gel: [")
			} else {
				b.WriteString(", ")
			}
			b.WriteString(strconv.Quote(g))
			if n == len(p.Gel)-1 {
				b.WriteString("]")
			}
		}
		b.WriteString("}")
	}
	b.WriteString("]}")
	return b.String()
}

// quoted writes stops to a thousandth.
func quoted(s q.Stops) string {
	return strconv.Quote(q.Stops(math.Round(float64(s)*1000) / 1000).String())
}

// detail is what a reading's entry says more than its value.
type detail struct {
	Alone string                   `json:"alone,omitempty"`
	Stood map[string]answer.Stance `json:"stood,omitempty"`
}

// Detail is what goes with a reading of a setup: the one light that was on (empty: all), and how
// its lights stood and what was on them, so that it is held against that when they are otherwise by
// then. s may be
// nil.
func Detail(alone string, s *shoot.Setup) json.RawMessage {
	d := detail{Alone: alone}
	if s != nil {
		for i := range s.Lights {
			l := &s.Lights[i]
			name := l.Name
			if name == "" {
				name = l.Role
			}
			at, ok := answer.StanceOf(l)
			if name == "" || !ok {
				continue
			}
			if d.Stood == nil {
				d.Stood = map[string]answer.Stance{}
			}
			d.Stood[name] = at
		}
	}
	if d.Alone == "" && d.Stood == nil {
		return nil
	}
	b, err := json.Marshal(d)
	if err != nil { // a place that is no number
		return nil
	}
	return b
}

// detailOf reads it; what is no such detail says nothing.
func detailOf(e *daylog.Entry) (d detail) {
	if json.Unmarshal(e.Detail, &d) != nil {
		return detail{}
	}
	return d
}

// Reads takes the readings that stand out of the log, each with the dials that were logged before
// it. numbers are theirs in the log.
func Reads(list []daylog.Entry) (out []answer.Read, numbers []int64) {
	dials := map[string]map[string]string{}
	for i := range list {
		x := &list[i]
		if !x.Stands {
			continue
		}
		switch {
		case x.Kind == daylog.Dial && x.Text != "":
			if dials[x.Setup] == nil {
				dials[x.Setup] = map[string]string{}
			}
			dials[x.Setup][x.Subject] = x.Text
		case x.Kind == daylog.Reading && x.Unit == "f" && x.Value != nil:
			d := detailOf(x)
			r := answer.Read{Setup: x.Setup, Point: x.Subject, FNumber: q.FNumber(*x.Value),
				Date: x.At.Format("2006-01-02"), Alone: d.Alone, Stood: d.Stood,
				Words: fmt.Sprintf("no. %d, %s at %s", x.Seq, answer.FText(q.FNumber(*x.Value)),
					x.Subject), Dials: map[string]string{}}
			if r.Alone != "" {
				r.Words += ", " + r.Alone + " alone"
			}
			for light, d := range dials[x.Setup] {
				r.Dials[light] = d
			}
			out, numbers = append(out, r), append(numbers, x.Seq)
		}
	}
	return out, numbers
}

// About reports whether a lesson is about a thing, named as answer.LearnedFactor names it: 'head
// battery head 500', 'surfaces loft', 'house loft: window'.
func About(l *kit.Lesson, what string) bool {
	is := func(kind, name string) bool {
		return name != "" && strings.Join(strings.Fields(strings.ToLower(kind+" "+name)), " ") == what
	}
	for _, p := range l.Parts {
		if is("head", p.Head) || is("modifier", p.Modifier) || is("grid", p.Grid) || p.Bounced > 0 &&
			is("surfaces", l.Place) || p.House != "" && is("house", l.Place+": "+p.House) ||
			slices.ContainsFunc(p.Gel, func(g string) bool { return is("gel", g) }) {
			return true
		}
	}
	return false
}

// tenths is a reading as meters show it: f/5.6.3.
var tenths = regexp.MustCompile(`^[fF] ?/? ?([0-9]+(?:[.,][0-9]+)?)[.]([0-9])$`)

// MeterReading reads an f-number as a meter shows it: 'f/5.6 + 0.3', also 'f/5.6.3'. An error for
// what can be read in two ways.
func MeterReading(text string) (q.FNumber, error) {
	text = strings.TrimSpace(text)
	n, err := q.ParseFNumber(text)
	m := tenths.FindStringSubmatch(text)
	if m == nil {
		return n, err
	}
	_, over := n.Engraved()
	switch {
	case strings.ContainsAny(m[1], ".,") || err != nil:
		return q.ParseFNumber("f/" + m[1] + " + 0." + m[2])
	case over != 0: // no engraved number: 8.3 may be f/8 and three tenths
		return n, fmt.Errorf("%s can be read in two ways: write f/%s + 0.%s for %s tenths over f/%s, or f/%s.%s0 for "+
			"the number itself", text, m[1], m[2], m[2], m[1], m[1], m[2])
	}
	return n, err
}
