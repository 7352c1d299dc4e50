package server

import (
	"halfstop/answer"
	"halfstop/content"
	"halfstop/diag"
)

// The shapes of the API. openapi.yaml is made from them (go test ./internal/server -run OpenAPI
// -update); the page's types come from that file. Lengths are metres, angles degrees, picture
// places shares of the picture's width and height from its top left.

// State is what every page must know of the shoot.
type State struct {
	Revision int            `json:"revision" doc:"grows by one with every change of the text; every POST that changes something names the one it is based on: an edit is joined with what was changed since, or refused with 409 where both touch the same"`
	Good     int            `json:"good_revision" doc:"the revision that the setups and readings are of: the last text without errors"`
	Title    string         `json:"title"`
	File     string         `json:"file" doc:"name of the shoot file as messages name it"`
	Demo     bool           `json:"demonstration" doc:"lives in memory until it is saved under a name"`
	Saved    bool           `json:"saved" doc:"the file on disk holds the last text without errors"`
	Draft    bool           `json:"draft" doc:"the text has errors: it is kept (journal), the last good one stays in force"`
	Undo     string         `json:"undo" doc:"name of the change that undo takes back; empty: none"`
	Redo     string         `json:"redo"`
	Step     int            `json:"step" doc:"number of the change that undo takes back, the same while a drag goes on; 0: none"`
	Setups   []SetupName    `json:"setups"`
	Messages []diag.Message `json:"messages" doc:"what the file says wrongly, with places in the text"`
	Disk     *DiskState     `json:"disk,omitempty" doc:"present while another program's change of the file waits for an answer (POST /api/disk)"`
	Begin    string         `json:"begin,omitempty" doc:"folder that holds no shoot yet: present while the text is empty, and what is made is to be saved there (POST /api/save)"`
	Keeping  Keeping        `json:"keeping" doc:"whether this text is on disk; always in sight"`
	Troubles []Trouble      `json:"troubles" doc:"what is the matter with keeping the shoot, gravest first; each is gone when it is over"`
	Trouble  string         `json:"trouble,omitempty" doc:"those of the troubles that are no mere notes, in one line"`
	Restored bool           `json:"restored,omitempty" doc:"unsaved changes of an earlier run were found and are in this text; undo takes them back"`
	Pages    int            `json:"pages" doc:"how many pages are open"`
	Version  string         `json:"version" doc:"of the program"`
	Run      string         `json:"run" doc:"another one after a restart: revisions count anew"`
	House    HouseView      `json:"house"`
}

// SetupName is one setup in the list.
type SetupName struct {
	Name     string `json:"name"`
	Priority int    `json:"priority"`
	Time     string `json:"time"`
}

// DiskState is an unanswered change on disk.
type DiskState struct {
	Text     string         `json:"text" doc:"what stands in the file now"`
	Messages []diag.Message `json:"messages"`
}

// HouseView is what readings and words rest on.
type HouseView struct {
	Meter   answer.Constants `json:"meter"`
	Ratio   string           `json:"ratio" words:"sides|lights"`
	Lengths string           `json:"lengths" words:"metres|feet"`
}

// SetupView is everything to draw one setup with.
type SetupView struct {
	Revision int            `json:"revision" doc:"the good revision that this is of"`
	Index    int            `json:"index"`
	Path     string         `json:"path" doc:"in the file: 'setups[0]'"`
	Name     string         `json:"name"`
	Priority int            `json:"priority"`
	Time     string         `json:"time"`
	Notes    string         `json:"notes"`
	Built    bool           `json:"built" doc:"false: it cannot be built as written (see messages); the rest is as it last could be, or empty"`
	Messages []diag.Message `json:"messages" doc:"errors, findings and cautions of this setup"`
	Room     RoomView       `json:"room"`
	Objects  []ObjectView   `json:"objects" doc:"of the room, then of the setup"`
	Lights   []LightView    `json:"lights" doc:"every light of the setup in the file's order (switched-off ones too), then openings, practicals and windows that are lit"`
	Panels   []PanelView    `json:"panels"`
	Sitter   *SitterView    `json:"sitter,omitempty"`
	Camera   *CameraView    `json:"camera,omitempty"`
	Points   []PointView    `json:"points" doc:"in the order of the readings"`
	Look     []WishView     `json:"look"`
	Cover    *CoverView     `json:"cover,omitempty" doc:"present where the picture is for a cover"`
	Off      []string       `json:"off" doc:"house lights and windows that are off in this setup"`
	Haze     *HazeView      `json:"haze,omitempty"`
	Hours    *HoursView     `json:"hours,omitempty" doc:"how daylight goes with the clock; absent where the setup has none"`

	hoursKey content.Key // what Hours rest on
}

// CoverView is where the type of a cover stands, shares of the crop.
type CoverView struct {
	Path   string  `json:"path"`
	Title  float64 `json:"title"`
	Margin float64 `json:"margin"`
	Lines  string  `json:"lines" words:"left|right|both|none"`
	Column float64 `json:"column"`
}

// RoomView is the place.
type RoomView struct {
	Outline    [][2]float64    `json:"outline" doc:"corners, anticlockwise; empty: no room"`
	Ceiling    float64         `json:"ceiling"`
	Ceilings   []CeilingView   `json:"ceilings" doc:"parts of it at another height"`
	Windows    []OpeningView   `json:"windows"`
	Doors      []OpeningView   `json:"doors"`
	Practicals []PracticalView `json:"practicals"`
	Circuits   []CircuitView   `json:"circuits"`
	Detectors  [][3]float64    `json:"detectors"`
	Exits      [][2]float64    `json:"exits"`
	North      float64         `json:"north" doc:"direction of north, anticlockwise from +y"`
}

// CeilingView is a part of the ceiling at another height.
type CeilingView struct {
	Name    string       `json:"name"`
	Path    string       `json:"path"`
	Outline [][2]float64 `json:"outline"`
	Height  float64      `json:"height"`
}

// OpeningView is a window or a door.
type OpeningView struct {
	Name    string       `json:"name"`
	Path    string       `json:"path"`
	Wall    int          `json:"wall" doc:"0: in the ceiling"`
	From    float64      `json:"from"`
	Width   float64      `json:"width"`
	Sill    float64      `json:"sill"`
	Head    float64      `json:"head"`
	Glass   string       `json:"glass,omitempty"`
	Hinge   string       `json:"hinge,omitempty"`
	Swing   string       `json:"swing,omitempty"`
	Corners [][3]float64 `json:"corners" doc:"four, lower near side first, round the hole"`
}

// PracticalView is a light of the house.
type PracticalView struct {
	Name string       `json:"name"`
	Path string       `json:"path"`
	Kind string       `json:"kind"`
	Line [][3]float64 `json:"line" doc:"of a tube; one place for others"`
	Off  bool         `json:"off" doc:"switched off in the room or in this setup"`
}

// CircuitView is a mains circuit.
type CircuitView struct {
	Name    string       `json:"name"`
	Volts   float64      `json:"volts"`
	Amps    float64      `json:"amps"`
	Load    float64      `json:"load_watts"`
	Outlets [][2]float64 `json:"outlets"`
}

// ObjectView is something solid.
type ObjectView struct {
	Name string       `json:"name"`
	Path string       `json:"path"`
	Foot [][2]float64 `json:"foot" doc:"outline seen from above; empty for meshes"`
	Lo   float64      `json:"low"`
	Hi   float64      `json:"high"`
	// Solid: whatever lies inside its outline and heights lies inside it.
	Solid bool `json:"solid"`
	// Treads of a flight of steps, from the lowest.
	Treads []TreadView `json:"treads,omitempty"`
}

// LightView is one light.
type LightView struct {
	Name     string       `json:"name"`
	Role     string       `json:"role"`
	Called   string       `json:"called" doc:"what a screen calls it: its role, or its name where the house or two lights have that role"`
	Path     string       `json:"path" doc:"in the file"`
	Layer    int          `json:"layer" doc:"its layer in the readings and pictures; -1: off"`
	Kind     string       `json:"kind" words:"flash|continuous|practical|daylight"`
	Flash    bool         `json:"flash"`
	House    bool         `json:"house" doc:"belongs to the place: no setting, not to be moved"`
	Fixed    string       `json:"fixed,omitempty" doc:"why its level cannot be set"`
	Off      bool         `json:"off"`
	Lock     bool         `json:"lock"`
	Stands   float64      `json:"stands" doc:"height of what it stands on at its place: the floor is 0, a platform or a tread more; metres"`
	Head     string       `json:"head"`
	Modifier string       `json:"modifier"`
	Grid     string       `json:"grid"`
	Gels     []string     `json:"gels"`
	Colour   string       `json:"colour" doc:"as asked in the file: 'like practicals.sign', '5600 K'; empty: the head's own"`
	Through  string       `json:"through"`
	Outlet   string       `json:"outlet"`
	At       *[3]float64  `json:"at,omitempty" doc:"centre of its face"`
	AtCount  int          `json:"at_numbers" doc:"2: the file has at: [x, y] and height; 3: at: [x, y, z]"`
	Aim      *[3]float64  `json:"aim,omitempty" doc:"a place on its axis: where it points"`
	AimName  string       `json:"aim_name" doc:"named target in the file; empty: the aim is a place"`
	Area     [][2]float64 `json:"area,omitempty" doc:"two corners in which balance may move it"`
	Bodies   []BodyView   `json:"bodies"`
	// Setting.
	Setting     string     `json:"setting" doc:"in the head's own unit"`
	SettingPath string     `json:"setting_path" doc:"where to write another; empty: none"`
	Stops       float64    `json:"stops" doc:"setting against full, 0 or less"`
	Headroom    float64    `json:"headroom_stops"`
	Down        float64    `json:"down_stops" doc:"how far it can still be turned down"`
	Step        float64    `json:"step_stops" doc:"flash: one step of its dial; 0: see step_share"`
	StepShare   float64    `json:"step_share" doc:"continuous: one step as a share of full (0.01 is 1 %)"`
	Dial        []DialStep `json:"dial" doc:"every setting from full down"`
	K           float64    `json:"k" doc:"setting as a factor on full: what readings and layers are multiplied by"`
	XY          [2]float64 `json:"xy" doc:"CIE 1931 chromaticity of its light"`
	Kelvin      float64    `json:"kelvin,omitempty"`
	Duv         float64    `json:"duv,omitempty"`
	Tint        [3]float64 `json:"tint" doc:"linear sRGB of its light after the camera's white balance, luminance 1, may lie outside 0 to 1: map with lightness of your own"`
	Uncertainty float64    `json:"uncertainty_stops"`
	RestsOn     string     `json:"rests_on" doc:"what its level rests on: 'catalogue', \"maker's figures\", 'learned from N readings', \"the file's figures\""`
	Watts       float64    `json:"watts"`
	Hot         bool       `json:"hot"`
	Why         []string   `json:"why" doc:"where the figures come from"`
}

// DialStep is one setting of a head.
type DialStep struct {
	Text  string  `json:"text" doc:"what the file shall say"`
	Stops float64 `json:"stops"`
}

// BodyView is where a light is, how large, and where it looks.
type BodyView struct {
	Shape  string     `json:"shape" words:"point|rectangle|disc|sphere|tube|polygon"`
	At     [3]float64 `json:"at"`
	Normal [3]float64 `json:"normal" doc:"unit, where the light goes"`
	Side   [3]float64 `json:"side" doc:"unit, along its width"`
	Up     [3]float64 `json:"up" doc:"unit, along its height"`
	Width  float64    `json:"width"`
	Height float64    `json:"height"`
	Depth  float64    `json:"depth" doc:"behind the face"`
}

// PanelView is a panel as it hangs.
type PanelView struct {
	Name    string     `json:"name"`
	Path    string     `json:"path"`
	Kind    string     `json:"kind"`
	Face    string     `json:"face"`
	At      [3]float64 `json:"at"`
	AtCount int        `json:"at_numbers"`
	Normal  [3]float64 `json:"normal"`
	Side    [3]float64 `json:"side"`
	Up      [3]float64 `json:"up"`
	Width   float64    `json:"width"`
	Height  float64    `json:"height"`
	Aim     [3]float64 `json:"aim" doc:"the place that its front faces"`
	AimName string     `json:"aim_name"`
}

// SitterView is the person.
type SitterView struct {
	Path      string                `json:"path"`
	At        [2]float64            `json:"at"`
	Stature   float64               `json:"stature"`
	Pose      string                `json:"pose"`
	Turn      float64               `json:"turn" doc:"of the head against the chest"`
	Low       [3]float64            `json:"low" doc:"corner of the box round the body"`
	High      [3]float64            `json:"high"`
	Faces     [3]float64            `json:"faces" doc:"unit, where the face looks"`
	Chest     [3]float64            `json:"chest" doc:"unit, where the chest points"`
	Landmarks map[string][3]float64 `json:"landmarks"`
}

// CameraView is the camera.
type CameraView struct {
	Path         string     `json:"path"`
	At           [3]float64 `json:"at"`
	AtCount      int        `json:"at_numbers"`
	Axis         [3]float64 `json:"axis"`
	Right        [3]float64 `json:"right"`
	Up           [3]float64 `json:"up"`
	AimName      string     `json:"aim_name"`
	Aim          [3]float64 `json:"aim" doc:"a place on its axis, at the focused distance"`
	Sensor       string     `json:"sensor"`
	Upright      bool       `json:"upright"`
	Width        float64    `json:"sensor_width" doc:"of the sensor as held, metres"`
	Height       float64    `json:"sensor_height"`
	Lens         float64    `json:"lens" doc:"focal length, metres"`
	Image        float64    `json:"image" doc:"from lens to sensor, metres: with the sensor's size it gives the angle of view"`
	Focus        float64    `json:"focus"`
	Near         float64    `json:"near"`
	Far          *float64   `json:"far" doc:"null: to the horizon"`
	FocusText    string     `json:"focus_text" doc:"what is sharp, as the file has it; empty: the near eye"`
	Crop         [4]float64 `json:"crop" doc:"the part of the frame that will be used: left, top, right, bottom as shares from its top left"`
	Aperture     Dialled    `json:"aperture"`
	Shutter      Dialled    `json:"shutter"`
	ISO          Dialled    `json:"iso"`
	WhiteBalance string     `json:"white_balance"`
	Sync         float64    `json:"sync"`
	SyncText     string     `json:"sync_text"`
	Lit          float64    `json:"flash_lit_share" doc:"share of the frame that the flash reaches"`
	Clip         float64    `json:"clip_stops"`
	Floor        float64    `json:"floor_stops"`
	Clean        float64    `json:"clean_stops"`
	Exposure     ExposureOf `json:"exposure"`
}

// Dialled is a camera setting with what else it may be, third stops.
type Dialled struct {
	Text  string      `json:"text"`
	Value float64     `json:"value"`
	Path  string      `json:"path"`
	Steps []DialValue `json:"steps" doc:"in the order of the camera's dial; stops is the change of exposure against now"`
}

// DialValue is one step of a camera's dial.
type DialValue struct {
	Text  string  `json:"text"`
	Value float64 `json:"value"`
	Stops float64 `json:"stops"`
}

// ExposureOf is how light turns into picture levels.
type ExposureOf struct {
	// Sum over layers of luminance × k × (flash ? lit :
	// shutter) × factor is linear with mid-grey at 0.18.
	Factor float64       `json:"factor" doc:"0.18·lens·ISO/10, per cd·s/m²"`
	Lens   float64       `json:"lens_factor" doc:"q/N², or π/(4T²) where a T-stop is known"`
	White  [3]float64    `json:"white" doc:"XYZ of the camera's white, Y = 1"`
	Adapt  [9]float64    `json:"adapt" doc:"row-major 3×3: CAT16 from the camera's white to D65, on XYZ"`
	SRGB   [9]float64    `json:"srgb" doc:"row-major 3×3: XYZ to linear sRGB"`
	Tone   ToneConstants `json:"tone"`
}

// ToneConstants describe the tone curve on luminance.
type ToneConstants struct {
	Join  float64 `json:"join" doc:"straight up to here"`
	White float64 `json:"white" doc:"becomes 1"`
	Power float64 `json:"power" doc:"y = 1 − (1−join)·((white−x)/(white−join))^power between"`
	// Sigmoid stands in place of the straight line and the shoulder.
	Sigmoid float64 `json:"sigmoid" doc:"over 0: the exponent n of y = scale·xⁿ/(xⁿ+half) up to white; 0: join and power"`
	Half    float64 `json:"half"`
	Scale   float64 `json:"scale"`
	Glare   float64 `json:"glare" doc:"veiling glare of the lens: the mix is (1−glare)·x + glare·mean over the frame; not in readings, histogram and stops"`
}

// PointView is a place where light is measured.
type PointView struct {
	Name     string      `json:"name"`
	Path     string      `json:"path" doc:"empty: the sitter's own point, not in the file"`
	Receptor string      `json:"receptor" words:"flat|dome|spot"`
	Sitter   bool        `json:"sitter"`
	At       [3]float64  `json:"at"`
	Normal   [3]float64  `json:"normal"`
	Picture  *[2]float64 `json:"picture,omitempty" doc:"where it lies in the picture; absent: outside or behind the camera"`
	Seen     bool        `json:"seen" doc:"the camera sees its surface: the level is the picture's own"`
}

// WishView is one target of the look.
type WishView struct {
	Path     string     `json:"path"`
	Point    string     `json:"point"`
	Words    string     `json:"words" doc:"'reads f/4', '2 st below face key side'"`
	Priority string     `json:"priority" words:"must|want|nice"`
	Wants    []WantView `json:"wants"`
}

// WantView is one thing said of a point.
type WantView struct {
	Kind string      `json:"kind" words:"reads|stops|above|darkest|brightest|ratio|colour|warmer|haze|ambient"`
	Key  string      `json:"key" doc:"the setting's key in the wish: 'reads', 'by', 'darkest'"`
	Lo   *float64    `json:"lo,omitempty" doc:"reads: f-number; stops, above, darkest, brightest: stops; warmer: mired; ambient: share"`
	Hi   *float64    `json:"hi,omitempty"`
	To   string      `json:"to,omitempty" doc:"the other point"`
	XY   *[2]float64 `json:"xy,omitempty" doc:"colour wanted"`
	Text string      `json:"text" doc:"as it stands in the file"`
}

// HazeView is the haze.
type HazeView struct {
	Path       string  `json:"path"`
	Visibility float64 `json:"visibility"`
	Extinction float64 `json:"extinction" doc:"per metre"`
}

// ReadingsView is what the meter would say, and the parts to weigh it anew.
type ReadingsView struct {
	Revision int                  `json:"revision"`
	Index    int                  `json:"index"`
	Word     string               `json:"word" words:"first|fine" doc:"first: quick, may still move; fine: settled, at the error asked or, where haze or time ended it, at that of each point"`
	Asked    float64              `json:"error_asked_stops"`
	Readings answer.SetupReadings `json:"readings"`
	Look     []WishResult         `json:"look" doc:"one for each wish of the setup, in order"`
	Units    []PointUnits         `json:"units" doc:"one for each point, in order"`
	Assumed  []AssumedView        `json:"assumed" doc:"what the file leaves open, the most influential first"`
	Millis   float64              `json:"milliseconds" doc:"from the change to this reading"`
}

// AssumedView is something that the file leaves open, with what stands in.
type AssumedView struct {
	Words string  `json:"words" doc:"'wall reflectance assumed 60 %'"`
	Point string  `json:"point" doc:"whose reading hangs on it most"`
	Stops float64 `json:"stops" doc:"by how much, one standard deviation"`
}

// WishResult is what becomes of a wish.
type WishResult struct {
	Wants []WantResult `json:"wants" doc:"one for each want, in order"`
}

// WantResult is what becomes of a want.
type WantResult struct {
	Predicted *float64 `json:"predicted" doc:"in the want's unit; null: dark or not predicted"`
	Miss      *float64 `json:"miss_stops" doc:"signed: positive is too bright, too far apart, tolerance not taken off; colour: Δu'v'; warmer: mired; null: not judged"`
	Met       bool     `json:"met"`
}

// PointUnits is a point's light by layer at full setting (k = 1).
type PointUnits struct {
	Constant float64      `json:"constant" doc:"meter constant C (incident) or K (spot)"`
	Incident [][3]float64 `json:"incident" doc:"XYZ by layer, lx or lx·s per unit k; empty for a spot"`
	Picture  [][3]float64 `json:"picture" doc:"XYZ of what is seen there, cd/m² or cd·s/m² per unit k; empty where the camera does not see it"`
}

// LayersHead is the JSON line before each pass of GET /api/setup/{i}/layers.
type LayersHead struct {
	Revision int         `json:"revision"`
	Pass     int         `json:"pass" doc:"from 1; 0: a small picture that followed a hand"`
	Width    int         `json:"w"`
	Height   int         `json:"h"`
	Samples  int         `json:"samples" doc:"a pixel"`
	Last     bool        `json:"last"`
	Layers   []LayerHead `json:"layers"`
	Bytes    int         `json:"bytes" doc:"of the block that follows: layers × h × w × 3 half floats, little endian, X Y Z interleaved, rows from the top"`
	End      string      `json:"end,omitempty" doc:"instead of a pass, with bytes 0: 'stale' (the setup changed: ask again), 'none' (with once: nothing newer yet), 'message' (see message)"`
	Key      string      `json:"key,omitempty" doc:"with once: of what the picture depends on"`
	Message  string      `json:"message,omitempty"`
	Exposure ExposureOf  `json:"exposure"`
	Shutter  float64     `json:"shutter"`
	Lit      float64     `json:"flash_lit_share"`
}

// LayerHead is one layer of a pass.
type LayerHead struct {
	Name  string     `json:"name"`
	Flash bool       `json:"flash"`
	K     float64    `json:"k"`
	Scale float64    `json:"scale" doc:"half float × scale = luminance at full setting, cd/m² or cd·s/m²"`
	Mean  [3]float64 `json:"mean" doc:"mean XYZ over the frame, in the units of the half floats"`
}

// SpotView is the reading of one spot of the picture.
type SpotView struct {
	Revision int              `json:"revision"`
	X        float64          `json:"x"`
	Y        float64          `json:"y"`
	At       *[3]float64      `json:"at,omitempty" doc:"the place in the room; absent: nothing there"`
	Metres   float64          `json:"metres" doc:"from the camera"`
	Reading  answer.PointJSON `json:"reading"`
}

// Change asks for a change of the text.
type Change struct {
	Revision int    `json:"revision"`
	ID       string `json:"id,omitempty" doc:"of the page's making; a change with an id that was taken is not taken again, so it may be sent anew after a lost answer or a restart"`
	Name     string `json:"name" doc:"what undo calls it: 'move key'"`
	Merge    string `json:"merge,omitempty" doc:"changes with the same word one after the other are one step of undo (a drag)"`
	Edits    []Edit `json:"edits"`
}

// Edit is one step of a change: exactly one of set, append, delete, rename, move, copy.
type Edit struct {
	Set    string `json:"set,omitempty" doc:"path: 'setups[0].lights[1].at'"`
	Append string `json:"append,omitempty" doc:"path of a list"`
	Delete string `json:"delete,omitempty" doc:"path of a setting or an entry"`
	Rename string `json:"rename,omitempty" doc:"path of a key; value is the new spelling"`
	Move   string `json:"move,omitempty" doc:"path of an entry of a list; value is its new place, counted from 0"`
	Copy   string `json:"copy,omitempty" doc:"path of an entry of a list; value is the place of the copy"`
	Value  string `json:"value,omitempty" doc:"as YAML text: '[4.3, 1.1]', '1/8 + 0.3', '{role: fill, …}'"`
}

// TryAsk is a change that is tried without being made.
type TryAsk struct {
	Revision int    `json:"revision" doc:"the good revision that the edits are for"`
	Edits    []Edit `json:"edits" doc:"as for /api/edit; none: the setup as it is"`
	Side     int    `json:"side,omitempty" doc:"long side of the picture in pixels, 16 to 480; absent: 200"`
	Coarse   bool   `json:"coarse,omitempty" doc:"a picture at once, of at most 64 pixels, unless a finer one is there"`
}

// TryView is what a tried change would do.
type TryView struct {
	View     *SetupView    `json:"view"`
	Readings *ReadingsView `json:"readings,omitempty" doc:"absent where the setup could not be built"`
}

// TextChange replaces the whole text.
type TextChange struct {
	Revision int     `json:"revision"`
	ID       string  `json:"id,omitempty" doc:"as of a Change"`
	Name     string  `json:"name,omitempty"`
	Merge    string  `json:"merge,omitempty"`
	Base     *string `json:"base,omitempty" doc:"the text that this one was made from: a change of another page since then is joined with it, and the revision does not matter; 409 where both touch the same thing"`
	Mine     bool    `json:"mine,omitempty" doc:"where both touch the same lines this text's stand, and nothing is refused; what was changed elsewhere since the base stays"`
	Text     string  `json:"text"`
}

// TextView is the text as it stands, draft or not.
type TextView struct {
	Revision int    `json:"revision"`
	Text     string `json:"text"`
}

// Step asks for undo or redo.
type Step struct {
	Revision int `json:"revision"`
}

// DiskAnswer settles a change on disk.
type DiskAnswer struct {
	Revision int    `json:"revision"`
	Take     string `json:"take" words:"theirs|ours" doc:"ours: also where the file is gone: it is written back"`
}

// SaveAs puts the shoot into a new file.
type SaveAs struct {
	Revision int    `json:"revision"`
	Path     string `json:"path" doc:"a new file that ends in .yaml, or a new or empty folder"`
}

// ProblemCode names why a request was not done. The set is closed.
type ProblemCode string

// The kinds of refusal.
const (
	ProblemNotUnderstood ProblemCode = "not-understood" // the request itself is wrong
	ProblemNotThere      ProblemCode = "not-there"
	ProblemNotYet        ProblemCode = "not-yet" // ask again
	ProblemStale         ProblemCode = "stale"   // the shoot was changed meanwhile
	ProblemTooLarge      ProblemCode = "too-large"
	ProblemForbidden     ProblemCode = "forbidden"
	ProblemImpossible    ProblemCode = "impossible" // understood, and cannot be done with this shoot
	ProblemFault         ProblemCode = "fault"      // a mistake in halfstop
)

// Problem is why a request was not done.
type Problem struct {
	Code     ProblemCode    `json:"code" words:"not-understood|not-there|not-yet|stale|too-large|forbidden|impossible|fault" doc:"what to go by; error is for people"`
	Error    string         `json:"error" doc:"a sentence: what, where, what to do"`
	State    *State         `json:"state,omitempty" doc:"409: the state to start from again"`
	Messages []diag.Message `json:"messages,omitempty"`
}

// Event is what GET /api/events sends as data, JSON; the SSE event name is Kind.
type Event struct {
	Kind     string  `json:"kind" words:"state|readings|layers|progress|message|day" doc:"day: something happened of the day"`
	Revision int     `json:"revision"`
	Index    int     `json:"index" doc:"setup; -1: none"`
	Word     string  `json:"word,omitempty" doc:"readings: first or fine"`
	Samples  int     `json:"samples,omitempty" doc:"layers: ready with so many a pixel"`
	Done     float64 `json:"done,omitempty" doc:"progress: 0 to 1"`
	What     string  `json:"what,omitempty" doc:"progress: 'readings', 'picture', 'ways', 'papers', 'library', 'compare', 'relight'; state: 'kit' where files of kit were read again; message: 'fault' of a render, index where it was a setup's picture"`
	Text     string  `json:"text,omitempty" doc:"message: a sentence"`
	Millis   float64 `json:"milliseconds,omitempty" doc:"readings: from the change to now"`

	Readings *ReadingsView `json:"readings,omitempty" doc:"readings: they themselves"`
	View     *SetupView    `json:"view,omitempty" doc:"readings: the setup that they are of, with the first of a revision"`
	// With changes=1 both come as differences to what the connection was told of the setup before.
	Change     *Difference `json:"change,omitempty" doc:"readings: what is other in them than in those told before"`
	ViewChange *Difference `json:"view_change,omitempty" doc:"readings: what is other in the setup"`
}

// KitView is what can be put into a setup.
type KitView struct {
	Heads     []KitHead     `json:"heads"`
	Modifiers []KitModifier `json:"modifiers"`
	Grids     []KitGrid     `json:"grids"`
	Gels      []string      `json:"gels"`
	Panels    []KitPanel    `json:"panels"`
	Stands    []string      `json:"stands"`
}

// KitHead is a head.
type KitHead struct {
	Name  string `json:"name"`
	Kind  string `json:"kind" words:"flash|continuous"`
	Mount string `json:"mount"`
	Have  int    `json:"have"`
	Own   bool   `json:"own"`
}

// KitModifier is a modifier.
type KitModifier struct {
	Name  string   `json:"name"`
	Kind  string   `json:"kind"`
	Mount []string `json:"mount" doc:"heads it fits; empty: any bayonet head"`
	Have  int      `json:"have"`
}

// KitGrid is a grid.
type KitGrid struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
}

// KitPanel is a panel.
type KitPanel struct {
	Name string     `json:"name"`
	Kind string     `json:"kind"`
	Size [2]float64 `json:"size"`
}
