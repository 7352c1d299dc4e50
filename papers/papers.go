package papers

import (
	"fmt"
	"image"
	"slices"
	"strings"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/sheet"
	"halfstop/shoot"
)

// Shoot is all that the papers are made of.
type Shoot struct {
	File   *shoot.File
	Day    *answer.Day
	Pack   *answer.Pack
	Setups []Setup
	Checks diag.List // of the whole day
	// Printed is the time at the foot of every page, like '2026-03-14 15:02', and Made the
	// program's version.
	Printed, Made string
	Letter        bool
}

// Short gives a version as the foot of a page can carry it: of one that was built between releases
// the commit's first digits.
func Short(version string) string {
	v, _, _ := strings.Cut(version, " ")
	if parts := strings.Split(v, "-"); len(parts) > 2 {
		last := strings.SplitN(parts[len(parts)-1], "+", 2)[0]
		return last[:min(7, len(last))]
	}
	return v
}

// Setup is one setup's share.
type Setup struct {
	Setup    *shoot.Setup
	Readings answer.SetupReadings
	Plan     *sheet.Plan
	Drawing  *sheet.Drawing
	Picture  image.Image // predicted; nil where there is none
	Messages diag.List   // findings and cautions
	// Assumed is what the file leaves open, the most influential first.
	Assumed []answer.Assumption
}

// Paper is one kind of paper.
type Paper struct {
	Name  string // of its file and of --only
	Says  string
	write func(s *Shoot, b *sheet.Book)
}

// All lists the papers in the order of the book.
func All() []Paper {
	return []Paper{
		{"looks", "look list for the art director: the predicted frames, crop and place of type, intent", looks},
		{"call", "call sheet: who comes when and where", call},
		{"run", "run sheet: every task by the clock, latest beginnings, chances", run},
		{"shots", "shot list: frames, lens, orientation, ticks", shots},
		{"plans", "lighting plan and section of each setup, to scale", plans},
		{"build", "build cards: one glance a light", build},
		{"change", "change cards: from one setup to the next, by person", change},
		{"kit", "kit list with cases, weights, what is short", kitList},
		{"power", "power and cable sheet", power},
		{"venue", "venue sheet: times, people, power, haze, ways kept clear", venue},
		{"risk", "risk notes: what could hurt someone, with a tick and a name", risk},
		{"log", "blank meter log with the readings to expect", meterLog},
	}
}

// Find gives the papers of some names, all of them for none. An unknown name is an error that
// offers the nearest.
func Find(names []string) ([]Paper, error) {
	all := All()
	if len(names) == 0 {
		return all, nil
	}
	var known []string
	for _, p := range all {
		known = append(known, p.Name)
	}
	var out []Paper
	for _, n := range names {
		i := slices.IndexFunc(all, func(p Paper) bool { return strings.EqualFold(p.Name, n) })
		if i < 0 {
			near := ""
			if w := diag.Nearest(n, known); w != "" {
				near = fmt.Sprintf("; write %q", w)
			}
			return nil, fmt.Errorf("there is no paper called %q%s; there are %s", n, near, strings.Join(known,
				", "))
		}
		out = append(out, all[i])
	}
	return out, nil
}

// Make sets papers into one document. One that has nothing to say (change cards of a single setup)
// is left out; nil where all are.
func Make(s *Shoot, papers ...Paper) *sheet.Drawing {
	title := s.title()
	if len(papers) == 1 {
		title += ": " + strings.SplitN(papers[0].Says, ":", 2)[0]
	}
	o := sheet.BookOptions{Title: title,
		Foot: s.title() + " · printed " + s.Printed + " · halfstop " + s.Made +
			" · predictions: meter before you trust them"}
	if s.Letter {
		o.Paper = sheet.Letter
	}
	b := sheet.NewBook(o)
	for _, p := range papers {
		p.write(s, b)
	}
	d := b.Drawing()
	if d.Pages() == 0 {
		return nil
	}
	return d
}

func (s *Shoot) title() string {
	if t := s.File.Shoot.Title; t != "" {
		return t
	}
	return "Shoot"
}

// when is the line under a paper's title.
func (s *Shoot) when() string {
	var parts []string
	for _, p := range []string{s.title(), s.File.Shoot.Date} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, " · ")
}

// ordered gives the setups as they will be shot; those left out come last.
func (s *Shoot) ordered() []*Setup {
	var out []*Setup
	for _, d := range s.Day.Setups {
		for i := range s.Setups {
			if s.Setups[i].Setup.Name == d.Name {
				out = append(out, &s.Setups[i])
			}
		}
	}
	return out
}

// planned gives what the day says of a setup.
func (s *Shoot) planned(name string) answer.DaySetup {
	for _, d := range s.Day.Setups {
		if d.Name == name {
			return d
		}
	}
	return answer.DaySetup{Name: name}
}
