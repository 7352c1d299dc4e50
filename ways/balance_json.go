package ways

import (
	"math"

	"halfstop/balance"
	"halfstop/yamltext"
)

// Balances is what `balance --json` prints.
type Balances struct {
	Version int           `json:"version"` // of this shape: 1
	Shoot   string        `json:"shoot"`
	Setups  []BalanceJSON `json:"setups"`
}

// BalanceJSON is one setup balanced.
type BalanceJSON struct {
	Name    string         `json:"name"`
	Said    string         `json:"sentence"` // what to do and why
	Camera  CameraSetJSON  `json:"camera"`
	Lights  []LightSetJSON `json:"lights"`
	Targets []TargetJSON   `json:"targets"`
	Points  []PointNowJSON `json:"points"`
	Missed  int            `json:"missed"`
	// the objective; a miss of one stop beyond the tolerance of a 'nice' costs 1
	Loss    float64    `json:"loss"`
	Means   float64    `json:"means_loss"` // of it, what the means cost: noise, depth, blur, dials touched
	Changed int        `json:"changed"`    // settings that differ from the shoot file
	Proven  bool       `json:"proven"`     // every combination of settings was tried
	White   *WhiteJSON `json:"white,omitempty"`
	Notes   []string   `json:"notes,omitempty"`
	Edits   []EditJSON `json:"edits"`
}

// CameraSetJSON is the camera's settings, before and now.
type CameraSetJSON struct {
	Aperture     float64 `json:"aperture"`
	ApertureText string  `json:"aperture_text"`
	Shutter      float64 `json:"shutter_seconds"`
	ShutterText  string  `json:"shutter_text"`
	ISO          float64 `json:"iso"`
	Changed      bool    `json:"changed"`
	FlashCut     bool    `json:"flash_cut"` // faster than sync: flash does not count
	// White is the white balance to set, kelvin, where it is free and differs from the present one.
	White *float64 `json:"white_balance_kelvin,omitempty"`
}

// LightSetJSON is one light's setting.
type LightSetJSON struct {
	Name     string    `json:"name"`
	Was      string    `json:"was"`
	Now      string    `json:"now"`
	Option   string    `json:"option,omitempty"` // gel or colour where it changes
	Stops    float64   `json:"stops"`            // against full
	Headroom float64   `json:"headroom_stops"`
	Changed  bool      `json:"changed"`
	Fixed    bool      `json:"fixed"`
	Drives   []float64 `json:"drives,omitempty"`
}

// TargetJSON is one target.
type TargetJSON struct {
	Words     string      `json:"words"`
	Point     string      `json:"point"`
	Kind      string      `json:"kind"`
	Priority  string      `json:"priority"`
	Wish      int         `json:"wish"` // number of the entry of the look, counted from 0
	Low       *float64    `json:"low"`  // wanted range in the kind's unit; null: no bound
	High      *float64    `json:"high"`
	Predicted *float64    `json:"predicted"`
	Wanted    string      `json:"wanted_text"`
	Text      string      `json:"predicted_text"`
	Residual  float64     `json:"residual_stops"`
	Met       bool        `json:"met"`
	Error     float64     `json:"error_stops"`
	Known     float64     `json:"known_to_stops"` // one standard deviation of the prediction
	Unknown   bool        `json:"not_known"`      // missed by less than that: meter it first
	Off       string      `json:"off,omitempty"`  // '0.9 st too little'
	Causes    []CauseJSON `json:"causes,omitempty"`
	Reason    string      `json:"reason,omitempty"`
	Limits    []LimitJSON `json:"limits,omitempty"`
	Conflicts []string    `json:"conflicts,omitempty"`
}

// LimitJSON is one active constraint of the solution.
type LimitJSON struct {
	Words string  `json:"words"`
	Light string  `json:"light,omitempty"`
	Buys  float64 `json:"one_more_stop_buys_stops"`
}

// PointNowJSON is one point at the settings found.
type PointNowJSON struct {
	Name    string   `json:"name"`
	FNumber float64  `json:"f_number"`
	FText   string   `json:"f_text"`
	Stops   *float64 `json:"stops"`
	Error   float64  `json:"error_stops"`
}

// WhiteJSON is the colour of the light on the lit side of the face: the white balance that would
// neutralise it.
type WhiteJSON struct {
	Kelvin float64 `json:"kelvin"`
	Duv    float64 `json:"duv"`
	Point  string  `json:"point"`
}

// EditJSON is one change of the shoot file.
type EditJSON struct {
	Path  string `json:"path"`
	Value string `json:"value"`
}

var kindWords = map[balance.Kind]string{balance.Reading: "reading", balance.Level: "level",
	balance.ReadingAbove: "reading above", balance.LevelAbove: "level above",
	balance.LightsRatio: "lights ratio", balance.SidesRatio: "sides ratio", balance.Colour: "colour",
	balance.Warmth: "warmth", balance.Ambient: "ambient", balance.Veil: "veil"}

// JSON is the published shape.
func (b *Balanced) JSON() BalanceJSON {
	sol := &b.Solution
	out := BalanceJSON{Name: b.Stage.Setup.Name, Missed: b.Missed(), Loss: sol.Loss, Means: sol.Means,
		Changed: sol.Changed,
		Said:    b.Sentence(), Proven: sol.Proven, Notes: b.Notes, Lights: []LightSetJSON{}, Targets: []TargetJSON{},
		Points: []PointNowJSON{}, Edits: editsJSON(b.Edits())}
	out.Camera = cameraSetJSON(&b.Problem, sol)
	for i, l := range b.Lights() {
		out.Lights = append(out.Lights, LightSetJSON{Name: l.Name, Was: l.Was, Now: l.Now, Option: l.Option,
			Stops: float64(sol.Lights[i].Level), Headroom: float64(l.Headroom),
			Changed: l.Changed, Fixed: l.Fixed, Drives: l.Drives})
	}
	for i, t := range b.Targets() {
		k := &b.Problem.Targets[i]
		j := TargetJSON{Words: t.Words, Point: t.Point, Kind: kindWords[k.Kind], Priority: t.Priority,
			Wish: b.aims[i].wish, Low: finite(k.Lo), High: finite(k.Hi),
			Predicted: finite(sol.Targets[i].Predicted), Wanted: t.Wanted, Text: t.Predicted,
			Residual: float64(t.Residual), Met: t.Met, Error: float64(t.Error), Reason: t.Reason,
			Conflicts: t.Conflicts,
			Known:     float64(t.Known), Unknown: t.Unknown, Off: t.Off}
		if len(t.Causes) > 0 {
			j.Causes = causesJSON(t.Causes)
		}
		for _, l := range t.Limits {
			x := LimitJSON{Words: l.Words, Buys: float64(l.Buys)}
			if l.Light >= 0 && l.Light < len(b.Problem.Lights) {
				x.Light = b.Problem.Lights[l.Light].Name
			}
			j.Limits = append(j.Limits, x)
		}
		if math.IsInf(j.Residual, 0) || math.IsNaN(j.Residual) {
			j.Residual = 0
		}
		out.Targets = append(out.Targets, j)
	}
	for i := range b.After {
		r := &b.After[i]
		p := PointNowJSON{Name: r.Name, FNumber: float64(r.FNumber), FText: fText(r.FNumber), Error: float64(r.Error)}
		if !r.Dark {
			p.Stops = finite(float64(r.Stops))
		}
		out.Points = append(out.Points, p)
	}
	if k, duv, point, ok := b.White(); ok {
		out.White = &WhiteJSON{k, duv, point}
	}
	if k, ok := b.WhiteBalance(); ok {
		out.Camera.White, out.Camera.Changed = &k, true
	}
	return out
}

// White returns the colour temperature in kelvin and Duv of the light on the lit side of the face,
// at the settings found. ok is false where it has none.
func (b *Balanced) White() (kelvin, duv float64, point string, ok bool) {
	for i := range b.After {
		if r := &b.After[i]; r.Name == "face key side" && r.Kelvin > 0 {
			return r.Kelvin, r.Duv, r.Name, true
		}
	}
	return 0, 0, "", false
}

func cameraSetJSON(p *balance.Problem, sol *balance.Solution) CameraSetJSON {
	c := p.Camera
	return CameraSetJSON{Aperture: float64(sol.Aperture), ApertureText: sol.Aperture.String(),
		Shutter: float64(sol.Shutter), ShutterText: sol.Shutter.String(), ISO: float64(sol.ISO),
		Changed: sol.Aperture != c.Aperture || sol.Shutter != c.Shutter || sol.ISO != c.ISO, FlashCut: sol.FlashCut}
}

func editsJSON(list []yamltext.Edit) []EditJSON {
	out := []EditJSON{}
	for _, e := range list {
		out = append(out, EditJSON{e.Path, e.Value})
	}
	return out
}

// finite returns nil for a number that JSON cannot hold.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
