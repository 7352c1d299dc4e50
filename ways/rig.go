package ways

import (
	"fmt"
	"math"
	"strings"

	"halfstop/balance"
	"halfstop/kit"
	"halfstop/material"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// rig is a measured stage ready to be balanced: for each light its options (gels, colours) that
// need no new trace.
type rig struct {
	stage    *stage.Stage
	measured *meter.Measured
	options  [][]option // by layer; the present one first
	repeats  bool       // see Repeat
}

type sets uint8

const (
	setsNothing sets = iota
	setsGel
	setsColour
)

// option is one gel or colour of a light.
type option struct {
	name   string
	sets   sets
	gels   []string
	colour string // as the shoot file writes it
	source *kit.Source
	level  float64 // full level against that of the present option, which is what was traced
	fold   spectrum.Fold
	cost   float64
}

func newRig(s *stage.Stage, m *meter.Measured) *rig {
	r := &rig{stage: s, measured: m}
	for l := range s.Layers {
		r.options = append(r.options, r.optionsOf(l))
	}
	return r
}

// mostOptions bounds the gels and colours of a light to what balance accepts.
const mostOptions = 60

func (r *rig) optionsOf(l int) []option {
	ly := &r.stage.Layers[l]
	out := []option{{name: "as it is", source: ly.Source, level: 1, fold: ly.Fold}}
	may := r.stage.Setup.May
	if ly.Light < 0 || ly.Source == nil || may == nil || r.stage.Setup.Lights[ly.Light].Lock {
		return out
	}
	w := &r.stage.Setup.Lights[ly.Light]
	add := func(o option, change func(*kit.Want)) {
		if len(out) >= mostOptions {
			return
		}
		want, err := r.stage.Wanted(w)
		if err != nil {
			return
		}
		change(&want)
		src, err := r.stage.Kit().Resolve(want)
		if err != nil || !(src.AxialFull > 0) {
			return
		}
		o.source, o.level, o.fold = &src, src.AxialFull/ly.Source.AxialFull, spectrum.FoldCIE(src.Spectrum)
		out = append(out, o)
	}
	if names(may.Gel, ly) {
		if len(w.Gel) > 0 {
			add(option{name: "no gel", sets: setsGel, cost: 0.06}, func(k *kit.Want) { k.Gels = nil })
		}
		white := r.whiteOnly()
		for _, g := range r.stage.Kit().GelNames() {
			if len(w.Gel) == 1 && strings.EqualFold(w.Gel[0], g) || white && tints(g) {
				continue
			}
			add(option{name: gelSaid(g), sets: setsGel, gels: []string{g},
				cost: sheetCost(g)}, func(k *kit.Want) { k.Gels = []string{g} })
		}
	}
	if names(may.Colour, ly) && mixes(r.stage.Kit(), w.Head) {
		for _, c := range r.coloursAsked() {
			add(option{name: c.text, sets: setsColour, colour: c.text,
				cost: 0.03}, func(k *kit.Want) { k.Colour = kit.Ask{XY: c.xy} })
		}
	}
	return out
}

// whiteOnly reports whether the look asks for warmth and for no colour: then only sheets that
// correct are tried. A straw or an amber has the mireds of one and turns skin green or yellow.
func (r *rig) whiteOnly() (warmth bool) {
	for i := range r.stage.Setup.Look {
		w := &r.stage.Setup.Look[i]
		if w.Colour != nil {
			return false
		}
		warmth = warmth || w.Warmer != nil
	}
	return warmth
}

// tints reports whether a sheet of the catalogue is an effect colour, not a correction.
func tints(name string) bool {
	g, err := material.FindGel(name)
	return err == nil && g.Deep
}

// sheetCost is the cost of a gel as an option. A colour costs more than a correction, which a crew
// knows by heart (judgement).
func sheetCost(name string) float64 {
	if g, err := material.FindGel(name); err == nil && !g.Deep {
		return 0.12
	}
	return 0.2
}

// names reports whether a list of lights, by name or role, contains a layer.
func names(list []string, ly *stage.Layer) bool {
	for _, n := range list {
		n = strings.TrimPrefix(n, "lights.")
		if strings.EqualFold(n, ly.Name) || strings.EqualFold(n, ly.Role) {
			return true
		}
	}
	return false
}

// mixes reports whether a head can be asked for a colour.
func mixes(k *kit.Kit, head string) bool {
	h, ok := k.FindHead(head)
	return ok && h.Colour.Mixes()
}

type asked struct {
	text string
	xy   spectrum.XY
}

// coloursAsked returns the colours worth trying on a colour head: those of the look and the place,
// each also at a third and two thirds of the way to the camera's white (a paler colour is
// brighter), and whites.
func (r *rig) coloursAsked() []asked {
	var out []asked
	add := func(text string, xy spectrum.XY) {
		for _, o := range out {
			if spectrum.DeltaUVPrime(o.xy, xy) < 0.002 {
				return
			}
		}
		out = append(out, asked{text, xy})
	}
	white := r.stage.White.XY()
	paler := func(xy spectrum.XY) {
		u0, v0 := xy.UVPrime()
		u1, v1 := white.UVPrime()
		for _, t := range []float64{1.0 / 3, 2.0 / 3} {
			c := spectrum.XYOfUVPrime(u0+t*(u1-u0), v0+t*(v1-v0))
			add(fmt.Sprintf("{xy: [%.4f, %.4f]}", c.X, c.Y),
				spectrum.XY{X: math.Round(c.X*1e4) / 1e4, Y: math.Round(c.Y*1e4) / 1e4})
		}
	}
	var deep []spectrum.XY
	for _, w := range r.stage.Setup.Look {
		if w.Colour == nil {
			continue
		}
		if c, err := r.stage.LightOf(*w.Colour); err == nil {
			if t := colourText(*w.Colour); t != "" {
				add(t, c.XY())
			}
			deep = append(deep, c.XY())
		}
	}
	for _, p := range r.stage.Shoot.Room.Practicals {
		if c, err := r.stage.LightOf(shoot.Spectrum{Like: "practicals." + p.Name}); err == nil {
			add("like practicals."+p.Name, c.XY())
		}
	}
	for _, xy := range deep {
		paler(xy)
	}
	for _, k := range []float64{3200, 4300, 5600} {
		add(fmt.Sprintf("%g K", k), spectrum.White(k).XY())
	}
	return out
}

// colourText returns a colour as written in the shoot file; empty for pairs.
func colourText(c shoot.Spectrum) string {
	switch {
	case c.Like != "":
		return "like practicals." + strings.TrimPrefix(c.Like, "practicals.")
	case c.XY[1] > 0:
		return fmt.Sprintf("{xy: [%g, %g]}", c.XY[0], c.XY[1])
	case c.RGB != "":
		return `"` + c.RGB + `"`
	case c.Kelvin > 0 && c.Duv == 0:
		return c.Kelvin.String()
	case c.Name != "":
		return c.Name
	}
	return ""
}

// dial returns the scale of a light's setting. A bare emitter has none: tenths of a stop for a
// flash, per cent for continuous light.
func (r *rig) dial(l int) kit.Dial {
	ly := &r.stage.Layers[l]
	if ly.Source != nil {
		return ly.Source.Dial
	}
	if ly.Flash {
		return kit.Dial{Flash: true, Range: 9, Step: 0.1}
	}
	return kit.Dial{Range: 6.64, Share: 0.01}
}

// said returns a level in the light's own unit.
func (r *rig) said(l int, s q.Stops) string {
	if r.stage.Layers[l].Light < 0 {
		return "as found"
	}
	return r.dial(l).Print(s)
}

// light poses one layer as a light of the problem.
func (r *rig) light(l int) balance.Light {
	ly := &r.stage.Layers[l]
	b := balance.Light{Name: ly.Name, Off: !(ly.K > 0)}
	for _, o := range r.options[l] {
		b.Options = append(b.Options, balance.Option{Name: o.name, At: r.contributions(l, &o), Cost: o.cost})
	}
	if ly.K > 0 {
		b.Level = q.StopsOf(ly.K)
	}
	if ly.Source != nil {
		b.Level = ly.Source.Setting
	}
	if p := practicalOf(r.stage, l); p != nil && p.Control == "dimmer" {
		b.Held = "is held where its dimmer is"
	}
	if ly.Light < 0 || b.Off {
		return b
	}
	if h, ok := r.stage.Kit().FindHead(r.stage.Setup.Lights[ly.Light].Head); ok && ly.Flash {
		b.Recycle = h.Recycle
	}
	if b.Lock = r.stage.Setup.Lights[ly.Light].Lock; b.Lock {
		return b
	}
	may := r.stage.Setup.May
	if may == nil || len(may.Power) == 0 || names(may.Power, ly) {
		if steps := r.dial(l).Steps(); len(steps) > 1 {
			b.Levels = balance.Scale{Min: steps[len(steps)-1], Max: steps[0], List: steps}
		}
	}
	for k := range b.Options {
		if k > 0 {
			b.MayOption = append(b.MayOption, k)
		}
	}
	if len(b.MayOption) > 0 {
		b.MayOption = append([]int{0}, b.MayOption...)
	}
	return b
}

// contributions folds the transport of a layer with the spectrum of an option, at full.
func (r *rig) contributions(l int, o *option) []balance.Contribution {
	ly := &r.stage.Layers[l]
	out := make([]balance.Contribution, len(r.stage.Points))
	for i := range r.stage.Points {
		var in, seen, veil, light [3]float64
		has := r.measured.Incident[i] != nil
		if has {
			band := r.measured.Incident[i].Total(l)
			in = o.fold.Apply(&band)
			for k := range light {
				light[k] = max(0, in[k]*o.level)
			}
		}
		if s := r.measured.Seen[i]; s != nil {
			band := s.Total(l)
			seen = o.fold.Apply(&band)
			if s.Airlight != nil {
				veil = o.fold.Apply(&s.Airlight[l])
			}
			if r.stage.Points[i].Incident == nil {
				in = seen // a spot's reading is of the luminance, with K in the place of C
			}
		} else if has {
			for k := range seen {
				seen[k] = in[k] * 0.18 / math.Pi // an 18 % card held there
			}
		}
		c := &out[i]
		for k := range seen {
			veil[k] = max(0, veil[k]*o.level)
			seen[k] = max(0, seen[k]*o.level-veil[k])
		}
		y := max(0, in[1]*o.level)
		if ly.Flash {
			c.Flash, c.FlashXYZ, c.FlashVeil, c.FlashLight = q.LuxSeconds(y), seen, veil, light
		} else {
			c.Continuous, c.ContinuousXYZ, c.ContVeil, c.ContinuousLight = q.Lux(y), seen, veil, light
		}
	}
	return out
}

// problem poses the stage and its look.
func (r *rig) problem() (balance.Problem, []aim, []string) {
	var p balance.Problem
	cam := meter.CameraOf(r.stage)
	for i := range r.stage.Points {
		pt := &r.stage.Points[i]
		c := cam.FlatC
		switch pt.Receptor {
		case "dome":
			c = cam.DomeC
		case "spot":
			c = cam.K
		}
		p.Points = append(p.Points, balance.Point{Name: pt.Name, C: c, Light: r.measured.Incident[i] != nil})
	}
	for l := range r.stage.Layers {
		p.Lights = append(p.Lights, r.light(l))
	}
	p.Camera = balance.Camera{Aperture: cam.Aperture, Shutter: cam.Shutter, ISO: cam.ISO, Sync: cam.Sync * 0.999,
		LensQ: cam.LensFactor()}
	if cam.Pulsed {
		p.Camera.Pulsed = meter.PulsedLoss
	}
	p.Camera.Every = r.stage.Setup.Every
	if may := r.stage.Setup.May; may != nil && !cam.Assumed {
		step := may.Step
		if !(step > 0) {
			step = 1.0 / 3
		}
		p.Camera.Apertures = Apertures(may.Aperture[0], may.Aperture[1], step)
		p.Camera.Shutters = Shutters(may.Shutter[0], may.Shutter[1], step)
		p.Camera.ISOs = ISOs(may.ISO[0], may.ISO[1], step)
	}
	targets, aims, notes := r.targets(p.Lights)
	p.Targets = targets
	r.reach(&p, aims)
	r.purposes(&p)
	r.uncertainty(&p, nil)
	return p, aims, notes
}

// steps gives exact thirds for a step written as a decimal.
func steps(step q.Stops) q.Stops {
	if math.Abs(float64(step)-1.0/3) < 0.01 {
		return 1.0 / 3
	}
	return step
}

// Apertures returns the apertures of a lens in steps, widest first, with both ends; nil where no
// range is given.
func Apertures(a, b q.FNumber, step q.Stops) []q.FNumber {
	a, b = min(a, b), max(a, b)
	if !(a > 0) {
		return nil
	}
	list := balance.FNumbers(a, b, steps(step))
	for i := range list {
		if i > 0 {
			list[i] = engraved(list[i])
		}
		list[i] = exactly(list[i])
	}
	return ends(list, b, func(x, y q.FNumber) bool { return x.StopsOver(y) < 0.01 && y.StopsOver(x) < 0.01 })
}

// engraved returns the f-number of the engraved series that is nearest to n.
func engraved(n q.FNumber) q.FNumber {
	text, _ := n.Engraved()
	if e, err := q.ParseFNumber("f/" + text); err == nil {
		return e
	}
	return n
}

// exactly returns the exact value of the engraved f-number where n differs from it by rounding
// only.
func exactly(n q.FNumber) q.FNumber {
	if text, over := n.Engraved(); math.Abs(float64(over)) < 1e-6 {
		if e, err := q.ParseFNumber("f/" + text); err == nil {
			return e
		}
	}
	return n
}

// Shutters returns the engraved shutter times between a and b, longest first.
func Shutters(a, b q.Seconds, step q.Stops) []q.Seconds {
	a, b = max(a, b), min(a, b)
	if !(b > 0) {
		return nil
	}
	near := func(x, y q.Seconds) bool { return math.Abs(math.Log2(float64(x/y))) < 0.1 }
	onDial := func(t q.Seconds) q.Seconds {
		if _, at, over := t.Engraved(); at > 0 && math.Abs(float64(over)) < 0.12 {
			return at
		}
		return t
	}
	a, b = onDial(a), onDial(b)
	list := balance.ShutterTimes(a, b, steps(step))
	for i, t := range list {
		list[i] = onDial(t)
		if i == 0 {
			list[i] = a
		}
	}
	return ends(list, b, near)
}

// ISOs returns the engraved sensitivities between a and b, lowest first.
func ISOs(a, b q.ISO, step q.Stops) []q.ISO {
	a, b = min(a, b), max(a, b)
	if !(a > 0) {
		return nil
	}
	list := balance.Sensitivities(a, b, steps(step))
	for i, s := range list {
		list[i] = engravedISO(s)
	}
	return ends(list, b, func(x, y q.ISO) bool { return math.Abs(math.Log2(float64(x/y))) < 0.1 })
}

// ends appends the far end of a range where the steps do not reach it.
func ends[T any](list []T, last T, same func(a, b T) bool) []T {
	if n := len(list); n > 0 && same(list[n-1], last) {
		list[n-1] = last
		return list
	}
	return append(list, last)
}

// engravedISO is the engraved sensitivity within a tenth of a stop of s, else s. The series is 100,
// 125, 160 and their doubles and halves, with 320, 640 and 1250 in place of exact doubles of 160
// (ISO 12232, names of thirds).
func engravedISO(s q.ISO) q.ISO {
	for _, e := range []float64{25, 32, 40, 50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250,
		1600, 2000, 2500, 3200, 4000, 5000, 6400,
		8000, 10000, 12800, 16000, 20000, 25600, 32000, 40000, 51200, 64000, 80000, 102400} {
		if math.Abs(math.Log2(float64(s)/e)) < 0.1 {
			return q.ISO(e)
		}
	}
	return s
}

// gelSaid is a sheet as a crew calls it: the family made for flash, '… 5600' in the catalogue, is
// 'half orange for flash'.
func gelSaid(name string) string {
	if s, ok := strings.CutSuffix(name, " 5600"); ok {
		return s + " for flash"
	}
	return name
}
