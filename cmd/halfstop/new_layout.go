package main

import (
	"fmt"
	"strconv"
	"strings"

	"halfstop/begin"
	q "halfstop/quantity"
	"halfstop/ways"
)

type balanced = ways.Balanced

// elbowRoom is behind the camera, for the photographer, metres. Common practice, no source.
const elbowRoom = 0.5

// beginning is a shoot that is about to be written: a plan whose key has no place yet.
type beginning struct {
	begin.Plan
	wall, distance float64 // behind the sitter; camera to sitter; metres
	left           bool
}

// begin reads the answers.
func (o *newOptions) begin(title string) (*beginning, error) {
	b := &beginning{Plan: begin.Plan{Title: title, Walls: o.walls, Lens: o.lens, Head: o.head, Modifier: o.modifier,
		Aperture: o.aperture, Shutter: o.shutter, ISO: strings.TrimPrefix(strings.TrimSpace(o.iso), "ISO ")}}
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
		b.Room[i] = v
	}
	if last := strings.TrimSpace(parts[2]); isFeet(last) { // '17 x 13 x 8 ft': the unit is said once
		for i, p := range parts[:2] {
			if n, err := strconv.ParseFloat(strings.TrimSpace(p), 64); err == nil {
				b.Room[i] = n * 0.3048
			}
		}
	}
	if b.Room[1] > b.Room[0] {
		b.Room[0], b.Room[1] = b.Room[1], b.Room[0]
	}
	if b.Room[2] < 1.9 {
		return nil, fmt.Errorf("room %q: a ceiling at %.2f m is too low for a portrait; 1.9 m at least", o.room,
			b.Room[2])
	}
	for _, x := range []struct {
		flag, text string
		to         *float64
		lo, hi     float64
	}{{"stature", o.stature, &b.Stature, 0.8, 2.3}, {"background", o.background, &b.wall, 0.3, 50},
		{"distance", o.distance, &b.distance, 0.6, 50}} {
		v, err := b.length(x.flag, x.text, x.lo, x.hi)
		if err != nil {
			return nil, err
		}
		*x.to = v
	}
	switch strings.ToLower(o.pose) {
	case "standing":
	case "seated":
		b.Seated = true
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
		if over := b.wall + b.distance + elbowRoom - b.Room[0]; over > 0 && *q.at == q.usual {
			switch q.flag {
			case "background":
				b.wall = max(0.5, b.wall-over)
			case "distance":
				b.distance = max(1.2, b.distance-over)
			}
		}
	}
	if need := b.wall + b.distance + elbowRoom; need > b.Room[0]+1e-9 {
		return nil, fmt.Errorf(
			"the room is %s long; %s behind the sitter, %s to the camera and %s for the photographer are more: "+
				"bring one of them down",
			b.Say(b.Room[0]), b.Say(b.wall), b.Say(b.distance), b.Say(elbowRoom))
	}
	b.Sitter = [2]float64{b.Room[0] - b.wall, b.Room[1] / 2}
	b.Camera = [3]float64{b.Sitter[0] - b.distance, b.Sitter[1], b.Face()}
	return b, nil
}

func isFeet(s string) bool { return strings.ContainsAny(s, "f'\"") || strings.HasSuffix(s, "in") }

func (b *beginning) length(flag, text string, lo, hi float64) (float64, error) {
	text = strings.TrimSpace(text)
	v, err := q.ParseMetres(text)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	b.Feet = b.Feet || isFeet(text)
	if m := float64(v); !(m >= lo && m <= hi) && !(flag == "room" && m > 0 && m <= 200) {
		return 0, fmt.Errorf("%s %s: give %s to %s", flag, text, b.Say(lo), b.Say(hi))
	}
	return float64(v), nil
}
