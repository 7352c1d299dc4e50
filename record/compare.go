package record

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	q "halfstop/quantity"
	"halfstop/spectrum"
)

// Differing is one thing in which two records differ, said as B against A.
type Differing struct {
	About  string  `json:"about"` // 'camera', 'room', 'picture', or a light's name
	What   string  `json:"what"`  // 'level', 'direction', 'size', 'colour', 'distance', 'there', …
	Words  string  `json:"words"`
	Amount float64 `json:"amount"`         // signed, B less A, in Unit
	Unit   string  `json:"unit,omitempty"` // 'stops', 'degrees', 'times', 'metres', 'mired', 'delta u'v''
	weight float64 // how much of it a person sees: 1 is what is just worth a word
}

// PointDifference is one point in both records.
type PointDifference struct {
	Name  string  `json:"name"`
	A     string  `json:"a"` // as a meter shows it
	B     string  `json:"b"`
	Stops float64 `json:"stops"` // level in the picture, B over A
	DUV   float64 `json:"delta_uv"`
}

// Comparison holds B against A.
type Comparison struct {
	Version     int               `json:"version"` // of this shape: 1
	A           string            `json:"a"`
	B           string            `json:"b"`
	Differences []Differing       `json:"differences"` // what shows most first
	Points      []PointDifference `json:"points"`
	Same        []string          `json:"same"` // what was held against each other and does not differ
	Why         *Why              `json:"why,omitempty"`
}

// Steps that are just worth a word (common practice, no source): a tenth of a stop is a meter's
// tenth, 5° is a hand's breadth on a stand two metres off, a tenth in size, 10 mired is the least
// that gels come in.
const (
	stepStops  = 0.1
	stepAngle  = 5.0
	stepSize   = 0.14 // log2: a tenth larger
	stepMired  = 10.0
	stepUV     = 0.004
	stepMetres = 0.1
)

// Compare says in what B differs from A: in stops, degrees, sizes, colour. Nothing is traced.
// Check: TestCompare.
func Compare(a, b *Record) *Comparison {
	c := &Comparison{Version: 1, A: a.Setup, B: b.Setup, Differences: []Differing{}, Points: []PointDifference{}}
	c.camera(a, b)
	c.room(a, b)
	c.figure("the ratio at the face", b.Facts.Over-a.Facts.Over, a.Facts.Ratio > 0 && b.Facts.Ratio > 0,
		func(d float64) string {
			word := "more open"
			if d > 0 {
				word = "harder"
			}
			return fmt.Sprintf("the ratio is %s: %s over the shadow side, %s before", word, stopsText(b.Facts.Over),
				stopsText(a.Facts.Over))
		})
	used := map[int]bool{}
	for i := range a.Lights {
		j := match(a, i, b, used)
		if j < 0 {
			c.add(Differing{About: a.Lights[i].Name, What: "there", Words: a.Lights[i].Name + " is not there",
				weight: 8})
			continue
		}
		used[j] = true
		c.light(&a.Lights[i], &b.Lights[j], a, b)
	}
	for j := range b.Lights {
		if !used[j] {
			c.add(Differing{About: b.Lights[j].Name, What: "there",
				Words: fmt.Sprintf("%s is new: %s of the light at the face",
					b.Lights[j].Name, percent(b.Lights[j].Share)), weight: 8})
		}
	}
	c.house(a, b)
	for i := range a.Points {
		p := &a.Points[i]
		o := b.Point(p.Name)
		if o == nil || p.Dark || o.Dark {
			continue
		}
		d := PointDifference{Name: p.Name, A: p.Predicted, B: o.Predicted, Stops: round(o.Level-p.Level, 2)}
		if len(p.Colour.XY) == 2 && len(o.Colour.XY) == 2 {
			d.DUV = round(spectrum.DeltaUVPrime(xyOf(p.Colour), xyOf(o.Colour)), 4)
		}
		c.Points = append(c.Points, d)
	}
	slices.SortStableFunc(c.Differences, func(x, y Differing) int { return cmp.Compare(y.weight, x.weight) })
	return c
}

func (c *Comparison) add(d Differing) { c.Differences = append(c.Differences, d) }

// figure adds a difference in stops, or says that there is none.
func (c *Comparison) figure(what string, d float64, known bool, words func(d float64) string) {
	switch {
	case !known:
	case math.Abs(d) < stepStops:
		c.Same = append(c.Same, what)
	default:
		c.add(Differing{About: "picture", What: what, Words: words(d), Amount: round(d, 2), Unit: "stops",
			weight: 2 * math.Abs(d) / stepStops})
	}
}

func xyOf(c Colour) spectrum.XY {
	if len(c.XY) != 2 {
		return spectrum.XY{}
	}
	return spectrum.XY{X: c.XY[0], Y: c.XY[1]}
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", v*100) }

func stopsText(v float64) string { return q.Stops(math.Round(v*10) / 10).String() }

// match finds the light of b that stands for light i of a: by name, else the first of its role.
func match(a *Record, i int, b *Record, used map[int]bool) int {
	for _, same := range []func(x, y *Light) bool{
		func(x, y *Light) bool { return strings.EqualFold(x.Name, y.Name) },
		func(x, y *Light) bool { return x.Role != "" && strings.EqualFold(x.Role, y.Role) }} {
		for j := range b.Lights {
			if !used[j] && same(&a.Lights[i], &b.Lights[j]) {
				return j
			}
		}
	}
	return -1
}

func (c *Comparison) camera(a, b *Record) {
	x, y := &a.Camera, &b.Camera
	exposure := func(e Exposure) float64 { // stops of light let in and made of it
		if e.Aperture <= 0 || e.Shutter <= 0 || e.ISO <= 0 {
			return 0
		}
		return math.Log2(float64(e.ISO)*float64(e.Shutter)) - 2*math.Log2(float64(e.Aperture))
	}
	c.figure("the camera's exposure", exposure(y.Set)-exposure(x.Set), true, func(d float64) string {
		return fmt.Sprintf("the camera is set %s: %s, %s, ISO %s against %s, %s, ISO %s",
			moreLess(d, "brighter", "darker"),
			y.Set.Aperture, y.Set.Shutter, y.Set.ISO, x.Set.Aperture, x.Set.Shutter, x.Set.ISO)
	})
	if d := y.View - x.View; math.Abs(d) >= 1 && x.View > 0 && y.View > 0 {
		c.add(Differing{About: "camera", What: "angle of view", Amount: round(d, 1), Unit: "degrees",
			weight: math.Abs(d) / stepAngle,
			Words:  fmt.Sprintf("the lens takes in %.0f°, %.0f° before", y.View, x.View)})
	}
	c.metres("camera", "camera to the sitter", x.Metres, y.Metres)
	c.metres("camera", "sitter to the background", x.Background-x.Metres, y.Background-y.Metres)
}

func moreLess(d float64, more, less string) string {
	if d < 0 {
		more = less
	}
	return fmt.Sprintf("%.1f st %s", math.Abs(d), more)
}

func (c *Comparison) metres(about, what string, x, y float64) {
	switch d := y - x; {
	case !(x > 0) || !(y > 0):
	case math.Abs(d) < stepMetres:
		c.Same = append(c.Same, what)
	default:
		c.add(Differing{About: about, What: what, Amount: round(d, 2), Unit: "metres",
			weight: math.Abs(math.Log2(y/x)) / stepSize,
			Words:  fmt.Sprintf("%s: %.2f m, %.2f m before", what, y, x)})
	}
}

func (c *Comparison) room(a, b *Record) {
	x, y := &a.Room, &b.Room
	if x.Height > 0 && y.Height > 0 && math.Abs(y.Height-x.Height) >= 0.05 {
		c.add(Differing{About: "room", What: "ceiling", Amount: round(y.Height-x.Height, 2), Unit: "metres",
			weight: math.Abs(y.Height-x.Height) / stepMetres,
			Words: fmt.Sprintf("the ceiling is %.0f cm %s", 100*math.Abs(y.Height-x.Height),
				word(y.Height > x.Height, "higher", "lower"))})
	}
	for _, s := range []struct {
		name string
		x, y float64
	}{{"walls", x.Walls, y.Walls}, {"ceiling", x.Ceiling, y.Ceiling}, {"floor", x.Floor, y.Floor}} {
		if !(s.x > 0) || !(s.y > 0) {
			continue
		}
		if d := math.Log2(s.y / s.x); math.Abs(d) >= stepStops {
			c.add(Differing{About: "room", What: s.name, Amount: round(d, 2), Unit: "stops",
				weight: math.Abs(d) / stepStops,
				Words: fmt.Sprintf("the %s: %s, %s against %s", s.name, word(d > 0, "paler", "darker"),
					percent(s.y), percent(s.x))})
		}
	}
	if d := y.Haze - x.Haze; math.Abs(d) > 0.002 {
		c.add(Differing{About: "room", What: "haze", Amount: round(d, 3), Unit: "per metre", weight: 6,
			Words: word(d > 0, "more haze in the air", "less haze in the air")})
	}
}

func word(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// light says how a light of A and the one that stands for it in B differ.
func (c *Comparison) light(x, y *Light, a, b *Record) {
	weigh := 0.5 + max(x.Share, y.Share) // what does little at the face counts half
	name := x.Name
	add := func(what, unit string, amount, steps float64, format string, args ...any) {
		c.add(Differing{About: name, What: what, Amount: round(amount, 2), Unit: unit, weight: weigh * steps,
			Words: name + ": " + fmt.Sprintf(format, args...)})
	}
	before := len(c.Differences)
	if sx, sy := &x.Seen, &y.Seen; sx.Metres > 0 && sy.Metres > 0 {
		if d := apart(sx, sy); d >= stepAngle {
			var how []string
			if e := sy.Above - sx.Above; math.Abs(e) >= 2 {
				how = append(how, fmt.Sprintf("%.0f° %s", math.Abs(e), word(e > 0, "higher", "flatter")))
			}
			if e := math.Abs(sy.Around) - math.Abs(sx.Around); math.Abs(e) >= 2 {
				how = append(how, fmt.Sprintf("%.0f° %s", math.Abs(e), word(e > 0, "farther round",
					"nearer the nose")))
			}
			if sx.Around*sy.Around < 0 && min(math.Abs(sx.Around), math.Abs(sy.Around)) > 5 {
				how = append(how, "from the other side")
			}
			if sx.Pattern != sy.Pattern && sy.Pattern != "" {
				how = append(how, fmt.Sprintf("%s, %s before", sy.Pattern, sx.Pattern))
			}
			add("direction", "degrees", d, d/stepAngle, "%s", strings.Join(how, ", "))
		}
		if sx.Covers > 0 && sy.Covers > 0 {
			if d := math.Log2(sy.Covers / sx.Covers); math.Abs(d) >= stepSize {
				add("size", "times", math.Exp2(d), math.Abs(d)/stepSize,
					"%s: it covers %.0f°, seen from the face, %.0f° before; nose shadow's edge %.0f mm, %.0f mm before",
					word(d > 0, "softer", "harder"), sy.Covers, sx.Covers, sy.Edge, sx.Edge)
			}
		}
		if d := math.Log2(sy.Metres / sx.Metres); math.Abs(d) >= stepSize {
			add("distance", "metres", sy.Metres-sx.Metres, math.Abs(d)/stepSize/2,
				"%.2f m from the face, %.2f m before", sy.Metres, sx.Metres)
		}
	}
	if d := atFace(b, y) - atFace(a, x); !math.IsNaN(d) && math.Abs(d) >= stepStops && max(x.Share, y.Share) >= 0.03 {
		add("level", "stops", d, math.Abs(d)/stepStops, "%s at the face (dialled %s, %s before)",
			moreLess(d, "brighter", "darker"), y.Dialled, x.Dialled)
	}
	if len(x.Colour.XY) == 2 && len(y.Colour.XY) == 2 {
		duv := spectrum.DeltaUVPrime(xyOf(x.Colour), xyOf(y.Colour))
		kx, ky := x.Colour.Kelvin, y.Colour.Kelvin
		switch {
		case duv < stepUV:
		case kx > 0 && ky > 0 && math.Abs(1e6/ky-1e6/kx) >= stepMired:
			d := 1e6/ky - 1e6/kx
			add("colour", "mired", d, math.Abs(d)/stepMired, "%s: %.0f K, %.0f K before",
				word(d > 0, "warmer", "colder"), ky, kx)
		default:
			add("colour", "delta u'v'", duv, duv/stepUV, "another colour, Δu'v' %.3f", duv)
		}
	}
	if len(c.Differences) == before {
		c.Same = append(c.Same, name)
	}
}

// apart is the angle between two directions seen from the face, in the head's own frame. Sides of
// the nose count as sides.
func apart(x, y *Seen) float64 {
	v := func(s *Seen) [3]float64 {
		sa, ca := math.Sincos(s.Around * math.Pi / 180)
		sb, cb := math.Sincos(s.Above * math.Pi / 180)
		return [3]float64{cb * ca, cb * sa, sb}
	}
	a, b := v(x), v(y)
	return math.Acos(min(1, max(-1, a[0]*b[0]+a[1]*b[1]+a[2]*b[2]))) * 180 / math.Pi
}

// atFace is a light's own level at the key side of the face, stops to mid-grey; NaN where it is not
// known.
func atFace(r *Record, l *Light) float64 {
	p := r.Point("face key side")
	if p == nil || p.Dark || !(l.Share > 0) || !(p.N > 0) {
		return math.NaN()
	}
	// By the meter: its f-number squared goes with the exposure, whatever skin it falls on.
	return math.Log2(l.Share) + 2*math.Log2(p.N)
}

func (c *Comparison) house(a, b *Record) {
	for _, x := range a.House {
		if i := slices.IndexFunc(b.House, func(y House) bool { return strings.EqualFold(x.Name, y.Name) }); i < 0 {
			c.add(Differing{About: x.Name, What: "there", weight: 1 + 20*x.Share,
				Words: fmt.Sprintf("%s (%s) %s: it gave %s of the light at the face", x.Name, x.Word,
					word(x.Word == "window", "is not there", "does not burn"), percent(x.Share))})
		} else if d := b.House[i].Share - x.Share; math.Abs(d) >= 0.02 {
			c.add(Differing{About: x.Name, What: "share", Amount: round(d, 3), Unit: "share",
				weight: 20 * math.Abs(d),
				Words: fmt.Sprintf("%s gives %s of the light at the face, %s before", x.Name,
					percent(b.House[i].Share), percent(x.Share))})
		}
	}
	for _, y := range b.House {
		if !slices.ContainsFunc(a.House, func(x House) bool { return strings.EqualFold(x.Name, y.Name) }) {
			c.add(Differing{About: y.Name, What: "there",
				Words: fmt.Sprintf("%s (%s) %s: %s of the light at the face", y.Name, y.Word,
					word(y.Word == "window", "is new", "burns"), percent(y.Share)),
				weight: 1 + 20*y.Share})
		}
	}
}
