package record

import (
	"fmt"

	"halfstop/diag"
	q "halfstop/quantity"
	"halfstop/yamltext"
)

// Current is the version of the record's format.
const Current = 1

// Record is how one setup was really lit. Keys and units are those of docs/record.md. All lengths
// are metres; levels are stops to mid-grey; angles are degrees.
type Record struct {
	Version int    `yaml:"halfstop record" need:"true"`
	Program string `yaml:"written by"`
	Made    string `yaml:"written"` // RFC 3339
	Title   string `yaml:"shoot"`
	Date    string `yaml:"date"`
	Setup   string `yaml:"setup" need:"true"`
	Hour    string `yaml:"hour"`
	Notes   string `yaml:"notes"`

	Room        Room         `yaml:"room"`
	Camera      Camera       `yaml:"camera"`
	Facts       Facts        `yaml:"facts"`
	Lights      []Light      `yaml:"lights"`
	House       []House      `yaml:"house"`
	Panels      []Panel      `yaml:"panels"`
	Points      []Point      `yaml:"points"`
	Look        []Target     `yaml:"look"`
	Zones       []Zone       `yaml:"zones"`
	Corrections []Correction `yaml:"corrections"`
	Log         []Entry      `yaml:"log"`
	Missing     []string     `yaml:"not known"`
	Pictures    []Picture    `yaml:"pictures"`
	Layers      *Layers      `yaml:"layers"`
}

// Room is the place in short; the whole of it is in the shoot file beside.
type Room struct {
	Length  float64 `yaml:"length"` // the longer side of the box round its outline
	Width   float64 `yaml:"width"`
	Height  float64 `yaml:"height"`
	Walls   float64 `yaml:"walls reflect"` // luminous reflectance, mean over the walls by length
	Ceiling float64 `yaml:"ceiling reflects"`
	Floor   float64 `yaml:"floor reflects"`
	Haze    float64 `yaml:"haze per metre"`
}

// Camera is the camera as planned and as set.
type Camera struct {
	Planned    Exposure `yaml:"planned"`
	Set        Exposure `yaml:"set"`
	LensMM     float64  `yaml:"lens mm"`
	View       float64  `yaml:"angle of view degrees"` // across the longer side
	Metres     float64  `yaml:"to the sitter metres"`
	Height     float64  `yaml:"height metres"`
	Background float64  `yaml:"to the background metres"` // from the camera; 0: nothing there
	White      string   `yaml:"white balance"`
}

// Exposure is what a camera is set to.
type Exposure struct {
	Aperture q.FNumber `yaml:"aperture"`
	Shutter  q.Seconds `yaml:"shutter"`
	ISO      q.ISO     `yaml:"iso"`
}

// Facts are the figures of the whole picture.
type Facts struct {
	Ratio   float64 `yaml:"ratio"`                // lit side : shadow side
	Over    float64 `yaml:"lit over shade stops"` // the same
	Words   string  `yaml:"ratio in words"`
	Pattern string  `yaml:"pattern"` // of the key
	Blur    float64 `yaml:"background blur mm"`
	Clip    float64 `yaml:"clip stops"`
	Floor   float64 `yaml:"floor stops"`
}

// Light is one light that was brought.
type Light struct {
	Name     string   `yaml:"name" need:"true"`
	Role     string   `yaml:"role"`
	Why      string   `yaml:"why"`
	Head     string   `yaml:"head"`
	Modifier string   `yaml:"modifier"`
	Grid     string   `yaml:"grid"`
	Gels     []string `yaml:"gels"`
	Flash    bool     `yaml:"flash"`
	Planned  string   `yaml:"planned"` // setting in the head's own unit
	Dialled  string   `yaml:"dialled"`
	Logged   bool     `yaml:"dialled as logged"`
	Stops    float64  `yaml:"stops from full"`
	Seen     Seen     `yaml:"seen from the face"`
	Colour   Colour   `yaml:"colour"`
	Share    float64  `yaml:"share at the face"` // of the exposure at the key side
}

// Seen is how a light stands to the face.
type Seen struct {
	Metres   float64 `yaml:"metres"`
	Around   float64 `yaml:"around degrees"` // from the nose, to the sitter's left
	Above    float64 `yaml:"above degrees"`
	Covers   float64 `yaml:"covers degrees"` // apparent size
	Edge     float64 `yaml:"nose shadow's edge mm"`
	Pattern  string  `yaml:"pattern"`
	Softness string  `yaml:"softness"`
}

// Colour is the colour of a light: xy of CIE 1931, and where it has one its temperature.
type Colour struct {
	XY     []float64 `yaml:"xy"`
	Kelvin float64   `yaml:"kelvin"`
	Duv    float64   `yaml:"duv"`
}

// House is a practical or a window that burned.
type House struct {
	Name   string  `yaml:"name" need:"true"`
	Kind   string  `yaml:"kind"` // 'practical' or 'daylight'
	Word   string  `yaml:"is"`   // what it is in the shoot file: 'neon tube', 'window'
	Colour Colour  `yaml:"colour"`
	Share  float64 `yaml:"share at the face"`
}

// Panel is a silk, reflector or flag.
type Panel struct {
	Name   string    `yaml:"name"`
	Kind   string    `yaml:"kind"`
	Size   []float64 `yaml:"size"`
	Metres float64   `yaml:"from the face metres"`
}

// Point is one place where light was predicted, and where it was read.
type Point struct {
	Name      string    `yaml:"name" need:"true"`
	Receptor  string    `yaml:"receptor"`
	Predicted string    `yaml:"predicted"` // as a meter shows it
	N         float64   `yaml:"f-number"`
	Level     float64   `yaml:"level stops" keep:"zero"`
	Dark      bool      `yaml:"dark"`
	Error     float64   `yaml:"error stops"`
	Known     float64   `yaml:"known to stops"`
	Metered   string    `yaml:"metered"`
	MeteredN  float64   `yaml:"metered f-number"`
	Off       float64   `yaml:"metered over predicted stops"`
	When      string    `yaml:"metered at"`
	Colour    Colour    `yaml:"colour"`
	Lights    []string  `yaml:"lights"`
	Shares    []float64 `yaml:"shares"` // of the exposure, beside lights
}

// Target is one wish of the look and what came of it.
type Target struct {
	Words    string  `yaml:"words" need:"true"`
	Priority string  `yaml:"priority"`
	Came     string  `yaml:"came out"`
	Residual float64 `yaml:"residual stops"` // positive: too bright
	Met      bool    `yaml:"met"`
}

// Zone is a part of the picture by its depth.
type Zone struct {
	Name    string    `yaml:"name" need:"true"` // 'foreground', 'middle', 'background'
	Share   float64   `yaml:"share of the picture"`
	Level   float64   `yaml:"level stops" keep:"zero"` // of its mean luminance
	Darkest float64   `yaml:"darkest stops" keep:"zero"`
	Top     float64   `yaml:"brightest stops" keep:"zero"` // 5 and 95 in 100 of its pixels
	Clipped float64   `yaml:"clipped share"`
	Lights  []string  `yaml:"lights"`
	Shares  []float64 `yaml:"shares"`
}

// Correction is something that readings taught of kit or place.
type Correction struct {
	What  string  `yaml:"what" need:"true"`
	Stops float64 `yaml:"stops" keep:"zero"` // more than its figures say
	SD    float64 `yaml:"sd stops"`
}

// Entry is one line of the log of the day that belongs to the setup.
type Entry struct {
	At      string  `yaml:"at"`
	Kind    string  `yaml:"kind"`
	Subject string  `yaml:"subject"`
	Value   float64 `yaml:"value"`
	Unit    string  `yaml:"unit"`
	Text    string  `yaml:"text"`
	Who     string  `yaml:"who"`
}

// Picture is a picture kept beside the record.
type Picture struct {
	File string `yaml:"file" need:"true"`
	Says string `yaml:"is"` // 'computed', 'photograph', 'frame'
}

// Decode reads a record. A newer version is an error that says so.
func Decode(name string, src []byte) (*Record, diag.List) {
	var r Record
	doc, list := yamltext.Decode(name, src, &r)
	if r.Version > Current {
		return nil, diag.List{{Severity: diag.Error, Code: "record.newer", Pos: doc.Pos("halfstop record"),
			Text: fmt.Sprintf("this record is of version %d; this halfstop reads up to %d", r.Version, Current),
			Fix:  "take a newer halfstop; its files are plain YAML and standard pictures, readable without it"}}
	}
	if r.Version < 1 && !list.Has(diag.Error) {
		list = append(list, diag.Message{Severity: diag.Error, Code: "record.version", Pos: doc.Pos(""),
			Text: "'halfstop record' gives no version that there is", Fix: "write 'halfstop record: 1'"})
	}
	if list.Has(diag.Error) {
		return nil, list
	}
	return &r, list
}

// Encode writes a record as YAML.
func (r *Record) Encode() []byte { return yamltext.Encode(r) }

// Point finds a point by its name.
func (r *Record) Point(name string) *Point {
	for i := range r.Points {
		if r.Points[i].Name == name {
			return &r.Points[i]
		}
	}
	return nil
}
