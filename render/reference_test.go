package render

import (
	"halfstop/stage"
	"halfstop/trace"
)

// What the tests hold the room's own code against.

// DomeAt gives the point that a cell stands for: a dome towards the camera.
func (p *IlluminanceMap) DomeAt(s *stage.Stage, i, k int) stage.Point {
	at := p.place(i, k)
	n := toCamera(s)(at)
	return stage.Point{Name: "cell", Receptor: "dome", At: at, Normal: n,
		Incident: &trace.Receptor{Kind: trace.Dome, At: at, Facing: n}}
}
