package server

import (
	"fmt"
	"math"
	"net/http"
	"strconv"

	"halfstop/kit"
	"halfstop/spectrum"
)

// ChartView is a chart of colours of light in CIE 1976 u', v', and what a head can make on it.
type ChartView struct {
	Locus  []ChartPoint `json:"locus" doc:"single wavelengths, value in nm; the straight line between its ends closes it"`
	Planck []ChartPoint `json:"planck" doc:"Planck's radiators, value in kelvin"`
	Day    []ChartPoint `json:"daylight" doc:"CIE daylight, value in kelvin"`
	Head   string       `json:"head" doc:"as asked; empty: any colour of light"`
	Kind   string       `json:"kind" words:"any|mixes|bicolour|fixed" doc:"what the head can: any colour, inside its primaries, along a line, one"`
	Gamut  []ChartPoint `json:"gamut" doc:"its primaries, value is their light at full as a share of its rated white; of a fixed head its one colour"`
	Names  []string     `json:"names" doc:"of the primaries"`
}

// ChartPoint is a place on the chart.
type ChartPoint struct {
	U     float64 `json:"u"`
	V     float64 `json:"v"`
	Value float64 `json:"value"`
}

// ColourView is one colour asked of a head, and what comes.
type ColourView struct {
	U        float64    `json:"u" doc:"asked, CIE 1976"`
	V        float64    `json:"v"`
	X        float64    `json:"x" doc:"asked, CIE 1931"`
	Y        float64    `json:"y"`
	Kelvin   float64    `json:"kelvin,omitempty" doc:"of what is asked; absent where it has none"`
	Duv      float64    `json:"duv,omitempty" doc:"CIE 1960, green positive"`
	Text     string     `json:"text" doc:"what the file shall say"`
	Light    bool       `json:"light" doc:"false: no light has that colour"`
	InGamut  bool       `json:"in_gamut"`
	NearU    float64    `json:"near_u" doc:"what the head makes of it"`
	NearV    float64    `json:"near_v"`
	Distance float64    `json:"distance" doc:"from asked to made, in u', v'"`
	Stops    float64    `json:"stops" doc:"most level in that colour against the head's rated white; 0 for any colour"`
	Tint     [3]float64 `json:"tint" doc:"linear sRGB of what is made, luminance 1, not adapted; may lie outside 0 to 1"`
}

func pointOf(c spectrum.XY, value float64) ChartPoint {
	u, v := c.UVPrime()
	return ChartPoint{u, v, value}
}

// headAsked finds the head that a request names; "" is none.
func (s *Server) headAsked(r *http.Request) (kit.Head, bool, error) {
	name := r.FormValue("head")
	if name == "" {
		return kit.Head{}, false, nil
	}
	own := kit.Kit{}
	if m := s.book.snapshot(); m != nil {
		own = m.job.File.Kit
	}
	all := kit.Merge(kit.Catalogue(), own)
	h, ok := all.FindHead(name)
	if !ok {
		return kit.Head{}, false, refuse(http.StatusNotFound, "there is no head %q in the kit", name)
	}
	return h, true, nil
}

func (s *Server) getChart(w http.ResponseWriter, r *http.Request) error {
	v := ChartView{Locus: []ChartPoint{}, Planck: []ChartPoint{}, Day: []ChartPoint{}, Gamut: []ChartPoint{},
		Names: []string{}, Kind: "any"}
	for nm := 410.0; nm <= 680; nm += 5 {
		v.Locus = append(v.Locus, pointOf(spectrum.OfLines([]spectrum.Line{{NM: nm, Power: 1}}).XY(), nm))
	}
	for mired := 500.0; mired >= 40; mired -= 10 {
		k := 1e6 / mired
		v.Planck = append(v.Planck, pointOf(spectrum.XYOfCCT(k, 0), k))
		if k >= 4000 {
			v.Day = append(v.Day, pointOf(spectrum.DaylightXY(k), k))
		}
	}
	h, named, err := s.headAsked(r)
	if err != nil {
		return err
	}
	if named {
		v.Head = h.Name
		d, shared, ok := h.Primaries()
		switch {
		case ok:
			v.Kind = "mixes"
			if shared {
				v.Kind = "bicolour"
			}
			for _, p := range d.Primaries {
				v.Gamut, v.Names = append(v.Gamut, pointOf(p.Light.XY(), p.Flux)), append(v.Names, p.Name)
			}
		default:
			v.Kind = "fixed"
			l, err := h.Light()
			if err != nil {
				return err
			}
			v.Gamut = append(v.Gamut, pointOf(l.XY(), 1))
		}
	}
	return give(w, v)
}

func (s *Server) getColour(w http.ResponseWriter, r *http.Request) error {
	num := func(key string) float64 {
		x, err := strconv.ParseFloat(r.FormValue(key), 64)
		if err != nil || math.Abs(x) > 1e6 {
			return math.NaN()
		}
		return x
	}
	var v ColourView
	var asked spectrum.XY
	if k, duv := num("kelvin"), num("duv"); !math.IsNaN(k) {
		if math.IsNaN(duv) {
			duv = 0
		}
		if k < 1000 || k > 100000 || math.Abs(duv) > spectrum.MaxDuv {
			return refuse(http.StatusBadRequest,
				"a colour temperature is 1000 K to 100000 K, and its distance from the Planckian locus at most %g",
				spectrum.MaxDuv)
		}
		k = math.Round(k/10) * 10
		v.Text = fmt.Sprintf("%.0f K", k)
		asked = spectrum.White(k).XY() // as the file's words say: Planck below, daylight above
		if duv != 0 {
			v.Text = fmt.Sprintf("{kelvin: %.0f K, duv: %.4g}", k, duv)
			asked = spectrum.XYOfCCT(k, duv)
		}
	} else {
		u, y := num("u"), num("v")
		if !(u >= 0 && u <= 1 && y > 0 && y <= 1) {
			return refuse(http.StatusBadRequest, "give u and v, each 0 to 1, or kelvin")
		}
		asked = spectrum.XYOfUVPrime(u, y)
		asked = spectrum.XY{X: math.Round(asked.X*1e4) / 1e4, Y: math.Round(asked.Y*1e4) / 1e4}
		v.Text = fmt.Sprintf("[%.4f, %.4f]", asked.X, asked.Y)
	}
	h, named, err := s.headAsked(r)
	if err != nil {
		return err
	}
	v.X, v.Y, v.Light = asked.X, asked.Y, asked.Y > 0 && spectrum.InsideLocus(asked)
	v.U, v.V = asked.UVPrime()
	if k, duv, ok := spectrum.CCTOhno2013(asked); ok {
		v.Kelvin, v.Duv = k, duv
	}
	made := asked
	v.InGamut = v.Light
	if named {
		light, level, in, err := h.Make(kit.Ask{XY: asked})
		if err != nil { // a head of one colour: what it has
			if light, err = h.Light(); err != nil {
				return err
			}
			level, in = 1, spectrum.DeltaUVPrime(light.XY(), asked) < 1e-4
		}
		made, v.InGamut, v.Stops = light.XY(), in && v.Light, math.Log2(level)
	}
	v.NearU, v.NearV = made.UVPrime()
	v.Distance = spectrum.DeltaUVPrime(asked, made)
	v.Tint = spectrum.SRGB.Linear(made.XYZ(1))
	return give(w, v)
}
