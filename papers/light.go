package papers

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"halfstop/answer"
	"halfstop/day"
	"halfstop/geom"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/sheet"
	"halfstop/shoot"
)

// build is the set of cards that a light is built from: one glance a light.
func build(s *Shoot, b *sheet.Book) {
	for _, st := range s.ordered() {
		if st.Plan == nil {
			continue
		}
		b.Begin("Build cards: "+st.Setup.Name, s.when()+" · x and y from the corner that the plan marks, metres")
		if e := st.Plan.Exposure; e.Aperture > 0 {
			b.Strong(fmt.Sprintf("Camera: %s · %s s · ISO %.0f", answer.FText(e.Aperture), e.Shutter,
				float64(e.ISO)))
		}
		for i := range st.Plan.Lights {
			if l := &st.Plan.Lights[i]; !l.Fixed || l.Stand != nil {
				s.card(b, st, l)
			}
		}
		for i := range st.Plan.Panels {
			p := &st.Plan.Panels[i]
			b.Together(28)
			b.Section(p.Name)
			rows := [][]string{{"build", fmt.Sprintf("%s, %.2f × %.2f m", p.Kind, p.Width, p.Height)},
				{"place", fmt.Sprintf("x %.2f · y %.2f · middle %.2f m high%s; face towards %s", p.At.X, p.At.Y, p.At.Z,
					over(p.Stand, p.At.Z), compass(p.Normal))}}
			b.Table(cardColumns, rows)
		}
		b.Caption("Bag on the leg under the load before the load goes up. Second fixing for anything above people.")
	}
}

// cardColumns are the two columns of a build card.
var cardColumns = []sheet.Column{{Head: "", Share: 1.6}, {Head: "", Share: 8, Strong: true}}

// card is the build card of one light.
func (s *Shoot) card(b *sheet.Book, st *Setup, l *sheet.Light) {
	rows := [][]string{}
	add := func(label, text string) {
		if text != "" {
			rows = append(rows, []string{label, text})
		}
	}
	add("build", l.Words)
	if w := s.light(st.Setup, l.Role); w != nil && w.Head != "" {
		words, ok := day.StandOf(s.File, s.kit(), st.Setup, w)
		if !ok {
			words = "none of the kit carries it so high: hang it or lower it"
		}
		add("stand", words)
	}
	if w := l.Stand; w != nil {
		h := w.Top
		if len(l.Bodies) > 0 {
			h = l.Bodies[0].At.Z
		}
		add("place", fmt.Sprintf("x %.2f · y %.2f · middle of the face %.2f m high", w.At[0], w.At[1], h)+over(w, h))
		if len(l.Bodies) > 0 && !l.NoAim {
			a := l.Bodies[0].Aim
			add("aim", fmt.Sprintf("x %.2f · y %.2f · %.2f m high, %.2f m away", a.X, a.Y, a.Z,
				a.Sub(l.Bodies[0].At).Len()))
		}
	} else {
		add("place", l.Where)
	}
	add("dial", l.Dial)
	add("power", l.Feed)
	add("alone it reads", alone(&st.Readings, l.Role))
	b.Together(14 + 7.4*float64(len(rows))) // a heading and its rows, millimetres: a card is not cut
	b.Section(l.Role)
	b.Table(cardColumns, rows)
}

// kit is the whole kit: the catalogue with the shoot's own.
func (s *Shoot) kit() *kit.Kit {
	k := kit.Merge(kit.Catalogue(), s.File.Kit)
	return &k
}

// light finds a light of a setup by the name on its plan; nil: the house's.
func (s *Shoot) light(setup *shoot.Setup, name string) *shoot.Light {
	for i := range setup.Lights {
		l := &setup.Lights[i]
		if strings.EqualFold(cmp.Or(l.Name, l.Role), name) {
			return l
		}
	}
	return nil
}

// over says how far something is over what its stand stands on, where that is not the floor.
func over(st *sheet.Stand, h float64) string {
	if st == nil || st.On == "" {
		return ""
	}
	return fmt.Sprintf(", %.2f m over %s where its stand is", h-st.Floor, st.On)
}

// compass says a level direction by the plan's axes: 'x+', 'x− y+', 'up'.
func compass(v geom.Vec) string {
	var out []string
	for _, a := range []struct {
		c    float64
		name string
	}{{v.X, "x"}, {v.Y, "y"}} {
		switch {
		case a.c > 0.38: // sin 22.5°
			out = append(out, a.name+"+")
		case a.c < -0.38:
			out = append(out, a.name+"−")
		}
	}
	switch {
	case v.Z > 0.38:
		out = append(out, "up")
	case v.Z < -0.38:
		out = append(out, "down")
	}
	return strings.Join(out, " ")
}

// alone is what a meter at the key side of the face reads of one light by itself.
func alone(r *answer.SetupReadings, light string) string {
	for _, p := range r.Points {
		if p.Name != "face key side" {
			continue
		}
		for _, l := range p.Lights {
			if strings.EqualFold(l.Name, light) && l.Share > 0.005 && p.FNumber > 0 {
				n := p.FNumber * math.Sqrt(l.Share)
				if n < 0.5 {
					return "" // no meter shows it: this light is there for something else
				}
				return answer.FText(q.FNumber(n)) + " at the face, key side"
			}
		}
	}
	return ""
}

// change is the set of cards between setups: by person, in order, with what must not be touched.
func change(s *Shoot, b *sheet.Book) {
	var before string
	for _, d := range s.Day.Setups {
		if !d.In {
			continue
		}
		if before == "" {
			before = d.Name
			continue
		}
		b.Begin("Change: "+before+" → "+d.Name, s.when()+" · picture at "+d.Begin+", latest "+d.Latest)
		for _, p := range s.Day.People {
			var rows [][]string
			for _, t := range s.Day.Tasks {
				if t.Setup != d.Name || t.Picture {
					continue
				}
				for _, who := range t.People {
					if who == p {
						text := t.Text + s.where(d.Name, t.Text)
						with := ""
						for _, o := range t.People {
							if o != p {
								with = " (with " + o + ")"
							}
						}
						rows = append(rows, []string{t.Begin, text + with, ""})
					}
				}
			}
			if len(rows) > 0 {
				b.Section(p)
				b.Table([]sheet.Column{{Head: "from", Share: 1.4}, {Head: "in this order", Share: 9, Strong: true},
					{Head: "done", Share: 0.9, Tick: true}}, rows)
			}
		}
		if keep := s.untouched(before, d.Name); len(keep) > 0 {
			b.Section("Do not touch")
			b.Text(strings.Join(keep, ", "))
		}
		before = d.Name
	}
}

// where adds the place of the light that a task names: its stand's coordinates and height.
func (s *Shoot) where(setup, text string) string {
	for i := range s.Setups {
		st := &s.Setups[i]
		if st.Setup.Name != setup || st.Plan == nil {
			continue
		}
		for k := range st.Plan.Lights {
			l := &st.Plan.Lights[k]
			name := strings.ToLower(l.Role)
			low := strings.ToLower(text)
			if l.Stand != nil && len(l.Bodies) > 0 && (strings.HasPrefix(low, name+": move") ||
				low == "rig "+name || strings.HasPrefix(low, "fly "+name)) {
				h := l.Bodies[0].At.Z
				return fmt.Sprintf(" · stand at x %.2f, y %.2f, face %.2f m high", l.Stand.At[0], l.Stand.At[1], h) +
					over(l.Stand, h)
			}
		}
	}
	return ""
}

// untouched lists lights and panels that both setups have as they are.
func (s *Shoot) untouched(a, b string) []string {
	touched := func(name string) bool {
		for _, t := range s.Day.Tasks {
			if t.Setup == b && strings.Contains(strings.ToLower(t.Text), strings.ToLower(name)) {
				return true
			}
		}
		return false
	}
	var from, to *Setup
	for i := range s.Setups {
		switch s.Setups[i].Setup.Name {
		case a:
			from = &s.Setups[i]
		case b:
			to = &s.Setups[i]
		}
	}
	var out []string
	if from == nil || to == nil {
		return nil
	}
	for _, l := range to.Setup.Lights {
		for _, o := range from.Setup.Lights {
			if l.Name == o.Name && l.Head == o.Head && !touched(l.Name) {
				out = append(out, l.Name)
			}
		}
	}
	return out
}

// meterLog is a sheet to write readings on, beside those to expect.
func meterLog(s *Shoot, b *sheet.Book) {
	for _, st := range s.ordered() {
		b.Begin("Meter log: "+st.Setup.Name, s.when()+fmt.Sprintf(" · ISO %.0f, %s", st.Readings.Camera.ISO,
			q.Seconds(st.Readings.Camera.Shutter)))
		var rows [][]string
		for _, p := range st.Readings.Points {
			if p.FNumber <= 0 {
				continue
			}
			rows = append(rows, []string{p.Name, p.Receptor, p.FText, fmt.Sprintf("±%.1f", math.Max(0.1,
				p.Uncertainty)), "", "", ""})
		}
		for range 6 {
			rows = append(rows, []string{"", "", "", "", "", "", ""})
		}
		if r := answer.RestsOn(st.Readings.Layers); r != "" {
			b.Text(r)
		}
		b.Table([]sheet.Column{{Head: "point", Share: 3.4}, {Head: "receptor", Share: 1.5}, {Head: "expected",
			Share: 1.9, Strong: true}, {Head: "st", Share: 1},
			{Head: "read", Share: 1.8, Blank: true}, {Head: "light alone, which", Share: 2.6, Blank: true},
			{Head: "time", Share: 1.2, Blank: true}}, rows)
		for _, l := range st.Readings.Layers {
			if l.Setting != "" {
				b.Fill(l.Name+", planned "+l.Setting, "")
			}
		}
		assumed(st, b)
	}
}

// assumed is what nobody stated of the place, what that may do to a reading, and a line for what it
// turns out to be.
func assumed(st *Setup, b *sheet.Book) {
	var rows [][]string
	for _, a := range st.Assumed {
		rows = append(rows, []string{a.Words, fmt.Sprintf("±%.1f", a.Stops), a.Point, ""})
	}
	if len(rows) == 0 {
		return
	}
	b.Together(14 + 7.4*float64(len(rows)))
	b.Section("Assumed of the place, what moves a reading most first")
	b.Table([]sheet.Column{{Head: "what nobody stated", Share: 7, Strong: true}, {Head: "st", Share: 1},
		{Head: "most at", Share: 2.4}, {Head: "found to be", Share: 2, Blank: true}}, rows)
}
