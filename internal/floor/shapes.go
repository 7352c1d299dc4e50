package floor

// View is all that a phone shows.
type View struct {
	Version int64  `json:"version" doc:"counts changes of what is shown, in this run"`
	Run     string `json:"run" doc:"tells this run of the program from another"`
	Now     int64  `json:"now" doc:"the program's clock, milliseconds since 1970"`
	Clock   int    `json:"clock" doc:"seconds since midnight, where the program is"`
	Title   string `json:"title"`
	Me      Me     `json:"me"`

	Setups   []Setup   `json:"setups" doc:"in the order of the plan, then those left out"`
	Setup    int       `json:"setup" doc:"the one that is on, among setups; -1: none is left"`
	Plan     Plan      `json:"plan"`
	Tasks    []Task    `json:"tasks" doc:"of the plan, by their start"`
	Dials    []Dial    `json:"dials" doc:"lights of the setup that is on"`
	Points   []Point   `json:"points" doc:"of the setup that is on"`
	Place    *Place    `json:"place,omitempty" doc:"the setup that is on, from above"`
	Proposal *Proposal `json:"proposal,omitempty"`
	Changes  []Change  `json:"changes" doc:"since settings were last taken, the newest first"`
	Calls    []Call    `json:"calls" doc:"who asks for help, not answered yet"`
	Frames   []Frame   `json:"frames" doc:"test frames, the newest first"`
	Watching bool      `json:"watching" doc:"a folder is watched for test frames"`
	Camera   int       `json:"camera" doc:"seconds that the camera's clock is behind the program's"`
	// CameraSaid: somebody said that; else it is by frames as they came.
	CameraSaid bool     `json:"camera_said"`
	Cautions   []string `json:"cautions"`
	Troubles   []string `json:"troubles" doc:"what does not work, and what to do"`
	Computing  string   `json:"computing,omitempty" doc:"what is being worked out"`
}

// Me is the device that asks.
type Me struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Role string `json:"role" words:"look|crew|lead"`
	Next int64  `json:"next" doc:"number of its next entry, as the log has it"`
}

// Setup is one picture of the day.
type Setup struct {
	Name  string `json:"name"`
	Begin int    `json:"begin" doc:"seconds after midnight; 0: not in the plan"`
	End   int    `json:"end"`
	Shot  bool   `json:"shot"`
	In    bool   `json:"in"`
}

// Plan is the plan of the day as it holds now.
type Plan struct {
	Number   int64    `json:"number" doc:"entry of the log that it was made by; 0: the first plan"`
	Sentence string   `json:"sentence"`
	Made     int      `json:"made" doc:"seconds after midnight that it is from; 0: before the day"`
	Why      string   `json:"why,omitempty" doc:"who made it anew, and why"`
	People   []string `json:"people"`
	Seen     []string `json:"seen" doc:"devices that have said that they saw it"`
	Unseen   []string `json:"unseen" doc:"devices that have not"`
	Late     float64  `json:"late" doc:"minutes behind it, as was said last; under 0: ahead"`
	Problem  string   `json:"problem,omitempty" doc:"why there is none"`
}

// Task is one task of the plan.
type Task struct {
	ID       string   `json:"id"`
	Text     string   `json:"text"`
	Setup    string   `json:"setup,omitempty"`
	People   []string `json:"people"`
	Start    int      `json:"start" doc:"seconds after midnight"`
	End      int      `json:"end"`
	Slack    int      `json:"slack" doc:"seconds"`
	Picture  bool     `json:"picture"`
	Done     *Done    `json:"done,omitempty"`
	Caution  string   `json:"caution,omitempty"`
	Critical bool     `json:"critical" doc:"it has no slack"`
}

// Done says who did something, and when.
type Done struct {
	Seq int64  `json:"seq"`
	Who string `json:"who"`
	At  int64  `json:"at" doc:"milliseconds since 1970"`
}

// Dial is what one light is to be set to.
type Dial struct {
	Light  string   `json:"light"`
	Role   string   `json:"role"`
	Words  string   `json:"words" doc:"head, modifier, gel"`
	Colour string   `json:"colour" doc:"of its light after white balance, '#rrggbb'"`
	Want   string   `json:"want"`
	Was    string   `json:"was,omitempty" doc:"as it was set last, where that is another"`
	For    []string `json:"for" doc:"who sets it, by the plan"`
	Set    *Done    `json:"set,omitempty" doc:"that it is set so"`
	Fixed  bool     `json:"fixed" doc:"the house's: nothing to set"`
	Taken  *Done    `json:"taken,omitempty" doc:"who took this setting in place of the plan's"`
}

// Point is a place to read at.
type Point struct {
	Name     string    `json:"name"`
	F        float64   `json:"f" doc:"f-number predicted, corrected by the readings; 0: not known yet"`
	SD       float64   `json:"sd" doc:"one standard deviation of it, stops"`
	Wish     string    `json:"wish,omitempty" doc:"what the look asks there"`
	Lights   []Share   `json:"lights" doc:"largest first"`
	Readings []Reading `json:"readings" doc:"that stand, the newest first, six at most"`
	Differ   bool      `json:"differ" doc:"two devices read it since anything was set, and not the same"`
}

// Share is a light's share of a point.
type Share struct {
	Light  string  `json:"light"`
	Share  float64 `json:"share"`
	Colour string  `json:"colour"`
}

// Reading is one that was logged.
type Reading struct {
	Seq   int64   `json:"seq"`
	F     float64 `json:"f"`
	Alone string  `json:"alone,omitempty"`
	Who   string  `json:"who"`
	At    int64   `json:"at"`
	Mine  bool    `json:"mine"`
	Old   bool    `json:"old" doc:"a light was set or moved since"`
	Doubt string  `json:"doubt,omitempty" doc:"that it does not fit the others, and what may be wrong"`
}

// Proposal is what to dial after the readings.
type Proposal struct {
	ID    string       `json:"id" doc:"of what it says: what is taken must be what was seen"`
	Dials []Redial     `json:"dials"`
	Then  []PointAfter `json:"then" doc:"what the points will read with all of them"`
	Cost  string       `json:"cost"`
	Short []string     `json:"short" doc:"wishes that cannot be met, and why"`
	Next  string       `json:"next,omitempty" doc:"the reading that would settle most"`
	Point string       `json:"point,omitempty" doc:"its point"`
	Alone string       `json:"alone,omitempty" doc:"the light to be on alone for it"`
	From  int          `json:"from" doc:"readings that it rests on"`
	Old   bool         `json:"old" doc:"something newer is being worked into it: it is shown, and cannot be taken"`
}

// Redial is one dial of a proposal.
type Redial struct {
	Light string  `json:"light"`
	Was   string  `json:"was"`
	Now   string  `json:"now"`
	Stops float64 `json:"stops"`
}

// PointAfter is a point before and after.
type PointAfter struct {
	Name string  `json:"name"`
	Now  float64 `json:"now" doc:"f-number"`
	Then float64 `json:"then"`
	Wish string  `json:"wish,omitempty"`
	Off  float64 `json:"off" doc:"from the wish, then, stops"`
}

// Change is something that happened.
type Change struct {
	Seq  int64  `json:"seq"`
	Text string `json:"text"`
	Who  string `json:"who"`
	At   int64  `json:"at"`
}

// Call asks for help.
type Call struct {
	Seq  int64  `json:"seq"`
	Text string `json:"text"`
	Who  string `json:"who"`
	At   int64  `json:"at"`
}

// Frame is a test frame of the watched folder, held against its prediction.
type Frame struct {
	ID       string       `json:"id" doc:"of its bytes"`
	Seq      int64        `json:"seq" doc:"its entry in the log; 0: none yet"`
	Name     string       `json:"name"`
	Setup    string       `json:"setup" doc:"that it is of"`
	How      string       `json:"how" doc:"how that was found"`
	At       int64        `json:"at" doc:"when it was taken, the camera's clock corrected, milliseconds since 1970"`
	Settings string       `json:"settings,omitempty" doc:"as the file says"`
	Text     string       `json:"text" doc:"how it lies to the prediction"`
	Ready    bool         `json:"ready" doc:"it was held against the prediction, and has its pictures"`
	Causes   []FrameCause `json:"causes" doc:"what may not be as planned, the most likely first"`
	Lights   []FrameLight `json:"lights"`
	Points   []FramePoint `json:"points"`
	White    float64      `json:"white" doc:"Δu'v' of its white against the plan's"`
	Clipped  float64      `json:"clipped" doc:"% of the frame"`
	Floor    float64      `json:"floor" doc:"% of the frame that lies over 7 stops under mid-grey"`
	Rest     float64      `json:"rest" doc:"% of its light that is not explained"`
	Notes    []string     `json:"notes"`
	First    bool         `json:"first" doc:"a first look: lights are not told apart"`
	Working  bool         `json:"working" doc:"more is being worked out of it …"`
	Doing    int          `json:"doing" doc:"… and so far it is, %"`
	Stopped  bool         `json:"stopped" doc:"the work on it ended at its first look"`
	Pictures int          `json:"pictures" doc:"counts its pictures: with another number they are others"`
	Marked   string       `json:"marked,omitempty" doc:"how it was placed, where somebody marked a point"`
	Problem  string       `json:"problem,omitempty"`
}

// FrameCause is what may not be as planned.
type FrameCause struct {
	Light  string  `json:"light,omitempty" doc:"absent: the camera"`
	Text   string  `json:"text"`
	Stops  float64 `json:"stops" doc:"its size; 0: it has none"`
	Chance float64 `json:"chance" doc:"in 100"`
}

// FrameLight is what one light gave.
type FrameLight struct {
	Light string  `json:"light"`
	Stops float64 `json:"stops" doc:"against its prediction"`
	Share float64 `json:"share" doc:"of the frame's light, 0 to 1"`
	Told  bool    `json:"told" doc:"the frame shows enough of it"`
	Dark  bool    `json:"dark"`
	On    bool    `json:"on" doc:"by the plan"`
}

// FramePoint is a point of the setup in the frame.
type FramePoint struct {
	Name   string  `json:"name"`
	X      float64 `json:"x" doc:"share of the frame's width, from the left"`
	Y      float64 `json:"y" doc:"share of its height, from the top"`
	Stops  float64 `json:"stops" doc:"to mid-grey"`
	Off    float64 `json:"off" doc:"against the prediction, stops"`
	Colour float64 `json:"colour" doc:"against the prediction, Δu'v'"`
	Clip   bool    `json:"clip"`
	Floor  bool    `json:"floor"`
}

// Assign says which setup a frame is of.
type Assign struct {
	Frame string `json:"frame" doc:"its id"`
	Setup string `json:"setup"`
}

// Mark says where a point lies in a test frame: in it, and in those that come after it.
type Mark struct {
	Frame string  `json:"frame" doc:"its id"`
	Point string  `json:"point"`
	X     float64 `json:"x" doc:"0 to 1 from the left"`
	Y     float64 `json:"y" doc:"0 to 1 from the top"`
}

// StopFrame ends the work on a test frame, or goes on with it.
type StopFrame struct {
	Frame string `json:"frame" doc:"its id"`
	On    bool   `json:"on" doc:"go on"`
}

// CameraClock corrects a camera's clock.
type CameraClock struct {
	Behind int `json:"behind" doc:"seconds behind the program's clock; under 0: ahead"`
}

// Place is a setup from above, metres.
type Place struct {
	Outline [][2]float64 `json:"outline"`
	Sitter  *[2]float64  `json:"sitter,omitempty"`
	Camera  *[2]float64  `json:"camera,omitempty"`
	Aim     *[2]float64  `json:"aim,omitempty" doc:"where the camera looks"`
	Lights  []PlaceLight `json:"lights"`
}

// PlaceLight is a light from above.
type PlaceLight struct {
	Name   string     `json:"name"`
	At     [2]float64 `json:"at"`
	Aim    [2]float64 `json:"aim"`
	Height float64    `json:"height"`
	Width  float64    `json:"width"`
	Mine   []string   `json:"mine" doc:"whose tasks it is in"`
}

// Entries are what a phone has to say, in order.
type Entries struct {
	Sent    int64   `json:"sent" doc:"the phone's clock as it sends, milliseconds since 1970"`
	Entries []Entry `json:"entries"`
}

// Entry is one thing said.
type Entry struct {
	Number  int64    `json:"number" doc:"of this device's entries, from 1 without gaps"`
	Kind    string   `json:"kind" words:"reading|tick|dial|note|late|reversal"`
	Setup   string   `json:"setup,omitempty"`
	Subject string   `json:"subject,omitempty"`
	Value   *float64 `json:"value,omitempty"`
	Unit    string   `json:"unit,omitempty"`
	Text    string   `json:"text,omitempty"`
	Alone   string   `json:"alone,omitempty" doc:"of a reading: the only light that was on"`
	Call    bool     `json:"call,omitempty" doc:"of a note: it asks for help"`
	Seq     int64    `json:"seq,omitempty" doc:"of a reversal: the entry that does not hold …"`
	Undo    int64    `json:"undo,omitempty" doc:"… or the number of this device's own"`
	Said    int64    `json:"said" doc:"by the phone's clock, milliseconds since 1970"`
}

// Taken answers a phone: its entries up to a number are on the medium.
type Taken struct {
	Upto    int64    `json:"upto"`
	Refused []Refuse `json:"refused" doc:"what cannot be taken as it is; it counts as taken, as a note that says so"`
}

// Refuse says why an entry could not be taken.
type Refuse struct {
	Number int64  `json:"number"`
	Why    string `json:"why"`
}

// Accept takes dials of a proposal.
type Accept struct {
	ID     string   `json:"id"`
	Lights []string `json:"lights"`
}

// Replan asks for a plan from now on.
type Replan struct {
	Why string `json:"why"`
}

// Ack says that a plan was seen.
type Ack struct {
	Plan int64 `json:"plan"`
}
