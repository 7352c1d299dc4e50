package stage

import (
	"fmt"

	"halfstop/diag"
	"halfstop/kit"
	"halfstop/shoot"
	"halfstop/spectrum"
)

// LightOf gives the light that a colour of the shoot file stands for: 'like practicals.NAME', a
// temperature, a lamp's name, xy, '#rrggbb', pairs. Error: one that cannot be had, such as a
// practical that is not there.
func (s *Stage) LightOf(c shoot.Spectrum) (spectrum.Curve, error) {
	if !chromatic(c) {
		return spectrum.Curve{}, fmt.Errorf("no colour is written")
	}
	kept := len(s.list)
	sp := s.light(c, spectrum.Curve{}, "")
	said := s.list[kept:]
	s.list = s.list[:kept]
	if said.Has(diag.Error) {
		return spectrum.Curve{}, fmt.Errorf("%s", said[0].Text)
	}
	return sp, nil
}

// Kit is the generic catalogue with the shoot's own kit laid over it.
func (s *Stage) Kit() *kit.Kit { return &s.kit }

// Wanted says what a light of the setup asks of the kit, its colour resolved.
func (s *Stage) Wanted(l *shoot.Light) (kit.Want, error) {
	w := kit.Want{Head: l.Head, Modifier: l.Modifier, Grid: l.Grid, Gels: l.Gel, Power: l.Power, Level: l.Level,
		Zoom:  l.Zoom,
		FlatC: s.Shoot.House.FlatC, DomeC: s.Shoot.House.DomeC, Files: s.opt.Files}
	if chromatic(l.Colour) {
		c, err := s.LightOf(l.Colour)
		if err != nil {
			return w, err
		}
		w.Colour = kit.Ask{Light: c}
	}
	return w, nil
}
