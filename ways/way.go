package ways

import (
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfstop/balance"
	q "halfstop/quantity"
	"halfstop/yamltext"
)

// way completes a scored candidate with what to do.
func (f *finder) way(v balance.Way) Way {
	w := Way{Way: v, problem: f.now.Problem, aims: f.now.aims, before: f.keep,
		white: f.base.stage.White.XY()}
	r, sol := f.base, v.Solution
	if v.Candidate >= 0 {
		c := f.list[v.Candidate]
		if r = c.rig; r == nil {
			r = f.base
		}
		w.Edits, w.Adds, w.Deletes = slices.Clone(c.edits), c.adds, c.deletes
		w.touched = slices.Concat(c.layers, c.offs)
		if len(c.offs) > 0 { // one list of all that is off, whatever brought it there
			off := slices.Clone(f.base.stage.Setup.Off)
			for _, n := range c.offs {
				if !slices.Contains(off, n) {
					off = append(off, n)
				}
			}
			for i := range off {
				off[i] = yamltext.Quote(off[i], true)
			}
			w.Edits = append(w.Edits, yamltext.Edit{Path: fmt.Sprintf("setups[%d].off", f.setup),
				Value: "[" + strings.Join(off, ", ") + "]"})
		}
		if c.write != nil {
			w.Edits = append(w.Edits, c.write(sol)...)
		}
		if c.say != nil {
			w.Words = c.say(r, sol)
		}
		if c.tell != nil {
			w.Detail = strings.Trim(w.Detail+"; "+c.tell(sol), "; ")
		}
		if how := f.follows(r, sol); c.flash && how != "" {
			w.Words += "; " + how
		}
	}
	p, _, _ := r.problem()
	w.Edits = append(w.Edits, r.edits(p, sol)...)
	for l, s := range sol.Lights {
		if !s.Changed || l >= len(r.stage.Layers) || r.stage.Layers[l].Light < 0 {
			continue
		}
		text := s.Name + " " + r.said(l, s.Level)
		if s.Off {
			text = s.Name + " off"
		}
		if s.Option != p.Lights[l].Option {
			text += ", " + r.options[l][s.Option].name
		}
		ly := &r.stage.Layers[l]
		if h, ok := r.stage.Kit().FindHead(r.stage.Setup.Lights[ly.Light].Head); ok && ly.Flash && !s.Off {
			if how := pace(h, s.Level); how != "" {
				text += " (" + how + ")"
			}
		}
		w.Settings = append(w.Settings, text)
	}
	c := f.base.stage.Setup.Camera
	if c != nil {
		if sol.Aperture != c.Aperture {
			w.Settings = append(w.Settings, sol.Aperture.String())
		}
		if sol.Shutter != c.Shutter {
			w.Settings = append(w.Settings, sol.Shutter.String())
		}
		if sol.ISO != c.ISO {
			w.Settings = append(w.Settings, fmt.Sprintf("ISO %g", float64(sol.ISO)))
		}
	}
	if a, b := keyFacts(f.base.stage), keyFacts(r.stage); a != nil && b != nil && a.Pattern.Name != b.Pattern.Name {
		w.Pattern = a.Pattern.Name + " becomes " + b.Pattern.Name
	}
	return w
}

// What a change costs in time.
type act struct {
	minutes q.Minutes
	who     string
}

//go:embed minutes.csv
var minutesCSV string

func minutesOf(action string) act {
	for line := range strings.Lines(minutesCSV) {
		f := strings.Split(strings.TrimSpace(line), ",")
		if len(f) == 3 && f[0] == action {
			v, _ := strconv.ParseFloat(f[1], 64)
			return act{q.Minutes(v), f[2]}
		}
	}
	return act{5, "assistant"}
}
