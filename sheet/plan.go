package sheet

import (
	"image"

	"halfstop/geom"
	"halfstop/kind"
	"halfstop/quantity"
)

// Plan is everything that a sheet shows, ready-made. Lengths are metres in the room's frame: x, y
// on the floor, z up. A zero field is not drawn.
type Plan struct {
	Room     Room
	Objects  []Object
	Camera   *Camera
	Sitters  []Sitter
	Lights   []Light
	Panels   []Panel
	Readings []Reading

	// ContourHeight is the height over the floor of the contours, m, usually that of the face. The
	// plan is cut there too.
	ContourHeight float64
	// ContourOf says what 0 stops are: 'the key at the face'.
	ContourOf string
	// ContourNote is one more line about the contours ('without shadows of furniture').
	ContourNote string

	Exposure Exposure
	Picture  image.Image // the predicted picture, shown small; may be nil
	Remarks  []string    // what the prediction wants said: shortfalls, what falls with the hour
	Cautions []string    // safety first; the venue, local codes and licensed people have the last word
	Origin   []string    // where x and y are measured from
	Meter    []string    // calibration the readings assume: 'K 12.5, C 250, flat receptor'

	// North is the bearing of the plan's y axis, degrees clockwise from true north (0: y is north).
	// Nil: not known.
	North *float64

	Title TitleBlock
}

// Room is the place. With an empty Outline no room is drawn.
type Room struct {
	Outline [][2]float64 // inner faces of the walls, either way round, not closed
	Ceiling float64      // m; 0: open to the sky
	Parts   []Overhead   // of the ceiling, at another height
	Wall    float64      // thickness to draw, m; 0: 0.10 m
	Windows []Opening
	Doors   []Door
	Outlets []Outlet
}

// Overhead is a part of the ceiling at another height, metres; where two overlap the lower counts.
type Overhead struct {
	Name    string
	Outline [][2]float64
	Height  float64
}

// Opening is a window. Wall counts from 1 (from Outline[0] to Outline[1]); From is metres along it.
type Opening struct {
	Name       string
	Wall       int
	From       float64 // m from the wall's first corner
	Width      float64
	Sill, Head float64    // heights, m
	Colour     [3]float64 // its light, linear sRGB; zero: grey
}

// Door is an opening to the floor with a leaf.
type Door struct {
	Name        string
	Wall        int
	From, Width float64
	Head        float64 // m; 0: 2.05
	HingeFar    bool    // hung at the far end instead of the near
	Outward     bool    // swings out of the room
	Open        bool    // no leaf: a doorway
}

// Outlet is a socket, or a hanging point of power.
type Outlet struct {
	Name string // short: 'A'
	At   [2]float64
}

// Object is furniture or a part of the building.
type Object struct {
	Name   string // empty: not labelled
	Foot   [][2]float64
	Lo, Hi float64 // heights over the floor, m
}

// Camera is where the picture is taken from.
type Camera struct {
	At, Aim geom.Vec
	// HalfWidth and HalfHeight are half the view angles of the frame as held, radians.
	HalfWidth, HalfHeight float64
	// Near and Far bound the depth of field, metres from the camera along its axis. Zero: not
	// drawn. Far may be +Inf.
	Near, Far float64
	FootR     float64 // radius of its feet, m; 0: hand-held
}

// Pose of a sitter.
type Pose string

const (
	PoseStanding Pose = "standing"
	PoseSeated   Pose = "seated"
	PoseLeaning  Pose = "leaning"
)

// Sitter is a person. At is the floor point under the head.
type Sitter struct {
	Name    string
	At      [2]float64
	Floor   float64 // height of what the feet rest on, m
	Facing  float64 // radians from +x towards +y
	Stature float64 // m; 0: 1.70
	Pose    Pose
	Seat    float64 // height of the seat, m; 0: 0.45
}

// Kind of light.
type Kind uint8

const (
	Flash Kind = iota
	Continuous
	Daylight
)

func (k Kind) String() string {
	switch k {
	case Flash:
		return "flash"
	case Daylight:
		return "daylight"
	}
	return "continuous"
}

// Shape is the shape of the emitting face.
type Shape string

const (
	Round     Shape = "round"     // disc of diameter Width
	Octagon   Shape = "octagon"   // across flats Width
	Rectangle Shape = "rectangle" // Width × Height
	Ball      Shape = "ball"      // sphere of diameter Width
	Tube      Shape = "tube"      // Width long, Height thick, across the aim
	Umbrella  Shape = "umbrella"  // disc of diameter Width with a dome Depth deep behind
)

// Body is a light at its true size: the middle of its face, the direction of the face, and how far
// it extends behind.
type Body struct {
	At, Aim              geom.Vec
	Shape                Shape
	Width, Height, Depth float64     // m; Height 0: as Width; Depth 0: flat
	Roll                 float64     // radians about the aim
	Symbol               kind.Symbol // how its kind is drawn; zero: by its shape
}

// Stand is the stand under a light.
type Stand struct {
	At     [2]float64
	Radius float64 // of the feet, m
	Top    float64 // height of the column, m; 0: the height of the body
	Floor  float64 // height of what its feet stand on, m
	On     string  // its name; empty: the floor
}

// Light is one light of the setup or of the place.
type Light struct {
	Role   string // 'Key'
	Words  string // head, modifier, gel in words
	Size   string // drawn under the name: 'Ø 1.50'; empty: from the first body
	Kind   Kind
	Colour [3]float64 // chromaticity after white balance, linear sRGB, any luminance; zero: neutral
	Bodies []Body     // none: only in the table, and its contours
	Stand  *Stand
	Where  string // instead of a stand: 'ceiling', 'far wall'
	Dial   string // '1/8 + 0.2', '71 %', 'as found'
	Feed   string // 'battery', 'outlet A, 8 m lead, 350 W'
	Fixed  bool   // nothing to set: no tick box
	// the first body's Aim is only a direction; else it is a point, and the line to it is drawn
	// with its length
	NoAim  bool
	Field  *Field
	Levels []int // whole stops to draw; nil: chosen about the level at the sitter
}

// aimed reports whether a light points at something.
func (l *Light) aimed() bool { return len(l.Bodies) > 0 && !l.NoAim && !(l.Fixed && l.Stand == nil) }

// houseFirst returns the lights in the order of drawing: the place's own first, under those that
// are brought.
func (p *Plan) houseFirst() []Light {
	out := make([]Light, 0, len(p.Lights))
	for _, fixed := range []bool{true, false} {
		for _, l := range p.Lights {
			if l.Fixed == fixed {
				out = append(out, l)
			}
		}
	}
	return out
}

// Field is a grid of levels in stops at ContourHeight: Stops[j*NX+i] is at (X0+i·DX, Y0+j·DY). NaN
// and −Inf: no light there.
type Field struct {
	X0, Y0, DX, DY float64
	NX, NY         int
	Stops          []float64
}

// PanelKind says how a panel is hatched. An unknown kind is a plain bar.
type PanelKind string

const (
	Silk      PanelKind = "silk"      // dots; also frost
	Reflector PanelKind = "reflector" // plain bar
	Flag      PanelKind = "flag"      // dense hatch; also black
	Net       PanelKind = "net"       // crossed hatch
	Frost     PanelKind = "frost"
	Black     PanelKind = "black"
)

// Panel is a flat thing on a stand or held by hand. Normal is the direction of its face.
type Panel struct {
	Kind          PanelKind
	Name          string // 'silk'; its size and the place of its middle are added
	At            geom.Vec
	Normal        geom.Vec
	Width, Height float64
	Round         bool
	Stand         *Stand
}

// Reading is one line of the table of readings to expect.
type Reading struct {
	Point   string
	N       quantity.FNumber // 0: no reading there
	Over    quantity.Stops   // against mid-grey in the picture
	HasOver bool
	Sigma   quantity.Stops // one standard deviation; printed from 0.3 up
	Wanted  string         // what the look asks: '+0.0', 'f/4'; empty: nothing
}

// Exposure is the block of the camera's settings. Zero fields print a dash.
type Exposure struct {
	ISO          quantity.ISO
	Shutter      string // '1/125'
	Aperture     quantity.FNumber
	WhiteBalance quantity.Kelvin
	FocalMM      float64
	LensHeight   quantity.Metres
	Distance     quantity.Metres // from the lens to the sitter
	ByMirror     bool            // Distance is the way over a mirror in which the sitter is seen
	Sharp        quantity.Metres // depth of what is sharp; +Inf: to the horizon
	Sync         string
}

// TitleBlock is the title block at the foot of the sheet.
type TitleBlock struct {
	Shoot    string
	Setup    string
	Drawing  string // 'Lighting plan and section A–A' when empty
	Subtitle string // 'Standing, three-quarter length'
	For      string // '17:22, 25 Nov'
	Revision string
	Sheet    int
	Of       int
}

// Paper is a sheet size.
type Paper uint8

const (
	A4 Paper = iota
	Letter
)

// Options say how a plan is drawn.
type Options struct {
	Paper Paper
	Feet  bool // feet and inches, and scales such as ¼″ = 1′
	Scale int  // force 1:Scale; 0: the largest standard scale that fits
	// Date is the creation date in the PDF, 'YYYYMMDDhhmmss'. Empty: none, so that equal plans give
	// equal bytes.
	Date string
}
