package meter

import (
	"context"
	"errors"
	"math"
	"slices"

	"halfstop/kit"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/sample"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// Camera holds the settings a reading depends on, and the constants of the house.
type Camera struct {
	ISO      q.ISO
	Shutter  q.Seconds
	Aperture q.FNumber
	TStop    q.FNumber // 0: not known
	ND       q.Stops   // taken by a filter before the lens
	Sync     q.Seconds
	Pulsed   bool // the flash pulses through shutters faster than sync
	FlatC    float64
	DomeC    float64
	K        float64
	Q        float64
	Sensor   optics.Sensor
	Assumed  bool // the setup has no camera: these are the usual settings
}

// CameraOf reads the settings of a stage; without a camera f/4, 1/125 s, ISO 100.
func CameraOf(s *stage.Stage) Camera {
	h := s.Shoot.House
	c := Camera{ISO: 100, Shutter: 1.0 / 125, Aperture: 4, Sync: 1.0 / 200, FlatC: h.FlatC, DomeC: h.DomeC, K: h.K,
		Q: h.CameraQ, Assumed: true}
	if k := s.Setup.Camera; k != nil {
		c.Pulsed = k.HighSpeed
		c.ISO, c.Shutter, c.Aperture, c.TStop, c.ND, c.Sync, c.Assumed = k.ISO, k.Shutter, k.Aperture, k.TStop, k.ND,
			k.Sync, false
		c.Sensor = optics.Sensor{FullWell: k.FullWell, ReadNoise: k.ReadNoise}
	}
	return c
}

// LensFactor is q of ISO 12232 at the aperture set: the house's, or π/4·N²/T² where the T-stop is
// known, less what a filter takes.
func (c *Camera) LensFactor() float64 {
	f := c.Q
	if c.TStop > 0 {
		f = math.Pi / 4 * float64(c.Aperture*c.Aperture/(c.TStop*c.TStop))
	}
	return f * (-c.ND).Times()
}

// Lit is the part of a flash that the shutter lets through: 1 up to the sync speed, less beyond
// (the rest of the frame stays dark, or the flash pulses).
func (c *Camera) Lit() float64 {
	if c.Sync <= 0 || c.Shutter >= c.Sync*0.999 {
		return 1
	}
	if c.Pulsed {
		return PulsedLoss * float64(c.Shutter/c.Sync)
	}
	lit, _ := optics.FlashThrough(c.Shutter, c.Sync, 0)
	return float64(lit)
}

// PulsedLoss is what is left of a flash that pulses through the shutter, at the sync speed: two
// stops less (common practice, no source: about −2 stops on entering, then −1 a stop of shutter).
const PulsedLoss = 0.25

// LightShare is one light's part of a reading.
type LightShare struct {
	Name    string
	Flash   bool
	Direct  float64 // lx or lx·s; for a spot cd/m² or cd·s/m²
	Bounced float64
	Share   float64      // of the exposure at the setup's shutter, 0 to 1
	XYZ     spectrum.XYZ // of its light here, Y = Direct + Bounced
}

// Reading is what is predicted at one point.
type Reading struct {
	Name     string
	Receptor string // 'flat', 'dome', 'spot'
	At       [3]float64
	Facing   [3]float64

	Lux        float64 // continuous light; for a spot luminance, cd/m²
	LuxSeconds float64 // flash; for a spot cd·s/m²
	Exposure   float64 // both at the setup's shutter: lx·s; for a spot cd·s/m²
	FNumber    q.FNumber
	// Stops is the level in the picture, to mid-grey; StopsOf says of what: 'picture' what the
	// camera sees there, 'card' an 18 % card held where the receptor is.
	Stops       q.Stops
	StopsOf     string
	OverSet     q.Stops   // the reading against the aperture set
	Error       q.Stops   // standard error of the computation
	SeenError   q.Stops   // the same for Stops where it is of the picture
	Uncertainty q.Stops   // one standard deviation of the level, from the figures of kit, house lights and room
	Basis       kit.Basis // what most of that comes from
	Kelvin      float64   // correlated colour temperature of the light; 0 where it has none
	Duv         float64
	XY          spectrum.XY
	Lights      []LightShare
	// Dark: no light was found to reach it. Below then bounds what was missed, 95 in 100: lx·s at
	// the setup's shutter, for a spot cd·s/m².
	Dark  bool
	Below float64
	Paths int
}

// Measured is the transport behind a set of readings: with it they can be weighed again.
type Measured struct {
	Incident []*trace.Transport // by point; nil where it has none
	Seen     []*trace.Transport
	Stopped  bool // time ran out before the error asked for was reached
	Capped   bool // the most paths were traced at some point before it was reached there
}

// Work bounds the measuring.
type Work struct {
	Seed    uint64
	Error   q.Stops // standard error asked for; 0 is 0.02 st
	Samples int     // most paths a point; 0 is 262,144
	Threads int
	// Soon: a first answer is wanted. In haze a point that 8,192 paths do not bring to Error is
	// settled at 0.1 st, or at Error where that is more.
	Soon bool
	// Rest is the light of the layers that are not in Layers, known from elsewhere: lx·s or cd·s/m²
	// at the setup's shutter. With it Error is asked of the whole, and a layer that gives little of
	// it needs few paths. It may be nil.
	Rest     func(point int, seen bool) float64
	Start    int // paths of each randomisation in the first round
	Layers   []int
	Progress func(done, most int)
	// Interim is given what is measured so far after each round; nil for nobody. It does not change
	// afterwards.
	Interim func(m *Measured)
}

// Measure traces the points of a stage.
func Measure(ctx context.Context, s *stage.Stage, w Work) (*Measured, error) {
	var recs []trace.Receptor
	type slot struct {
		point int
		seen  bool
	}
	var slots []slot
	m := &Measured{Incident: make([]*trace.Transport, len(s.Points)), Seen: make([]*trace.Transport, len(s.Points))}
	for i, p := range s.Points {
		if p.Incident != nil {
			recs, slots = append(recs, *p.Incident), append(slots, slot{i, false})
		}
		if p.Seen != nil {
			recs, slots = append(recs, *p.Seen), append(slots, slot{i, true})
		}
	}
	most := w.Samples
	if most <= 0 {
		most = 1 << 18
	}
	if w.Start == 0 && w.Error >= 0.05 {
		w.Start = 2 // a coarse answer, such as the first word after a light has moved, may need very few
	}
	cam := CameraOf(s)
	fill := func(m *Measured, out []trace.Transport) {
		for k := range slots {
			if out[k].Paths == 0 {
				continue
			}
			if slots[k].seen {
				m.Seen[slots[k].point] = &out[k]
			} else {
				m.Incident[slots[k].point] = &out[k]
			}
		}
	}
	sofar := make([]trace.Transport, len(recs))
	round := func(done, most int) {
		if w.Progress != nil {
			w.Progress(done, most)
		}
		if w.Interim != nil {
			m := &Measured{Incident: make([]*trace.Transport, len(s.Points)),
				Seen: make([]*trace.Transport, len(s.Points))}
			fill(m, slices.Clone(sofar))
			w.Interim(m)
		}
	}
	p := plan{s: s, cam: &cam, error: float64(w.Error), start: w.Start, soon: w.Soon,
		spot: func(i int) bool { return recs[i].Kind == trace.Spot }}
	if w.Rest != nil {
		p.rest = func(i int) float64 { return w.Rest(slots[i].point, slots[i].seen) }
	}
	weights := make([]float64, len(s.Layers))
	for l := range weights {
		weights[l] = weight(&s.Layers[l], &cam) * luminous(&s.Layers[l], &unit)
	}
	out, err := s.Scene.Measure(ctx, recs, trace.MeasureOptions{Seed: w.Seed, Layers: w.Layers, Start: w.Start,
		Threads: w.Threads,
		Most:    max(1, (most+trace.Reps-1)/trace.Reps), Round: round, Weights: weights,
		Wanted: func(i, done int, t *trace.Transport) int {
			sofar[i] = *t
			return p.wanted(i, done, t)
		}})
	fill(m, out)
	for i := range out {
		if t := &out[i]; t.Paths > 0 && p.wanted(i, t.Paths/trace.Reps, t) > t.Paths/trace.Reps {
			m.Capped = true
		}
	}
	if errors.Is(err, trace.ErrStopped) {
		m.Stopped = true
		if len(out) > 0 && out[0].Paths > 0 {
			return m, nil
		}
	}
	return m, err
}

// part says which light of a Transport is meant: all of it, or the straight.
type part bool

const (
	whole    part = false
	straight part = true
)

// of is that light of each randomisation.
func (p part) of(all, direct *[trace.Reps][]trace.Band) *[trace.Reps][]trace.Band {
	if p == straight {
		return direct
	}
	return all
}

// exposure gives the light of a Transport at the setup's shutter (lx·s or cd·s/m²) and its relative
// standard error; edge as in doubt.
func exposure(s *stage.Stage, c *Camera, t *trace.Transport, p part, edge float64) (h, rel float64) {
	now, forecast := tallied(s, c, p.of(&t.Parts, &t.DirectParts)), 0.0
	if b := t.Before; b != nil {
		was := tallied(s, c, p.of(&b.Parts, &b.DirectParts))
		direct := tallied(s, c, straight.of(&b.Parts, &b.DirectParts))
		forecast = forecastOf(was, direct, float64(b.Paths)/float64(t.Paths))
	}
	if h = now.Mean(); h <= 0 {
		return 0, 0
	}
	return h, scatter(now, edge, forecast) / h
}

// tallied is the light of each randomisation at the setup's shutter.
func tallied(s *stage.Stage, c *Camera, parts *[trace.Reps][]trace.Band) *sample.Tally {
	var tally sample.Tally
	for r := range trace.Reps {
		sum := 0.0
		for l := range s.Layers {
			sum += weight(&s.Layers[l], c) * luminous(&s.Layers[l], &parts[r][l])
		}
		tally.Add(sum)
	}
	return &tally
}

// standardError is that of a whole reading: the scatter of its parts, and what may have been
// missed.
func standardError(s *stage.Stage, c *Camera, t *trace.Transport) q.Stops {
	d, n := doubtOf(s, c, t), float64(t.Paths)
	h, rel := exposure(s, c, t, whole, d.edge)
	if h <= 0 {
		return 0
	}
	return q.Stops(math.Log2(1 + math.Hypot(rel, math.Hypot(d.stray, d.missed)/n/h)))
}

// weight is what a layer's transport is multiplied by to be an exposure.
func weight(l *stage.Layer, c *Camera) float64 {
	if l.Flash {
		return l.K * c.Lit()
	}
	return l.K * float64(c.Shutter)
}

func luminous(l *stage.Layer, t *trace.Band) float64 { return l.Fold.Apply(t)[1] }

// Weigh gives the readings of a stage for its layers' settings and a camera.
func Weigh(s *stage.Stage, m *Measured, cam Camera) []Reading {
	out := make([]Reading, len(s.Points))
	for i := range s.Points {
		out[i] = weighOne(s, m, cam, i)
	}
	return out
}

func weighOne(s *stage.Stage, m *Measured, cam Camera, i int) Reading {
	p := &s.Points[i]
	r := Reading{Name: p.Name, Receptor: p.Receptor}
	t, rec := m.Incident[i], p.Incident
	if rec == nil {
		t, rec = m.Seen[i], p.Seen
	}
	r.At, r.Facing = rec.At.Array(), rec.Facing.Array()
	if p.Incident == nil {
		r.At = p.At.Array()
	}
	if t == nil {
		return r
	}
	r.Paths = t.Paths
	var total spectrum.XYZ
	variance, worst, bounced := 0.0, -1.0, 0.0
	for l := range s.Layers {
		ly := &s.Layers[l]
		d, b := ly.Fold.Apply(&t.Direct[l]), ly.Fold.Apply(&t.Bounced[l])
		ls := LightShare{Name: ly.Name, Flash: ly.Flash, Direct: d[1] * ly.K, Bounced: b[1] * ly.K,
			XYZ: spectrum.XYZ{X: (d[0] + b[0]) * ly.K, Y: (d[1] + b[1]) * ly.K, Z: (d[2] + b[2]) * ly.K}}
		v := ls.Direct + ls.Bounced
		during := float64(cam.Shutter)
		if ly.Flash {
			r.LuxSeconds += v
			during = cam.Lit()
		} else {
			r.Lux += v
		}
		e := v * during
		r.Exposure += e
		ls.Share = e
		total.X, total.Y, total.Z = total.X+ls.XYZ.X*during, total.Y+ls.XYZ.Y*during, total.Z+ls.XYZ.Z*during
		sd := (math.Exp2(float64(ly.Uncertainty)) - 1) * e
		variance += sd * sd
		if sd > worst {
			worst, r.Basis = sd, ly.Basis
		}
		bounced += ls.Bounced * during
		r.Lights = append(r.Lights, ls)
	}
	for l := range r.Lights {
		if r.Exposure > 0 {
			r.Lights[l].Share /= r.Exposure
		}
	}
	if r.Dark = r.Exposure <= 0; r.Dark {
		r.Below = doubtOf(s, &cam, t).bound / float64(t.Paths)
	}
	if !r.Dark {
		r.Error = standardError(s, &cam, t)
		room := (math.Exp2(s.RoomError) - 1) * bounced
		if room > worst {
			r.Basis = kit.Basis{Other: "the room's surfaces", Readings: s.RoomReadings}
		}
		r.Uncertainty = q.Stops(math.Log2(1 + math.Sqrt(variance+room*room)/r.Exposure))
		r.XY = total.XY()
		if k, duv, ok := spectrum.CCTOhno2013(r.XY); ok {
			r.Kelvin, r.Duv = k, duv
		}
	}
	switch p.Receptor {
	case "spot":
		r.FNumber = optics.Spot(q.LuminanceSeconds(r.Exposure), cam.ISO, cam.K)
		r.StopsOf, r.Stops, r.SeenError = "picture", level(&cam, r.Exposure), r.Error
	default:
		c := cam.FlatC
		if p.Receptor == "dome" {
			c = cam.DomeC
		}
		r.FNumber = optics.Reading(q.LuxSeconds(r.Exposure), cam.ISO, c)
		// An 18 % card held there: L = 0.18 E/π.
		r.StopsOf, r.Stops, r.SeenError = "card", level(&cam, 0.18/math.Pi*r.Exposure), r.Error
	}
	if r.FNumber > 0 && cam.Aperture > 0 {
		r.OverSet = r.FNumber.StopsOver(cam.Aperture)
	}
	if seen := m.Seen[i]; seen != nil && p.Incident != nil {
		if h, _ := exposure(s, &cam, seen, whole, 0); h > 0 {
			r.StopsOf, r.Stops, r.SeenError = "picture", level(&cam, h), standardError(s, &cam, seen)
		}
	}
	return r
}

// level is where a luminance over time (cd·s/m²) lands in the picture; a very low number, not minus
// infinity, in the dark.
func level(c *Camera, lt float64) q.Stops {
	h := optics.SensorExposure(q.LuminanceSeconds(lt), c.Aperture, c.LensFactor())
	return max(-99, optics.Level(h, c.ISO))
}
