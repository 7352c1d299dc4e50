package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	q "halfstop/quantity"
	"halfstop/ways"
)

type balanced = ways.Balanced

// beginning is a shoot that is about to be written. Lengths are metres.
type beginning struct {
	title             string
	feet              bool
	size              [3]float64 // length along x, width along y, height
	walls             string
	seated            bool
	stature           float64
	face              float64 // height of the face
	wall, distance    float64 // behind the sitter; camera to sitter
	lens              string
	aperture, shutter string
	iso               string
	head, modifier    string
	left              bool
}

// Margins in metres. Common practice, no source.
const (
	elbowRoom = 0.5 // behind the camera, for the photographer
	footprint = 0.5 // from a wall to the middle of a light stand
)

// begin reads the answers.
func (o *newOptions) begin(title string) (*beginning, error) {
	b := &beginning{title: title, walls: o.walls, lens: o.lens, head: o.head, modifier: o.modifier,
		aperture: o.aperture, shutter: o.shutter, iso: strings.TrimPrefix(strings.TrimSpace(o.iso), "ISO ")}
	parts := strings.FieldsFunc(strings.ToLower(o.room), func(r rune) bool { return r == 'x' || r == '×' })
	if len(parts) != 3 {
		return nil, fmt.Errorf(
			"room %q: write length x width x height, like 5 x 4 x 2.6 m or 17 ft x 13 ft x 8 ft 6 in", o.room)
	}
	for i, p := range parts {
		v, err := b.length("room", p, 1, 60)
		if err != nil {
			return nil, err
		}
		b.size[i] = v
	}
	if last := strings.TrimSpace(parts[2]); isFeet(last) { // '17 x 13 x 8 ft': the unit is said once
		for i, p := range parts[:2] {
			if n, err := strconv.ParseFloat(strings.TrimSpace(p), 64); err == nil {
				b.size[i] = n * 0.3048
			}
		}
	}
	if b.size[1] > b.size[0] {
		b.size[0], b.size[1] = b.size[1], b.size[0]
	}
	if b.size[2] < 1.9 {
		return nil, fmt.Errorf("room %q: a ceiling at %.2f m is too low for a portrait; 1.9 m at least", o.room,
			b.size[2])
	}
	for _, x := range []struct {
		flag, text string
		to         *float64
		lo, hi     float64
	}{{"stature", o.stature, &b.stature, 0.8, 2.3}, {"background", o.background, &b.wall, 0.3, 50},
		{"distance", o.distance, &b.distance, 0.6, 50}} {
		v, err := b.length(x.flag, x.text, x.lo, x.hi)
		if err != nil {
			return nil, err
		}
		*x.to = v
	}
	switch strings.ToLower(o.pose) {
	case "standing":
		b.face = 0.92 * b.stature // height of the face in stature: anthropometric rule of thumb, common practice
	case "seated":
		b.seated, b.face = true, seat+0.43*b.stature
	default:
		return nil, fmt.Errorf("pose %q: write standing or seated", o.pose)
	}
	switch strings.ToLower(o.side) {
	case "left":
		b.left = true
	case "right":
	default:
		return nil, fmt.Errorf("side %q: write left or right", o.side)
	}
	// What nobody asked for gives way to a short room: first the wall comes nearer, then the
	// camera.
	for _, q := range o.questions() {
		if over := b.wall + b.distance + elbowRoom - b.size[0]; over > 0 && *q.at == q.usual {
			switch q.flag {
			case "background":
				b.wall = max(0.5, b.wall-over)
			case "distance":
				b.distance = max(1.2, b.distance-over)
			}
		}
	}
	if need := b.wall + b.distance + elbowRoom; need > b.size[0]+1e-9 {
		return nil, fmt.Errorf(
			"the room is %s long; %s behind the sitter, %s to the camera and %s for the photographer are more: "+
				"bring one of them down",
			b.say(b.size[0]), b.say(b.wall), b.say(b.distance), b.say(elbowRoom))
	}
	return b, nil
}

// seat is the height of a chair, metres.
const seat = 0.45

func isFeet(s string) bool { return strings.ContainsAny(s, "f'\"") || strings.HasSuffix(s, "in") }

func (b *beginning) length(flag, text string, lo, hi float64) (float64, error) {
	text = strings.TrimSpace(text)
	v, err := q.ParseMetres(text)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	b.feet = b.feet || isFeet(text)
	if m := float64(v); !(m >= lo && m <= hi) && !(flag == "room" && m > 0 && m <= 200) {
		return 0, fmt.Errorf("%s %s: give %s to %s", flag, text, b.say(lo), b.say(hi))
	}
	return float64(v), nil
}

// say writes a length as the shoot file does.
func (b *beginning) say(m float64) string {
	if b.feet {
		return q.Metres(m).Feet()
	}
	return strconv.FormatFloat(math.Round(m*100)/100, 'f', -1, 64) + " m"
}

// spot is where the key stands.
type spot struct{ x, y, height float64 }

// places are where the key may stand, the usual one first: 45° round from the nose and half a metre
// over the face (common practice), then nearer, further round, and lower. Where a room is too
// narrow for that it stands as far round as the walls allow, beside the camera and behind it.
func (b *beginning) places() (out []spot) {
	sx, sy := b.size[0]-b.wall, b.size[1]/2
	side := 1.0
	if !b.left {
		side = -1
	}
	for _, up := range []float64{0.5, 0.35, 0.2, 0.05} {
		for _, round := range []float64{45, 55, 35} {
			for _, far := range []float64{1.3, 1.1, 0.9, 1.6} {
				s, c := math.Sincos(round * math.Pi / 180)
				p := spot{sx - far*c, sy + side*far*s, math.Round((b.face+up)*20) / 20}
				if p.y > footprint && p.y < b.size[1]-footprint && p.x > footprint {
					out = append(out, p)
				}
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, aside := range []float64{b.size[1]/2 - footprint, b.size[1]/2 - 0.35, b.size[1]/2 - 0.25} {
		for _, far := range []float64{1.3, 1.6, 1.1, 2, 2.4, 3} {
			for _, up := range []float64{0.5, 0.35, 0.2} {
				p := spot{sx - far, sy + side*max(0, aside), math.Round((b.face+up)*20) / 20}
				if p.x > footprint {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// text writes the shoot with the key at p.
func (b *beginning) text(p spot, power string) []byte {
	var t strings.Builder
	f := func(format string, a ...any) { fmt.Fprintf(&t, format+"\n", a...) }
	at := func(x, y float64) string { return fmt.Sprintf("[%s, %s]", b.say(x), b.say(y)) }
	f("# Written by 'halfstop new'. Every key of this file: docs/shoot-file.md. 'halfstop check' says what cannot " +
		"stand as written.")
	f("halfstop: 1")
	f("shoot: {title: %q}", b.title)
	if b.feet {
		f("house: {lengths: feet}")
	}
	f("\nroom:")
	f("  size: [%s, %s, %s]   # length along x, width along y, height", b.say(b.size[0]), b.say(b.size[1]),
		b.say(b.size[2]))
	f("  surfaces: {walls: %s, floor: grey lino, ceiling: white emulsion}", b.walls)
	f("\nsetups:")
	f("  - name: First")
	f("    sitter: {at: %s, faces: camera, stature: %s, %s}", at(b.size[0]-b.wall, b.size[1]/2), b.say(b.stature),
		b.pose())
	f("    camera: {at: %s, height: %s, aim: %s, upright: true, lens: %s, aperture: %s, shutter: %s, iso: %s}",
		at(b.size[0]-b.wall-b.distance, b.size[1]/2), b.say(b.face), b.aim(), b.lens, b.aperture, b.shutter, b.iso)
	f("    lights:")
	f("      - {role: key, head: %s, modifier: %s, at: %s, height: %s, aim: sitter.face, power: %s}",
		b.head, b.modifier, at(p.x, p.y), b.say(p.height), power)
	f("    look:")
	f("      - {point: face key side, reads: %s, priority: must}", b.aperture)
	return []byte(t.String())
}

// aim puts the eyes at about a third from the upper edge (common practice): in a frame that reaches
// the knees the chest is its middle, in a head and shoulders the throat.
func (b *beginning) aim() string {
	const sensor = 0.036 // metres, upright
	if f, err := q.ParseMetres(b.lens); err == nil && sensor/float64(f)*b.distance < 1.2 {
		return "sitter.throat"
	}
	return "sitter.chest"
}

func (b *beginning) pose() string {
	if b.seated {
		return "pose: seated, seat: " + b.say(seat)
	}
	return "pose: standing"
}
