package answer

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfstop/meter"
	"halfstop/stage"
)

// Readings is what `meter --json` prints.
type Readings struct {
	Version int             `json:"version"` // of this shape: 1
	Shoot   string          `json:"shoot"`
	Meter   Constants       `json:"meter"`
	Setups  []SetupReadings `json:"setups"`
}

// Constants are what the readings assume.
type Constants struct {
	FlatC float64 `json:"flat_constant_lux_seconds"`
	DomeC float64 `json:"dome_constant_lux_seconds"`
	K     float64 `json:"reflected_constant"`
	Q     float64 `json:"camera_q"`
}

// SetupReadings is one setup.
type SetupReadings struct {
	Name   string      `json:"name"`
	Camera CameraJSON  `json:"camera"`
	Points []PointJSON `json:"points"`
	Facts  FactsJSON   `json:"facts"`
	Layers []LayerJSON `json:"layers"`
	// Look is what is asked of the setup and what comes of it with
	// every dial as in the file; absent where that was not asked.
	Look []LookJSON `json:"look,omitempty"`
	// Stopped says that time or the most paths a point ended the work
	// before the error asked for was reached at every point.
	Stopped bool `json:"stopped"`
}

// LookJSON is one target of the look.
type LookJSON struct {
	Words     string  `json:"words"`
	Priority  string  `json:"priority"`
	Predicted string  `json:"predicted_text"`
	Residual  float64 `json:"residual_stops"` // positive: too bright
	Met       bool    `json:"met"`
	Known     float64 `json:"known_to_stops"` // one standard deviation of the prediction
	Unsettled bool    `json:"meter_first"`    // missed by no more than that
	Kind      string  `json:"kind"`           // as of the targets of balance: 'reading', 'colour', 'warmth', …
}

// CameraJSON is what the readings are for.
type CameraJSON struct {
	ISO      float64 `json:"iso"`
	Shutter  float64 `json:"shutter_seconds"`
	Aperture float64 `json:"aperture"`
	Assumed  bool    `json:"assumed"` // the setup has no camera
	FlashLit float64 `json:"flash_lit_share"`
}

// PointJSON is one point. For a spot the three amounts are
// luminance, in the fields named so, and lux fields are 0.
type PointJSON struct {
	Name       string     `json:"name"`
	Receptor   string     `json:"receptor"`
	At         [3]float64 `json:"at"`
	Facing     [3]float64 `json:"facing"`
	Lux        float64    `json:"lux"`
	LuxSeconds float64    `json:"lux_seconds"`
	Exposure   float64    `json:"exposure_lux_seconds"`

	Luminance         *float64 `json:"luminance,omitempty"`
	LuminanceSeconds  *float64 `json:"luminance_seconds,omitempty"`
	LuminanceExposure *float64 `json:"exposure_luminance_seconds,omitempty"`

	FNumber     float64  `json:"f_number"`
	FText       string   `json:"f_text"`
	Stops       *float64 `json:"stops"` // null in the dark
	StopsOf     string   `json:"stops_of"`
	OverSetting *float64 `json:"over_setting_stops"`
	Error       float64  `json:"error_stops"`
	StopsError  float64  `json:"stops_error_stops"`
	Uncertainty float64  `json:"uncertainty_stops"`
	// RestsOn is what most of that comes from: 'catalogue', "maker's figures", 'learned from N
	// readings' and so on.
	RestsOn string      `json:"rests_on"`
	Kelvin  *float64    `json:"kelvin"`
	Duv     *float64    `json:"duv"`
	XY      *[2]float64 `json:"xy"`
	Lights  []LightJSON `json:"lights"`
	Paths   int         `json:"paths"`
	// Below, in the dark: light that may have been missed is under this, 95 in 100, as an exposure.
	Below *float64 `json:"dark_below,omitempty"`
}

// LightJSON is one light's part at a point.
type LightJSON struct {
	Name             string   `json:"name"`
	Lux              *float64 `json:"lux,omitempty"`
	LuxSeconds       *float64 `json:"lux_seconds,omitempty"`
	Luminance        *float64 `json:"luminance,omitempty"`
	LuminanceSeconds *float64 `json:"luminance_seconds,omitempty"`
	Direct           float64  `json:"direct"`
	Bounced          float64  `json:"bounced"`
	Share            float64  `json:"share"`
}

// LayerJSON is one light of the setup.
type LayerJSON struct {
	Name        string     `json:"name"`
	Role        string     `json:"role"`
	Kind        string     `json:"kind"`
	Setting     string     `json:"setting,omitempty"`
	Headroom    *float64   `json:"headroom_stops,omitempty"`
	Uncertainty float64    `json:"uncertainty_stops"`
	RestsOn     string     `json:"rests_on"` // as of a point; "the file's figures" of what is no kit
	XY          [2]float64 `json:"xy"`
	Why         []string   `json:"why,omitempty"`
}

// FactsJSON is what follows for people.
type FactsJSON struct {
	Lights           []LightFactsJSON `json:"lights,omitempty"`
	RatioSides       *float64         `json:"ratio_sides,omitempty"`
	RatioLights      *float64         `json:"ratio_lights,omitempty"`
	LitOverShade     *float64         `json:"lit_over_shade_stops,omitempty"`
	RatioWords       string           `json:"ratio_words,omitempty"`
	RatioFill        string           `json:"ratio_fill,omitempty"` // what fills, or why ratio_lights is absent
	FocusMetres      *float64         `json:"focus_metres,omitempty"`
	NearMetres       *float64         `json:"near_metres,omitempty"`
	FarMetres        *float64         `json:"far_metres,omitempty"` // absent: to the horizon
	BackgroundMetres *float64         `json:"background_metres,omitempty"`
	BlurMM           *float64         `json:"background_blur_mm,omitempty"`
	ClipStops        float64          `json:"clip_stops"`
	FloorStops       float64          `json:"floor_stops"`
	CleanStops       float64          `json:"clean_stops"`
	Flicker          []FlickerJSON    `json:"flicker,omitempty"`
}

// LightFactsJSON is one light seen from the face.
type LightFactsJSON struct {
	Name       string   `json:"name"`
	Metres     float64  `json:"metres"`
	Pattern    string   `json:"pattern"`
	Words      string   `json:"pattern_words"`
	Around     float64  `json:"around_degrees"`
	Above      float64  `json:"above_degrees"`
	Cheek      string   `json:"cheek,omitempty"`
	Clock      *float64 `json:"catchlight_clock,omitempty"`
	OnIris     *bool    `json:"catchlight_on_iris,omitempty"`
	Covers     float64  `json:"covers_degrees"`
	PenumbraMM float64  `json:"nose_penumbra_mm"`
	Softness   string   `json:"softness"`
}

// FlickerJSON is what a mains light does at this shutter.
type FlickerJSON struct {
	Name   string    `json:"name"`
	Many   int       `json:"lights"`
	Share  float64   `json:"share"`
	Point  string    `json:"point"`
	Swing  float64   `json:"swing_stops"`
	Steady []float64 `json:"steady_seconds"`
}

// ConstantsOf reads the house's constants.
func (j *Job) ConstantsOf() Constants {
	h := j.File.House
	return Constants{h.FlatC, h.DomeC, h.K, h.CameraQ}
}

func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func some(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return finite(v)
}

// JSON turns a metered setup into its published shape.
func (m *Metered) JSON() SetupReadings {
	c := m.Camera
	out := SetupReadings{Name: m.Stage.Setup.Name, Stopped: m.Measured.Stopped || m.Measured.Capped,
		Camera: CameraJSON{float64(c.ISO), float64(c.Shutter), float64(c.Aperture), c.Assumed, c.Lit()},
		Points: []PointJSON{}, Layers: []LayerJSON{}}
	for i := range m.Readings {
		out.Points = append(out.Points, pointJSON(&m.Readings[i]))
	}
	for i := range m.Stage.Layers {
		out.Layers = append(out.Layers, layerJSON(&m.Stage.Layers[i]))
	}
	out.Facts = factsJSON(&m.Facts)
	for _, t := range m.Look {
		out.Look = append(out.Look, LookJSON{t.Words, t.Priority, t.Predicted, float64(t.Residual), t.Met,
			float64(t.Known), t.Unsettled(), t.Kind})
	}
	return out
}

func pointJSON(r *meter.Reading) PointJSON {
	p := PointJSON{Name: r.Name, Receptor: r.Receptor, At: r.At, Facing: r.Facing, FNumber: float64(r.FNumber),
		FText:   FText(r.FNumber),
		StopsOf: r.StopsOf, Error: float64(r.Error), StopsError: float64(r.SeenError),
		Uncertainty: float64(r.Uncertainty), RestsOn: r.Basis.String(), Paths: r.Paths, Lights: []LightJSON{}}
	spot := r.Receptor == "spot"
	if spot {
		p.Luminance, p.LuminanceSeconds, p.LuminanceExposure = finite(r.Lux), finite(r.LuxSeconds), finite(r.Exposure)
	} else {
		p.Lux, p.LuxSeconds, p.Exposure = r.Lux, r.LuxSeconds, r.Exposure
	}
	if r.Dark {
		p.Below = finite(r.Below)
	} else {
		p.Stops, p.OverSetting = finite(float64(r.Stops)), finite(float64(r.OverSet))
		p.XY = &[2]float64{r.XY.X, r.XY.Y}
		if r.Kelvin > 0 {
			p.Kelvin, p.Duv = finite(r.Kelvin), finite(r.Duv)
		}
	}
	for _, l := range r.Lights {
		v := l.Direct + l.Bounced
		j := LightJSON{Name: l.Name, Direct: l.Direct, Bounced: l.Bounced, Share: l.Share}
		switch {
		case spot && l.Flash:
			j.LuminanceSeconds = &v
		case spot:
			j.Luminance = &v
		case l.Flash:
			j.LuxSeconds = &v
		default:
			j.Lux = &v
		}
		p.Lights = append(p.Lights, j)
	}
	return p
}

func layerJSON(l *stage.Layer) LayerJSON {
	xy := l.Spectrum.XY()
	j := LayerJSON{Name: l.Name, Role: l.Role, Kind: string(l.Kind), Uncertainty: float64(l.Uncertainty),
		RestsOn: l.Basis.String(),
		XY:      [2]float64{xy.X, xy.Y}}
	if l.Source != nil {
		h := float64(l.Source.Headroom)
		j.Setting, j.Headroom, j.Why = l.Source.Dialled, &h, l.Source.Why
	}
	return j
}

// RestsOn says in one sentence what the lights' levels rest on, and what would make them surer.
func RestsOn(layers []LayerJSON) string {
	var order []string
	by := map[string][]string{}
	worst, loose := 0.0, ""
	for i := range layers {
		l := &layers[i]
		if l.Uncertainty == 0 {
			continue
		}
		if len(by[l.RestsOn]) == 0 {
			order = append(order, l.RestsOn)
		}
		by[l.RestsOn] = append(by[l.RestsOn], l.Name)
		if l.RestsOn == "catalogue" && l.Uncertainty > worst {
			worst, loose = l.Uncertainty, l.Name
		}
	}
	var parts []string
	for _, b := range order {
		parts = append(parts, b+" ("+strings.Join(runs(by[b]), ", ")+")")
	}
	if len(parts) == 0 {
		return ""
	}
	s := "Rests on: " + strings.Join(parts, "; ") + "."
	if loose != "" {
		s += fmt.Sprintf(" Surest gain: the maker's figure for %s with its modifier, or one reading of it.", loose)
	}
	return s
}

// runs joins names that count up, from three on: 'panel 1 to 15'.
func runs(names []string) (out []string) {
	split := func(name string) (stem string, n int) {
		at := strings.LastIndexByte(name, ' ')
		if at < 0 {
			return "", 0
		}
		n, _ = strconv.Atoi(name[at+1:])
		return name[:at], n
	}
	for i := 0; i < len(names); {
		stem, first := split(names[i])
		k := i + 1
		for ; first > 0 && k < len(names); k++ {
			if s, n := split(names[k]); s != stem || n != first+k-i {
				break
			}
		}
		if k-i < 3 {
			out, i = append(out, names[i]), i+1
			continue
		}
		out, i = append(out, fmt.Sprintf("%s to %d", names[i], first+k-i-1)), k
	}
	return out
}

// ratioWords says a ratio in one line for paper.
func ratioWords(r *meter.Ratio) string {
	s := fmt.Sprintf("Ratio %.1f:1 lit side : shadow side", r.Sides)
	return s + "; " + r.LightsSaid() + "."
}

// FlickerWords says what lights that swing do at the shutter set, and at which speeds they do not.
func FlickerWords(k *meter.Flicker) string {
	s := fmt.Sprintf("%s may swing by up to %.1f st from frame to frame (%.0f %% of the %s)", k.Name,
		float64(k.Swing), k.Share*100, k.Point)
	if len(k.Steady) == 0 {
		return s + "; no speed near by is steady: take test frames"
	}
	var at []string
	for _, t := range k.Steady {
		at = append(at, t.String())
	}
	return s + "; steady at " + strings.Join(at, ", ")
}

func factsJSON(f *meter.Facts) FactsJSON {
	j := FactsJSON{ClipStops: float64(f.Clip), FloorStops: float64(f.Floor), CleanStops: float64(f.Clean)}
	for _, l := range f.Lights {
		k := LightFactsJSON{Name: l.Name, Metres: float64(l.Distance), Pattern: l.Pattern.Name,
			Words: l.Pattern.Words(), Around: float64(l.Pattern.Around), Above: float64(l.Pattern.Above),
			Cheek: l.Pattern.Cheek, Covers: float64(l.Covers), PenumbraMM: float64(l.Penumbra) * 1000,
			Softness: l.Softness}
		if l.Catchlight != nil {
			k.Clock, k.OnIris = finite(l.Catchlight.Hour), &l.Catchlight.OnIris
		}
		j.Lights = append(j.Lights, k)
	}
	if r := f.Ratio; r != nil {
		j.RatioSides, j.LitOverShade, j.RatioWords, j.RatioFill = finite(r.Sides), finite(float64(r.LitOverShade)),
			r.Words, r.Fill
		if r.Lights > 0 {
			j.RatioLights = finite(r.Lights)
		}
	}
	j.FocusMetres, j.NearMetres, j.FarMetres = some(float64(f.Distance)), some(float64(f.Near)), some(float64(f.Far))
	j.BackgroundMetres, j.BlurMM = some(float64(f.Background)), some(float64(f.Blur)*1000)
	for _, k := range f.Flicker {
		x := FlickerJSON{k.Name, k.Many, k.Share, k.Point, float64(k.Swing), []float64{}}
		for _, t := range k.Steady {
			x.Steady = append(x.Steady, float64(t))
		}
		j.Flicker = append(j.Flicker, x)
	}
	return j
}
