package papers

import (
	"fmt"
	"math"
	"strings"

	"halfstop/answer"
	"halfstop/sheet"
)

// looks is the art director's list: one predicted frame a setup with its crop and the place of
// type.
func looks(s *Shoot, b *sheet.Book) {
	for _, st := range s.ordered() {
		d := s.planned(st.Setup.Name)
		sub := s.when()
		switch {
		case d.In:
			sub += fmt.Sprintf(" · %s to %s", d.Begin, d.End)
		case !d.Shot:
			sub += " · no time for it in the plan of the day"
		}
		b.Begin("Look: "+st.Setup.Name, sub)
		if n := st.Setup.Notes; n != "" {
			b.Strong(n)
		} else {
			b.Fill("intent, one sentence", "")
		}
		if st.Picture != nil {
			box := b.Picture(st.Picture, 182, 150, "Predicted picture, computed from the plan: not a photograph.")
			if c := st.Setup.Camera; c != nil && c.Crop != nil {
				b.Outline(box, c.Crop[0], c.Crop[1], c.Crop[2], c.Crop[3], "crop")
			}
			if cv := st.Setup.Cover; cv != nil {
				b.Outline(box, 0, 0, 1, float64(cv.Title), "title")
				m := float64(cv.Margin)
				b.Outline(box, m, m, 1-m, 1-m, "type stays inside")
			}
		} else {
			b.Caption("No camera in the plan, so there is no predicted picture.")
		}
		var rows [][]string
		for _, w := range st.Readings.Look {
			rows = append(rows, []string{w.Words, comesOut(w)})
		}
		if len(rows) > 0 {
			b.Section("What is wished")
			b.Table([]sheet.Column{{Head: "wish", Share: 6}, {Head: "comes out", Share: 4}}, rows)
		}
		b.Fill("page, orientation, count", "")
		b.Fill("who approves", "")
	}
}

// comesOut says in words how a wish comes out: an art director reads no stops.
func comesOut(w answer.LookJSON) string {
	if w.Met {
		return "as wished"
	}
	if w.Kind == "colour" {
		return "another colour: " + w.Predicted
	}
	word := "brighter"
	if w.Residual < 0 {
		word = "darker"
	}
	switch d := math.Abs(w.Residual); {
	case d < 0.35:
		word = "a touch " + word
	case d >= 1:
		word = "much " + word
	}
	return fmt.Sprintf("%s than wished: %s", word, w.Predicted)
}

// call is the call sheet.
func call(s *Shoot, b *sheet.Book) {
	a := s.File.Shoot
	b.Begin("Call sheet", s.when())
	b.Strong(s.Day.Sentence)
	b.Section("When and where")
	b.Fill("date", a.Date)
	b.Fill("crew in", s.Day.Begin)
	b.Fill("sitter", a.Hours.Sitter)
	b.Fill("sitter leaves, strike", a.Hours.Strike)
	b.Fill("place empty", a.Hours.Out)
	for _, l := range []string{"address", "entrance, lift", "parking, loading", "nearest emergency hospital",
		"weather, sunset"} {
		b.Fill(l, "")
	}
	b.Section("Who")
	var rows [][]string
	for _, p := range s.Day.People {
		rows = append(rows, []string{p, s.Day.Begin, ""})
	}
	rows = append(rows, []string{"sitter", a.Hours.Sitter, ""}, []string{"venue", "", ""},
		[]string{"art director", "", ""})
	b.Table([]sheet.Column{{Head: "person", Share: 4}, {Head: "in", Share: 2}, {Head: "phone", Share: 4,
		Blank: true}}, rows)
	b.Section("Setups")
	rows = nil
	for _, d := range s.Day.Setups {
		when := "left out"
		if d.In {
			when = d.Begin + " – " + d.End
		}
		rows = append(rows, []string{d.Name, when})
	}
	b.Table([]sheet.Column{{Head: "setup", Share: 6}, {Head: "shooting", Share: 4}}, rows)
	b.Section("Notes")
	if a.Notes != "" {
		b.Text(a.Notes)
	}
	for _, l := range []string{"wardrobe, props", "meals", "confidentiality"} {
		b.Fill(l, "")
	}
	b.Caption("Keep exits, signs and call points clear. The venue, local codes and licensed people decide.")
}

// run is the run sheet.
func run(s *Shoot, b *sheet.Book) {
	b.Begin("Run sheet", s.when())
	b.Strong(s.Day.Sentence)
	b.Section("Setups")
	var rows [][]string
	for _, d := range s.Day.Setups {
		if !d.In {
			rows = append(rows, []string{d.Name, "left out", "", "", ""})
			continue
		}
		rows = append(rows, []string{d.Name, d.Begin, d.End, d.Latest, fmt.Sprintf("%.0f", 100*d.Chance)})
	}
	b.Table([]sheet.Column{{Head: "setup", Share: 5}, {Head: "begins", Share: 1.6, Strong: true},
		{Head: "ends", Share: 1.6},
		{Head: "latest begin", Share: 1.8}, {Head: "days of 100 in time", Share: 2.4, Right: true}}, rows)
	b.Section("Every task")
	rows = nil
	for _, t := range s.Day.Tasks {
		slack := fmt.Sprintf("%d min", t.Slack/60)
		if t.Slack < 60 {
			slack = "none"
		}
		text := t.ID
		if t.Picture {
			text = strings.ToUpper(t.Setup) + ": shoot"
		}
		rows = append(rows, []string{t.Begin + " – " + t.End, text, strings.Join(t.People, " + "), slack, ""})
	}
	b.Table([]sheet.Column{{Head: "time", Share: 2.3}, {Head: "task", Share: 6.2}, {Head: "who", Share: 3.8},
		{Head: "slack", Share: 1.3},
		{Head: "done", Share: 0.9, Tick: true}}, rows)
	if len(s.Day.Reliefs) > 0 {
		b.Section("If it runs late, give up first")
		rows = nil
		for i, r := range s.Day.Reliefs {
			if i < 5 {
				rows = append(rows, []string{r.Text, fmt.Sprintf("%.0f in 100", 100*r.Chance)})
			}
		}
		b.Table([]sheet.Column{{Head: "give up", Share: 8}, {Head: "chance of all the rest then", Share: 4,
			Right: true}}, rows)
	}
	b.Caption(fmt.Sprintf(
		"Chances from %d simulated days; durations are common practice unless the crew wrote its own.", s.Day.Days))
}

// shots is the shot list.
func shots(s *Shoot, b *sheet.Book) {
	b.Begin("Shot list", s.when())
	var rows [][]string
	for i, st := range s.ordered() {
		c := st.Setup.Camera
		lens, way, exposure := "", "", ""
		if c != nil {
			lens = fmt.Sprintf("%.0f mm", float64(c.Lens)*1000)
			way = "landscape"
			if c.Upright {
				way = "upright"
			}
			exposure = fmt.Sprintf("%s · %s · ISO\u00a0%.0f", c.Aperture, c.Shutter, float64(c.ISO))
		}
		name := fmt.Sprintf("%d %s", i+1, st.Setup.Name)
		rows = append(rows, []string{name, lens, way, exposure, fmt.Sprintf("%02d_%s_", i+1,
			prefix(st.Setup.Name)), ""})
	}
	b.Table([]sheet.Column{{Head: "setup", Share: 2.7}, {Head: "lens", Share: 1.4, Strong: true},
		{Head: "frame", Share: 1.6},
		{Head: "exposure", Share: 4.4, Strong: true}, {Head: "files begin with", Share: 2.7}, {Head: "done",
			Share: 0.8, Tick: true}}, rows)
	for _, st := range s.ordered() {
		b.Section(st.Setup.Name)
		for _, l := range []string{"hero frame", "safety 1", "safety 2", "clean plate, nobody in frame"} {
			b.Tick(l)
		}
		if len(s.File.Room.Practicals) > 0 {
			b.Tick("plate with practicals on")
		}
		b.Tick("colour reference frame")
	}
}

func prefix(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r > 127:
			return r
		}
		return '-'
	}, s)
}

func plans(s *Shoot, b *sheet.Book) {
	for _, st := range s.ordered() {
		if st.Drawing != nil {
			b.Append(st.Drawing, "Lighting plan: "+st.Setup.Name)
		}
	}
}
