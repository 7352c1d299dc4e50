package ways

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/kit"
	"halfstop/material"
	"halfstop/photometry"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// MatchWork says with what a colour is matched.
type MatchWork struct {
	Setup   int    // whose practicals, lights and sitter are meant
	File    []byte // the text of a spectrum file, where the colour is one
	AllKit  bool   // all heads of the generic catalogue, not only those of the shoot
	PerHead int    // gel stacks shown for a head; 0 is 3
}

// Matched is the colour wanted and the ways to make it, best first.
type Matched struct {
	Asked    string
	XY       spectrum.XY
	Kelvin   float64 // 0 where it has none
	Duv      float64
	Spectral bool // its spectrum is known, not only its chromaticity
	Skin     float64
	Ways     []MatchWay
	Notes    []string
}

// MatchWay is one head with its drives or gels.
type MatchWay struct {
	Head    string
	Flash   bool
	Drives  []Drive  // of a head that mixes
	Gels    []string // of a head that does not
	XY      spectrum.XY
	DeltaUV float64 // Δu'v' to the wanted light
	Skin    float64 // ΔE2000 on skin, luminance of the light made equal
	Wall    float64 // ΔE2000 on a white wall
	Loss    q.Stops // against the head's rated white, or without gels
	InGamut bool    // for a head that mixes: the chromaticity itself can be made; else this is the nearest
	Nearest string  // what 'nearest' went by: '', 'ΔE2000 on skin', 'Δu'v''
}

// Drive is the drive of one emitter, 0 to 1.
type Drive struct {
	Name  string
	Share float64
}

// Match finds how to make a light's colour with the kit of the shoot. colour is a light of the
// shoot ('practicals.sign', 'key'), 'x=0.31 y=0.33', "u'=0.20 v'=0.47", '5600 K', '5600 K +0.003
// Duv', '#rrggbb', or a lamp's name. With w.File the colour is that of its text, a spectrum file.
//
// For a head that mixes it is the brightest mixture of the chromaticity, or out of gamut the
// nearest by ΔE2000 on skin. For others it is the best stacks of at most two gels, by exhaustive
// search. Equal chromaticity is not equal rendering, so ΔE2000 on skin and on a white wall are
// given too, for an eye adapted to D65. Check: TestMatch*.
func (j *Shoot) Match(ctx context.Context, colour string, w MatchWork) (*Matched, error) {
	if w.Setup < 0 || w.Setup >= len(j.File.Setups) {
		return nil, fmt.Errorf("there is no setup %d", w.Setup+1)
	}
	s, list := stage.Build(j.File, j.Doc, w.Setup, stage.Options{Files: j.Files, Detail: figure.Shadow, Empty: true,
		Bare: true})
	if s == nil {
		return nil, fmt.Errorf("%s", firstError(list))
	}
	light, full, err := readColour(s, colour, w.File)
	if err != nil {
		return nil, err
	}
	m := &Matched{Asked: colour, XY: light.XY(), Spectral: full, Skin: 4}
	if s.Setup.Sitter != nil && s.Setup.Sitter.Skin > 0 {
		m.Skin = s.Setup.Sitter.Skin
	}
	if k, duv, ok := spectrum.CCTOhno2013(m.XY); ok {
		m.Kelvin, m.Duv = k, duv
	}
	if !full {
		m.Notes = append(m.Notes, "only the chromaticity is known: a smooth spectrum stands for it on skin and wall")
	}
	wall, err := material.Preset("white emulsion")
	if err != nil {
		return nil, err
	}
	on := []spectrum.Curve{material.Skin(m.Skin).Total(), wall.Total()}
	k := s.Kit()
	if w.PerHead <= 0 {
		w.PerHead = 3
	}
	g := generator{finder: &finder{job: j, setup: w.Setup}}
	var heads []kit.Head
	for _, h := range k.Heads {
		if w.AllKit || g.owned(h.Name) {
			heads = append(heads, h)
		}
	}
	if len(heads) == 0 {
		heads = k.Heads
		m.Notes = append(m.Notes, "the shoot names no heads: the generic catalogue stands in")
	}
	for _, h := range heads {
		ways, err := matchHead(ctx, k, h, light, on, w.PerHead)
		if err != nil {
			if ctx.Err() != nil {
				return m, ctx.Err()
			}
			m.Notes = append(m.Notes, h.Name+": "+err.Error())
			continue
		}
		m.Ways = append(m.Ways, ways...)
	}
	m.Ways = undominated(m.Ways)
	// Colours that cannot be told apart are in order of loss, and at an equal tenth of a stop fewer
	// sheets first: steps of 0.002 in u'v' (common practice, no source).
	slices.SortStableFunc(m.Ways, func(a, b MatchWay) int {
		return cmp.Or(cmp.Compare(math.Floor(a.DeltaUV/0.002), math.Floor(b.DeltaUV/0.002)),
			cmp.Compare(math.Round(10*float64(a.Loss)), math.Round(10*float64(b.Loss))),
			cmp.Compare(len(a.Gels), len(b.Gels)),
			cmp.Compare(a.Loss, b.Loss))
	})
	return m, nil
}

// undominated drops each way of a head beside which another of the same head is as near in colour,
// on skin and on a wall, with no more sheets and less lost: nobody cancels a green with a magenta.
func undominated(list []MatchWay) []MatchWay {
	bin := func(v, step float64) float64 { return math.Floor(v / step) }
	return slices.DeleteFunc(slices.Clone(list), func(w MatchWay) bool {
		return slices.ContainsFunc(list, func(u MatchWay) bool {
			return u.Head == w.Head && bin(u.DeltaUV, 0.002) <= bin(w.DeltaUV, 0.002) &&
				bin(u.Skin, 1) <= bin(w.Skin, 1) && bin(u.Wall, 1) <= bin(w.Wall, 1) &&
				len(u.Gels) <= len(w.Gels) && u.Loss < w.Loss
		})
	})
}

// GelsSaid is the stack as a crew calls its sheets.
func (w *MatchWay) GelsSaid() (out []string) {
	for i, n := range w.Gels {
		if i > 0 && n == w.Gels[i-1] {
			out[len(out)-1] += " twice"
			continue
		}
		out = append(out, gelSaid(n))
	}
	return out
}

func firstError(list diag.List) string {
	for _, m := range list {
		if m.Severity == diag.Error {
			return m.Text
		}
	}
	return "the setup cannot be built"
}

// matchHead matches with one head.
func matchHead(ctx context.Context, k *kit.Kit, h kit.Head, wanted spectrum.Curve, on []spectrum.Curve,
	limit int) ([]MatchWay, error) {
	flash := h.Kind == "flash"
	if d, shared, ok := h.Primaries(); ok {
		var lamps []balance.Lamp
		for _, p := range d.Primaries {
			lamps = append(lamps, lampOf(p.Light.PerLuminance().Scale(p.Flux), on))
		}
		m, err := balance.MatchPrimaries(lampOf(wanted.PerLuminance(), on), lamps, 1.0/1000, difference(wanted))
		if err != nil {
			return nil, err
		}
		level := m.Level
		if shared {
			sum := 0.0
			for _, v := range m.Drives {
				sum += v
			}
			for i := range m.Drives {
				m.Drives[i] /= sum
			}
			level /= sum
		}
		w := matchWay(h.Name, flash, m)
		w.Loss = -q.StopsOf(level)
		for i, v := range m.Drives {
			w.Drives = append(w.Drives, Drive{d.Primaries[i].Name, v})
		}
		return []MatchWay{w}, nil
	}
	light, err := h.Light()
	if err != nil {
		return nil, err
	}
	stacks, err := gelStacks(ctx, k, light, wanted, on, limit)
	if err != nil {
		return nil, err
	}
	var out []MatchWay
	for _, s := range stacks {
		w := matchWay(h.Name, flash, s.match)
		w.Gels, w.Loss, w.InGamut = s.gels, s.match.Loss, s.match.DeltaUV <= 0.001
		out = append(out, w)
	}
	return out, nil
}

func matchWay(head string, flash bool, m balance.Match) MatchWay {
	w := MatchWay{Head: head, Flash: flash, XY: spectrum.XYOfUVPrime(m.UV[0], m.UV[1]), DeltaUV: m.DeltaUV,
		InGamut: m.InGamut}
	switch m.Nearness {
	case "dE2000":
		w.Nearest = "ΔE2000 on skin"
	case "du'v'":
		w.Nearest = "Δu'v'"
	}
	if len(m.DeltaE) > 1 {
		w.Skin, w.Wall = m.DeltaE[0], m.DeltaE[1]
	}
	return w
}

var (
	xyForm     = regexp.MustCompile(`^(?:xy\s+|x\s*=\s*)([0-9.]+)[\s,;]+(?:y\s*=\s*)?([0-9.]+)$`)
	uvForm     = regexp.MustCompile(`^u['’′]?\s*=\s*([0-9.]+)[\s,;]+v['’′]?\s*=\s*([0-9.]+)$`)
	kelvinForm = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?)\s*[kK](?:[\s,]+([-+−]?[0-9.]+)\s*(?:[dD]uv)?)?$`)
)

// readColour reads the colour asked for; full is true where its spectrum is known.
func readColour(s *stage.Stage, text string, file []byte) (c spectrum.Curve, full bool, err error) {
	defer func() {
		if err == nil && (c.Check() != nil || !(c.XYZ().Y > 0)) {
			err = fmt.Errorf("%q is no light", text)
		}
	}()
	if file != nil {
		sp, list := photometry.ParseSpectral(text, file)
		if sp == nil {
			return c, false, fmt.Errorf("%s", strings.TrimSpace(list.Text()))
		}
		c, err = spectrum.OfPairs(sp.Pairs)
		return c, true, err
	}
	t := strings.TrimSpace(text)
	at := func(x, y float64) (spectrum.Curve, bool, error) {
		c, err := spectrum.OfChromaticity(x, y)
		if err != nil {
			err = fmt.Errorf("x = %.4g, y = %.4g is no colour of light", x, y)
		}
		return c, false, err
	}
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(strings.Replace(s, "−", "-", 1), 64)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	if p := xyForm.FindStringSubmatch(t); p != nil {
		return at(num(p[1]), num(p[2]))
	}
	if p := uvForm.FindStringSubmatch(t); p != nil {
		xy := spectrum.XYOfUVPrime(num(p[1]), num(p[2]))
		return at(xy.X, xy.Y)
	}
	if p := kelvinForm.FindStringSubmatch(t); p != nil {
		k := num(p[1])
		if !(k >= 1000 && k <= 40000) {
			return c, false, fmt.Errorf("%s: write a temperature from 1000 K to 40000 K", text)
		}
		if p[2] != "" {
			duv := num(p[2])
			if !(math.Abs(duv) <= 0.05) {
				return c, false, fmt.Errorf("%s: Duv goes from -0.05 to 0.05", text)
			}
			if duv != 0 {
				xy := spectrum.XYOfCCT(k, duv)
				return at(xy.X, xy.Y)
			}
		}
		return spectrum.White(k), true, nil
	}
	if strings.HasPrefix(t, "#") {
		if !regexp.MustCompile(`^#[0-9a-fA-F]{6}$`).MatchString(t) || strings.EqualFold(t, "#000000") {
			return c, false, fmt.Errorf("%q: write a colour like \"#c08040\"", text)
		}
		c, err = s.LightOf(shoot.Spectrum{RGB: strings.ToLower(t)})
		return c, false, err
	}
	like := strings.TrimSpace(strings.TrimPrefix(t, "like "))
	if c, err := s.LightOf(shoot.Spectrum{Like: like}); err == nil {
		return c, true, nil
	}
	if c, err := spectrum.Lamp(t); err == nil {
		return c, true, nil
	}
	var known []string
	for _, p := range s.Shoot.Room.Practicals {
		known = append(known, "practicals."+p.Name)
	}
	for _, l := range s.Layers {
		if l.Light >= 0 {
			known = append(known, l.Name)
		}
	}
	return c, false, fmt.Errorf(
		"%q is no light here and no colour; lights here: %s; or write x=0.31 y=0.33, u'=0.20 v'=0.47, 5600 K "+
			"+0.003 Duv, #c08040, a lamp's name, or a spectrum file",
		text, strings.Join(known, ", "))
}

// MatchOut is what `match --json` prints.
type MatchOut struct {
	Version int            `json:"version"` // of this shape: 1
	Asked   string         `json:"asked"`
	XY      [2]float64     `json:"xy"`
	UV      [2]float64     `json:"uv"` // CIE 1976 u', v'
	Kelvin  *float64       `json:"kelvin"`
	Duv     *float64       `json:"duv"`
	Known   bool           `json:"spectrum_known"`
	Ways    []MatchWayJSON `json:"ways"`
	Notes   []string       `json:"notes,omitempty"`
}

// MatchWayJSON is one way.
type MatchWayJSON struct {
	Head    string      `json:"head"`
	Kind    string      `json:"kind"`
	Drives  []DriveJSON `json:"drives,omitempty"`
	Gels    []string    `json:"gels,omitempty"`
	XY      [2]float64  `json:"xy"`
	DeltaUV float64     `json:"delta_uv"`
	Skin    float64     `json:"delta_e2000_skin"`
	Wall    float64     `json:"delta_e2000_white_wall"`
	Loss    float64     `json:"loss_stops"`
	Level   float64     `json:"level_left"` // share of the head's rated level
	InGamut bool        `json:"exact"`
	Nearest string      `json:"nearest_by,omitempty"`
}

// DriveJSON is one emitter's drive.
type DriveJSON struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
}

// JSON is the published shape.
func (m *Matched) JSON() MatchOut {
	u, v := m.XY.UVPrime()
	out := MatchOut{Version: 1, Asked: m.Asked, XY: [2]float64{m.XY.X, m.XY.Y}, UV: [2]float64{u, v},
		Known: m.Spectral, Ways: []MatchWayJSON{}, Notes: m.Notes}
	if m.Kelvin > 0 {
		out.Kelvin, out.Duv = finite(m.Kelvin), finite(m.Duv)
	}
	for _, w := range m.Ways {
		j := MatchWayJSON{Head: w.Head, Kind: "continuous", Gels: w.Gels, XY: [2]float64{w.XY.X, w.XY.Y},
			DeltaUV: w.DeltaUV, Skin: w.Skin, Wall: w.Wall, Loss: float64(w.Loss),
			Level: (-w.Loss).Times(), InGamut: w.InGamut, Nearest: w.Nearest}
		if w.Flash {
			j.Kind = "flash"
		}
		for _, d := range w.Drives {
			j.Drives = append(j.Drives, DriveJSON(d))
		}
		out.Ways = append(out.Ways, j)
	}
	return out
}
