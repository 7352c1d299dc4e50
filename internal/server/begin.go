package server

import (
	"net/http"

	"halfstop/begin"
)

// BeginAsk asks for a first shoot.
type BeginAsk struct {
	Title   string         `json:"title"`
	Answers *begin.Answers `json:"answers" doc:"null: what is usual"`
}

// BeginView is a first shoot as answered: where things stand, what cannot be, and the file.
type BeginView struct {
	Answers begin.Answers `json:"answers"`
	Camera  [3]float64    `json:"camera"`
	Sitter  [3]float64    `json:"sitter"`
	Face    [3]float64    `json:"face"`
	Key     [3]float64    `json:"key"`
	Fault   *begin.Fault  `json:"fault" doc:"null: all can be as answered"`
	Text    string        `json:"text" doc:"of the shoot file; empty where something cannot be"`
}

func (s *Server) postBegin(r *http.Request, ask BeginAsk) (BeginView, error) {
	a := begin.Usual()
	if ask.Answers != nil {
		a = *ask.Answers
	}
	p, fault := a.Plan(ask.Title)
	v := BeginView{Answers: a, Camera: p.Camera, Sitter: [3]float64{p.Sitter[0], p.Sitter[1], 0},
		Face: [3]float64{p.Sitter[0], p.Sitter[1], p.Face()}, Key: p.Key, Fault: fault}
	if fault == nil {
		v.Text = string(p.Text())
	}
	return v, nil
}
