package kit

import (
	"halfstop/kind"
	q "halfstop/quantity"
)

// Kit is a set of equipment. The catalogue is one; a shoot's `kit:` and each kit file are others;
// Merge lays one over another.
//
// Struct tags as in shoot: `yaml` the key, `doc` the line of the reference, `need`, `like`,
// `words`, bounds. There is no `default`: an absent key must stay absent, or nothing could be
// inherited. In every entry a key that is absent says 'as before': as in the entry named by `like`,
// or in the catalogue's entry of the same name.
type Kit struct {
	Heads     []Head        `yaml:"heads" doc:"flash heads and continuous heads"`
	Modifiers []Modifier    `yaml:"modifiers" doc:"boxes, umbrellas, dishes, reflectors, snoots"`
	Grids     []Grid        `yaml:"grids" doc:"honeycombs and egg crates"`
	Gels      []GelSpec     `yaml:"gels" doc:"colour sheets"`
	Panels    []PanelSpec   `yaml:"panels" doc:"silks, reflectors, flags, blacks"`
	Stands    []Stand       `yaml:"stands" doc:"stands, booms, clamps"`
	Surfaces  []SurfaceSpec `yaml:"surfaces" doc:"named surfaces"`
	Lessons   []Lesson      `yaml:"lessons" doc:"what readings have taught of this kit; halfstop learn --write keeps it"`
	Timings   []Timing      `yaml:"timings" doc:"what this crew was timed at; halfstop day --keep keeps it"`
	Things    []Thing       `yaml:"things" doc:"whatever else is packed: bags, cables, batteries, cases"`

	taught *taught         // what the lessons come to; made by Merge
	stated map[string]bool // heads that say their level themselves; made by Merge
}

// Head is a lamp or flash unit. Its level is said in exactly one way: photometry, guide number,
// energy (with efficacy), gives, flux. Readings in `reads` come on top and win for the pair of head
// and modifier they were taken with; a head may also have readings only.
type Head struct {
	Name string `yaml:"name" need:"true"`
	Like string `yaml:"like" doc:"a head whose figures stand where none are given here" like:"battery head 500" names:"heads"`
	Kind string `yaml:"kind" words:"flash|continuous" doc:"'flash' or 'continuous'"`

	Photometry string        `yaml:"photometry" doc:"level and beam from an LM-63, EULUMDAT or TM-33 file" form:"file"`
	LampSet    int           `yaml:"lamp set" least:"0" most:"20" doc:"which set of lamps of an EULUMDAT file is fitted; the first when absent"`
	Guide      q.Metres      `yaml:"guide number" least:"0" doc:"guide number in metres at full power, with the modifier named in 'rated with'" like:"58 m"`
	GuideISO   q.ISO         `yaml:"guide iso" least:"0" doc:"sensitivity the guide number is for (100 when absent)"`
	GuideC     float64       `yaml:"guide constant" least:"0" doc:"meter constant C behind the guide number, lx·s (250 when absent)" unit:"lx·s"`
	Energy     q.WattSeconds `yaml:"energy" least:"0" doc:"energy of a full flash" like:"500 Ws"`
	Efficacy   float64       `yaml:"efficacy" least:"0" doc:"light of the bare lamp for its energy or power, lm/W; commonly 35 to 50 for xenon (common practice, no source)" like:"50" unit:"lm/W"`
	Gives      *Gives        `yaml:"gives" doc:"an illuminance on axis at a distance, with the modifier named in 'rated with'"`
	Flux       q.Lumens      `yaml:"flux" least:"0" doc:"all the light of the bare lamp, continuous heads"`
	Reads      Readings      `yaml:"reads" doc:"own meter readings; each fixes the pair of this head and its modifier"`

	RatedWith string         `yaml:"rated with" doc:"modifier its level is stated for; 'bare' is the head as it stands (bare when absent)" names:"modifiers"`
	Face      *Face          `yaml:"face" doc:"what shines when nothing is mounted"`
	Zoom      *Zoom          `yaml:"zoom" doc:"a flash whose beam can be narrowed; its level and face are those of its widest setting"`
	Mount     kind.MountWord `yaml:"mount" doc:"how it takes modifiers: 'bayonet' takes any; the others take those made for them"`
	Colour    *Colour        `yaml:"colour" doc:"colour of its light"`

	Range     q.Stops `yaml:"range" least:"0" doc:"how far it can be turned down" like:"8 st"`
	Step      q.Stops `yaml:"step" least:"0" doc:"size of one step of its setting, flash" like:"0.1 st"`
	StepShare q.Share `yaml:"step share" least:"0" doc:"size of one step of its setting, continuous heads set in per cent" like:"1 %"`

	Feed     string      `yaml:"feed" words:"mains|battery|both" doc:"'mains', 'battery' or 'both'"`
	Watts    q.Watts     `yaml:"watts" least:"0" doc:"electrical draw: continuous at full, flash while recycling"`
	Recycle  q.Seconds   `yaml:"recycle" least:"0" doc:"time to ready after a full flash"`
	Pops     int         `yaml:"pops" least:"0" doc:"full flashes on one charge"`
	RunTime  q.Minutes   `yaml:"run time" least:"0" doc:"time at full output on one charge"`
	Duration q.Seconds   `yaml:"duration" least:"0" doc:"t0.1 of a full flash"`
	Weight   q.Kilograms `yaml:"weight" least:"0"`
	Depth    q.Metres    `yaml:"depth" least:"0" doc:"length of the body behind its mount"`
	Hot      bool        `yaml:"hot" doc:"too hot for cloth, foam and ordinary gels close to it"`

	Channels []Channel `yaml:"channels" doc:"its DMX channels in order, for a head that is dialled over the network (halfstop send)"`

	Have        int     `yaml:"have" least:"0" doc:"how many of them there are"`
	Owner       string  `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Uncertainty q.Stops `yaml:"uncertainty" least:"0" most:"5" doc:"one standard deviation of its level" like:"0.4 st"`
	Source      string  `yaml:"source" doc:"where the figures come from"`
}

// Channel is one DMX channel of a head. What is strobing, haze or movement is never driven.
type Channel struct {
	Does  string  `yaml:"does" need:"true" doc:"dimmer, cct, red, green, blue, white, warm white, cool white, amber, hue, saturation, tint; else: left at rest"`
	Fine  bool    `yaml:"fine" doc:"16 bit: the next slot is its low part"`
	Curve string  `yaml:"curve" words:"linear|square" doc:"how the head turns the slot into light: 'linear' or 'square'; linear when absent"`
	Rest  q.Share `yaml:"rest" least:"0" most:"1" doc:"its value where it is not driven"`
}

// Gives is an illuminance on axis at a distance from the face: exactly one of lux (continuous) and
// lux seconds (flash).
type Gives struct {
	Lux        q.Lux        `yaml:"lux" least:"0" like:"4000 lx"`
	LuxSeconds q.LuxSeconds `yaml:"lux seconds" least:"0" like:"4000 lx s"`
	At         q.Metres     `yaml:"at" doc:"distance from the face (1 m when absent)"`
}

// Zoom is what a head's own zoom does. Between its ends, beam and gain go by the logarithm of the
// setting.
type Zoom struct {
	Wide q.Metres  `yaml:"wide" need:"true" over:"0" doc:"widest setting, as the focal length on full frame that it covers" like:"24 mm"`
	Long q.Metres  `yaml:"long" need:"true" over:"0" doc:"narrowest setting" like:"105 mm"`
	Beam q.Degrees `yaml:"beam" need:"true" least:"1" most:"180" doc:"beam at the narrowest setting, as of a face" like:"35 deg"`
	Gain q.Stops   `yaml:"gain" need:"true" least:"0" most:"4" doc:"on axis, narrowest against widest" like:"1 st"`
}

// Reads is one incident reading taken on the axis of a head with a modifier.
type Reads struct {
	FNumber  q.FNumber `yaml:"f-number" like:"f/8 + 0.3"`
	Lux      q.Lux     `yaml:"lux" least:"0" doc:"instead of the f-number, continuous heads"`
	Shutter  q.Seconds `yaml:"shutter" least:"0" doc:"for an f-number of a continuous head"`
	ISO      q.ISO     `yaml:"iso" doc:"100 when absent"`
	From     q.Metres  `yaml:"from" over:"0" need:"true" doc:"distance from the face of the modifier"`
	Power    string    `yaml:"power" doc:"setting at which it was read (1/1 when absent)"`
	Modifier string    `yaml:"modifier" doc:"bare when absent" names:"modifiers"`
	Grid     string    `yaml:"grid" names:"grids"`
	Receptor string    `yaml:"receptor" words:"flat|dome" doc:"'flat' or 'dome' (flat when absent)"`
}

// Face is a luminous face: shape, true size, and how its intensity falls with the angle.
type Face struct {
	Shape string     `yaml:"shape" words:"point|rectangle|disc|sphere|tube" doc:"'point', 'rectangle', 'disc', 'sphere', 'tube'"`
	Size  []q.Metres `yaml:"size" doc:"rectangle: width, height; disc, sphere: diameter; tube: length, diameter"`
	Beam  q.Degrees  `yaml:"beam" least:"0" doc:"full angle at which the intensity is half of that on axis; 120 deg is a Lambertian face, 360 deg even all round"`
}

// Colour is the colour of a head's light: exactly one of lamp, kelvin, spectrum, bicolour,
// primaries, emitters.
type Colour struct {
	Lamp      string       `yaml:"lamp" doc:"a named lamp spectrum" like:"xenon flash" names:"lamps"`
	Kelvin    q.Kelvin     `yaml:"kelvin" doc:"daylight or Planck light of this temperature"`
	Bicolour  [2]q.Kelvin  `yaml:"bicolour" doc:"warmest and coldest white of a bicolour head" like:"[2700 K, 6500 K]"`
	Primaries []string     `yaml:"primaries" doc:"emitters of a colour-mixing head" like:"[red, green, blue]"`
	Shares    []float64    `yaml:"shares" doc:"light of each primary at full, as a part of the rated white; absent: such that all at full give the white"`
	White     q.Kelvin     `yaml:"white" doc:"white of a colour-mixing or bicolour head at which its level is rated (5600 K when absent)"`
	Spectrum  [][2]float64 `yaml:"spectrum" doc:"instead, measured: pairs [nm, relative power]"`
	Emitters  []Emitter    `yaml:"emitters" doc:"instead of primaries: own emitters by their spectra"`
}

// Emitter is one emitter of a colour-mixing head, as its maker or a meter gives it.
type Emitter struct {
	Name     string       `yaml:"name" need:"true" doc:"what it is called, such as 'red' or 'lime'"`
	Spectrum [][2]float64 `yaml:"spectrum" need:"true" doc:"pairs [nm, relative power]"`
}

// Mixes reports whether the head can be asked for a colour.
func (c *Colour) Mixes() bool {
	return c != nil && (len(c.Primaries) > 0 || len(c.Emitters) > 0 || c.Bicolour != [2]q.Kelvin{})
}

// Modifier changes size, spread and level of a bayonet head's light.
type Modifier struct {
	Name string            `yaml:"name" need:"true"`
	Like string            `yaml:"like" doc:"a modifier whose figures stand where none are given here" names:"modifiers"`
	Kind kind.ModifierWord `yaml:"kind" doc:"what it is built, drawn and swapped as"`
	Face *Face             `yaml:"face"`
	// Gain is on axis, from afar, against the standard reflector.
	Gain        *q.Stops         `yaml:"gain" doc:"on axis, against the standard reflector: -2 st is two stops lost, +1 st is one won" like:"-1.5 st"`
	On          string           `yaml:"on" doc:"another modifier it sits on, where it has no face of its own (barn doors)" names:"modifiers"`
	Cut         q.Degrees        `yaml:"cut" least:"0" doc:"angle from the axis outside which nothing comes (snoot, barn doors)"`
	Tint        float64          `yaml:"tint" doc:"warming by the cloth, mired" unit:"mired"`
	Mount       []kind.MountWord `yaml:"mount" doc:"mounts of the heads it fits; absent: any"`
	Depth       q.Metres         `yaml:"depth" least:"0" doc:"from its face back to the head's mount"`
	Weight      q.Kilograms      `yaml:"weight" least:"0"`
	Have        int              `yaml:"have" least:"0" doc:"how many of them there are"`
	Owner       string           `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Uncertainty q.Stops          `yaml:"uncertainty" least:"0" most:"5" doc:"one standard deviation of its gain"`
	Source      string           `yaml:"source" doc:"where the figures come from"`
}

// Grid sits in front of a modifier and cuts the beam at its angle.
type Grid struct {
	Name string `yaml:"name" need:"true"`
	Like string `yaml:"like"`
	Kind string `yaml:"kind" doc:"'metal' for reflectors and dishes, 'fabric' for boxes"`
	// A cell that shuts at this angle has fallen to half at about half of it, so the angle is also
	// the full width of the beam at half.
	Cut         q.Degrees   `yaml:"cut" least:"0" doc:"angle from the axis at which a cell shuts; outside it nothing comes" like:"40 deg"`
	Gain        *q.Stops    `yaml:"gain" doc:"on axis at 2 m, against the modifier without it" like:"-1 st"`
	Weight      q.Kilograms `yaml:"weight" least:"0"`
	Have        int         `yaml:"have" least:"0"`
	Owner       string      `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Uncertainty q.Stops     `yaml:"uncertainty" least:"0" most:"5"`
	Source      string      `yaml:"source"`
}

// GelSpec is an own gel. Exactly one of like, spectrum, mired says its colour.
type GelSpec struct {
	Name     string       `yaml:"name" need:"true"`
	Like     string       `yaml:"like" doc:"a gel of the catalogue" like:"full orange" names:"gels"`
	Spectrum [][2]float64 `yaml:"spectrum" doc:"pairs [nm, transmittance 0 to 1]"`
	Mired    *float64     `yaml:"mired" doc:"shift of a correcting gel: orange positive, blue negative" like:"159" unit:"mired"`
	Loss     q.Stops      `yaml:"loss" least:"0" doc:"stops lost with daylight (orange) or tungsten (blue), where only the shift is known"`
	Have     int          `yaml:"have" least:"0"`
	Owner    string       `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Source   string       `yaml:"source"`
}

// PanelSpec is a panel that is owned: its size, faces and weight; a shoot's panel may name it as
// its kind.
type PanelSpec struct {
	Name   string         `yaml:"name" need:"true"`
	Like   string         `yaml:"like"`
	Kind   kind.PanelWord `yaml:"kind" doc:"what it does, and how a plan draws it"`
	Face   string         `yaml:"face" doc:"preset of its front" names:"surfaces"`
	Back   string         `yaml:"back" doc:"preset of its back" names:"surfaces"`
	Size   [2]q.Metres    `yaml:"size" doc:"width, height"`
	Weight q.Kilograms    `yaml:"weight" least:"0"`
	Have   int            `yaml:"have" least:"0"`
	Owner  string         `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Source string         `yaml:"source"`
}

// Stand carries things.
type Stand struct {
	Name      string         `yaml:"name" need:"true"`
	Like      string         `yaml:"like"`
	Kind      kind.StandWord `yaml:"kind" doc:"how it stands and carries"`
	Load      q.Kilograms    `yaml:"load" least:"0" doc:"most it may carry"`
	Lowest    q.Metres       `yaml:"lowest" least:"0"`
	Highest   q.Metres       `yaml:"highest" least:"0"`
	Footprint q.Metres       `yaml:"footprint" least:"0" doc:"diameter of the circle of its feet"`
	Reach     q.Metres       `yaml:"reach" least:"0" doc:"of a boom, from the column"`
	Weight    q.Kilograms    `yaml:"weight" least:"0"`
	Have      int            `yaml:"have" least:"0"`
	Owner     string         `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Source    string         `yaml:"source"`
}

// SurfaceSpec is an own named surface. What is absent is as in the preset named by like.
type SurfaceSpec struct {
	Name     string       `yaml:"name" need:"true"`
	Like     string       `yaml:"like" doc:"a preset" names:"surfaces"`
	Diffuse  *float64     `yaml:"diffuse" doc:"diffuse reflectance 0 to 1"`
	Spectrum [][2]float64 `yaml:"spectrum" doc:"instead: pairs [nm, diffuse reflectance]"`
	Colour   string       `yaml:"colour" doc:"instead: '#rrggbb' as picked from a photograph under its own white"`
	Mirror   *float64     `yaml:"mirror"`
	Transmit *float64     `yaml:"transmit" doc:"diffuse transmittance"`
	Clear    *float64     `yaml:"clear" doc:"straight-through transmittance"`
	Rough    *float64     `yaml:"rough" doc:"0 to 1"`
	Coat     *float64     `yaml:"coat" doc:"refractive index of a clear coat"`
	Source   string       `yaml:"source"`
}

// Thing is anything else that is packed.
type Thing struct {
	Name   string      `yaml:"name" need:"true"`
	Like   string      `yaml:"like"`
	Kind   string      `yaml:"kind" doc:"'bag', 'cable', 'battery', 'case', 'frame', 'haze', 'other'"`
	Weight q.Kilograms `yaml:"weight" least:"0"`
	Watts  q.Watts     `yaml:"watts" least:"0"`
	Have   int         `yaml:"have" least:"0"`
	Owner  string      `yaml:"owner" words:"own|hire|venue" doc:"whose they are: 'own', 'hire', 'venue'"`
	Source string      `yaml:"source"`
}
