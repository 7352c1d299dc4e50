package answer

import (
	"cmp"
	"regexp"
	"strings"

	"halfstop/diag"
	"halfstop/shoot"
)

var figures = regexp.MustCompile(`[0-9][0-9.,]*`)

// Names are what a setup calls its lights and panels.
func Names(s *shoot.Setup) []string {
	var out []string
	for i := range s.Lights {
		out = append(out, cmp.Or(s.Lights[i].Name, s.Lights[i].Role))
	}
	for i := range s.Panels {
		out = append(out, cmp.Or(s.Panels[i].Name, s.Panels[i].Kind))
	}
	return out
}

// Together is a list for paper: where several of the things named are told the same, with other
// figures at most, the first says it and names the others. names are of lights and panels.
func Together(list diag.List, names []string) diag.List {
	var out diag.List
	type group struct {
		at     int
		others []string
	}
	groups := map[string]*group{}
	for _, m := range list {
		named, rest := "", ""
		for _, n := range names {
			if r, ok := strings.CutPrefix(m.Text, n+" "); ok && len(n) > len(named) {
				named, rest = n, r
			}
		}
		if named == "" {
			out = append(out, m)
			continue
		}
		key := m.Code + "\x00" + m.Fix + "\x00" + figures.ReplaceAllString(rest, "#")
		g, ok := groups[key]
		if !ok {
			groups[key] = &group{at: len(out)}
			out = append(out, m)
			continue
		}
		g.others = append(g.others, named)
	}
	for _, g := range groups {
		if len(g.others) > 0 {
			out[g.at].Text += "; so with " + strings.Join(g.others, ", ")
		}
	}
	return out
}
