package scout

import (
	"context"
	"fmt"

	"halfstop/shoot"
	"halfstop/ways"
)

// bare is a shoot of nothing but the generic kit.
const bare = "halfstop: 1\nsetups: [{name: kit, points: [{name: p, at: [0, 0, 1], facing: up}]}]\n"

// BareShoot is a shoot that knows the generic kit alone.
func BareShoot() *ways.Shoot {
	f, doc, _ := shoot.Parse("kit.yaml", []byte(bare), shoot.Options{})
	return &ways.Shoot{File: f, Doc: doc}
}

// Maker finds the head of a shoot's kit, with its gels, that makes a light's colour best; nil where
// none does. all: of the whole catalogue, not only of what the shoot has.
func Maker(ctx context.Context, j *ways.Shoot, setup int, l Light, all bool) (*ways.MatchWay, error) {
	m, err := j.Match(ctx, fmt.Sprintf("u'=%.4f v'=%.4f", l.UV[0], l.UV[1]), ways.MatchWork{Setup: setup, AllKit: all,
		PerHead: 1})
	if err != nil || len(m.Ways) == 0 {
		return nil, err
	}
	return &m.Ways[0], nil
}
