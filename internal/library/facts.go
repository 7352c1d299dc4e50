package library

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halfstop/geom"
	"halfstop/kit"
	"halfstop/optics"
	"halfstop/record"
	"halfstop/shoot"
	"halfstop/stage"
)

// Facts are what the library knows of a setup, for searching and for showing.
type Facts struct {
	Title    string   `json:"shoot,omitempty"`
	Setup    string   `json:"setup"`
	Date     string   `json:"date,omitempty"`
	Recorded bool     `json:"recorded"`
	Lights   int      `json:"lights"`
	Roles    []string `json:"roles,omitempty"`
	Kit      []string `json:"kit,omitempty"` // heads, modifiers, grids, gels
	Pattern  string   `json:"pattern,omitempty"`
	Ratio    float64  `json:"ratio,omitempty"`    // lit side : shadow side; as recorded, else as asked
	Level    float64  `json:"level_stops"`        // mean of the levels asked or recorded, to mid-grey; 0: not known
	Ceiling  float64  `json:"ceiling_metres"`     // 0: open
	Area     float64  `json:"area_square_metres"` // of the floor
	Minute   int      `json:"minute"`             // of the day; -1: not said
	Lens     float64  `json:"lens_mm"`
	House    []string `json:"house,omitempty"` // practicals and windows, with their colours
	Haze     bool     `json:"haze"`
	Keys     []string `json:"key_words,omitempty"` // 'low key', 'one light', 'backlit', …
	Things   []string `json:"things,omitempty"`    // what stands there, with what it is made of
	Picture  string   `json:"picture,omitempty"`   // a computed picture beside it
	// Levels at the recorded points, stops to mid-grey, and the key's colour; absent where nothing
	// was recorded.
	Points map[string]float64 `json:"points,omitempty"`
	Kelvin float64            `json:"key_kelvin,omitempty"`
	notes  string
	sorts  []string // 'flash', 'continuous', 'gel'
}

// factsOf reads a setup of a shoot, or its record where there is one.
func factsOf(f *shoot.File, i int, r *record.Record) Facts {
	s := &f.Setups[i]
	heads := kit.Merge(kit.Catalogue(), f.Kit)
	x := Facts{Title: f.Shoot.Title, Date: f.Shoot.Date, Setup: s.Name, Minute: minute(s.At), Haze: s.Haze != nil,
		Recorded: r != nil, notes: s.Notes + " " + f.Shoot.Notes}
	corners, ceiling := stage.Outline(&f.Room)
	x.Ceiling = ceiling
	for n := range corners {
		a, b := corners[n], corners[(n+1)%len(corners)]
		x.Area += (a.X*b.Y - b.X*a.Y) / 2
	}
	x.Area = math.Abs(x.Area)
	if s.Camera != nil {
		x.Lens = float64(s.Camera.Lens) * 1000
	}
	for k := range s.Lights {
		l := &s.Lights[k]
		if l.Off {
			continue
		}
		if l.Head == "" { // a lamp of the place, built from its size and flux
			x.House = append(x.House, strings.Join([]string{l.Name, colourWords(l.Colour), "practical"}, " "))
			continue
		}
		x.Lights++
		x.Roles = append(x.Roles, strings.TrimSpace(l.Role+" "+l.Name))
		for _, w := range append([]string{l.Head, l.Modifier, l.Grid}, l.Gel...) {
			if w != "" {
				x.Kit = append(x.Kit, w)
			}
		}
		if h, ok := heads.FindHead(l.Head); ok {
			x.sorts = append(x.sorts, h.Kind)
		}
		if len(l.Gel) > 0 {
			x.sorts = append(x.sorts, "gel")
		}
	}
	off := strings.ToLower(strings.Join(s.Off, "\n"))
	for k := range f.Room.Practicals {
		p := &f.Room.Practicals[k]
		if !p.Off && !strings.Contains(off, strings.ToLower(p.Name)) {
			x.House = append(x.House, strings.Join([]string{p.Name, p.Kind, colourWords(p.Colour), "practical"}, " "))
		}
	}
	for k := range f.Room.Windows {
		if !strings.Contains(off, strings.ToLower(f.Room.Windows[k].Name)) {
			x.House = append(x.House, f.Room.Windows[k].Name+" window daylight")
			if f.Room.Windows[k].InCeiling {
				x.House[len(x.House)-1] += " skylight"
			}
		}
	}
	for k := range s.Openings {
		x.House = append(x.House, s.Openings[k].Name+" sky daylight")
	}
	for _, list := range [][]shoot.Object{f.Room.Objects, s.Objects} {
		for k := range list {
			o := &list[k]
			x.Things = append(x.Things, strings.TrimSpace(o.Name+" "+string(o.Kind)+" "+o.Surface.Preset))
		}
	}
	for _, v := range f.Room.Surfaces {
		x.Things = append(x.Things, v.Preset)
	}
	slices.Sort(x.Things)
	x.Things = slices.Compact(x.Things)
	x.pattern(s)
	x.look(s)
	if r != nil {
		x.recorded(r)
	}
	x.words4()
	return x
}

func minute(at string) int {
	h, m, ok := strings.Cut(at, ":")
	a, err := strconv.Atoi(h)
	b, err2 := strconv.Atoi(m)
	if !ok || err != nil || err2 != nil {
		return -1
	}
	return 60*a + b
}

// colourWords says a light's colour in words that a person asks for.
func colourWords(c shoot.Spectrum) string {
	switch k := float64(c.Kelvin); {
	case c.Name != "":
		return c.Name
	case k > 0 && k < 3600:
		return "warm"
	case k > 6500:
		return "cold"
	case k > 0:
		return "white"
	}
	return ""
}

// pattern is that of the key, from where it stands: the face is taken to be at nine tenths of the
// stature, looking to the camera and turned as the file says.
func (x *Facts) pattern(s *shoot.Setup) {
	if s.Sitter == nil || s.Camera == nil {
		return
	}
	face := geom.V(float64(s.Sitter.At[0]), float64(s.Sitter.At[1]), 0.9*float64(s.Sitter.Stature))
	if s.Sitter.Pose == "seated" {
		face.Z = float64(s.Sitter.Seat) + 0.44*float64(s.Sitter.Stature)
	}
	eye := spot(s.Camera.At, float64(s.Camera.Height))
	nose := eye.Sub(face)
	if d := geom.Of(s.Sitter.Faces.Vec); d.Len2() > 0 {
		nose = d
	}
	if w := s.Sitter.Faces.Word; len(w) == 2 {
		nose = map[string]geom.Vec{"x+": {X: 1}, "x-": {X: -1}, "y+": {Y: 1}, "y-": {Y: -1}}[w]
	}
	nose.Z = 0
	sn, cs := math.Sincos(s.Sitter.Turn.Radians())
	nose = geom.V(nose.X*cs-nose.Y*sn, nose.X*sn+nose.Y*cs, 0)
	for k := range s.Lights {
		l := &s.Lights[k]
		if strings.EqualFold(l.Role, "key") && len(l.At) > 1 && nose.Len2() > 0 {
			x.Pattern = optics.PatternOf(face, nose, spot(l.At, float64(l.Height)), eye).Name
			return
		}
	}
}

func spot[T ~float64](at []T, height float64) geom.Vec {
	v := geom.V(0, 0, height)
	if len(at) > 1 {
		v.X, v.Y = float64(at[0]), float64(at[1])
	}
	if len(at) > 2 {
		v.Z = float64(at[2])
	}
	return v
}

// look takes ratio and level from what is asked.
func (x *Facts) look(s *shoot.Setup) {
	var sum, n float64
	for _, w := range s.Look {
		if w.Below == "face key side" && w.Point == "face shadow side" {
			x.Ratio = math.Exp2(float64(w.By))
		}
		if w.Ratio != "" {
			if v, _, ok := shoot.ParseRatio(w.Ratio); ok {
				x.Ratio = v
			}
		}
		switch {
		case w.Stops != nil:
			sum, n = sum+float64(*w.Stops), n+1
		case w.Brightest != nil:
			sum, n = sum+float64(*w.Brightest), n+1
		}
	}
	if n > 0 {
		x.Level = sum / n
	}
}

// recorded takes what came out.
func (x *Facts) recorded(r *record.Record) {
	if r.Facts.Ratio > 0 {
		x.Ratio = r.Facts.Ratio
	}
	if r.Facts.Pattern != "" {
		x.Pattern = r.Facts.Pattern
	}
	var sum, whole float64
	for _, z := range r.Zones {
		sum, whole = sum+z.Share*z.Level, whole+z.Share
	}
	if whole > 0 {
		x.Level = sum / whole
	}
	for i := range r.Points {
		if p := &r.Points[i]; !p.Dark {
			if x.Points == nil {
				x.Points = map[string]float64{}
			}
			x.Points[p.Name] = p.Level
		}
	}
	for i := range r.Lights {
		if strings.EqualFold(r.Lights[i].Role, "key") {
			x.Kelvin = r.Lights[i].Colour.Kelvin
		}
	}
	for _, p := range r.Pictures {
		if p.Says == "computed" {
			x.Picture = p.File
		}
	}
}

// Borders of 'low key' and 'high key', stops of the mean to mid-grey (common practice, no source).
const (
	lowKey  = -2.0
	highKey = 0.5
)

var numbers = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}

// words4 makes the key words.
func (x *Facts) words4() {
	add := func(w string) { x.Keys = append(x.Keys, w) }
	switch {
	case x.Lights == 0:
		add("no lights")
		add("available light")
	case x.Lights == 1:
		add("one light")
	case x.Lights < len(numbers):
		add(numbers[x.Lights] + " lights")
	}
	if x.Level < lowKey || x.Ratio >= 8 {
		add("low key")
	}
	if x.Level > highKey && (x.Ratio == 0 || x.Ratio < 2.5) {
		add("high key")
	}
	if x.Haze {
		add("haze")
	}
	if x.Ceiling == 0 && x.Area == 0 {
		add("no room")
		add("outside")
	} else if x.Area < 15 {
		add("small")
	} else if x.Area > 40 {
		add("large")
	}
	switch h := x.Minute / 60; {
	case x.Minute < 0:
	case h < 11:
		add("morning")
	case h < 15:
		add("noon")
	case h < 18:
		add("afternoon")
	default:
		add("evening")
	}
}

// words are the texts of the six columns of the index.
func (x *Facts) words() [6]string {
	join := func(l []string) string { return strings.Join(l, " ") }
	look := x.Pattern + " " + join(x.Keys)
	if x.Ratio > 0 {
		look += fmt.Sprintf(" ratio %.0f", x.Ratio)
	}
	return [6]string{x.Setup + " " + x.Title, join(x.Roles), join(x.House) + " " + join(x.Things),
		join(x.Kit) + " " + join(x.sorts), look, x.notes}
}
