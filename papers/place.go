package papers

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"halfstop/answer"
	"halfstop/day"
	"halfstop/diag"
	"halfstop/sheet"
)

// kitList is what goes into the van.
func kitList(s *Shoot, b *sheet.Book) {
	p := s.Pack
	b.Begin("Kit list", s.when())
	b.Strong(fmt.Sprintf("%s · %.0f kg in all · about %.1f m³ · %s", some(len(p.Cases), "case"),
		p.WeightKg, p.VolumeM3, some(p.Trips, "lift trip")))
	group := ""
	var rows [][]string
	flush := func() {
		if len(rows) > 0 {
			b.Section(strings.ToUpper(group[:1]) + group[1:] + " · out, back, number, kg each")
			b.Table([]sheet.Column{{Share: 0.7, Tick: true}, {Share: 0.8, Tick: true}, {Share: 0.8, Strong: true,
				Right: true},
				{Share: 4.6, Strong: true}, {Share: 0.9, Right: true}, {Share: 5.2}}, rows)
		}
		rows = nil
	}
	for _, it := range p.Items {
		if it.Group != group {
			flush()
			group = it.Group
		}
		note := it.Why
		if it.Hire > 0 {
			note = fmt.Sprintf("HIRE %d", it.Hire)
			if it.Instead != "" {
				note += " or " + it.Instead + ", " + it.Cost
			}
		}
		kg := ""
		if it.WeightKg > 0 {
			kg = fmt.Sprintf("%.1f", it.WeightKg)
		}
		rows = append(rows, []string{"", "", fmt.Sprint(it.Need), it.Name, kg, note})
	}
	flush()
	b.Section("Cases")
	for _, c := range p.Cases {
		rows = append(rows, []string{"", "", c.Name, fmt.Sprintf("%.0f kg", c.WeightKg), strings.Join(c.Holds,
			", ")})
	}
	b.Table([]sheet.Column{{Head: "out", Share: 0.7, Tick: true}, {Head: "back", Share: 0.8, Tick: true},
		{Head: "case", Share: 1.3}, {Head: "weight", Share: 1.3, Strong: true},
		{Head: "holds", Share: 8}}, rows)
	for _, n := range p.Notes {
		b.Text(n + ".")
	}
	b.Caption("Lifting: two people or wheels over 20 kg; judge the person and the path. " +
		"Leave nothing behind: practicals' bulbs, clamps, chargers, tape.")
}

// some counts things in words.
func some(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// power is what hangs on which circuit and where the cables run.
func power(s *Shoot, b *sheet.Book) {
	b.Begin("Power and cables", s.when())
	if len(s.File.Room.Circuits) == 0 {
		b.Text("The shoot names no circuits. Find the breaker box on the recce and write here what hangs where.")
		for _, l := range []string{"breaker box", "circuit, fuse", "what else is on it", "who may reset it"} {
			b.Fill(l, "")
		}
	}
	load := day.CircuitLoads(s.File)
	for _, c := range s.File.Room.Circuits {
		b.Section("Circuit " + c.Name)
		if most := float64(c.Volts) * float64(c.Amps); most > 0 {
			b.Fill("carries", fmt.Sprintf("%.0f V, %.0f A: %.0f W", float64(c.Volts), float64(c.Amps), most))
		} else {
			b.Fill("carries", "")
		}
		b.Fill("what else is on it", watts(float64(c.Load)))
		if rows := loads(load, c.Name); len(rows) > 0 {
			b.Table(loadColumns, rows)
		}
	}
	if rows := loads(load, ""); len(rows) > 0 {
		b.Section("On the mains, outlet not said")
		b.Table(loadColumns, rows)
		if len(s.File.Room.Circuits) > 0 {
			b.Fill("circuit, fuse", "")
		}
	}
	if len(s.Pack.Cables) > 0 {
		b.Section("Cable runs")
		var rows [][]string
		for _, c := range s.Pack.Cables {
			rows = append(rows, []string{c.Setup, c.Light, c.Circuit, fmt.Sprintf("%.1f m", c.LengthM), ""})
		}
		b.Table([]sheet.Column{{Head: "setup", Share: 3}, {Head: "light", Share: 3}, {Head: "from", Share: 2.5},
			{Head: "length", Share: 1.6, Strong: true, Right: true}, {Head: "taped", Share: 0.9, Tick: true}}, rows)
		b.Caption("Lengths along the floor round what stands there, with the drop at the stand and a loop of a metre.")
	}
	b.Section("If a breaker trips")
	b.Fill("call", "")
	b.Fill("leave off first", "")
	b.Caption("Do not change fuses or open panels: ask the venue's electrician. " +
		"Uncoil reels fully, use residual-current protection, keep connections out of spills.")
}

// loadColumns are those of what hangs on a circuit.
var loadColumns = []sheet.Column{{Head: "setup", Share: 2.5}, {Head: "light", Share: 2}, {Head: "head", Share: 2.5},
	{Head: "draws", Share: 1.5, Strong: true, Right: true}, {Head: "", Share: 3}}

// loads are the rows of what hangs on a circuit.
func loads(list []day.CircuitLoad, circuit string) (rows [][]string) {
	for _, u := range list {
		if strings.EqualFold(u.Circuit, circuit) {
			rows = append(rows, []string{u.Setup, u.Light, u.Head, watts(u.Watts), u.Note})
		}
	}
	return rows
}

func watts(w float64) string {
	if w <= 0 {
		return ""
	}
	return fmt.Sprintf("%.0f W", w)
}

// venue is the page that a venue's manager can file.
func venue(s *Shoot, b *sheet.Book) {
	a := s.File.Shoot
	b.Begin("For the venue", s.when())
	b.Fill("in", s.Day.Begin)
	b.Fill("out", a.Hours.Out)
	b.Fill("people", fmt.Sprintf("%d crew and the sitter", len(s.Day.People)))
	haze := "no"
	for i := range s.Setups {
		if s.Setups[i].Setup.Haze != nil {
			haze = "yes: alarm isolation is asked for in writing; " +
				"only the responsible person may isolate, with a watch and a reset time"
		}
	}
	b.Fill("haze", haze)
	most := 0.0
	for _, m := range day.CircuitPeaks(s.File) {
		most = max(most, m.Watts)
	}
	var mains []string
	if most > 0 {
		mains = append(mains, fmt.Sprintf("at most %.0f W on one circuit, see power and cables", most))
	}
	if _, w, n := day.Unsaid(s.File); n > 0 {
		mains = append(mains, fmt.Sprintf("%s, %.0f W at once: which outlets, to be agreed", some(n, "thing"), w))
	}
	b.Fill("mains", cmp.Or(strings.Join(mains, "; "), "batteries only"))
	exits := ""
	if n := len(s.File.Room.Exits); n > 0 {
		exits = some(n, "exit") + " marked on the plan; kept clear and unlocked at all times"
	}
	b.Fill("exits", exits)
	for _, l := range []string{"areas used", "furniture moved", "floor protection", "noise",
		"contact of the venue", "contact of the crew", "insurance, certificates"} {
		b.Fill(l, "")
	}
	b.Section("Put back")
	for _, l := range []string{"furniture as on the photographs taken before",
		"dimmers and switches as they were", "venue's bulbs back in", "tape and marks gone",
		"alarm armed again: name, time"} {
		b.Tick(l)
	}
	b.Section("Questions we still have")
	for range 4 {
		b.Fill("", "")
	}
	b.Caption("The venue's fire plan, local codes and licensed people decide; " +
		"where they ask for more than this sheet, they are right.")
}

// risk is the cautions of all setups, gravest kind first, each once.
func risk(s *Shoot, b *sheet.Book) {
	b.Begin("Risk notes", s.when())
	b.Text("Planning hints from the plan as drawn. Checked, not checked or ask: a tick and a name each.")
	seen := map[string]bool{}
	type row struct {
		rank int
		cell []string
	}
	var rows []row
	add := func(list diag.List, setup string) {
		for _, m := range list {
			grave := m.Severity == diag.Caution || m.Severity == diag.Finding
			if !m.Accepted && !(grave && hurts(m.Code)) || seen[m.Text] {
				continue
			}
			seen[m.Text] = true
			rows = append(rows, row{rank(m.Code), []string{m.Text, m.Fix, setup, "", ""}})
		}
	}
	add(s.Checks, "")
	for _, st := range s.ordered() {
		add(answer.Together(st.Messages, answer.Names(st.Setup)), st.Setup.Name)
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].rank < rows[j].rank })
	cells := [][]string{}
	for _, r := range rows {
		cells = append(cells, r.cell)
	}
	for _, u := range usual {
		cells = append(cells, []string{u[0], u[1], "all", "", ""})
	}
	b.Table([]sheet.Column{{Head: "what", Share: 4.4}, {Head: "what to do", Share: 4.4}, {Head: "setup",
		Share: 1.6}, {Head: "seen to", Share: 0.9, Tick: true},
		{Head: "by", Share: 1.5, Blank: true}}, cells)
	for _, l := range []string{"first aider", "meeting point", "emergency number, address to give"} {
		b.Fill(l, "")
	}
	b.Caption("This does not make anything free of danger. The venue, local codes and licensed people decide.")
}

// hurts reports whether a message is of what could hurt someone, or of what the venue answers for;
// the others are the picture's, and stand on its plan.
func hurts(code string) bool {
	if strings.HasPrefix(code, "caution.") {
		return true
	}
	return slices.Contains([]string{"day.stand-load", "day.stand-height", "day.tip", "day.boom", "day.over-person",
		"day.heat-near", "day.hot-cloth", "day.flash-near", "day.strobe", "day.way", "day.cable-way", "day.circuit",
		"day.inrush", "day.mains", "day.haze-detectors", "stage.stand-feet", "stage.stand-in-door",
		"stage.stand-in-object", "stage.arm-in-sitter", "stage.load"}, code)
}

// usual are the cautions of every shoot on location: common practice, no source.
var usual = [][2]string{
	{"exits and ways", "keep exits, signs, call points and extinguishers clear; cases out of corridors"},
	{"cables", "cross ways at a right angle, tape or ramp the whole width, tell staff"},
	{"lifting", "two people or wheels; judge the person and the path"},
	{"flash", "never a close flash into eyes; ask beforehand whether anyone is photosensitive; no bursts"},
	{"ladders", "a longer stand rather than a ladder; someone holds it; no reaching"},
}

// rank is the order on paper: exits, electric, overhead, haze, then the rest.
func rank(code string) int {
	for i, word := range []string{"exit", "way", "circuit", "inrush", "overhead", "person", "boom", "tip", "haze"} {
		if strings.Contains(code, word) {
			return i
		}
	}
	return 9
}
