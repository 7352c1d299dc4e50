package answer

import (
	"fmt"

	"halfstop/diag"
	"halfstop/optics"
	"halfstop/stage"
)

// Cautions says what could hurt someone or must be asked of the venue, and what the camera's
// settings cost. Planning hints only: local rules, the venue and licensed people decide.
func (j *Job) Cautions(s *stage.Stage) diag.List {
	var out diag.List
	add := func(sev diag.Severity, code, path, fix, format string, args ...any) {
		m := diag.Message{Severity: sev, Code: code, Text: fmt.Sprintf(format, args...), Fix: fix}
		if j.Doc != nil && path != "" {
			m.Pos = j.Doc.Pos(path)
		}
		out = append(out, m)
	}
	setup := fmt.Sprintf("setups[%d]", s.Index)
	// Overhead.
	for _, l := range s.Layers {
		if l.Light < 0 || len(l.Bodies) == 0 || l.Source == nil {
			continue
		}
		b := l.Bodies[0]
		if stand, _ := s.Kit().FindStand(s.Setup.Lights[l.Light].Stand); b.At.Z > 2.2 && stand.Kind == "clamp" {
			add(diag.Caution, "caution.overhead", l.Path+".height",
				"a second fixing on everything that hangs, nobody under it meanwhile; the venue says who may go up",
				"%s hangs at %.2f m from a clamp: what it holds on must carry it", l.Name, b.At.Z)
		} else if b.At.Z > 2.2 {
			add(diag.Caution, "caution.overhead", l.Path+".height",
				"longest leg under the load, bag on the leg, second fixing over people",
				"%s hangs at %.2f m: work on it with the stand lowered, not from a ladder", l.Name, b.At.Z)
		}
		if l.Source.Hot {
			add(diag.Caution, "caution.hot", l.Path, "gloves; let it cool before striking; only sheets made for heat",
				"%s gets hot: keep cloth, foam and sprinkler heads away", l.Name)
		}
		for _, d := range j.File.Room.Detectors {
			dx, dy, dz := float64(d[0])-b.At.X, float64(d[1])-b.At.Y, float64(d[2])-b.At.Z
			if dist := dx*dx + dy*dy + dz*dz; dist < 0.5*0.5 {
				add(diag.Caution, "caution.detector", l.Path, "move it away; never cover a detector",
					"%s is within half a metre of a smoke head or sprinkler", l.Name)
			}
		}
	}
	// Haze.
	if s.Scene.Medium != nil {
		add(diag.Caution, "caution.haze", setup+".haze",
			"ask the venue and its alarm contact in writing; tell everyone before; a way out for people with "+
				"asthma; ventilate",
			"haze sets off smoke heads; only the responsible person may isolate them, with a watch and a reset time")
	}
	// Exits.
	for _, l := range s.Layers {
		if l.Light < 0 || len(l.Bodies) == 0 {
			continue
		}
		for k, x := range j.File.Room.Exits {
			dx, dy := float64(x[0])-l.Bodies[0].At.X, float64(x[1])-l.Bodies[0].At.Y
			if dx*dx+dy*dy < 1 {
				add(diag.Caution, "caution.exit", l.Path+".at", "keep the way clear; the venue's fire plan decides",
					"the stand of %s is within a metre of exit %d", l.Name, k+1)
			}
		}
	}
	// Shutter.
	if c := s.Setup.Camera; c != nil && c.Sync > 0 && c.Shutter < c.Sync*0.999 && !c.HighSpeed {
		flash := false
		for _, l := range s.Layers {
			flash = flash || l.Flash
		}
		if flash {
			lit, _ := optics.FlashThrough(c.Shutter, c.Sync, 0)
			add(diag.Finding, "camera.sync", setup+".camera.shutter", "take "+c.Sync.String()+" or longer",
				"the shutter is faster than the sync speed %s: the flash reaches %.0f %% of the frame", c.Sync,
				float64(lit)*100)
		}
	}
	return out
}
