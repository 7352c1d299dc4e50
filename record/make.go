package record

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/kit"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// Read is one reading of a point as it was logged: the f-number a meter showed.
type Read struct {
	Point string
	N     q.FNumber
	When  string
}

// Work says what a record is made with.
type Work struct {
	Meter   meter.Work
	Planned *shoot.Setup    // the setup as planned, for the settings before; nil: as dialled
	Logged  map[string]bool // lights and 'camera' whose setting was logged, lower case
	Reads   []Read          // the last one of a point counts
	Learned *answer.Learned // what the readings taught; nil: nothing
}

// Made is a record with what it was made from.
type Made struct {
	Record  *Record
	Metered *answer.Metered
}

// Make meters a setup and says how it is lit. The messages are the stage's; Made is nil when one of
// them is an Error.
func Make(ctx context.Context, j *answer.Job, setup int, w Work) (*Made, diag.List, error) {
	m, list, err := j.Meter(ctx, setup, w.Meter)
	if err != nil || m == nil {
		return nil, list, err
	}
	if err := m.Compare(ctx); err != nil {
		return nil, list, err
	}
	s := m.Stage
	r := &Record{Version: Current, Title: j.File.Shoot.Title, Date: j.File.Shoot.Date, Setup: s.Setup.Name,
		Hour: s.Setup.At, Notes: s.Setup.Notes, Room: roomOf(j.File, s), Camera: cameraOf(m, w.Planned)}
	facts := m.Facts
	r.Facts = Facts{Clip: round(float64(facts.Clip), 2), Floor: round(float64(facts.Floor), 2),
		Blur: round(float64(facts.Blur)*1000, 2)}
	if t := facts.Ratio; t != nil && t.Sides > 0 && !math.IsInf(t.Sides, 0) {
		r.Facts.Ratio, r.Facts.Over, r.Facts.Words = round(t.Sides, 2), round(float64(t.LitOverShade), 2), t.Words
	}
	r.lights(m, w)
	for i := range s.Panels {
		p := &s.Panels[i]
		e := Panel{Name: p.Name, Kind: p.Form, Size: []float64{round(float64(p.Panel.Size[0]), 3),
			round(float64(p.Panel.Size[1]), 3)}}
		if s.Sitter != nil {
			e.Metres = round(p.At.Sub(s.Sitter.Landmarks["face"].At).Len(), 3)
		}
		r.Panels = append(r.Panels, e)
	}
	r.points(m, w.Reads)
	for _, t := range m.Look {
		r.Look = append(r.Look, Target{t.Words, t.Priority, t.Predicted, round(float64(t.Residual), 2), t.Met})
	}
	if w.Learned != nil {
		for _, f := range w.Learned.Factors {
			r.Corrections = append(r.Corrections, Correction{f.Name, round(f.Stops, 3), round(f.SD, 3)})
		}
	}
	return &Made{r, m}, list, nil
}

func round(v float64, digits int) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	k := math.Pow(10, float64(digits))
	return math.Round(v*k) / k
}

// roomOf measures the room.
func roomOf(f *shoot.File, s *stage.Stage) (r Room) {
	corners, height := stage.Outline(&f.Room)
	if len(corners) == 0 {
		return r
	}
	lo, hi := corners[0], corners[0]
	for _, c := range corners {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, c.X), min(lo.Y, c.Y), max(hi.X, c.X), max(hi.Y, c.Y)
	}
	a, b := hi.X-lo.X, hi.Y-lo.Y
	r = Room{Length: round(max(a, b), 3), Width: round(min(a, b), 3), Height: round(height, 3)}
	of := func(keys ...string) float64 { return round(s.Reflects(keys...), 3) }
	var sum, length float64
	for n := range corners {
		a, b := corners[n], corners[(n+1)%len(corners)]
		l := b.Sub(a).Len()
		sum += l * of(fmt.Sprintf("wall %d", n+1), "walls", "all")
		length += l
	}
	r.Walls, r.Ceiling, r.Floor = round(sum/length, 3), of("ceiling", "all"), of("floor", "all")
	if h := s.Setup.Haze; h != nil {
		switch {
		case h.Extinction > 0:
			r.Haze = round(h.Extinction, 4)
		case h.Visibility > 0:
			r.Haze = round(3.912/float64(h.Visibility), 4)
		default:
			r.Haze = map[string]float64{"light": 0.02, "medium": 0.05, "heavy": 0.15}[h.Density]
		}
	}
	return r
}

func cameraOf(m *answer.Metered, planned *shoot.Setup) (c Camera) {
	s := m.Stage
	c.Set = Exposure{m.Camera.Aperture, m.Camera.Shutter, m.Camera.ISO}
	c.Planned = c.Set
	if planned != nil && planned.Camera != nil {
		c.Planned = Exposure{planned.Camera.Aperture, planned.Camera.Shutter, planned.Camera.ISO}
	}
	v := s.View
	if v == nil {
		return c
	}
	long := max(float64(v.Format.Width), float64(v.Format.Height))
	c.LensMM = round(float64(v.Lens)*1000, 1)
	c.View = round(2*math.Atan(long/2/float64(v.Lens))*180/math.Pi, 1)
	c.Metres, c.Height = round(float64(m.Facts.Distance), 3), round(v.Eye().Z, 3)
	c.Background = round(float64(m.Facts.Background), 3)
	x := s.White.XY()
	if k, duv, ok := spectrum.CCTOhno2013(x); ok && math.Abs(duv) < 0.02 {
		c.White = q.Kelvin(math.Round(k/10) * 10).String()
	}
	return c
}

// ColourOf says a chromaticity with its temperature, where it has one.
func ColourOf(x spectrum.XY) Colour {
	c := Colour{XY: []float64{round(x.X, 4), round(x.Y, 4)}}
	if k, duv, ok := spectrum.CCTOhno2013(x); ok && math.Abs(duv) <= 0.05 {
		c.Kelvin, c.Duv = math.Round(k), round(duv, 4)
	}
	return c
}

// lights says every light that burned.
func (r *Record) lights(m *answer.Metered, w Work) {
	s := m.Stage
	face := slices.IndexFunc(m.Readings, func(x meter.Reading) bool { return x.Name == "face key side" })
	share := func(layer int) float64 {
		if face < 0 || layer >= len(m.Readings[face].Lights) {
			return 0
		}
		return round(m.Readings[face].Lights[layer].Share, 4)
	}
	for k := range s.Layers {
		l := &s.Layers[k]
		colour := ColourOf(l.Spectrum.XY())
		if l.Light < 0 {
			h := House{Name: l.Name, Kind: string(l.Kind), Word: houseWord(s.Shoot, l.Name), Colour: colour,
				Share: share(k)}
			r.House = append(r.House, h)
			continue
		}
		set := &s.Setup.Lights[l.Light]
		e := Light{Name: l.Name, Role: l.Role, Why: set.Why, Head: set.Head, Modifier: set.Modifier, Grid: set.Grid,
			Gels: set.Gel, Flash: l.Flash, Colour: colour, Share: share(k), Logged: w.Logged[strings.ToLower(l.Name)]}
		if l.Source != nil {
			e.Dialled, e.Stops = l.Source.Dialled, round(float64(l.Source.Setting), 3)
		}
		e.Planned = e.Dialled
		if w.Planned != nil && l.Light < len(w.Planned.Lights) && l.Source != nil {
			e.Planned = settingText(&w.Planned.Lights[l.Light], l.Source.Dial)
		}
		for i := range m.Facts.Lights {
			if f := &m.Facts.Lights[i]; f.Name == l.Name {
				e.Seen = Seen{Metres: round(float64(f.Distance), 3), Around: round(float64(f.Pattern.Around), 1),
					Above: round(float64(f.Pattern.Above), 1), Covers: round(float64(f.Covers), 2),
					Edge: round(float64(f.Penumbra)*1000, 2), Pattern: f.Pattern.Words(), Softness: f.Softness}
				break
			}
		}
		if strings.EqualFold(e.Role, "key") && r.Facts.Pattern == "" {
			r.Facts.Pattern = e.Seen.Pattern
		}
		r.Lights = append(r.Lights, e)
	}
}

// settingText is a light's setting of the shoot file in its head's unit.
func settingText(l *shoot.Light, d kit.Dial) string {
	text := l.Power
	if l.Level != nil {
		text = l.Level.String()
	}
	s, err := d.Parse(text)
	if err != nil {
		return text
	}
	return d.Print(s)
}

func houseWord(f *shoot.File, name string) string {
	for _, p := range f.Room.Practicals {
		if p.Name == name {
			return p.Kind
		}
	}
	return "window"
}

// points says every point, with what was read there last.
func (r *Record) points(m *answer.Metered, reads []Read) {
	for i := range m.Readings {
		x := &m.Readings[i]
		p := Point{Name: x.Name, Receptor: x.Receptor, Dark: x.Dark, Error: round(float64(x.Error), 4),
			Known: round(float64(x.Uncertainty), 3)}
		if !x.Dark {
			p.Predicted, p.N, p.Level = answer.FText(x.FNumber), round(float64(x.FNumber),
				4), round(float64(x.Stops), 3)
			p.Colour = Colour{XY: []float64{round(x.XY.X, 4), round(x.XY.Y, 4)}, Kelvin: math.Round(x.Kelvin),
				Duv: round(x.Duv, 4)}
		}
		for _, l := range x.Lights {
			if l.Share >= 0.001 {
				p.Lights, p.Shares = append(p.Lights, l.Name), append(p.Shares, round(l.Share, 4))
			}
		}
		for _, rd := range reads {
			if strings.EqualFold(rd.Point, x.Name) && rd.N > 0 {
				p.Metered, p.MeteredN, p.When = answer.FText(rd.N), round(float64(rd.N), 4), rd.When
				if p.Off = 0; x.FNumber > 0 {
					p.Off = round(float64(rd.N.StopsOver(x.FNumber)), 2)
				}
			}
		}
		r.Points = append(r.Points, p)
	}
}
