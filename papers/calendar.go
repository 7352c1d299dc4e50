package papers

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"hash/fnv"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Calendar gives the day as an iCalendar: one event for the whole crew's call, one a setup, one a
// person's task where person is named. Times are local ("floating") unless the shoot says its time
// zone.
//
// now is the time of writing, for DTSTAMP. The error says what the shoot lacks: a date.
// Source: RFC 5545, 3.1 (folding), 3.3.11 (text), 3.6.1 (events), 3.8.4.7 (UID).
func Calendar(s *Shoot, person string, now time.Time) ([]byte, error) {
	date, err := time.Parse("2006-01-02", s.File.Shoot.Date)
	if err != nil {
		return nil, fmt.Errorf("the shoot has no date, so there is no calendar; add date: 2026-03-14 to shoot")
	}
	zone := time.UTC
	floating := true
	if l, ok := s.File.Shoot.Place.Clock(); ok {
		zone, floating = l, false
	}
	at := func(seconds int) string {
		t := time.Date(date.Year(), date.Month(), date.Day(), 0, 0, seconds, 0, zone)
		if floating {
			return t.Format("20060102T150405")
		}
		return t.UTC().Format("20060102T150405Z")
	}
	var b bytes.Buffer
	line := func(name, value string) { fold(&b, name+":"+value) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//halfstop//day//EN")
	line("CALSCALE", "GREGORIAN")
	event := func(id, title, text string, from, to int) {
		line("BEGIN", "VEVENT")
		h := fnv.New64a()
		fmt.Fprintf(h, "%s\x00%s\x00%s", s.title(), s.File.Shoot.Date, id)
		line("UID", fmt.Sprintf("%016x@halfstop.invalid", h.Sum64()))
		line("DTSTAMP", now.UTC().Format("20060102T150405Z"))
		line("DTSTART", at(from))
		line("DTEND", at(to))
		line("SUMMARY", escape(title))
		if text != "" {
			line("DESCRIPTION", escape(text))
		}
		line("END", "VEVENT")
	}
	if person == "" && len(s.Day.Tasks) > 0 {
		first, last := s.Day.Tasks[0].Start, 0
		for _, t := range s.Day.Tasks {
			first, last = min(first, t.Start), max(last, t.Start+t.Seconds)
		}
		event("call", s.title()+": crew", s.Day.Sentence, first, last)
	}
	for _, t := range s.Day.Tasks {
		mine := person == "" && t.Picture
		for _, p := range t.People {
			mine = mine || person != "" && strings.EqualFold(p, person)
		}
		if !mine {
			continue
		}
		title := t.Text
		if t.Picture {
			title = "Shoot " + t.Setup
		}
		event(t.ID, title, strings.Join(t.People, ", "), t.Start, t.Start+max(60, t.Seconds))
	}
	line("END", "VCALENDAR")
	return b.Bytes(), nil
}

// escape writes TEXT: backslash, semicolon, comma and line ends.
func escape(s string) string {
	r := strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\r\n", `\n`, "\n", `\n`, "\r", `\n`)
	return strings.Map(func(c rune) rune {
		if c < 0x20 && c != '\t' || c == 0x7f {
			return -1
		}
		return c
	}, r.Replace(s))
}

// fold writes a content line in pieces of at most 75 octets, never inside a character.
func fold(b *bytes.Buffer, s string) {
	room := 75
	for len(s) > room {
		n := room
		for n > 0 && !utf8.RuneStart(s[n]) {
			n--
		}
		b.WriteString(s[:n])
		b.WriteString("\r\n ")
		s, room = s[n:], 74
	}
	b.WriteString(s)
	b.WriteString("\r\n")
}

// Schedule gives the tasks of the day as CSV.
func Schedule(s *Shoot) ([]byte, error) {
	rows := [][]string{{"begin", "end", "minutes", "setup", "task", "action", "people", "slack minutes",
		"critical share"}}
	for _, t := range s.Day.Tasks {
		rows = append(rows, []string{t.Begin, t.End, tenth(float64(t.Seconds) / 60), t.Setup, t.Text, t.Action,
			strings.Join(t.People, " + "),
			tenth(float64(t.Slack) / 60), fmt.Sprintf("%.2f", t.Critical)})
	}
	return table(rows)
}

// ReadingsTable gives the readings to expect as CSV.
func ReadingsTable(s *Shoot) ([]byte, error) {
	rows := [][]string{{"setup", "point", "receptor", "expected", "f-number", "uncertainty stops", "rests on",
		"in the picture stops", "read"}}
	for i := range s.Setups {
		for _, p := range s.Setups[i].Readings.Points {
			level := ""
			if p.Stops != nil {
				level = fmt.Sprintf("%.2f", *p.Stops)
			}
			rows = append(rows, []string{s.Setups[i].Setup.Name, p.Name, p.Receptor, p.FText, fmt.Sprintf("%.2f",
				p.FNumber),
				fmt.Sprintf("%.2f", p.Uncertainty), p.RestsOn, level, ""})
		}
	}
	return table(rows)
}

// KitTable gives the kit list as CSV.
func KitTable(s *Shoot) ([]byte, error) {
	rows := [][]string{{"group", "item", "need", "have", "hire", "kg each", "why", "out", "back"}}
	for _, it := range s.Pack.Items {
		have := ""
		if it.Have > 0 {
			have = strconv.Itoa(it.Have)
		}
		rows = append(rows, []string{it.Group, it.Name, strconv.Itoa(it.Need), have, strconv.Itoa(it.Hire),
			tenth(it.WeightKg), it.Why, "", ""})
	}
	return table(rows)
}

func tenth(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

func table(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	err := w.WriteAll(rows)
	return b.Bytes(), err
}
