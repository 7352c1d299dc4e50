package begin

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	q "halfstop/quantity"
	"halfstop/yamltext"
)

// Seat is the height of a chair, metres: chairs are 0.42 to 0.46. From memory.
const Seat = 0.45

// footprint is from a wall to the middle of a light stand, metres. Common practice, no source.
const footprint = 0.5

// Plan is a shoot that is about to be written. Lengths are metres; a place is x along the room's
// length, y across it, z up.
type Plan struct {
	Title                  string
	Feet                   bool       // the file's lengths are feet and inches
	Room                   [3]float64 // length, width, height
	Walls                  string     // a surface as the shoot file takes it; empty: nobody said
	Camera                 [3]float64
	Landscape              bool
	Sitter                 [2]float64 // who faces the camera
	Seated                 bool
	Stature                float64
	Lens                   string // like "50 mm"
	Aperture, Shutter, ISO string
	Head, Modifier         string // Modifier may be empty
	Key                    [3]float64
}

// Face is the height of the face over the floor, metres.
func (p Plan) Face() float64 { return face(p.Seated, p.Stature) }

// face in stature: anthropometric rules of thumb, common practice.
func face(seated bool, stature float64) float64 {
	if seated {
		return Seat + 0.43*stature
	}
	return 0.92 * stature
}

// Say writes a length as the file does.
func (p Plan) Say(m float64) string {
	if p.Feet {
		return q.Metres(m).Feet()
	}
	return strconv.FormatFloat(math.Round(m*100)/100, 'f', -1, 64) + " m"
}

// Text is the shoot file. The key is at 1/16 power until it is balanced for the look.
func (p Plan) Text() []byte {
	var t strings.Builder
	f := func(format string, a ...any) { fmt.Fprintf(&t, format+"\n", a...) }
	at := func(x, y float64) string { return fmt.Sprintf("[%s, %s]", p.Say(x), p.Say(y)) }
	f("# Begun with halfstop. Every key of this file: docs/shoot-file.md. 'halfstop check' says what cannot " +
		"stand as written.")
	f("halfstop: 1")
	f("shoot: {title: %s}", yamltext.Quote(p.Title, true))
	if p.Feet {
		f("house: {lengths: feet}")
	}
	f("\nroom:")
	f("  size: [%s, %s, %s]   # length along x, width along y, height", p.Say(p.Room[0]), p.Say(p.Room[1]),
		p.Say(p.Room[2]))
	if p.Walls == "" {
		f("  # surfaces: {walls: …, floor: …, ceiling: …}   # not stated; 'halfstop meter' says what is assumed")
	} else {
		f("  surfaces: {walls: %s}   # 'halfstop meter' says what is assumed of floor and ceiling", p.Walls)
	}
	f("\nsetups:")
	f("  - name: First")
	pose := "pose: standing"
	if p.Seated {
		pose = "pose: seated, seat: " + p.Say(Seat)
	}
	f("    sitter: {at: %s, faces: camera, stature: %s, %s}", at(p.Sitter[0], p.Sitter[1]), p.Say(p.Stature), pose)
	f("    camera: {at: %s, height: %s, aim: %s, upright: %v, lens: %s, aperture: %s, shutter: %s, iso: %s}",
		at(p.Camera[0], p.Camera[1]), p.Say(p.Camera[2]), p.aim(), !p.Landscape, p.Lens, p.Aperture, p.Shutter, p.ISO)
	f("    lights:")
	on := ""
	if p.Modifier != "" {
		on = ", modifier: " + yamltext.Quote(p.Modifier, true)
	}
	f("      - {role: key, head: %s%s, at: %s, height: %s, aim: sitter.face, power: 1/16}",
		yamltext.Quote(p.Head, true), on, at(p.Key[0], p.Key[1]), p.Say(p.Key[2]))
	f("    look:")
	f("      - {point: face key side, reads: %s, priority: must}", p.Aperture)
	return []byte(t.String())
}

// aim puts the eyes at about a third from the upper edge (common practice): in a frame that reaches
// the knees the chest is its middle, in a head and shoulders the throat; a landscape frame has the
// chin there.
func (p Plan) aim() string {
	const sensor = 0.036 // metres, upright
	far := math.Hypot(p.Camera[0]-p.Sitter[0], p.Camera[1]-p.Sitter[1])
	f, err := q.ParseMetres(p.Lens)
	switch {
	case p.Landscape:
		return "sitter.chin"
	case err == nil && sensor/float64(f)*far < 1.2:
		return "sitter.throat"
	}
	return "sitter.chest"
}

// KeyPlaces are where the key may stand, the usual one first: 45° round from the nose and half a
// metre over the face (common practice), then nearer, further round, and lower. Where a room is too
// narrow for that it stands as far round as the walls allow, beside the camera and behind it. The
// camera looks along x.
func (p Plan) KeyPlaces(left bool) (out [][3]float64) {
	sx, sy := p.Sitter[0], p.Sitter[1]
	side := 1.0
	if !left {
		side = -1
	}
	height := func(up float64) float64 { return math.Round((p.Face()+up)*20) / 20 }
	for _, up := range []float64{0.5, 0.35, 0.2, 0.05} {
		for _, round := range []float64{45, 55, 35} {
			for _, far := range []float64{1.3, 1.1, 0.9, 1.6} {
				s, c := math.Sincos(round * math.Pi / 180)
				k := [3]float64{sx - far*c, sy + side*far*s, height(up)}
				if k[1] > footprint && k[1] < p.Room[1]-footprint && k[0] > footprint {
					out = append(out, k)
				}
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	half := p.Room[1] / 2
	for _, aside := range []float64{half - footprint, half - 0.35, half - 0.25} {
		for _, far := range []float64{1.3, 1.6, 1.1, 2, 2.4, 3} {
			for _, up := range []float64{0.5, 0.35, 0.2} {
				if k := [3]float64{sx - far, sy + side*max(0, aside), height(up)}; k[0] > footprint {
					out = append(out, k)
				}
			}
		}
	}
	return out
}
