package answer

import (
	"context"
	"fmt"
	"strings"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/ways"
	"halfstop/yamltext"
)

// Job is one shoot ready to be worked on.
type Job struct {
	File  *shoot.File
	Doc   *yamltext.Doc
	Files func(name string) ([]byte, error)
}

// Setups gives the numbers of the setups whose name is name (any case), or all for an empty name.
func (j *Job) Setups(name string) ([]int, error) {
	var out []int
	var names []string
	for i := range j.File.Setups {
		n := j.File.Setups[i].Name
		names = append(names, "'"+n+"'")
		if name == "" || strings.EqualFold(n, name) {
			out = append(out, i)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("there is no setup called '%s'; there are %s", name, strings.Join(names, ", "))
	}
	return out, nil
}

// Stage builds one setup.
func (j *Job) Stage(setup int, detail figure.Detail) (*stage.Stage, diag.List) {
	return stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Detail: detail})
}

// Metered is one setup with its readings, ready to be weighed again.
type Metered struct {
	Stage    *stage.Stage
	Measured *meter.Measured
	Camera   meter.Camera
	Readings []meter.Reading
	Facts    meter.Facts
	doc      *yamltext.Doc
	Look     []ways.TargetNow // what is asked and what comes of it as set; nil until Compare
}

// Compare holds the readings against the setup's look, with every dial where the file has it.
func (m *Metered) Compare(ctx context.Context) error {
	b, err := ways.AsFound(ctx, m.Stage, m.Measured)
	if err == nil {
		m.Look = append([]ways.TargetNow{}, b.Targets()...)
	}
	return err
}

// Meter measures one setup. The messages are the stage's;
// Metered is nil when one of them is an Error.
func (j *Job) Meter(ctx context.Context, setup int, w meter.Work) (*Metered, diag.List, error) {
	s, list := j.Stage(setup, figure.Shadow)
	if s == nil {
		return nil, list, nil
	}
	m := &Metered{Stage: s, Camera: meter.CameraOf(s), doc: j.Doc}
	var err error
	if m.Measured, err = meter.Measure(ctx, s, w); err != nil {
		return nil, list, err
	}
	m.Readings = meter.Weigh(s, m.Measured, m.Camera)
	m.Facts = meter.FactsOf(s, m.Camera, m.Readings)
	return m, list, nil
}

// leastRead is the least f-number that a hand-held meter shows.
const leastRead = 0.5

// FText prints an f-number as a meter shows it: the whole stop and tenths, 'f/4 + 0.2'.
//
// A hand-held meter shows nothing under f/0.5 (from memory), so that is where figures end.
func FText(n q.FNumber) string {
	switch {
	case n <= 0:
		return "–"
	case n < leastRead:
		return "under f/0.5"
	}
	return n.Meter()
}
