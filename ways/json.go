package ways

import (
	"halfstop/balance"
)

// Ways is what `ways --json` prints.
type Out struct {
	Version int        `json:"version"` // of this shape: 1
	Shoot   string     `json:"shoot"`
	Setups  []WaysJSON `json:"setups"`
}

// WaysJSON is one setup.
type WaysJSON struct {
	Name     string        `json:"name"`
	Missed   []MissedJSON  `json:"missed"`
	Refused  []RefusedJSON `json:"refused"` // thought of, but they cannot stand here
	Stopped  bool          `json:"stopped"`
	Compared float64       `json:"compared_to_stops"` // standard error of the readings compared
	Notes    []string      `json:"notes,omitempty"`
}

// RefusedJSON is a way that cannot stand in this place.
type RefusedJSON struct {
	Words string `json:"words"`
	Why   string `json:"why"`
}

// MissedJSON is one missed target with its ways out.
type MissedJSON struct {
	Words    string    `json:"words"`
	Residual float64   `json:"residual_stops"`
	Reason   string    `json:"reason"`
	Ways     []WayJSON `json:"ways"` // best first
}

// WayJSON is one way out.
type WayJSON struct {
	Kind       string          `json:"kind"`
	Words      string          `json:"words"`
	Detail     string          `json:"detail,omitempty"`
	Settings   []string        `json:"settings"`
	StillShort float64         `json:"still_short_stops"` // Σ weight × what is left missed of the missed targets
	Others     float64         `json:"others_stops"`      // largest move of a target that was met
	OthersAt   string          `json:"others_at,omitempty"`
	DeltaE     float64         `json:"delta_e2000"`
	Softness   float64         `json:"softness"` // width of the key's shadow edge against now
	Pattern    string          `json:"pattern,omitempty"`
	Minutes    float64         `json:"minutes"`
	Who        string          `json:"who"`
	Needs      []string        `json:"needs"`
	Taken      []string        `json:"not_free"`
	Look       float64         `json:"look_stops"` // what the picture loses, all but minutes and kit
	Score      float64         `json:"score_stops"`
	Targets    []WayTargetJSON `json:"targets"`
	Edits      []EditJSON      `json:"edits"`
	Adds       []EditJSON      `json:"adds"`
	Deletes    []string        `json:"deletes"`
}

// WayTargetJSON is one target with the way taken.
type WayTargetJSON struct {
	Words     string   `json:"words"`
	Predicted *float64 `json:"predicted"`
	Text      string   `json:"predicted_text"`
	Residual  float64  `json:"residual_stops"`
	Met       bool     `json:"met"`
}

// JSON is the published shape.
func (f *Found) JSON() WaysJSON {
	out := WaysJSON{Name: f.Setup, Missed: []MissedJSON{}, Refused: []RefusedJSON{}, Stopped: f.Stopped, Compared: float64(f.Compared), Notes: f.Notes}
	for _, m := range f.Missed {
		j := MissedJSON{Words: m.Words, Residual: float64(m.Residual), Reason: m.Reason, Ways: []WayJSON{}}
		for i := range m.Ways {
			j.Ways = append(j.Ways, m.Ways[i].JSON())
		}
		out.Missed = append(out.Missed, j)
	}
	for _, r := range f.Refused {
		out.Refused = append(out.Refused, RefusedJSON(r))
	}
	return out
}

// JSON is the published shape.
func (w *Way) JSON() WayJSON {
	out := WayJSON{Kind: string(w.Kind), Words: w.Words, Detail: w.Detail, Settings: some0(w.Settings), StillShort: float64(w.StillShort), Others: float64(w.Others),
		DeltaE: w.DeltaE, Softness: w.Softness, Pattern: w.Pattern, Minutes: float64(w.Minutes), Who: w.Who, Needs: some0(w.Needs), Taken: some0(w.Taken),
		Look: float64(w.Look), Score: float64(w.Score), Targets: []WayTargetJSON{}, Edits: editsJSON(w.Edits), Adds: editsJSON(w.Adds), Deletes: some0(w.Deletes)}
	out.OthersAt = w.OthersWords()
	for i, o := range w.Solution.Targets {
		if i < len(w.aims) {
			out.Targets = append(out.Targets, WayTargetJSON{w.aims[i].words, finite(o.Predicted), kindText(w.problem.Targets[i].Kind, o.Predicted), float64(o.Residual), o.Met})
		}
	}
	return out
}

// OthersWords names the target that was met and moves most; empty for none.
func (w *Way) OthersWords() string {
	if w.OthersAt >= 0 && w.OthersAt < len(w.aims) && (w.Others > balance.Shown || w.Others < -balance.Shown) {
		return w.aims[w.OthersAt].words
	}
	return ""
}

func some0(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}
