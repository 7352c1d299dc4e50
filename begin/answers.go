package begin

import (
	"math"
	"strconv"
	"strings"
)

// Answers are what the workbench asks for a first shoot. Lengths are metres, the lens millimetres,
// the angle degrees.
type Answers struct {
	Length    float64 `json:"length"`
	Width     float64 `json:"width"`
	Height    float64 `json:"height"`
	CamX      float64 `json:"camX" doc:"from the left wall"`
	CamY      float64 `json:"camY" doc:"from the lower wall"`
	CamZ      float64 `json:"camZ" doc:"height"`
	Lens      float64 `json:"lens"`
	Upright   bool    `json:"upright"`
	Far       float64 `json:"far" doc:"from the camera to the sitter, level"`
	Seated    bool    `json:"seated"`
	Stature   float64 `json:"stature"`
	Left      bool    `json:"left" doc:"the key is left of the camera's axis, as the camera sees it"`
	Round     float64 `json:"round" doc:"degrees round the sitter from the camera's axis"`
	KeyFar    float64 `json:"keyFar" doc:"from the face to the key"`
	KeyHeight float64 `json:"keyHeight"`
	Head      string  `json:"head"`
	Modifier  string  `json:"modifier"`
}

// Usual are the answers that stand until one is typed over. Common practice, no source.
func Usual() Answers {
	return Answers{Length: 7.2, Width: 3.8, Height: 2.75, CamX: 5.6, CamY: 2.5, CamZ: 1.42, Lens: 50, Upright: true,
		Far: 2.28, Stature: 1.7, Left: true, Round: 45, KeyFar: 1.3, KeyHeight: 2.05, Head: "battery head 500",
		Modifier: "octa 90"}
}

// Fault is what cannot be as answered.
type Fault struct {
	Step int    `json:"step" doc:"of the answer: 0 room, 1 camera, 2 sitter, 3 key"`
	Text string `json:"text"`
}

// Plan places everything: the camera looks across the room's middle, the sitter stands on that
// line, the key goes round the face. A fault says what cannot be; the plan is what could be drawn
// meanwhile.
func (a Answers) Plan(title string) (Plan, *Fault) {
	tx, ty := a.Length*0.3, a.Width*0.47
	dx, dy := tx-a.CamX, ty-a.CamY
	d := math.Hypot(dx, dy)
	if d == 0 {
		dx, d = -1, 1
	}
	dx, dy = dx/d, dy/d
	x, y, z := a.CamX+dx*a.Far, a.CamY+dy*a.Far, face(a.Seated, a.Stature)
	up, side := a.KeyHeight-z, -1.0
	if a.Left {
		side = 1
	}
	flat := math.Sqrt(max(0.01, a.KeyFar*a.KeyFar-up*up))
	s, c := math.Sincos(a.Round * math.Pi / 180)
	// Camera left is to the left of who looks along the lens.
	key := [3]float64{x - (dx*c+dy*side*s)*flat, y - (dy*c-dx*side*s)*flat, a.KeyHeight}
	p := Plan{Title: title, Room: [3]float64{a.Length, a.Width, a.Height},
		Camera: [3]float64{a.CamX, a.CamY, a.CamZ}, Landscape: !a.Upright, Sitter: [2]float64{x, y}, Seated: a.Seated,
		Stature: a.Stature, Lens: strconv.FormatFloat(a.Lens, 'f', -1, 64) + " mm", Aperture: "f/4",
		Shutter: "1/125 s", ISO: "200", Head: strings.TrimSpace(a.Head),
		Modifier: strings.TrimSpace(a.Modifier), Key: key}
	if p.Head == "" {
		p.Head = Usual().Head
	}
	return p, a.fault(p)
}

// fault is the first thing that cannot be, in the order of the answers.
func (a Answers) fault(p Plan) *Fault {
	out := func(x, y, air float64) bool { return !(x >= air && y >= air && x <= a.Length-air && y <= a.Width-air) }
	for _, f := range []struct {
		bad  bool
		step int
		text string
	}{
		{!(a.Length >= 1 && a.Width >= 1 && a.Height >= 1.8), 0,
			"A room is at least 1 m long and wide, and 1.8 m high."},
		{!(a.Length <= 100 && a.Width <= 100 && a.Height <= 30), 0,
			"That is no room: at most 100 m long and wide, and 30 m high."},
		{out(a.CamX, a.CamY, 0.1), 1, "The camera stands in a wall or outside the room."},
		{!(a.CamZ > 0.1 && a.CamZ < a.Height-0.1), 1, "The camera’s height is not between floor and ceiling."},
		{!(a.Lens >= 8 && a.Lens <= 800), 1, "A lens has 8 to 800 mm."},
		{!(a.Stature >= 0.5 && a.Stature <= 2.3), 2, "A stature is between 0.5 and 2.3 m."},
		{!(a.Far >= 0.4) || out(p.Sitter[0], p.Sitter[1], 0.25), 2,
			"There the sitter stands in a wall: come nearer, or move the camera."},
		{!(a.KeyHeight > 0.2 && a.KeyHeight < a.Height-0.15), 3, "The key’s height is not between floor and ceiling."},
		{!(math.Abs(a.KeyHeight-p.Face()) < a.KeyFar), 3,
			"The key hangs farther above the face than its distance: lower it, or take it farther away."},
		{out(p.Key[0], p.Key[1], 0.25), 3,
			"There the key stands in a wall: take it nearer, or round the other side."},
	} {
		if f.bad {
			return &Fault{f.step, f.text}
		}
	}
	return nil
}
