package shoot

import (
	"math"

	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
)

// File is one shoot as written. Lengths are metres in the frame of the scene: x and y on the floor,
// z up from it; on a plan seen from above, x is to the right and y up the sheet.
//
// Struct tags: `yaml` is the key. `doc` is the line of the generated reference (docs/shoot-file.md)
// and of the JSON Schema. `need:"true"` marks a key that must be there. `default` is the value of
// an absent key (for the documentation; Fill applies it). `like` is an example for the reference.
// `form`, `names` and `unit` tell a form how to ask: a clock time, a file, a name out of a list,
// the unit of a number.
type File struct {
	Version  int        `yaml:"halfstop" need:"true" doc:"version of this file format" like:"1"`
	Shoot    About      `yaml:"shoot" doc:"what the job is"`
	House    House      `yaml:"house" doc:"house conventions: meter constants, units, ratio convention"`
	Room     Room       `yaml:"room" doc:"the place; leave out for no room at all (black, endless)"`
	Kit      kit.Kit    `yaml:"kit" fill:"no" doc:"own heads, modifiers, gels, panels, stands, surfaces; the generic catalogue is always there"`
	Day      Work       `yaml:"day" doc:"the plan of the day: people, durations, tasks"`
	Accepted []Accepted `yaml:"accepted" doc:"findings that are accepted, with the reason; they are printed with it"`
	Setups   []Setup    `yaml:"setups" need:"true" doc:"the arrangements of camera and light, in the order of shooting"`
}

// About is the job.
type About struct {
	Title string `yaml:"title" doc:"name of the job"`
	Date  string `yaml:"date" doc:"the day, year-month-day" like:"2026-03-14" form:"date"`
	Place Place  `yaml:"place" doc:"where on earth, for the sun"`
	Hours Hours  `yaml:"hours" doc:"the day's fixed times"`
	Crew  Crew   `yaml:"crew" doc:"how many of each"`
	Notes string `yaml:"notes" doc:"free text" form:"long"`
}

type Place struct {
	Latitude  float64   `yaml:"latitude" doc:"degrees, north positive" least:"-90" most:"90" unit:"deg"`
	Longitude float64   `yaml:"longitude" doc:"degrees, east positive" least:"-180" most:"180" unit:"deg"`
	Zone      string    `yaml:"zone" doc:"time zone of the shoot's clocks, by name, or hours to UTC as '+01:00'; absent: the sun's clock follows the longitude" like:"Europe/London"`
	PlanNorth q.Degrees `yaml:"plan north" doc:"direction of north on the plan, anticlockwise from +y" like:"20 deg"`
}

// Hours are clock times, hh:mm.
type Hours struct {
	Access string `yaml:"access" doc:"the crew may come in, hh:mm" form:"clock"`
	Sitter string `yaml:"sitter" doc:"the sitter arrives, hh:mm" form:"clock"`
	Strike string `yaml:"strike" doc:"packing begins, hh:mm" form:"clock"`
	Out    string `yaml:"out" doc:"the place must be empty, hh:mm" form:"clock"`
}

type Crew struct {
	Photographer  int `yaml:"photographer" least:"0" most:"100" doc:"photographers"`
	Assistants    int `yaml:"assistants" least:"0" most:"100" doc:"assistants"`
	HairAndMakeUp int `yaml:"hair and make-up" least:"0" most:"100" doc:"hair and make-up artists"`
	Other         int `yaml:"other" least:"0" most:"100" doc:"anyone else"`
}

// House holds the conventions that a reading depends on. They are printed on every sheet.
type House struct {
	FlatC   float64 `yaml:"flat constant" default:"250" doc:"meter constant C of a flat receptor, lx·s (ISO 2720: 240 to 400)" least:"100" most:"1000" unit:"lx·s"`
	DomeC   float64 `yaml:"dome constant" default:"330" doc:"meter constant C of a dome, lx·s (ISO 2720: 320 to 540)" least:"100" most:"1000" unit:"lx·s"`
	K       float64 `yaml:"reflected constant" default:"12.5" doc:"meter constant K (ISO 2720: 10.6 to 13.4)" least:"5" most:"30" unit:"cd·s/m²"`
	CameraQ float64 `yaml:"camera q" default:"0.65" doc:"lens factor q of ISO 12232 where no T-stop is given" over:"0" most:"1"`
	Ratio   string  `yaml:"ratio" default:"sides" doc:"which ratio is printed first: 'sides' (lit side : shadow side) or 'lights' (key : fill)" words:"sides|lights"`
	Lengths string  `yaml:"lengths" default:"metres" doc:"'metres' or 'feet' on sheets" words:"metres|feet"`
}

// Room is the place. Without an outline and a size there are no walls, floor or ceiling.
type Room struct {
	Outline    [][2]q.Metres      `yaml:"outline" doc:"corners of the floor, anticlockwise; wall 1 runs from the first corner to the second" like:"[[0, 0], [7.2, 0], [7.2, 3.8], [0, 3.8]]" least:"-10000" most:"10000"`
	Size       []q.Metres         `yaml:"size" doc:"instead of outline and ceiling: length along x, width along y, height; corner at the origin" like:"[4, 5, 2.7]" count:"3" over:"0" most:"1000"`
	Ceiling    q.Metres           `yaml:"ceiling" also:"height" doc:"height of the ceiling" over:"0" most:"1000"`
	Ceilings   []CeilingZone      `yaml:"ceilings" doc:"parts of the ceiling at another height: a lowered part, a raised one, the underside of a gallery"`
	Surfaces   map[string]Surface `yaml:"surfaces" doc:"what the shell is made of; keys: all, walls, floor, ceiling, 'wall 1', 'wall 2', …" names:"shell"`
	Windows    []Window           `yaml:"windows" doc:"windows and other holes in the walls or the ceiling"`
	Skirting   q.Metres           `yaml:"skirting" doc:"height of a skirting board round the walls, with linings round doors; 0 is none" least:"0" most:"1"`
	Doors      []Door             `yaml:"doors" doc:"doors in the walls"`
	Practicals []Practical        `yaml:"practicals" doc:"the lights that belong to the place"`
	Objects    []Object           `yaml:"objects" doc:"furniture, machines, screens, mirrors, anything solid"`
	Circuits   []Circuit          `yaml:"circuits" doc:"mains circuits and their outlets"`
	Outside    Outside            `yaml:"outside" doc:"what the windows look onto"`
	Detectors  [][3]q.Metres      `yaml:"detectors" doc:"smoke heads and sprinklers"`
	Exits      [][2]q.Metres      `yaml:"exits" doc:"points that must stay reachable"`
}

// CeilingZone is a part of the ceiling at another height, with upright sides to what lies
// round it. Where two overlap the lower one counts.
type CeilingZone struct {
	Name    string        `yaml:"name" doc:"a name of its own"`
	At      [2]q.Metres   `yaml:"at" doc:"its low corner on the plan" like:"[0, 2.4]"`
	Size    [2]q.Metres   `yaml:"size" doc:"along x and y" over:"0" like:"[1.2, 1.4]"`
	Outline [][2]q.Metres `yaml:"outline" doc:"instead of at and size: its corners on the plan, in order" least:"-10000" most:"10000"`
	Height  q.Metres      `yaml:"height" need:"true" doc:"over the floor" over:"0" most:"1000" like:"2.2 m"`
	Surface *Surface      `yaml:"surface" doc:"of it and its sides; as the ceiling when absent"`
}

// Surface is the material of something. In the file it is a preset's name, one number (diffuse
// reflectance), or a mapping. Diffuse, Mirror, Transmit and Clear are each a Reflectance; their sum
// may not exceed 1 at any wavelength.
type Surface struct {
	Preset    string       `yaml:"preset" doc:"a named surface, e.g. 'off-white gloss', 'grey lino', 'white enamel'"`
	Diffuse   *Reflectance `yaml:"diffuse" doc:"diffuse (Lambertian) reflectance"`
	Mirror    *Reflectance `yaml:"mirror" doc:"mirror reflectance"`
	Transmit  *Reflectance `yaml:"transmit" doc:"diffuse transmittance (cloth, silk, opal)"`
	Clear     *Reflectance `yaml:"clear" doc:"straight-through transmittance (glass, net)"`
	Rough     float64      `yaml:"rough" doc:"roughness 0 to 1 of the mirror part (GGX alpha = roughness²); 0 is a perfect mirror" least:"0" most:"1"`
	Coat      float64      `yaml:"coat" doc:"refractive index of a clear coat over the diffuse part (gloss paint, enamel 1.5); 0 is none" most:"4"`
	CoatRough float64      `yaml:"coat rough" doc:"roughness 0 to 1 of the coat" least:"0" most:"1"`
}

// Reflectance is one number 0 to 1, a named colour, an sRGB pick '#rrggbb', or a spectrum as pairs
// [nm, value].
type Reflectance struct {
	Value    float64
	Name     string
	Spectrum [][2]float64
}

// Spectrum is the colour of a light: a temperature '5600 K' (daylight or Planck by temperature), a
// lamp by name ('neon red', 'tungsten', 'xenon flash', 'fluorescent 4000', 'white led 5600', 'rgb
// led', 'equal energy', 'D65', 'A'), CIE 1931 x, y, or pairs [nm, value]. 'like practicals.NAME' is
// resolved by stage.
type Spectrum struct {
	Kelvin q.Kelvin
	Name   string
	Like   string
	XY     [2]float64
	Duv    float64
	RGB    string
	Pairs  [][2]float64
}

// Window is an opening in a wall or the ceiling through which sky and ground light the room.
type Window struct {
	Name      string      `yaml:"name" need:"true" doc:"a name of its own"`
	Wall      int         `yaml:"wall" doc:"number of the wall, counted from 1; 0 with 'ceiling: true'" least:"0"`
	InCeiling bool        `yaml:"ceiling" doc:"the hole is in the ceiling: give at and size"`
	At        [2]q.Metres `yaml:"at" doc:"for a hole in the ceiling: its corner"`
	Size      [2]q.Metres `yaml:"size" doc:"for a hole in the ceiling: along x and y" over:"0"`
	From      q.Metres    `yaml:"from" doc:"distance of its near side from the wall's first corner" least:"0"`
	Width     q.Metres    `yaml:"width" over:"0" doc:"its width along the wall"`
	Sill      q.Metres    `yaml:"sill" doc:"height of its lower edge" least:"0"`
	Head      q.Metres    `yaml:"head" doc:"height of its upper edge" over:"0"`
	Frame     bool        `yaml:"frame" doc:"with a frame: lining, sill board and a bar across and down, 40 mm each, which take their share of the light"`
	Glass     string      `yaml:"glass" default:"single clear" doc:"'none', 'single clear', 'double clear', 'single dirty', 'double dirty', 'tinted', 'frosted', or a transmittance at right angles like '0.8'"`
	Cover     string      `yaml:"cover" doc:"what hangs before it: 'net', 'blind' (slats at 45°), 'blackout'" words:"net|blind|blackout"`
	Gel       []string    `yaml:"gel" doc:"gels or paint on the pane" names:"gels"`
	Outside   *Outside    `yaml:"outside" doc:"what this window looks onto, where it differs from the room's"`
}

// Opening is a free-standing portal onto sky and ground, for a place without walls.
type Opening struct {
	Name    string      `yaml:"name" doc:"a name of its own"`
	At      [3]q.Metres `yaml:"at" doc:"centre" need:"true"`
	Facing  Direction   `yaml:"facing" doc:"the direction its light goes, at right angles to the hole" need:"true"`
	Size    [2]q.Metres `yaml:"size" doc:"width and height" need:"true" over:"0"`
	Glass   string      `yaml:"glass" default:"none" doc:"what fills it: as for a window"`
	Outside Outside     `yaml:"outside" doc:"the sky and ground behind it"`
}

// Outside is the sky and ground seen through a window.
type Outside struct {
	Sky         string       `yaml:"sky" doc:"the weather: 'overcast', 'broken', 'hazy', 'clear', or a sky of ISO 15469, 'cie 1' to 'cie 15', which go with date, place and hour; 'uniform' (the same luminance everywhere), 'none' (black); absent with a level stated: 'overcast'. 'overcast' with a level and without its hour is that level (CIE standard overcast: three times as bright overhead as at the horizon)"`
	Luminance   q.Luminance  `yaml:"luminance" doc:"of the zenith" like:"1000 cd/m2" over:"0"`
	Illuminance q.Lux        `yaml:"illuminance" doc:"instead: on open level ground, sun included where it shines" like:"300 lx" over:"0"`
	Measured    string       `yaml:"measured" doc:"the hour of that level, hh:mm; all other hours follow from it; the setup's own hour when absent" form:"clock"`
	Turbidity   float64      `yaml:"turbidity" doc:"luminous turbidity of the air: 2 clean, 4 town, 6 and over haze" least:"1" most:"15"`
	NoSun       bool         `yaml:"no sun" doc:"the sun is behind something: only its sky counts"`
	Stands      []Stand      `yaml:"stands" doc:"what stands outside, seen from the window"`
	Colour      Spectrum     `yaml:"colour" doc:"of the sky" like:"9000 K"`
	Ground      *Reflectance `yaml:"ground" default:"0.2" doc:"reflectance of the ground outside; 0 is black"`
}

// Stand is an obstruction outside a window and parallel to it, lit by the same sky and sun.
type Stand struct {
	Kind        string   `yaml:"kind" need:"true" doc:"'facade', 'wall' (of a yard), 'trees' (three tenths of the sky come through), 'awning' (over the window)" words:"facade|wall|trees|awning"`
	Distance    q.Metres `yaml:"distance" need:"true" over:"0" doc:"from the window; of an awning how far its edge stands out"`
	Height      q.Metres `yaml:"height" need:"true" doc:"of its upper edge over the floor of the room; of an awning its edge" least:"-100" most:"500"`
	Width       q.Metres `yaml:"width" least:"0" doc:"centred on the window; without end when absent"`
	Reflectance q.Share  `yaml:"reflectance" least:"0" most:"1" doc:"by kind when absent: facade 0.35, wall 0.3, trees 0.12, awning 0.3"`
}

type Door struct {
	Name    string   `yaml:"name" doc:"a name of its own"`
	Wall    int      `yaml:"wall" need:"true" least:"1" doc:"number of the wall, counted from 1"`
	From    q.Metres `yaml:"from" least:"0" doc:"distance of its near side from the wall's first corner"`
	Width   q.Metres `yaml:"width" need:"true" over:"0" doc:"its width along the wall"`
	Head    q.Metres `yaml:"head" default:"2.0 m" over:"0" doc:"height of its upper edge"`
	Hinge   string   `yaml:"hinge" default:"start" doc:"'start' or 'end' of the opening along the wall" words:"start|end"`
	Swing   string   `yaml:"swing" default:"in" doc:"'in' or 'out'" words:"in|out"`
	Surface *Surface `yaml:"surface" doc:"what it is made of; as the wall when absent"`
}

// Practical is a light that belongs to the place. Its place and shape are a path (tube) or an
// emitter with at and aim. Its level is one of reads, flux, watts, or the emitter's own.
type Practical struct {
	Name       string        `yaml:"name" need:"true" doc:"a name of its own; a light may take its colour by it: like practicals.NAME"`
	Kind       string        `yaml:"kind" doc:"what it is: a word of the table of practicals gives it a colour, light for its watts and what dimming does, where these are not said" names:"practical kinds"`
	Path       [][3]q.Metres `yaml:"path" doc:"corners of a tube"`
	Diameter   q.Metres      `yaml:"diameter" default:"12 mm" doc:"of the tube" over:"0" most:"2"`
	Emitter    *Emitter      `yaml:"emitter" doc:"any other shape"`
	At         *[3]q.Metres  `yaml:"at" doc:"where the middle of its emitter is, [x, y, z]"`
	Aim        *Target       `yaml:"aim" doc:"what its emitter points at"`
	Photometry string        `yaml:"photometry" doc:"an LM-63 or EULUMDAT file inside the shoot's folder" form:"file"`
	LampSet    int           `yaml:"lamp set" doc:"which set of lamps of an EULUMDAT file is fitted; the first when absent" least:"0" most:"20"`
	Turn       q.Degrees     `yaml:"turn" doc:"turned about its axis: of one that shines down, its plane C0 from +x, anticlockwise on the plan" least:"-360" most:"360"`
	Colour     Spectrum      `yaml:"colour" doc:"colour of its light"`
	Housing    bool          `yaml:"housing" doc:"a tube's white batten behind it, and end caps"`
	Reads      *Reads        `yaml:"reads" doc:"a reading that fixes its level"`
	Flux       q.Lumens      `yaml:"flux" doc:"its flux, each" over:"0"`
	Watts      q.Watts       `yaml:"watts" doc:"instead: the watts on its label, each, by the table of practicals" over:"0" most:"20000"`
	Repeat     *Repeat       `yaml:"repeat" doc:"a field of the same lights: this one is its first"`
	Control    string        `yaml:"control" default:"switch" doc:"what can be done to it: 'switch' on and off, 'dimmer', 'fixed' must stay as it is" words:"switch|dimmer|fixed"`
	Whose      string        `yaml:"whose" doc:"who has its switch, or must be asked" like:"bar manager, panel behind the till"`
	PWM        q.Hertz       `yaml:"pwm" doc:"a dimmed LED that is switched on and off so many times a second: it flickers whole at this" like:"400 Hz" over:"0" most:"1000000"`
	Mains      q.Hertz       `yaml:"mains" doc:"it flickers at twice this" like:"50 Hz" over:"0" most:"1000"`
	Off        bool          `yaml:"off" doc:"switched off"`
}

// Repeat is an array of equal lights, in rows along two directions at right angles on the plan.
// Flux and an emitter's level are of each light; a reading is of all together.
type Repeat struct {
	Count [2]int      `yaml:"count" need:"true" least:"1" most:"200" doc:"how many along the first direction, how many along the second" like:"[4, 2]"`
	Step  [2]q.Metres `yaml:"step" doc:"from middle to middle in each direction" like:"[1.2 m, 1.8 m]" least:"-100" most:"100"`
	Turn  q.Degrees   `yaml:"turn" doc:"first direction, anticlockwise from x; the second is 90 deg on from it"`
}

// Offsets returns the place of each light of the array relative to the first, which is at 0, 0. A
// nil Repeat is that one light.
func (r *Repeat) Offsets() [][2]float64 {
	if r == nil {
		return [][2]float64{{}}
	}
	sn, cs := math.Sincos(r.Turn.Radians())
	var out [][2]float64
	for j := range r.Count[1] {
		for i := range r.Count[0] {
			x, y := float64(i)*float64(r.Step[0]), float64(j)*float64(r.Step[1])
			out = append(out, [2]float64{x*cs - y*sn, x*sn + y*cs})
		}
	}
	return out
}

// Reads is a meter reading that fixes a level: incident, at a distance on the axis (of a tube:
// square to its middle).
type Reads struct {
	FNumber  Reading      `yaml:"f-number" like:"f/2.8 + 0.3" doc:"the incident reading"`
	Lux      q.Lux        `yaml:"lux" doc:"instead of the f-number, continuous light" over:"0"`
	Shutter  q.Seconds    `yaml:"shutter" doc:"for continuous light" over:"0"`
	ISO      q.ISO        `yaml:"iso" default:"100" over:"0" doc:"sensitivity the meter was set to"`
	From     q.Metres     `yaml:"from" doc:"distance from the face of the light" over:"0"`
	At       *[3]q.Metres `yaml:"at" doc:"instead of from: where in the room the meter was held, with this light alone burning; what comes by the walls counts"`
	Facing   Direction    `yaml:"facing" doc:"where the receptor looked, with at; towards the light when absent" like:"up"`
	Receptor string       `yaml:"receptor" default:"flat" doc:"'flat' or 'dome', or 'spot' for the luminance of the source itself" words:"flat|dome|spot"`
	Power    string       `yaml:"power" doc:"the setting at which it was read" like:"1/1"`
}

// Emitter is a bare emitter with shape, size and exactly one level. The unit says flash or
// continuous: '1000 cd' is continuous, '1000 cd s' a flash.
type Emitter struct {
	Shape      string        `yaml:"shape" need:"true" doc:"'point', 'disc', 'rectangle', 'sphere', 'tube', 'polygon'" words:"point|disc|rectangle|sphere|tube|polygon"`
	Size       []q.Metres    `yaml:"size" doc:"rectangle: width, height; disc and sphere: diameter; tube: diameter" over:"0" most:"1000"`
	Path       [][3]q.Metres `yaml:"path" doc:"tube: its corners; polygon: its corners, seen anticlockwise from where the light goes"`
	TwoSided   bool          `yaml:"two-sided" doc:"flat shapes: light on both sides"`
	Solid      bool          `yaml:"solid" doc:"it also blocks light (black body); else light passes through it"`
	Luminance  Amount        `yaml:"luminance" doc:"of its face: '1000 cd/m2' or, flash, '20 cd s/m2'"`
	Intensity  Amount        `yaml:"intensity" doc:"on its axis, seen from afar: '1000 cd' or '1000 cd s'"`
	Flux       Amount        `yaml:"flux" doc:"all it gives: '1000 lm' or, flash, '1000 lm s'"`
	Beam       q.Degrees     `yaml:"beam" doc:"full angle of a sharp-edged cone of even intensity (point) or of the half-value angle (others); leave out for a Lambertian face or an even point" over:"0" most:"360"`
	Photometry string        `yaml:"photometry" doc:"an LM-63 or EULUMDAT file that shapes the beam (and gives the level if none is stated)" form:"file"`
	LampSet    int           `yaml:"lamp set" doc:"which set of lamps of an EULUMDAT file is fitted; the first when absent" least:"0" most:"20"`
}

// Amount is a level with its unit as written. Flash is true where the unit contains 's'.
type Amount struct {
	Value float64
	Flash bool
}

// Object is a solid thing with exactly one shape.
type Object struct {
	Name     string          `yaml:"name" doc:"a name of its own"`
	Kind     kind.ObjectWord `yaml:"kind" doc:"a box only: what stands in it, built from simple parts; its front is the long side that looks into the room"`
	Box      *BoxShape       `yaml:"box" doc:"a box along the axes of the scene"`
	Quad     *FlatShape      `yaml:"quad" doc:"a flat rectangle"`
	Disc     *FlatShape      `yaml:"disc" doc:"a flat disc: size is its diameter"`
	Sphere   *BallShape      `yaml:"sphere" doc:"a ball"`
	Cylinder *CylinderShape  `yaml:"cylinder" doc:"upright"`
	Polygon  [][3]q.Metres   `yaml:"polygon" doc:"a flat polygon by its corners"`
	Mesh     string          `yaml:"mesh" doc:"an OBJ, GLB, PLY or STL file inside the shoot's folder; metres; GLB is y-up and is turned to z-up" form:"file"`
	At       *[3]q.Metres    `yaml:"at" doc:"for a mesh: where its origin goes"`
	Turn     q.Degrees       `yaml:"turn" doc:"turned about the vertical, anticlockwise"`
	Scale    float64         `yaml:"scale" default:"1" doc:"for a mesh" over:"0"`
	Surface  Surface         `yaml:"surface" default:"0.5" doc:"what it is made of"`
	Back     *Surface        `yaml:"back" doc:"flat shapes: the other side, where it differs"`
	Near     bool            `yaml:"foreground" doc:"meant to stand between camera and sitter"`
}

// BoxShape is a box along the axes of the scene. It stands on At.z (0 where At has two numbers);
// Size is along x, y, z.
type BoxShape struct {
	At     []q.Metres         `yaml:"at" need:"true" doc:"its low corner: x, y or x, y, z" count:"2|3"`
	Size   [3]q.Metres        `yaml:"size" need:"true" over:"0" doc:"along x, y, z"`
	Faces  map[string]Surface `yaml:"faces" doc:"faces that differ: 'x-', 'x+', 'y-', 'y+', 'z-', 'z+'" names:"faces"`
	Inside bool               `yaml:"inside" doc:"a hollow box seen from inside (same geometry; for closed laboratory boxes)"`
}

type FlatShape struct {
	At     [3]q.Metres `yaml:"at" need:"true" doc:"its centre"`
	Facing Direction   `yaml:"facing" need:"true" doc:"direction of its front, at right angles to it"`
	Size   []q.Metres  `yaml:"size" need:"true" doc:"width (level), height; one number for a disc's diameter" count:"1|2" over:"0"`
	Roll   q.Degrees   `yaml:"roll" doc:"turned about its facing, anticlockwise seen from in front"`
}

type BallShape struct {
	At       [3]q.Metres `yaml:"at" need:"true" doc:"its centre"`
	Diameter q.Metres    `yaml:"diameter" need:"true" over:"0" doc:"its diameter"`
}

type CylinderShape struct {
	At       [3]q.Metres `yaml:"at" need:"true" doc:"middle of its foot"`
	Diameter q.Metres    `yaml:"diameter" need:"true" over:"0" doc:"its diameter"`
	Height   q.Metres    `yaml:"height" need:"true" over:"0" doc:"its height"`
}

type Circuit struct {
	Name    string        `yaml:"name" need:"true" doc:"a name of its own"`
	Volts   q.Volts       `yaml:"volts" over:"0" most:"1000" doc:"its voltage"`
	Amps    q.Amps        `yaml:"amps" over:"0" most:"1000" doc:"what its fuse carries"`
	Outlets [][2]q.Metres `yaml:"outlets" doc:"where its sockets are, [x, y] each"`
	Load    q.Watts       `yaml:"load" doc:"what else is on it" least:"0"`
}

// Direction is a vector [x, y, z] or a word: 'up', 'down', 'x+', 'x-', 'y+', 'y-', 'camera', 'key',
// 'sitter'.
type Direction struct {
	Vec  [3]float64
	Word string
}

// Target is what something points at: a position [x, y, z] or the name of a point: 'sitter.face',
// 'sitter.eyes', 'sitter.hair', 'sitter.chest', 'practicals.NAME', 'points.NAME', 'ceiling', 'wall
// 2'.
type Target struct {
	At   [3]float64
	Name string
}

// Setup is one arrangement of camera, sitter and light.
type Setup struct {
	Name     string             `yaml:"name" need:"true" doc:"a name of its own"`
	Priority int                `yaml:"priority" doc:"1 is the must" least:"0"`
	At       string             `yaml:"time" doc:"time of day, hh:mm" form:"clock"`
	Camera   *Camera            `yaml:"camera" doc:"where the camera stands and how it is set"`
	Picture  *Picture           `yaml:"picture" doc:"how the picture is printed"`
	Cover    *Cover             `yaml:"cover" doc:"the picture is for a cover: where its type will stand"`
	Sitter   *Sitter            `yaml:"sitter" doc:"who is photographed; leave out for a laboratory scene"`
	Sitters  []Sitter           `yaml:"sitters" doc:"more people in the picture, each with a name; their points are sitters.NAME.face and so on"`
	Lights   []Light            `yaml:"lights" doc:"flash and continuous lights brought along"`
	Openings []Opening          `yaml:"openings" doc:"lit holes that stand free"`
	Off      []string           `yaml:"off" doc:"practicals and windows that are off or blacked out in this setup" names:"house"`
	Dim      map[string]q.Share `yaml:"dim" doc:"practicals on a dimmer: what is left of their light in this setup, by name" names:"practicals" least:"0" most:"1"`
	Panels   []Panel            `yaml:"panels" doc:"silks, reflectors, flags"`
	Objects  []Object           `yaml:"objects" doc:"things that stand in this setup only"`
	Haze     *Haze              `yaml:"haze" doc:"haze in the air"`
	Points   []Point            `yaml:"points" doc:"where the meter is held, beside the sitter's own points"`
	Look     []Wish             `yaml:"look" doc:"the result wanted"`
	May      *May               `yaml:"may" doc:"what balance may change"`
	Day      *SetupDay          `yaml:"day" doc:"what the day has to know of this setup"`
	Every    q.Seconds          `yaml:"every" doc:"time between frames: no head is set to a power at which it is not ready by then" over:"0" like:"1.5 s"`
	Notes    string             `yaml:"notes" doc:"free text" form:"long"`

	// Hour is another time of day at which the setup is looked at, hh:mm; empty: At. It is never in
	// the file. A level of daylight that the file states stays that of At.
	Hour string `yaml:"-"`
}

// Clock returns the time of day at which the setup is looked at, hh:mm.
func (s *Setup) Clock() string {
	if s.Hour != "" {
		return s.Hour
	}
	return s.At
}

// Picture says how scene light becomes print (tone reproduction).
type Picture struct {
	Rendering string  `yaml:"rendering" default:"standard" words:"standard|flat|linear" doc:"see 'Pictures'"`
	Contrast  float64 `yaml:"contrast" default:"1.35" least:"1.05" most:"2" doc:"of 'standard', at mid-grey"`
	Glare     q.Share `yaml:"glare" default:"1 %" least:"0" most:"0.2" doc:"veiling glare of the lens; 0 is none"`
}

// Cover says where the type of a magazine cover stands over the crop, as shares of the crop's width
// and height. The defaults are common practice, no source: ask the art director.
type Cover struct {
	Title  q.Share `yaml:"title" default:"24 %" doc:"share of the height that the title takes, from the top" least:"0" most:"0.6"`
	Margin q.Share `yaml:"margin" default:"4 %" doc:"type stays so far inside the trimmed edge, share of the width" least:"0" most:"0.2"`
	Lines  string  `yaml:"lines" default:"left" doc:"which side the cover lines stand at: 'left', 'right', 'both', 'none'" words:"left|right|both|none"`
	Column q.Share `yaml:"column" default:"30 %" doc:"share of the width that a column of cover lines takes" least:"0" most:"0.5"`
}

type Camera struct {
	At           []q.Metres  `yaml:"at" need:"true" doc:"x, y or x, y, z of the lens" count:"2|3"`
	Height       q.Metres    `yaml:"height" doc:"height of the lens, where at has two numbers" over:"0"`
	Aim          Target      `yaml:"aim" default:"sitter.eyes" doc:"what it points at"`
	Sensor       string      `yaml:"sensor" default:"full frame" doc:"'full frame', 'crop 1.5', 'crop 1.6', 'medium 44x33', or 'WIDTHxHEIGHT mm'"`
	Upright      bool        `yaml:"upright" doc:"portrait orientation"`
	Lens         q.Metres    `yaml:"lens" default:"50 mm" over:"0" most:"5" doc:"focal length"`
	Focus        *Target     `yaml:"focus" doc:"what is sharp; the near eye when absent"`
	Aperture     q.FNumber   `yaml:"aperture" default:"f/4" over:"0" doc:"f-number set"`
	TStop        q.FNumber   `yaml:"t-stop" doc:"where the lens's transmission is known, at the aperture set" over:"0"`
	ND           q.Stops     `yaml:"nd" doc:"neutral density filter before the lens: stops that it takes; the meter does not see it" like:"3 st" least:"0" most:"20"`
	Mirror       string      `yaml:"mirror" doc:"a flat object in which the camera sees the sitter: aim, focus, distance and readings of the picture go by way of it" names:"objects"`
	Shutter      q.Seconds   `yaml:"shutter" default:"1/125 s" over:"0" most:"3600" doc:"shutter time"`
	ISO          q.ISO       `yaml:"iso" default:"100" over:"0" most:"10000000" doc:"sensitivity"`
	WhiteBalance Spectrum    `yaml:"white balance" default:"5500 K" doc:"the light that shall look white"`
	Sync         q.Seconds   `yaml:"sync" default:"1/200 s" doc:"shortest shutter time that sees the whole flash" over:"0"`
	HighSpeed    bool        `yaml:"high speed sync" doc:"shutters faster than sync are lit by a flash that pulses through them: two stops less at once, and one more for each stop of shutter (common practice, no source); only heads that can"`
	Blades       int         `yaml:"blades" doc:"blades of the diaphragm, straight-edged; 0 is round" least:"0" most:"20"`
	Shift        [2]q.Metres `yaml:"shift" doc:"lens shift to the right and up, as seen in the picture" like:"[0 mm, 5 mm]" least:"-0.05" most:"0.05"`
	Crop         *[4]float64 `yaml:"crop" doc:"the part of the frame that will be used, as shares from its top left: left, top, right, bottom" like:"[0.1, 0, 0.9, 1]" least:"0" most:"1"`
	Falloff      bool        `yaml:"falloff" doc:"the picture darkens to its corners as an uncorrected lens does: by the fourth power of the cosine, and near full aperture by its rim (blurred lights become cat's eyes); readings are of the middle"`
	FullWell     float64     `yaml:"full well" doc:"electrons at base sensitivity" default:"60000" over:"0" unit:"electrons"`
	ReadNoise    float64     `yaml:"read noise" doc:"electrons" default:"4" least:"0" unit:"electrons"`
}

type Sitter struct {
	At         [2]q.Metres `yaml:"at" need:"true" doc:"where the sitter stands or the seat is"`
	Stature    q.Metres    `yaml:"stature" default:"1.70 m" least:"0.5" most:"2.5" doc:"standing height"`
	Build      string      `yaml:"build" default:"medium" doc:"'slight', 'medium', 'heavy'" words:"slight|medium|heavy"`
	Figure     string      `yaml:"figure" default:"woman" doc:"'woman' or 'man' as the starting proportions" words:"woman|man"`
	Age        float64     `yaml:"age" doc:"years: under 18 a child or a youth, of the stature of that age where stature is not written; over 40 with the lines of age" over:"0" most:"110" unit:"years"`
	Pose       string      `yaml:"pose" default:"standing" doc:"'standing', 'seated', 'leaning', 'walking', 'bar stool', 'floor'" words:"standing|seated|leaning|walking|bar stool|floor"`
	Hands      string      `yaml:"hands" default:"as posed" doc:"what the hands do: 'as posed', 'hanging', 'folded', 'clasped', 'on hips', 'one on hip', 'in pockets', 'holding', 'at chin', 'on thighs', 'in lap', 'on surface', 'swinging', 'round knee'" words:"as posed|hanging|folded|clasped|on hips|one on hip|in pockets|holding|at chin|on thighs|in lap|on surface|swinging|round knee"`
	Seat       q.Metres    `yaml:"seat" default:"0.45 m" doc:"height of the seat; of a bar stool 0.75 m where it is not written" least:"0" most:"2"`
	Rest       q.Metres    `yaml:"rest" doc:"for hands on a surface: how high it is; absent: what is leaned on" least:"0" most:"1.5"`
	Faces      Direction   `yaml:"faces" default:"camera" doc:"where the chest points"`
	Turn       q.Degrees   `yaml:"turn" doc:"head turned to the sitter's left (positive) from the chest" least:"-180" most:"180"`
	Tilt       q.Degrees   `yaml:"tilt" doc:"head lowered (positive)" least:"-90" most:"90"`
	Skin       float64     `yaml:"skin" default:"2" doc:"1 very pale to 10 very deep; 2 is the middle of the hundred people measured" least:"1" most:"10"`
	SkinReads  *SkinReads  `yaml:"skin reads" doc:"instead of skin: two readings of the sitter, in one light"`
	MakeUp     string      `yaml:"make-up" default:"none" doc:"'none', 'powder' (less sheen), 'dewy' (more)" words:"none|powder|dewy"`
	Hair       string      `yaml:"hair" default:"tied back" doc:"'none', 'short', 'bob', 'tied back', 'shaved', 'long', 'curly'" words:"none|short|bob|tied back|shaved|long|curly"`
	HairColour string      `yaml:"hair colour" default:"dark brown" doc:"'black', 'dark brown', 'brown', 'blonde', 'grey', 'red'" words:"black|dark brown|brown|blonde|grey|red"`
	Beard      string      `yaml:"beard" default:"none" doc:"'none', 'stubble', 'full'" words:"none|stubble|full"`
	Hat        string      `yaml:"hat" default:"none" doc:"'none', 'beanie', 'cap', 'brimmed'" words:"none|beanie|cap|brimmed"`
	HatCloth   *Surface    `yaml:"hat cloth" doc:"what the hat is made of; as the trousers when absent"`
	Clothes    string      `yaml:"clothes" default:"coat" doc:"'jumper', 'shirt', 'coat', 'dress', 'none', 'jacket', 't-shirt'" words:"jumper|shirt|coat|dress|none|jacket|t-shirt"`
	Cloth      Surface     `yaml:"cloth" default:"navy wool" doc:"what the jumper, coat, jacket, T-shirt or dress is made of"`
	Shirt      *Surface    `yaml:"shirt" doc:"what the shirt is made of; white cotton when absent"`
	Trousers   *Surface    `yaml:"trousers" doc:"what the trousers are made of; grey flannel when absent"`
	Shoes      *Surface    `yaml:"shoes" doc:"what the shoes are made of; dull black when absent"`
	Glasses    bool        `yaml:"glasses" doc:"wears glasses"`
	Model      *Model      `yaml:"model" doc:"a figure of your own, scanned or made, in place of the drawn one"`
	Name       string      `yaml:"name" doc:"one of sitters: what the others call them"`
}

// Model is a scanned or modelled figure: a mesh of a whole person who stands or sits on its lowest
// point.
type Model struct {
	Mesh   string      `yaml:"mesh" need:"true" doc:"an OBJ, GLB, PLY or STL file inside the shoot's folder; GLB is y-up and is turned to z-up" form:"file"`
	Scale  float64     `yaml:"scale" default:"1" doc:"metres a unit of the file" over:"0" most:"1000"`
	Eyes   [3]q.Metres `yaml:"eyes" need:"true" doc:"the place between the eyes, in the file's axes after scale"`
	Facing Direction   `yaml:"facing" default:"y+" doc:"where its face looks, in the file's axes after turning to z-up"`
}

// SkinReads gives a skin's reflectance by two readings in one light, at one shutter time and
// sensitivity: a spot reading of the cheek, and an incident reading held flat before it.
type SkinReads struct {
	Spot     Reading `yaml:"spot" need:"true" doc:"reflected reading of the skin" like:"f/5.6"`
	Incident Reading `yaml:"incident" need:"true" doc:"flat incident reading at the same place" like:"f/5.6 + 0.6"`
}

// Light is one light of a setup: a head of the kit with modifier, gels and power, or a bare
// emitter.
type Light struct {
	Name     string        `yaml:"name" doc:"defaults to the role"`
	Role     string        `yaml:"role" doc:"'key', 'fill', 'edge', 'hair', 'background', 'accent', or any word"`
	Why      string        `yaml:"why" doc:"why it is there, in a sentence: printed in a breakdown" like:"the sign's own red, carried on to her hair"`
	Head     string        `yaml:"head" doc:"a head of the kit" names:"heads"`
	Modifier string        `yaml:"modifier" doc:"a modifier of the kit; 'bare' is none" names:"modifiers"`
	Grid     string        `yaml:"grid" doc:"a grid of the kit on top of the modifier" names:"grids"`
	Gel      []string      `yaml:"gel" doc:"gels of the kit, one or a list" names:"gels"`
	Emitter  *Emitter      `yaml:"emitter" doc:"instead of a head: a bare emitter"`
	Colour   Spectrum      `yaml:"colour" doc:"for emitters and colour heads: what colour is asked" like:"like practicals.sign"`
	At       []q.Metres    `yaml:"at" doc:"x, y or x, y, z of the centre of its face" count:"2|3"`
	Height   q.Metres      `yaml:"height" doc:"height of the centre of its face, where at has two numbers" over:"0"`
	Aim      Target        `yaml:"aim" default:"sitter.face" doc:"what it points at"`
	Feather  q.Degrees     `yaml:"feather" doc:"turned off what it aims at, level: positive towards the camera, negative away from it; without a camera anticlockwise from above" least:"-120" most:"120"`
	Zoom     q.Metres      `yaml:"zoom" doc:"a flash with a zoom: where it stands, as the focal length on full frame" like:"70 mm" over:"0" most:"1"`
	Roll     q.Degrees     `yaml:"roll" doc:"turned about its own axis"`
	Through  string        `yaml:"through" doc:"name of a panel that it is meant to shine through or bounce off (for the plan's words; light finds its own way)" names:"panels of the setup"`
	Power    string        `yaml:"power" doc:"flash: '1/8', '1/4 - 0.3'; in the head's own steps"`
	Level    *q.Share      `yaml:"level" doc:"continuous: '60 %'" least:"0" most:"1"`
	Off      bool          `yaml:"off" doc:"switched off"`
	Lock     bool          `yaml:"lock" doc:"balance leaves it as it is"`
	Stand    string        `yaml:"stand" doc:"a stand of the kit" names:"stands"`
	Outlet   string        `yaml:"outlet" doc:"name of a circuit; absent: battery" names:"circuits"`
	Patch    *Patch        `yaml:"patch" doc:"where a networked head listens, for halfstop send"`
	Area     [][2]q.Metres `yaml:"area" doc:"two corners of the floor area in which balance may move it" count:"2"`
	Heights  [2]q.Metres   `yaml:"heights" doc:"lowest and highest it may go" over:"0"`
}

// Patch is the DMX address at which a networked head listens.
type Patch struct {
	Universe int `yaml:"universe" default:"1" doc:"of E1.31" least:"1" most:"63999"`
	Address  int `yaml:"address" need:"true" doc:"of its first slot" least:"1" most:"512"`
}

// Panel is a silk, reflector, flag or black: a flat surface with two sides.
type Panel struct {
	Name    string      `yaml:"name" doc:"a name of its own"`
	Kind    string      `yaml:"kind" need:"true" doc:"'silk', 'frost', 'reflector', 'flag', 'black', 'board', 'fabric', 'net'"`
	Face    string      `yaml:"face" doc:"preset of its front; by kind when absent" names:"surfaces"`
	Surface *Surface    `yaml:"surface" doc:"instead of a preset"`
	Size    [2]q.Metres `yaml:"size" need:"true" doc:"width, height" over:"0"`
	At      []q.Metres  `yaml:"at" need:"true" doc:"its centre: x, y or x, y, z" count:"2|3"`
	Height  q.Metres    `yaml:"height" doc:"of its centre, where at has two numbers" over:"0"`
	Aim     Target      `yaml:"aim" default:"sitter.face" doc:"what its front faces"`
	Roll    q.Degrees   `yaml:"roll" doc:"turned about its facing"`
	Stand   string      `yaml:"stand" doc:"a stand of the kit" names:"stands"`
}

// Haze is a homogeneous scattering medium that fills the place. Its extinction comes from one of
// visibility, density word and extinction.
type Haze struct {
	Visibility q.Metres `yaml:"visibility" doc:"Koschmieder 2 % range: extinction = 3.912/visibility" over:"0"`
	Density    string   `yaml:"density" doc:"'light' 0.02/m, 'medium' 0.05/m, 'heavy' 0.15/m (common practice, no source)" words:"light|medium|heavy"`
	Extinction float64  `yaml:"extinction" doc:"per metre" over:"0" most:"100" unit:"per metre"`
	Albedo     float64  `yaml:"albedo" default:"1" doc:"scattered share of what is lost" least:"0" most:"1"`
	Forward    float64  `yaml:"forward" default:"0.8" doc:"Henyey–Greenstein g" least:"-0.99" most:"0.99"`
}

// Point is a place where light is metered.
type Point struct {
	Name     string       `yaml:"name" need:"true" doc:"a name of its own, by which the look speaks of it"`
	At       *[3]q.Metres `yaml:"at" doc:"where it is, [x, y, z]"`
	On       string       `yaml:"on" doc:"instead of at: an anatomical point 'sitter.face', 'sitter.hair', …" names:"sitter"`
	Facing   Direction    `yaml:"facing" doc:"where the receptor looks; default: the surface's own normal, else the camera"`
	Receptor string       `yaml:"receptor" default:"flat" doc:"'flat', 'dome', 'spot'" words:"flat|dome|spot"`
	Angle    q.Degrees    `yaml:"angle" default:"1 deg" doc:"full angle of a spot" over:"0" most:"60"`
	From     *[3]q.Metres `yaml:"from" doc:"a spot's eye; the camera when absent"`
}

// Wish is one entry of the look. It names a point and states one or more targets there.
type Wish struct {
	Point     string    `yaml:"point" need:"true" doc:"a point of the setup, or one of the sitter's own: 'face key side', 'hair edge', …" names:"points"`
	Reads     *Reading  `yaml:"reads" doc:"the incident reading wanted" like:"f/4 + 0.0"`
	Stops     *q.Stops  `yaml:"stops" doc:"level in the picture, stops to mid-grey"`
	Above     string    `yaml:"above" doc:"another point" names:"points"`
	Below     string    `yaml:"below" doc:"another point" names:"points"`
	By        q.Stops   `yaml:"by" doc:"how much above or below" over:"0"`
	Darkest   *q.Stops  `yaml:"darkest" doc:"not under this level in the picture"`
	Brightest *q.Stops  `yaml:"brightest" doc:"not over this level in the picture"`
	Within    Tolerance `yaml:"within" doc:"tolerance: a miss inside it counts nothing; of warmer in mired, of ambient in per cent as well" like:"0.3 st"`
	Ratio     string    `yaml:"ratio" doc:"'4:1 sides' or '3:1 lights' against the point named in 'to'"`
	To        string    `yaml:"to" doc:"the other point of the ratio" names:"points"`
	Colour    *Spectrum `yaml:"colour" doc:"colour of the light there"`
	Warmer    *q.Mired  `yaml:"warmer" doc:"how much warmer than the camera's white the light there is, negative cooler" like:"40 mired"`
	Haze      *q.Stops  `yaml:"haze" doc:"most the haze may lift this point"`
	Ambient   *q.Share  `yaml:"ambient" doc:"share of the light here that is not flash" least:"0" most:"1"`
	Priority  string    `yaml:"priority" default:"want" doc:"'must', 'want', 'nice'" words:"must|want|nice"`
	Strict    bool      `yaml:"strict" doc:"not to be traded for anything else"`
	Weight    float64   `yaml:"weight" default:"1" over:"0" doc:"how much a stop missed counts beside the others of its priority"`
}

// May says what balance may change. Where it is absent: the powers of unlocked lights only.
type May struct {
	Power    []string     `yaml:"power" doc:"lights whose power it may change; absent: all unlocked" names:"lights"`
	Colour   []string     `yaml:"colour" doc:"lights whose colour it may change" names:"lights"`
	Gel      []string     `yaml:"gel" doc:"lights whose gel it may change" names:"lights"`
	Modifier []string     `yaml:"modifier" doc:"lights whose modifier it may change" names:"lights"`
	Place    []string     `yaml:"place" doc:"lights that it may move inside their area" names:"lights"`
	Aperture [2]q.FNumber `yaml:"aperture" doc:"widest and smallest" over:"0"`
	Shutter  [2]q.Seconds `yaml:"shutter" doc:"longest and shortest" over:"0"`
	ISO      [2]q.ISO     `yaml:"iso" doc:"lowest and highest" over:"0"`
	White    bool         `yaml:"white balance" doc:"set the white balance to the light at the face's key side, to 50 K"`
	Step     q.Stops      `yaml:"step" default:"0.333 st" doc:"step of the camera's settings" over:"0"`
}

// Reading is an incident reading: the f-number as whole stop plus tenths, kept exactly as N =
// base·2^(tenths/20). Zero: none.
type Reading struct {
	N q.FNumber
}

// String writes the reading so that it reads back exactly: 'f/4 + 0.3'.
func (r Reading) String() string { return r.N.String() }

// MarshalText is String.
func (r Reading) MarshalText() ([]byte, error) { return r.N.MarshalText() }

// UnmarshalText reads 'f/4 + 0.3'.
func (r *Reading) UnmarshalText(b []byte) error { return r.N.UnmarshalText(b) }
