package answer

import (
	"context"
	"math"

	"halfstop/diag"
	"halfstop/optics"
	"halfstop/sheet"
	"halfstop/shoot"
)

// Prepared is what the papers need of one setup.
type Prepared struct {
	Metered  *Metered
	Readings SetupReadings
	Plan     *sheet.Plan
	Drawing  *sheet.Drawing
}

// Papers meters one setup and draws its plan, with the same readings for both. The messages are
// the stage's and the cautions; Prepared is nil when one of them is an Error.
func (j *Job) Papers(ctx context.Context, setup int, w PlanWork) (*Prepared, diag.List, error) {
	m, list, err := j.Meter(ctx, setup, w.Meter)
	if err != nil || m == nil {
		return nil, list, err
	}
	d, p, list, err := j.draw(ctx, m, list, w)
	if err != nil || d == nil {
		return nil, list, err
	}
	if err := m.Compare(ctx); err != nil {
		return nil, list, err
	}
	return &Prepared{Metered: m, Readings: m.JSON(), Plan: p, Drawing: d}, list, nil
}

// Pixels gives a picture's width and height in a camera's shape, long pixels on its longer side.
func Pixels(c *shoot.Camera, long int) (w, h int) {
	f, _ := optics.ParseFormat(c.Sensor)
	if c.Upright {
		f = f.Upright()
	}
	if f.Width <= 0 || f.Height <= 0 {
		return long, long
	}
	if f.Width >= f.Height {
		return long, max(1, int(math.Round(float64(long)*float64(f.Height/f.Width))))
	}
	return max(1, int(math.Round(float64(long)*float64(f.Width/f.Height)))), long
}
