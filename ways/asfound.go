package ways

import (
	"context"

	"halfstop/balance"
	"halfstop/meter"
	"halfstop/stage"
)

// AsFound compares a measured setup with its look, with every dial as in the file. Nothing is
// solved or traced. The targets of the result are what the setup gives now; its settings are those
// of the file.
func AsFound(ctx context.Context, s *stage.Stage, m *meter.Measured) (*Balanced, error) {
	b := &Balanced{Stage: s, Measured: m, rig: newRig(s, m)}
	b.Problem, b.aims, b.Notes = b.rig.problem()
	for l := range b.Problem.Lights {
		b.Problem.Lights[l].Lock = true
	}
	c := &b.Problem.Camera
	c.Apertures, c.Shutters, c.ISOs = nil, nil, nil
	var err error
	if b.Solution, err = balance.Solve(ctx, b.Problem); err != nil {
		return nil, err
	}
	b.After = b.rig.weigh(b.Solution)
	return b, nil
}
