package yamltext

import (
	"strings"
	"testing"

	q "halfstop/quantity"
)

type plan struct {
	Version  int              `yaml:"halfstop" need:"true" like:"1"`
	Title    string           `yaml:"title"`
	Lights   []light          `yaml:"lights"`
	Room     room             `yaml:"room"`
	Walls    map[string]light `yaml:"walls"`
	Aim      *target          `yaml:"aim"`
	Gel      []string         `yaml:"gel"`
	Distance q.Metres         `yaml:"distance"`
}

type light struct {
	Role   string        `yaml:"role" need:"true" doc:"what it does" words:"key|fill|edge"`
	Height q.Metres      `yaml:"height" over:"0"`
	At     []q.Metres    `yaml:"at" count:"2|3"`
	Box    [2]q.Metres   `yaml:"box"`
	Path   [][2]q.Metres `yaml:"path"`
	Share  *q.Share      `yaml:"share" least:"0" most:"1"`
	Power  string        `yaml:"power"`
	Off    bool          `yaml:"off"`
	Aim    target        `yaml:"aim" default:"face"`
}

type room struct {
	Ceiling q.Metres  `yaml:"ceiling" default:"2.5 m"`
	Shutter q.Seconds `yaml:"shutter" default:"1/125 s"`
}

// target is a name or three numbers.
type target struct {
	Name string
	At   [3]float64
}

func (t *target) UnmarshalNode(d *Decoder, n *Node) {
	if n.Kind == List {
		d.Into(n, &t.At)
		return
	}
	t.Name, _ = d.Scalar(n, "a name or [x, y, z]")
}

func TestDecode(t *testing.T) {
	src := `# a plan
halfstop: 1
title: Launderette at dusk   # kept
lights:
  - {role: key, height: 2,2 m, at: [1, 2.5]}
  - role: fill
    height: 7 ft 10 in
    box: [1, 240 cm]
    path: [[0, 0], [1, 2]]
    share: 62 %
    power: 1/4 - 0.3
    off: true
    aim: [1, 2, 3]
walls:
  wall 1: {role: edge}
gel: full orange
`
	src = strings.Replace(src, "2,2 m", "2.2 m", 1)
	var p plan
	doc, l := Decode("p.yaml", []byte(src), &p)
	if len(l) > 0 {
		t.Fatal(l.Text())
	}
	if p.Lights[0].Height != 2.2 || p.Lights[1].Box[1] != 2.4 || *p.Lights[1].Share != 0.62 || !p.Lights[1].Off ||
		p.Lights[1].Aim.At[2] != 3 ||
		p.Lights[0].Aim.Name != "face" || p.Room.Ceiling != 2.5 || p.Room.Shutter != 0.008 ||
		p.Walls["wall 1"].Role != "edge" || p.Walls["wall 1"].Aim.Name != "face" ||
		p.Gel[0] != "full orange" || p.Lights[1].Power != "1/4 - 0.3" || p.Title != "Launderette at dusk" ||
		p.Aim != nil {
		t.Errorf("%+v", p)
	}
	for path, want := range map[string]string{"lights[1].height": "p.yaml:7:13", "lights[0].at": "p.yaml:5:36",
		"lights[0].at[1]":  "p.yaml:5:40",
		"lights[fill].aim": "p.yaml:13:10", "room.ceiling": "p.yaml:2:1", "walls.wall 1": "p.yaml:15:11",
		"lights[0].nothing": "p.yaml:5:5"} {
		if got := doc.Pos(path).String(); got != want {
			t.Errorf("%s: %s, want %s", path, got, want)
		}
	}
	if got := doc.KeyPos("lights[1].height").String(); got != "p.yaml:7:5" {
		t.Error(got)
	}
}

// Each mistake gives one message, all at once, in the house's form.
func TestDecodeMistakes(t *testing.T) {
	src := `title: [1]
lights:
  - {role: key, hieght: 2.2 m, at: [1]}
  - {role: kee, height: 3 kg, share: 120 %, box: [2,4, 1]}
  - {height: -1 m, off: maybe, path: [[0, 0], 7], at: [1, 2, x]}
  -
  - {role: fill, height: 2,4 m}
  - {role: fill, role: key}
room: 5
walls: {wall 1: , wall 2: {role: }}
distance: 2,4 m
halfstop: one
`
	want := `p.yaml:1:8: title must be text; here stands a list
  1 | title: [1]
    |        ^^^
  fix: write 1 alone, without brackets
p.yaml:3:17: unknown setting "hieght" of a light
  3 |   - {role: key, hieght: 2.2 m, at: [1]}
    |                 ^^^^^^
  settings here: role, height, at, box, path, share, power, off, aim
  fix: write "height"
p.yaml:3:36: at has 1 entry; it takes 2 or 3
  3 |   - {role: key, hieght: 2.2 m, at: [1]}
    |                                    ^^^
  fix: write 2 or 3 entries in brackets, with a comma between them
p.yaml:4:12: role: "kee" is not known here
  4 |   - {role: kee, height: 3 kg, share: 120 %, box: [2,4, 1]}
    |            ^^^
  one of: key, fill, edge
  fix: write "key"
p.yaml:4:25: height: "3 kg" is a mass; here stands a length, in m, cm, mm, km, ft, in
  4 |   - {role: kee, height: 3 kg, share: 120 %, box: [2,4, 1]}
    |                         ^^^^
  fix: write it like 2.4 m
p.yaml:4:38: share: "120 %" is over the most allowed, 1
  4 |   - {role: kee, height: 3 kg, share: 120 %, box: [2,4, 1]}
    |                                      ^^^^^
  fix: write a value at least 0 and at most 1
p.yaml:4:50: box has 3 entries; it takes 2
  4 |   - {role: kee, height: 3 kg, share: 120 %, box: [2,4, 1]}
    |                                                  ^^^^^^^^
  in brackets a comma parts entries; decimals are written with a point
  fix: write 2.4
p.yaml:5:5: a light needs "role"
  5 |   - {height: -1 m, off: maybe, path: [[0, 0], 7], at: [1, 2, x]}
    |     ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
  role: what it does
  fix: add role: key
p.yaml:5:14: height: "-1 m" is not over 0
  5 |   - {height: -1 m, off: maybe, path: [[0, 0], 7], at: [1, 2, x]}
    |              ^^^^
  fix: write a value over 0
p.yaml:5:25: off: "maybe" is neither true nor false
  5 |   - {height: -1 m, off: maybe, path: [[0, 0], 7], at: [1, 2, x]}
    |                         ^^^^^
  fix: write true or false
p.yaml:5:47: path must be a list of 2; here stands "7"
  5 |   - {height: -1 m, off: maybe, path: [[0, 0], 7], at: [1, 2, x]}
    |                                               ^
  fix: write [1, 2]
p.yaml:5:62: at: "x" is not a length
  5 |   - {height: -1 m, off: maybe, path: [[0, 0], 7], at: [1, 2, x]}
    |                                                              ^
  fix: write it like 2.4 m
p.yaml:6:4: entry 4 of lights is empty
  6 |   -
    |    ^
  fix: fill it in or delete it
p.yaml:7:28: the comma cuts "2,4 m" in two: in braces a comma parts settings
  7 |   - {role: fill, height: 2,4 m}
    |                            ^^^
  fix: write 2.4 m, or put the value in quotes
p.yaml:8:18: "role" is set twice here
  8 |   - {role: fill, role: key}
    |                  ^^^^
  p.yaml:8:6: it is set first here
    8 |   - {role: fill, role: key}
      |      ^^^^
  fix: delete one of the two
p.yaml:9:7: room must be settings (ceiling, shutter); here stands "5"
  9 | room: 5
    |       ^
  fix: write settings, such as ceiling: …
p.yaml:10:9: "wall 1" of walls has no value
  10 | walls: {wall 1: , wall 2: {role: }}
     |         ^^^^^^
  fix: fill it in or delete it
p.yaml:10:28: "role" has no value
  10 | walls: {wall 1: , wall 2: {role: }}
     |                            ^^^^
  role: what it does
  fix: add role: key
p.yaml:12:11: halfstop: "one" is not a whole number
  12 | halfstop: one
     |           ^^^
  fix: write a whole number
`
	var p plan
	_, l := Decode("p.yaml", []byte(src), &p)
	if got := l.Text(); got != want {
		t.Errorf("got\n%s\nfirst difference: %s", got, firstDifference(got, want))
	}
	if p.Distance != 2.4 {
		t.Error("a decimal comma outside brackets is understood")
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			return x[i]
		}
	}
	return "end"
}

// A setting that belongs one level lower is told where it belongs; one that could belong to two is
// not.
func TestDecodeStrayHome(t *testing.T) {
	type part struct {
		Crew   int `yaml:"crew"`
		Volume int `yaml:"volume"`
	}
	var p struct {
		Shoot part `yaml:"shoot"`
		Day   *struct {
			People int `yaml:"people"`
			Volume int `yaml:"volume"`
		} `yaml:"day"`
	}
	_, l := Decode("p.yaml", []byte("crew: 1\npeople: 2\nvolume: 3\n"), &p)
	want := []string{`move "crew" under shoot:`, `move "people" under day:`, `delete "volume"`}
	if len(l) != len(want) {
		t.Fatal(l.Text())
	}
	for i, w := range want {
		if !strings.HasPrefix(l[i].Fix, w) {
			t.Errorf("%q, want %q", l[i].Fix, w)
		}
	}
}
