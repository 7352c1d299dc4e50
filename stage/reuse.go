package stage

import (
	"halfstop/content"
	"halfstop/geom"
	"halfstop/kind"
)

// memo keeps what building a stage worked out, under all that it depends on, for the next stage
// built from this one (Options.Like). A stage carries over what it uses itself and nothing else.
type memo struct {
	solids map[any]*kind.Solid // by furnitureKey, rigKey or standKey
	// light at the place of a practical's reading, per unit level, by the text of the room
	found  map[string]float64
	direct map[content.Key]float64 // light on a practical's axis, by its emitters and the place
	within map[insideKey]bool      // whether a place lies inside a thing
}

// insideKey is a mesh by its content, and a place.
type insideKey struct {
	mesh content.Key
	at   geom.Vec
}

// inside gives whether a place lies inside a mesh, as the stage before found it or else by work:
// the feet of stands that nobody moved are asked about with every move of a hand.
func (s *Stage) inside(key insideKey, work func() bool) bool {
	if s.memo.within == nil {
		s.memo.within = map[insideKey]bool{}
	}
	is, ok := s.memo.within[key]
	if !ok && s.before != nil {
		is, ok = s.before.within[key]
	}
	if !ok {
		is = work()
	}
	s.memo.within[key] = is
	return is
}

// number gives a number worked out for the stage before where its key is the same, else by work.
func (s *Stage) number(key content.Key, work func() float64) float64 {
	if s.memo.direct == nil {
		s.memo.direct = map[content.Key]float64{}
	}
	v, ok := s.memo.direct[key]
	if !ok && s.before != nil {
		v, ok = s.before.direct[key]
	}
	if !ok {
		v = work()
	}
	s.memo.direct[key] = v
	return v
}

// solid gives the parts of a thing: those of the stage before where its key is the same, else what
// build makes. The key must hold all that build depends on. Nobody may change what is returned.
func (s *Stage) solid(key any, build func() *kind.Solid) *kind.Solid {
	if s.memo.solids == nil {
		s.memo.solids = map[any]*kind.Solid{}
	}
	b := s.memo.solids[key]
	if b == nil && s.before != nil {
		b = s.before.solids[key]
	}
	if b == nil {
		b = build()
	}
	s.memo.solids[key] = b
	return b
}

// furnitureKey, rigKey and standKey are what the solids of furniture, lights' bodies and stands
// depend on.
type (
	furnitureKey struct {
		word    string
		at      geom.Vec
		frame   geom.Frame
		w, d, h float64
	}
	rigKey struct {
		form  string
		at    geom.Vec
		frame geom.Frame
		rig   kind.Rig
	}
	standKey struct {
		standing Standing
		head     geom.Frame
	}
)
