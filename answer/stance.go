package answer

import (
	"encoding/json"
	"fmt"

	q "halfstop/quantity"
	"halfstop/shoot"
)

// Stance is how a light stood when something was read.
type Stance struct {
	At [3]float64 // x, y, z of its face, metres
	On *Rig       // what was on it and where it pointed; nil: that was not kept, so as in the file
}

// Rig is what was on a light and where it pointed, as the shoot file says it.
type Rig struct {
	Head     string      `json:"head,omitempty"`
	Modifier string      `json:"modifier,omitempty"`
	Grid     string      `json:"grid,omitempty"`
	Gel      []string    `json:"gel,omitempty"`
	Aim      string      `json:"aim,omitempty"`
	AimAt    *[3]float64 `json:"aim_at,omitempty"`  // metres
	Feather  float64     `json:"feather,omitempty"` // degrees, as Roll
	Roll     float64     `json:"roll,omitempty"`
	Zoom     float64     `json:"zoom,omitempty"` // metres
	Off      bool        `json:"off,omitempty"`
}

// StanceOf is how a light of a setup stands now; false where it has no place.
func StanceOf(l *shoot.Light) (s Stance, ok bool) {
	if len(l.At) < 2 {
		return s, false
	}
	s.At[2] = float64(l.Height)
	for k, v := range l.At {
		s.At[k] = float64(v)
	}
	s.On = &Rig{Head: l.Head, Modifier: l.Modifier, Grid: l.Grid, Gel: l.Gel, Aim: l.Aim.Name,
		Feather: float64(l.Feather), Roll: float64(l.Roll), Zoom: float64(l.Zoom), Off: l.Off}
	if at := l.Aim.At; l.Aim.Name == "" && at != [3]float64{} {
		s.On.AimAt = &at
	}
	return s, true
}

// put sets a light's rig as it was; the word tells it from how it is, empty: it is so still.
func (r *Rig) put(l *shoot.Light) (word string) {
	now, ok := StanceOf(l)
	if r == nil || !ok || now.On.word() == r.word() {
		return ""
	}
	l.Head, l.Modifier, l.Grid, l.Gel = r.Head, r.Modifier, r.Grid, r.Gel
	l.Aim, l.Feather, l.Roll = shoot.Target{Name: r.Aim}, q.Degrees(r.Feather), q.Degrees(r.Roll)
	l.Zoom, l.Off = q.Metres(r.Zoom), r.Off
	if r.AimAt != nil {
		l.Aim.At = *r.AimAt
	}
	return r.word()
}

func (r *Rig) word() string {
	var at [3]float64
	if r.AimAt != nil {
		at = *r.AimAt
	}
	return fmt.Sprintf("%q %q %q %q %q %.3f %.2f %.2f %.4f %v", r.Head, r.Modifier, r.Grid, r.Gel, r.Aim, at, r.Feather,
		r.Roll, r.Zoom, r.Off)
}

// stance is a Stance as a log has it.
type stance struct {
	At [3]float64 `json:"at"`
	On *Rig       `json:"on,omitempty"`
}

// MarshalJSON writes {"at": [x, y, z], "on": {…}}.
func (s Stance) MarshalJSON() ([]byte, error) { return json.Marshal(stance(s)) }

// UnmarshalJSON reads that, or [x, y, z] alone as older logs have it.
func (s *Stance) UnmarshalJSON(b []byte) error {
	if err := json.Unmarshal(b, &s.At); err == nil {
		return nil
	}
	return json.Unmarshal(b, (*stance)(s))
}
