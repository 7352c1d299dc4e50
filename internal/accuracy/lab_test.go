package accuracy

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
	"halfstop/quantity"
	"halfstop/shoot"
)

// answered is the part of the published JSON that is looked at here, decoded from its text as a
// reader would.
type answered struct {
	Setups []answeredSetup `json:"setups"`
}

type answeredSetup struct {
	Name   string          `json:"name"`
	Points []answeredPoint `json:"points"`
	Facts  map[string]any  `json:"facts"`
	Layers []struct {
		Name string     `json:"name"`
		XY   [2]float64 `json:"xy"`
	} `json:"layers"`
}

type answeredPoint struct {
	Name       string          `json:"name"`
	Receptor   string          `json:"receptor"`
	Lux        float64         `json:"lux"`
	LuxSeconds float64         `json:"lux_seconds"`
	Exposure   float64         `json:"exposure_lux_seconds"`
	Luminance  float64         `json:"luminance"`
	FNumber    float64         `json:"f_number"`
	Stops      *float64        `json:"stops"`
	Error      float64         `json:"error_stops"`
	Kelvin     *float64        `json:"kelvin"`
	Duv        *float64        `json:"duv"`
	XY         *[2]float64     `json:"xy"`
	Lights     []answeredLight `json:"lights"`
	Paths      int             `json:"paths"`
}

type answeredLight struct {
	Name    string  `json:"name"`
	Direct  float64 `json:"direct"`
	Bounced float64 `json:"bounced"`
	Share   float64 `json:"share"`
}

// folder reads the photometric fixtures, which are synthetic, and made-up files of a case.
func folder(extra map[string]string) func(string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		if s, ok := extra[name]; ok {
			return []byte(s), nil
		}
		return os.ReadFile(filepath.Join("..", "..", "photometry", "testdata", filepath.Base(name)))
	}
}

// parsed reads a shoot; the messages may hold errors.
func parsed(yaml string, files map[string]string) (*answer.Job, diag.List) {
	f, doc, list := shoot.Parse("shoot.yaml", []byte(yaml), shoot.Options{})
	if f == nil {
		return nil, list
	}
	return &answer.Job{File: f, Doc: doc, Files: folder(files)}, list
}

// ask runs a shoot through the chain of `meter --json` and reads the text that comes out.
func ask(yaml string, files map[string]string, w meter.Work) (answered, diag.List, error) {
	var out answered
	job, list := parsed(yaml, files)
	if job == nil || list.Has(diag.Error) {
		return out, list, nil
	}
	shape := answer.Readings{Version: 1, Meter: job.ConstantsOf(), Setups: []answer.SetupReadings{}}
	for i := range job.File.Setups {
		m, more, err := job.Meter(context.Background(), i, w)
		list = append(list, more...)
		if err != nil || m == nil {
			return out, list, err
		}
		shape.Setups = append(shape.Setups, m.JSON())
	}
	text, err := json.Marshal(shape)
	if err != nil {
		return out, list, err
	}
	return out, list, json.Unmarshal(text, &out)
}

func (a *answered) point(name string) *answeredPoint {
	for i := range a.Setups {
		for j := range a.Setups[i].Points {
			if a.Setups[i].Points[j].Name == name {
				return &a.Setups[i].Points[j]
			}
		}
	}
	return nil
}

// bounced and direct sum over the lights of a point.
func (p *answeredPoint) bounced() float64 {
	s := 0.0
	for _, l := range p.Lights {
		s += l.Bounced
	}
	return s
}

func (p *answeredPoint) direct() float64 {
	s := 0.0
	for _, l := range p.Lights {
		s += l.Direct
	}
	return s
}

func (p *answeredPoint) light(name string) *answeredLight {
	for i := range p.Lights {
		if p.Lights[i].Name == name {
			return &p.Lights[i]
		}
	}
	return &answeredLight{}
}

// scale says how a predicted figure is compared with a published one.
type scale int

const (
	stops    scale = iota // two amounts of light: log2 of their quotient
	fStops                // two f-numbers: 2 log2 of their quotient
	absolute              // their difference
)

// figure is one published figure and how to read it off the answer.
type figure struct {
	id    string
	what  string
	want  float64
	unit  string
	by    scale
	bound float64
	read  func(a *answered) float64
}

// scene is a shoot file with the figures that it must give.
type scene struct {
	name  string
	yaml  string
	files map[string]string
	error float64 // standard error asked for, stops; 0 is 0.003
	gives []figure
}

const (
	straight = 0.02 // direct light and sky openings, stops (issue 2, 'What proves it')
	withWall = 0.05 // with interreflection
)

func lux(id, what, point string, want float64) figure {
	return figure{id, what, want, "lx", stops, straight, func(a *answered) float64 { return a.point(point).Lux }}
}

func luxSeconds(id, what, point string, want float64) figure {
	return figure{id, what, want, "lx s", stops, straight,
		func(a *answered) float64 { return a.point(point).LuxSeconds }}
}

func luminance(id, what, point string, want float64) figure {
	return figure{id, what, want, "cd/m²", stops, straight,
		func(a *answered) float64 { return a.point(point).Luminance }}
}

func fNumber(id, what, point string, want float64) figure {
	return figure{id, what, want, "f", fStops, straight, func(a *answered) float64 { return a.point(point).FNumber }}
}

// per gives a figure as a factor times an amount of light.
func (f figure) per(k float64, unit string) figure {
	read := f.read
	f.unit = unit
	f.read = func(a *answered) float64 { return read(a) * k }
	return f
}

// walls says that interreflection is in the figure.
func (f figure) walls() figure { f.bound = withWall; return f }

// bouncedOnly reads what comes by way of surfaces.
func bouncedOnly(id, what, point string, want float64) figure {
	return figure{id, what, want, "lx", stops, withWall, func(a *answered) float64 { return a.point(point).bounced() }}
}

func exactly(id, what string, want float64, unit string, bound float64, read func(a *answered) float64) figure {
	return figure{id, what, want, unit, absolute, bound, read}
}

// result is a line of docs/accuracy.md.
type result struct {
	figure
	got, diff float64
}

func (f figure) against(got float64) float64 {
	switch f.by {
	case stops:
		return math.Log2(got / f.want)
	case fStops:
		return 2 * math.Log2(got/f.want)
	}
	return got - f.want
}

// run measures a scene.
func (s *scene) run(t *testing.T) []result {
	t.Helper()
	e := s.error
	if e == 0 {
		e = 0.003
	}
	a, list, err := ask(s.yaml, s.files, meter.Work{Seed: 1, Error: quantity.Stops(e)})
	if err != nil {
		t.Fatal(err)
	}
	if list.Has(diag.Error) {
		t.Fatalf("%s\n%s", list.Text(), s.yaml)
	}
	var out []result
	for _, f := range s.gives {
		got := math.NaN()
		func() {
			defer func() {
				if recover() != nil {
					t.Errorf("%s: the answer lacks what is read", f.id)
				}
			}()
			got = f.read(&a)
		}()
		out = append(out, result{f, got, f.against(got)})
	}
	return out
}

// lab wraps the inside of a setup in a file without a room.
func lab(inside string) string {
	return "halfstop: 1\nsetups:\n  - name: laboratory\n" + indent(inside, 4)
}

func indent(s string, n int) string {
	pad := strings.Repeat(" ", n)
	lines := strings.Split(strings.Trim(s, "\n"), "\n")
	for i, l := range lines {
		lines[i] = pad + l
	}
	return strings.Join(lines, "\n") + "\n"
}

func num(v float64) string { return fmt.Sprintf("%.9g", v) }
