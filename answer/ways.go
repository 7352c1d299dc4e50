package answer

import (
	"context"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/ways"
)

// Shoot is the shoot for package ways.
func (j *Job) Shoot() *ways.Shoot { return &ways.Shoot{File: j.File, Doc: j.Doc, Files: j.Files} }

// Balance measures one setup and finds the settings for its look. The messages
// are the stage's; the result is nil when one of them is an Error.
func (j *Job) Balance(ctx context.Context, setup int, w meter.Work) (*ways.Balanced, diag.List, error) {
	m, list, err := j.Meter(ctx, setup, w)
	if err != nil || m == nil {
		return nil, list, err
	}
	b, err := ways.Balance(ctx, m.Stage, m.Measured)
	if err != nil {
		return nil, list, err
	}
	return b, list, nil
}
