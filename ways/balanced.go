package ways

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/yamltext"
)

// Shoot is one shoot whose setups are balanced, changed and compared.
type Shoot struct {
	File  *shoot.File
	Doc   *yamltext.Doc
	Files func(name string) ([]byte, error) // reads the files that the shoot names, by their name in it
}

// Balanced is one setup with the settings found for its look.
type Balanced struct {
	Stage    *stage.Stage    // as the shoot file has it
	Measured *meter.Measured // what was traced of it
	Problem  balance.Problem
	Solution balance.Solution
	Notes    []string        // what a reader must know: wishes that could not be judged, assumptions
	After    []meter.Reading // every point with the settings found

	rig  *rig
	aims []aim
}

// Balance finds the settings for the look of a measured setup. A change of power, gel, colour or
// camera needs no trace (see package balance). With an error of ctx the best settings found so far
// come back. Check: TestBalanceFedBack.
func Balance(ctx context.Context, s *stage.Stage, m *meter.Measured) (*Balanced, error) {
	b := &Balanced{Stage: s, Measured: m, rig: newRig(s, m)}
	b.Problem, b.aims, b.Notes = b.rig.problem()
	return b.solved(ctx)
}

// Repeat is Balance for a look that was predicted elsewhere of the same kit: what is not known of
// the kit is off by as much in both, so a prediction is held to its figure and not to what is known
// of it. Check: TestRelightRandom of package record.
func Repeat(ctx context.Context, s *stage.Stage, m *meter.Measured) (*Balanced, error) {
	b := &Balanced{Stage: s, Measured: m, rig: newRig(s, m)}
	b.rig.repeats = true
	b.Problem, b.aims, b.Notes = b.rig.problem()
	return b.solved(ctx)
}

func (b *Balanced) solved(ctx context.Context) (*Balanced, error) {
	if len(b.Problem.Targets) == 0 {
		b.Notes = append(b.Notes,
			"the setup has no look that could be balanced for: add look: with what is wanted at a point")
	}
	var err error
	if b.Solution, err = b.rig.solve(ctx,
		&b.Problem); err != nil && (ctx.Err() == nil || len(b.Solution.Lights) == 0) {
		return nil, err
	}
	b.After = b.rig.weigh(b.Solution)
	b.Notes = append(b.Notes, b.inTheWay()...)
	if w := b.exposureSaid(exposureNoted); w != "" {
		b.Notes = append(b.Notes, w)
	}
	return b, err
}

// Missed returns the number of targets that are not met.
func (b *Balanced) Missed() int {
	n := 0
	for _, o := range b.Solution.Targets {
		if !o.Met {
			n++
		}
	}
	for i := range b.aims {
		if i < len(b.Solution.Targets) && b.aims[i].nearest != "" && b.Solution.Targets[i].Met {
			n++ // as near as can be had is not what was wished
		}
	}
	return n
}

// stageOf builds a setup of a changed copy of the shoot.
func (j *Shoot) stageOf(setup int, o stage.Options) (*stage.Stage, diag.List) {
	o.Files, o.Detail = j.Files, figure.Shadow
	return stage.Build(j.File, j.Doc, setup, o)
}

// weigh returns the readings at all points with the settings of a solution.
func (r *rig) weigh(sol balance.Solution) []meter.Reading {
	s := *r.stage
	s.Layers = slices.Clone(r.stage.Layers)
	for l, set := range sol.Lights {
		ly := &s.Layers[l]
		o := &r.options[l][set.Option]
		ly.Fold = o.fold
		ly.K = o.level * set.Level.Times()
		if set.Off {
			ly.K = 0
		}
	}
	cam := meter.CameraOf(&s)
	if cam.TStop > 0 {
		cam.TStop *= sol.Aperture / cam.Aperture
	}
	cam.Aperture, cam.Shutter, cam.ISO = sol.Aperture, sol.Shutter, sol.ISO
	return meter.Weigh(&s, r.measured, cam)
}

// LightNow is one light's setting as found and as written.
type LightNow struct {
	Name, Was, Now string // in the head's own unit and step: '1/8 + 0.3', '62 %'; 'as found' for the house's
	Option         string // gel or colour, where it changes
	Changed        bool
	Fixed          bool    // nothing of it may change
	Headroom       q.Stops // left up to full
	// the reading of this light alone at the first target's point, with a meter pointed at it
	Reads  string
	Drives []float64
}

// Lights returns every light's setting in its own unit and step.
func (b *Balanced) Lights() []LightNow {
	var out []LightNow
	for l, set := range b.Solution.Lights {
		ly := &b.rig.stage.Layers[l]
		n := LightNow{Name: set.Name, Was: b.rig.said(l, b.Problem.Lights[l].Level), Now: b.rig.said(l,
			set.Level), Changed: set.Changed,
			Fixed: ly.Light < 0, Headroom: max(0, -set.Level)}
		if p := b.Problem.Lights[l]; p.Lock {
			n.Fixed = true
		}
		if ly.Light < 0 {
			n.Was, n.Now, n.Headroom = "as found", "as found", 0
		}
		if set.Option != b.Problem.Lights[l].Option {
			n.Option = b.rig.options[l][set.Option].name
		}
		if src := b.rig.options[l][set.Option].source; src != nil {
			for _, d := range src.Drives {
				n.Drives = append(n.Drives, d*(set.Level-src.Setting).Times())
			}
		}
		if set.Off {
			n.Now = "off"
		}
		out = append(out, n)
	}
	return out
}

// TargetNow is one target with its prediction at the settings found.
type TargetNow struct {
	Words     string // 'hair edge 0.7 st above face key side'
	Kind      string // 'reading', 'level', 'colour', …, as JSON has it
	Point     string
	Priority  string
	Wanted    string
	Predicted string
	Residual  q.Stops
	Met       bool
	Error     q.Stops // standard error of the computation
	Reason    string
	Limits    []balance.Limit
	Conflicts []string
	Known     q.Stops // one standard deviation of the prediction
	Unknown   bool    // missed by less than is known: meter it first
	Off       string  // how it is missed: '0.4 st over'
	Causes    []Cause
}

// Unsettled reports whether a target is missed by no more than what balance leaves as it is because
// the prediction is known no better: a meter reading would settle it.
func (t *TargetNow) Unsettled() bool {
	return !t.Met && t.Known > 0 && math.Abs(float64(t.Residual)) <= trusted*float64(t.Known)
}

// Targets returns every target with its prediction.
func (b *Balanced) Targets() []TargetNow {
	var out []TargetNow
	tied := b.Problem.Tied()
	for i, o := range b.Solution.Targets {
		t := &b.Problem.Targets[i]
		if tied && t.Kind == balance.Reading {
			c := *t
			d := 2 * math.Log2(float64(b.Solution.Aperture/b.Problem.Camera.Aperture))
			c.Lo, c.Hi = c.Lo+d, c.Hi+d
			t = &c
		}
		n := TargetNow{Words: b.aims[i].words, Kind: kindWords[t.Kind], Point: b.Problem.Points[t.Point].Name,
			Priority: priorityWord(t.Priority), Wanted: wantedText(t),
			Predicted: outcomeText(t.Kind, &o, b.Stage.White.XY()), Residual: o.Residual, Met: o.Met,
			Error: b.errorOf(t), Reason: o.Because, Limits: o.Limits,
			Known: q.Stops(t.Sigma), Unknown: o.Unknown}
		if !o.Met {
			n.Off, n.Causes = b.missSaid(i), b.causes(i)
		}
		for _, c := range o.Conflicts {
			n.Conflicts = append(n.Conflicts, b.aims[c].words)
		}
		out = append(out, n)
	}
	return out
}

// errorOf is the standard error of the Monte Carlo estimate behind a target, stops.
func (b *Balanced) errorOf(t *balance.Target) q.Stops {
	one := func(i int) float64 {
		if i < 0 || i >= len(b.After) {
			return 0
		}
		r := &b.After[i]
		if t.Kind == balance.Level || t.Kind == balance.LevelAbove || t.Kind == balance.Colour {
			return float64(r.SeenError)
		}
		return float64(r.Error)
	}
	e := one(t.Point)
	if t.To != balance.NoPoint && (t.Kind == balance.ReadingAbove || t.Kind == balance.LevelAbove) {
		e = math.Hypot(e, one(t.To))
	}
	return q.Stops(e)
}

func priorityWord(p balance.Priority) string {
	switch p {
	case balance.Must:
		return "must"
	case balance.Nice:
		return "nice"
	}
	return "want"
}

// outcomeText returns what a target comes to: a colour in words, all else in the unit of its kind.
func outcomeText(k balance.Kind, o *balance.Outcome, white spectrum.XY) string {
	if k != balance.Colour {
		return kindText(k, o.Predicted)
	}
	words, _ := colourOff(o.UV, o.Wanted, white)
	return words
}

// kindText returns a value in the unit of its kind.
func kindText(k balance.Kind, v float64) string {
	switch k {
	case balance.Reading:
		return fText(q.FNumber(math.Exp2(v / 2)))
	case balance.Colour:
		return ColourFar(v)
	case balance.Warmth:
		return signed(v, 0) + " mired"
	case balance.Ambient:
		return fmt.Sprintf("%.0f %%", v*100)
	}
	if math.IsInf(v, 0) || v < -60 {
		return "dark"
	}
	return signed(v, 1) + " st"
}

// signed writes a number with its sign and a true minus; what rounds to zero is +0.
func signed(v float64, digits int) string {
	p := math.Pow10(digits)
	v = math.Round(v*p)/p + 0 // −0 + 0 is 0
	return strings.Replace(fmt.Sprintf("%+.*f", digits, v), "-", "−", 1)
}

func wantedText(t *balance.Target) string {
	switch {
	case t.Kind == balance.Colour:
		return "this colour"
	case t.Lo == t.Hi:
		return kindText(t.Kind, t.Lo)
	case math.IsInf(t.Hi, 1):
		return "at least " + kindText(t.Kind, t.Lo)
	case math.IsInf(t.Lo, -1):
		return "at most " + kindText(t.Kind, t.Hi)
	}
	return kindText(t.Kind, t.Lo) + " to " + kindText(t.Kind, t.Hi)
}

// Edits returns the changes that write the settings into the shoot file, for yamltext.Doc.SetAll.
func (b *Balanced) Edits() []yamltext.Edit {
	out := b.rig.edits(b.Problem, b.Solution)
	if k, ok := b.WhiteBalance(); ok {
		out = append(out, yamltext.Edit{Path: fmt.Sprintf("setups[%d].camera.white balance", b.rig.stage.Index),
			Value: fmt.Sprintf("%.0f K", k)})
	}
	return out
}

// WhiteBalance returns the white balance to set where `may: {white balance: true}` leaves it free:
// that of the light on the key side of the face at the settings found, to 50 K. ok is false where
// it is not free, where that light has no colour temperature, or where the camera is set so
// already.
func (b *Balanced) WhiteBalance() (kelvin float64, ok bool) {
	s := b.rig.stage
	k, _, _, known := b.White()
	if !known || s.Setup.May == nil || !s.Setup.May.White || s.Setup.Camera == nil {
		return 0, false
	}
	k = math.Round(k/50) * 50
	if c := s.Setup.Camera.WhiteBalance; math.Abs(float64(c.Kelvin)-k) < 25 && c.Duv == 0 {
		return 0, false
	}
	return k, true
}

// edits returns the settings of a solution that differ from the problem's present ones.
func (r *rig) edits(p balance.Problem, sol balance.Solution) (out []yamltext.Edit) {
	set := func(path, value string) { out = append(out, yamltext.Edit{Path: path, Value: value}) }
	for l, s := range sol.Lights {
		ly := &r.stage.Layers[l]
		if ly.Light < 0 || !s.Changed {
			continue
		}
		w := &r.stage.Setup.Lights[ly.Light]
		if s.Off != p.Lights[l].Off {
			set(ly.Path+".off", fmt.Sprint(s.Off))
		}
		if s.Level != p.Lights[l].Level {
			switch {
			case ly.Flash && w.Level == nil:
				set(ly.Path+".power", r.said(l, s.Level))
			case ly.Flash:
				set(ly.Path+".level", fmt.Sprintf("%.4g %%", s.Level.Times()*100))
			default:
				set(ly.Path+".level", r.said(l, s.Level))
			}
		}
		if o := &r.options[l][s.Option]; s.Option != p.Lights[l].Option {
			if o.sets == setsGel {
				set(ly.Path+".gel", gelText(o.gels))
			} else if o.sets == setsColour {
				set(ly.Path+".colour", o.colour)
			}
		}
	}
	cam := fmt.Sprintf("setups[%d].camera.", r.stage.Index)
	if sol.Aperture != p.Camera.Aperture {
		set(cam+"aperture", sol.Aperture.String())
		if c := r.stage.Setup.Camera; c != nil && c.TStop > 0 {
			set(cam+"t-stop", (c.TStop * sol.Aperture / p.Camera.Aperture).String())
		}
	}
	if sol.Aperture != p.Camera.Aperture && p.Tied() {
		// 'reads f/4' at f/4 means 'correctly exposed': the wish changes with the aperture.
		for i, w := range r.stage.Setup.Look {
			if w.Reads != nil && w.Reads.N > 0 {
				set(fmt.Sprintf("setups[%d].look[%d].reads", r.stage.Index, i),
					shoot.Reading{N: w.Reads.N * sol.Aperture / p.Camera.Aperture}.String())
			}
		}
	}
	if sol.Shutter != p.Camera.Shutter {
		set(cam+"shutter", sol.Shutter.String())
	}
	if sol.ISO != p.Camera.ISO {
		set(cam+"iso", sol.ISO.String())
	}
	return out
}

func gelText(g []string) string {
	switch len(g) {
	case 0:
		return "[]"
	case 1:
		return g[0]
	}
	for i := range g {
		g[i] = yamltext.Quote(g[i], true)
	}
	return "[" + strings.Join(g, ", ") + "]"
}

// fText returns an f-number as a meter shows it: the whole stop and tenths, 'f/4 + 0.2'.
func fText(n q.FNumber) string {
	if n <= 0 {
		return "–"
	}
	return n.Meter()
}
