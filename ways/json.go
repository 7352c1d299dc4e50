package ways

import (
	"fmt"
	"math"

	"halfstop/balance"
	q "halfstop/quantity"
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
	Sentence string        `json:"sentence"` // what to do and why
	Missed   []MissedJSON  `json:"missed"`   // what the balanced look misses
	Ways     []WayJSON     `json:"ways"`     // best first, each once
	Refused  []RefusedJSON `json:"refused"`  // thought of, but they cannot stand here
	Cannot   []string      `json:"cannot"`   // what cannot stand as the file has it
	Stopped  bool          `json:"stopped"`
	Compared float64       `json:"traced_to_stops"` // standard error of the readings that the figures come from
	Notes    []string      `json:"notes,omitempty"`
}

// RefusedJSON is a way that cannot stand in this place.
type RefusedJSON struct {
	Words string `json:"words"`
	Why   string `json:"why"`
}

// MissedJSON is one missed target.
type MissedJSON struct {
	Words    string      `json:"words"`
	Off      string      `json:"off"` // '0.9 st too little'
	Residual float64     `json:"residual_stops"`
	Reason   string      `json:"reason"`
	Causes   []CauseJSON `json:"causes"`
}

// CauseJSON is one reason for a miss, in words of the set.
type CauseJSON struct {
	Kind   string  `json:"kind"`
	Words  string  `json:"words"`
	Buys   float64 `json:"buys_stops,omitempty"`
	Around float64 `json:"bring_round_to_degrees,omitempty"`
}

func causesJSON(list []Cause) []CauseJSON {
	out := []CauseJSON{}
	for _, c := range list {
		out = append(out, CauseJSON{string(c.Kind), c.Said(), float64(c.Buys), float64(c.Around)})
	}
	return out
}

// WayJSON is one way out.
type WayJSON struct {
	Kind       string          `json:"kind"`
	Words      string          `json:"words"`
	Detail     string          `json:"detail,omitempty"`
	Settings   []string        `json:"settings"`
	StillShort float64         `json:"still_short_stops"` // Σ of what is left missed, tolerances taken off
	Others     float64         `json:"others_stops"`      // largest move of a target that was met
	OthersAt   string          `json:"others_at,omitempty"`
	DeltaE     float64         `json:"delta_e2000"`
	Softness   float64         `json:"softness"` // width of the key's shadow edge against now
	Pattern    string          `json:"pattern,omitempty"`
	Minutes    float64         `json:"minutes"`
	Who        string          `json:"who"`
	Needs      []string        `json:"needs"`
	Taken      []string        `json:"not_free"`
	Look       float64         `json:"look"`  // loss of the picture and of the means; see docs/balance.md
	Score      float64         `json:"score"` // look with minutes and kit: the order of the list
	Targets    []WayTargetJSON `json:"targets"`
	Edits      []EditJSON      `json:"edits"`
	Adds       []EditJSON      `json:"adds"`
	Deletes    []string        `json:"deletes"`
}

// WayTargetJSON is one target with the way taken.
type WayTargetJSON struct {
	Words     string   `json:"words"`
	Before    *float64 `json:"before"` // as the file has it
	Predicted *float64 `json:"predicted"`
	BeforeTxt string   `json:"before_text"`
	Text      string   `json:"predicted_text"`
	Residual  float64  `json:"residual_stops"`
	Met       bool     `json:"met"`
}

// JSON is the published shape.
func (f *Found) JSON() WaysJSON {
	out := WaysJSON{Name: f.Setup, Sentence: f.Sentence(), Missed: []MissedJSON{}, Ways: []WayJSON{},
		Refused: []RefusedJSON{}, Cannot: append([]string{}, f.Cannot...), Stopped: f.Stopped,
		Compared: float64(f.Compared), Notes: f.Notes}
	for _, m := range f.Missed {
		out.Missed = append(out.Missed, MissedJSON{Words: m.Words, Off: m.Off, Residual: float64(m.Residual),
			Reason: m.Reason, Causes: causesJSON(m.Causes)})
	}
	for i := range f.Ways {
		out.Ways = append(out.Ways, f.Ways[i].JSON())
	}
	for _, r := range f.Refused {
		out.Refused = append(out.Refused, RefusedJSON{Words: r.Words, Why: r.Why})
	}
	return out
}

// JSON is the published shape.
func (w *Way) JSON() WayJSON {
	out := WayJSON{Kind: string(w.Kind), Words: w.Words, Detail: w.Detail, Settings: some0(w.Settings),
		StillShort: float64(w.StillShort), Others: float64(w.Others),
		DeltaE: w.DeltaE, Softness: w.Softness, Pattern: w.Pattern, Minutes: float64(w.Minutes), Who: w.Who,
		Needs: some0(w.Needs), Taken: some0(w.Taken),
		Look: w.Look, Score: w.Score, Targets: []WayTargetJSON{}, Edits: editsJSON(w.Edits), Adds: editsJSON(w.Adds),
		Deletes: some0(w.Deletes)}
	out.OthersAt = w.OthersWords()
	for _, t := range w.Targets() {
		out.Targets = append(out.Targets, WayTargetJSON{t.Words, finite(t.Before), finite(t.After),
			t.BeforeText, t.AfterText, float64(t.Residual), t.Met})
	}
	return out
}

// WayTarget is one target before and after a way.
type WayTarget struct {
	Words                 string
	Before, After         float64
	BeforeText, AfterText string
	Residual              q.Stops
	Met                   bool
	Missed                string // 'missed by 0.2 st, less than is known'; empty where it is met
	Known                 bool   // missed by more than the prediction is known to
}

// trusted is the part of the standard deviation of a prediction up to which a miss may be none: the
// same at which balance leaves a target as it is.
const trusted = 0.7

// missedBy returns the words of a miss, and whether it is more than is known.
func missedBy(t *balance.Target, residual q.Stops, met bool) (words string, known bool) {
	if met {
		return "", false
	}
	switch t.Kind {
	case balance.Colour:
		return "missed", true
	case balance.Warmth:
		return fmt.Sprintf("missed by %.0f mired", math.Abs(float64(residual))*balance.Warmth.UnitPerStop()), true
	case balance.Ambient:
		return fmt.Sprintf("missed by %.1f st", math.Abs(float64(residual))), true
	}
	amount := math.Abs(float64(residual))
	words = fmt.Sprintf("missed by %.1f st", amount)
	if known = amount > trusted*t.Sigma; !known {
		words += ", less than is known"
	}
	return words, known
}

// Targets gives each target's value as the file has it and with the way taken.
func (w *Way) Targets() (out []WayTarget) {
	for i, o := range w.Solution.Targets {
		if i >= len(w.aims) || i >= len(w.before) {
			break
		}
		k, was := w.problem.Targets[i].Kind, &w.before[i]
		words, known := missedBy(&w.problem.Targets[i], o.Residual, o.Met || o.Unknown)
		out = append(out, WayTarget{w.aims[i].words, was.Predicted, o.Predicted, outcomeText(k, was, w.white),
			outcomeText(k, &o, w.white), o.Residual, o.Met || o.Unknown, words, known})
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
