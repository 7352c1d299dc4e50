package shoot

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfstop/daylight"
	"halfstop/kind"
	q "halfstop/quantity"
)

// Corners returns the outline of the floor, anticlockwise, and the height of the ceiling. There are
// none where there is no room.
func (r *Room) Corners() (corners [][2]q.Metres, ceiling q.Metres) {
	if len(r.Size) == 3 {
		x, y := r.Size[0], r.Size[1]
		return [][2]q.Metres{{0, 0}, {x, 0}, {x, y}, {0, y}}, r.Size[2]
	}
	return r.Outline, r.Ceiling
}

// wallLength returns the length of wall n in metres, counted from 1.
func wallLength(corners [][2]q.Metres, n int) float64 {
	a, b := corners[n-1], corners[n%len(corners)]
	return math.Hypot(float64(b[0]-a[0]), float64(b[1]-a[1]))
}

// slack is how far a window may exceed its wall, metres: figures are rounded to the millimetre.
const slack = 0.0015

func (c *checker) room() {
	r := &c.file.Room
	if c.doc.Has("room.outline") && c.doc.Has("room.size") {
		c.exactly("room", "a room", true, "outline", "size")
		return
	}
	if c.doc.Has("room.size") && c.doc.Has("room.ceiling") {
		c.exactly("room", "a room", true, "size", "ceiling")
	}
	if c.said("room.outline") {
		if !c.doc.Has("room.ceiling") && !c.doc.Has("room.height") { // which is told to be its ceiling
			c.say("room.outline", "shoot.ceiling", "add ceiling: 2.7 m",
				"a room with an outline needs the height of its ceiling")
		}
		c.outline(r.Outline)
	}
	corners, ceiling := r.Corners()
	if c.failed("room.outline") || c.failed("room.size") {
		corners = nil
	}
	if c.doc.Has("room.ceiling") && !c.doc.Has("room.outline") && !c.doc.Has("room.size") {
		c.say("room.ceiling", "shoot.no-room", "add outline: [[0, 0], [4, 0], [4, 3], [0, 3]]",
			"a ceiling needs the outline of a room")
	}
	c.surfaceKeys(r, len(corners))
	c.ceilings(r, corners)
	seen := names{}
	for i := range r.Windows {
		path := fmt.Sprintf("room.windows[%d]", i)
		c.unique(seen, "a window", r.Windows[i].Name, path)
		c.window(&r.Windows[i], path, corners, ceiling)
	}
	for i := range r.Doors {
		path := fmt.Sprintf("room.doors[%d]", i)
		c.unique(seen, "a window or door", r.Doors[i].Name, path)
		d := &r.Doors[i]
		c.inWall(path, "door", d.Wall, d.From, d.Width, d.Head, corners, ceiling)
	}
	for i := range r.Practicals {
		path := fmt.Sprintf("room.practicals[%d]", i)
		c.unique(seen, "a practical, window or door", r.Practicals[i].Name, path)
		c.practical(&r.Practicals[i], path)
	}
	objects := names{}
	for i := range r.Objects {
		path := fmt.Sprintf("room.objects[%d]", i)
		c.unique(objects, "an object", r.Objects[i].Name, path)
		c.object(&r.Objects[i], path, nil)
	}
	circuits := names{}
	for i := range r.Circuits {
		c.unique(circuits, "a circuit", r.Circuits[i].Name, fmt.Sprintf("room.circuits[%d]", i))
	}
	c.outside(&r.Outside, "room.outside")
}

// outline checks that the floor is a simple polygon, anticlockwise.
func (c *checker) outline(p [][2]q.Metres) {
	const path = "room.outline"
	if len(p) < 3 {
		c.say(path, "shoot.outline", "give at least three corners",
			"an outline needs at least three corners; here are %d", len(p))
		return
	}
	if len(p) > 1000 {
		c.say(path, "shoot.outline", "leave out corners that lie on a line",
			"an outline may have at most 1000 corners; here are %d", len(p))
		return
	}
	for i := range p {
		if wallLength(p, i+1) < 1e-3 {
			c.say(fmt.Sprintf("%s[%d]", path, (i+1)%len(p)), "shoot.outline",
				"delete it; the outline closes by itself", "this corner stands on the corner before it")
			return
		}
	}
	for i := range p {
		for j := i + 1; j < len(p); j++ {
			if neighbours := j == i+1 || i == 0 && j == len(p)-1; neighbours {
				if folds(p, i, j) {
					c.say(path, "shoot.outline", "move or delete the corner between them",
						"wall %d runs back along wall %d", j+1, i+1)
					return
				}
				continue
			}
			if crosses(p[i], p[(i+1)%len(p)], p[j], p[(j+1)%len(p)]) {
				c.say(path, "shoot.outline", "list the corners in order round the room",
					"wall %d and wall %d cross or touch", i+1, j+1)
				return
			}
		}
	}
	if a := area(p); a < 0 {
		c.say(path, "shoot.outline", "list the corners the other way round",
			"the outline runs clockwise; it must run anticlockwise, seen from above with y up")
	}
}

// area is the signed area of a polygon, positive anticlockwise.
func area(p [][2]q.Metres) float64 {
	var a float64
	for i := range p {
		b := p[(i+1)%len(p)]
		a += float64(p[i][0])*float64(b[1]) - float64(b[0])*float64(p[i][1])
	}
	return a / 2
}

func side(a, b, p [2]q.Metres) float64 {
	return float64(b[0]-a[0])*float64(p[1]-a[1]) - float64(b[1]-a[1])*float64(p[0]-a[0])
}

// crosses reports whether the segments ab and cd have a point in common.
func crosses(a, b, c, d [2]q.Metres) bool {
	s1, s2, s3, s4 := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	if s1*s2 < 0 && s3*s4 < 0 {
		return true
	}
	on := func(s float64, a, b, p [2]q.Metres) bool {
		return s == 0 && p[0] >= min(a[0], b[0]) && p[0] <= max(a[0], b[0]) && p[1] >= min(a[1],
			b[1]) && p[1] <= max(a[1], b[1])
	}
	return on(s1, a, b, c) || on(s2, a, b, d) || on(s3, c, d, a) || on(s4, c, d, b)
}

// folds reports whether neighbouring walls i and j run back along each other.
func folds(p [][2]q.Metres, i, j int) bool {
	n := len(p)
	u := [2]q.Metres{p[(i+1)%n][0] - p[i][0], p[(i+1)%n][1] - p[i][1]}
	v := [2]q.Metres{p[(j+1)%n][0] - p[j][0], p[(j+1)%n][1] - p[j][1]}
	cross, dot := u[0]*v[1]-u[1]*v[0], u[0]*v[0]+u[1]*v[1]
	return cross == 0 && dot < 0
}

func (c *checker) surfaceKeys(r *Room, walls int) {
	n := c.doc.Find("room.surfaces")
	if n == nil {
		return
	}
	known := []string{"all", "walls", "floor", "ceiling"}
	for i := range walls {
		known = append(known, "wall "+strconv.Itoa(i+1))
	}
	for _, f := range n.Fields {
		c.refersAt(f.Key.Pos, "face of the room called", f.Key.Text, known)
	}
	if walls == 0 && len(n.Fields) > 0 && !c.failed("room.surfaces") && !c.doc.Has("room.outline") &&
		!c.doc.Has("room.size") {
		c.say("room.surfaces", "shoot.no-room", "add size or outline",
			"surfaces are stated, but the room has neither size nor outline")
	}
}

func (c *checker) window(w *Window, path string, corners [][2]q.Metres, ceiling q.Metres) {
	c.glass(path, w.Glass)
	if w.Outside != nil {
		c.outside(w.Outside, path+".outside")
	}
	if !w.InCeiling {
		for _, k := range []string{"wall", "width", "head"} {
			if !c.doc.Has(path + "." + k) {
				c.say(path, "file.missing", "add "+k+": …", "a window needs %q", k)
				return
			}
		}
		if w.Sill >= w.Head && c.said(path+".head") && c.said(path+".sill") {
			c.say(path+".sill", "shoot.window", "", "the sill at %s is not under the head at %s", w.Sill, w.Head)
		}
		c.inWall(path, "window", w.Wall, w.From, w.Width, w.Head, corners, ceiling)
		return
	}
	for _, k := range []string{"at", "size"} {
		if !c.doc.Has(path + "." + k) {
			c.say(path, "file.missing", "add "+k+": [1, 1]", "a window in the ceiling needs %q", k)
			return
		}
	}
	if c.doc.Has(path+".wall") && w.Wall != 0 {
		c.say(path+".wall", "shoot.window", "delete wall or ceiling",
			"a window stands in a wall or in the ceiling, not in both")
	}
	if len(corners) == 0 {
		c.say(path, "shoot.no-room", "add the room's size or outline", "a window needs a room")
	}
}

// inWall checks that an opening lies within its wall.
func (c *checker) inWall(path, what string, wall int, from, width, head q.Metres, corners [][2]q.Metres,
	ceiling q.Metres) {
	if !c.said(path + ".wall") {
		return
	}
	if len(corners) < 3 {
		if !c.doc.Has("room.outline") && !c.doc.Has("room.size") {
			c.say(path, "shoot.no-room", "add the room's size or outline", "a %s needs a room", what)
		}
		return
	}
	if wall < 1 || wall > len(corners) {
		c.say(path+".wall", "shoot.wall", fmt.Sprintf("write 1 to %d", len(corners)),
			"there is no wall %d; the room has walls 1 to %d",
			wall, len(corners))
		return
	}
	if l := wallLength(corners, wall); float64(from+width) > l+slack && !c.failed(path) {
		m := c.say(at(path, "width", c.doc), "shoot.wall", "make it narrower, or move it along the wall with from",
			"the %s ends at %.3g m along wall %d, which is %.4g m long", what, float64(from+width), wall, l)
		c.also(m, at("room", cornersKey(c), c.doc), "the walls are set here")
	}
	if low, ok := c.file.Room.ceilingOver(corners, wall, from, width); ok {
		ceiling = low
	}
	if ceiling > 0 && float64(head) > float64(ceiling)+slack && !c.failed(path) {
		m := c.say(at(path, "head", c.doc), "shoot.wall", "", "the %s reaches %s, over the ceiling at %s", what, head,
			ceiling)
		c.also(m, at("room", ceilingKey(c), c.doc), "the ceiling is set here")
	}
}

func cornersKey(c *checker) string {
	if c.doc.Has("room.size") {
		return "size"
	}
	return "outline"
}

func ceilingKey(c *checker) string {
	if c.doc.Has("room.size") {
		return "size"
	}
	return "ceiling"
}

var glassWords = kind.GlassWords()

// glass checks that a glass is a known word or a transmittance.
func (c *checker) glass(path, glass string) {
	if !c.said(path + ".glass") {
		return
	}
	if startsLikeNumber(glass) {
		if s, err := q.ParseShare(glass); err != nil || !(s > 0 && s <= 1) {
			c.say(path+".glass", "shoot.glass",
				"write a transmittance over 0, at most 1, or one of: "+strings.Join(glassWords,
					", "), "%q is no glass", glass)
		}
		return
	}
	c.refers(path+".glass", "glass called", glass, glassWords)
}

func (c *checker) outside(o *Outside, path string) {
	if c.doc.Has(path) {
		c.exactly(path, "a sky", true, "luminance", "illuminance")
		if o.Sky != "" && o.Sky != "uniform" && o.Sky != "none" {
			var kind int
			_, named := daylight.Condition(o.Sky)
			if _, err := fmt.Sscanf(o.Sky, "cie %d", &kind); err == nil {
				_, named = daylight.General(kind)
			}
			if !named {
				c.refers(path+".sky", "sky called", o.Sky,
					append(daylight.Conditions(), "cie 1", "cie 15", "uniform", "none"))
			}
		}
		c.colour(path+".colour", &o.Colour)
	}
}

// colour resolves 'like practicals.NAME', 'like windows.NAME' and, in a setup, 'like lights.NAME'.
func (c *checker) colour(path string, s *Spectrum) {
	if s.Like == "" || !c.doc.Has(path) {
		return
	}
	var known []string
	for _, p := range c.file.Room.Practicals {
		known = append(known, "practicals."+p.Name)
	}
	for _, w := range c.file.Room.Windows {
		known = append(known, "windows."+w.Name)
	}
	var i int
	if _, err := fmt.Sscanf(path, "setups[%d]", &i); err == nil && i < len(c.file.Setups) {
		for _, l := range c.file.Setups[i].Lights {
			known = append(known, "lights."+l.Name)
		}
	}
	c.refers(path, "light called", s.Like, known)
}

func (c *checker) practical(p *Practical, path string) {
	what := "a practical"
	c.exactly(path, what, true, "path", "emitter")
	if !c.doc.Has(path+".path") && !c.doc.Has(path+".at") && !c.failed(path) && (p.Emitter == nil ||
		len(p.Emitter.Path) == 0) {
		c.say(path, "shoot.no-place", "add at: [x, y, z], or path for a tube", "%s %q says nowhere where it is", what,
			p.Name)
	}
	if c.said(path+".path") && len(p.Path) < 2 {
		c.say(path+".path", "shoot.path", "", "a tube needs at least two corners; here is %d", len(p.Path))
	}
	level := 0
	if p.Emitter != nil {
		c.emitter(p.Emitter, path+".emitter", p.Reads != nil || p.Flux > 0 || p.Watts > 0 || usualFlux(p.Kind))
		if p.Emitter.Luminance.Set() || p.Emitter.Intensity.Set() || p.Emitter.Flux.Set() {
			level++
		}
	}
	for _, said := range []bool{p.Flux > 0, p.Watts > 0} {
		if said {
			level++
		}
	}
	if p.Reads != nil {
		level++
		c.reads(p.Reads, path+".reads", true)
	}
	if level > 1 {
		c.say(path, "shoot.one-of", "keep one of them",
			"%s %q has its level stated twice: reads, flux, watts and the emitter's own level shut each other out",
			what, p.Name)
	}
	c.repeat(p, path)
	c.unusedOfPractical(p, path)
	c.within(path+".photometry", p.Photometry)
	c.colour(path+".colour", &p.Colour)
	if p.Aim != nil {
		c.target(path+".aim", *p.Aim, nil)
	}
}

// usualFlux reports whether a kind of practical has a default level.
func usualFlux(word string) bool {
	k, ok := kind.FindPractical(word)
	return ok && k.Flux > 0
}

// mostRepeated is the greatest number of lights in one entry.
const mostRepeated = 400

func (c *checker) repeat(p *Practical, path string) {
	r := p.Repeat
	if r == nil || c.failed(path+".repeat") {
		return
	}
	if n := r.Count[0] * r.Count[1]; n > mostRepeated {
		c.say(path+".repeat.count", "shoot.repeat", "make it several entries, or one large face for all",
			"%d lights in one entry; at most %d", n, mostRepeated)
	}
	for i, n := range r.Count {
		if n > 1 && math.Abs(float64(r.Step[i])) < 1e-3 {
			c.say(at(path+".repeat", "step", c.doc), "shoot.repeat",
				"add step: [1.2 m, 1.2 m], from middle to middle", "the lights of %q stand in one place", p.Name)
			return
		}
	}
}

func (c *checker) reads(r *Reads, path string, continuous bool) {
	c.exactly(path, "a reading", false, "f-number", "lux")
	if r.Receptor == "spot" {
		if c.doc.Has(path + ".at") {
			c.say(path+".at", "shoot.reads", "delete it",
				"a spot reading of the light itself is the same from everywhere")
		}
	} else {
		c.exactly(path, "a reading", false, "from", "at")
	}
	if c.doc.Has(path+".facing") && !c.doc.Has(path+".at") {
		c.say(path+".facing", "shoot.reads", "delete it, or write at: [x, y, z] in place of from",
			"\"facing\" belongs to a reading at a place in the room")
	}
	c.direction(path+".facing", r.Facing, nil)
	if continuous && c.doc.Has(path+".f-number") && !c.doc.Has(path+".shutter") {
		c.say(path, "file.missing", "add shutter: 1/60 s",
			"a reading of continuous light as an f-number needs its shutter time")
	}
	if r.Power != "" && c.doc.Has(path+".power") {
		c.power(path+".power", r.Power)
	}
}

// power checks the form of a flash setting.
func (c *checker) power(path, s string) {
	if s == "" || c.failed(path) {
		return
	}
	if strings.Contains(s, "/") || fold(s) == "full" || startsLikeNumber(s) {
		if _, err := q.ParsePower(s); err == nil {
			return
		} else if strings.Contains(s, "/") {
			what, fix := q.Split(err)
			c.say(path, "shoot.power", fix, "power: %s", what)
			return
		}
		if _, err := q.ParseNumber(s); err == nil {
			return // a dial's own number: the kit knows its steps
		}
	}
	c.say(path, "shoot.power", "write it like 1/4 or 1/4 - 0.3", "power: %q is not a flash setting", s)
}

func (c *checker) emitter(e *Emitter, path string, otherLevel bool) {
	if c.failed(path + ".shape") {
		return
	}
	c.exactly(path, "an emitter", otherLevel || e.Photometry != "", "luminance", "intensity", "flux")
	c.within(path+".photometry", e.Photometry)
	sizes, corners := 0, 0
	switch e.Shape {
	case "rectangle":
		sizes = 2
	case "disc", "sphere":
		sizes = 1
	case "tube":
		sizes, corners = 1, 2
	case "polygon":
		corners = 3
	}
	if c.said(path+".size") && len(e.Size) != sizes {
		c.say(path+".size", "file.count", fmt.Sprintf("write %d", sizes), "size has %s; a %s takes %d",
			entries(len(e.Size)), e.Shape, sizes)
	} else if !c.doc.Has(path+".size") && sizes > 0 {
		c.say(path, "file.missing", "add size: "+map[int]string{1: "0.1 m", 2: "[0.6, 0.9]"}[sizes],
			"a %s needs its size", e.Shape)
	}
	if c.said(path+".path") && len(e.Path) < corners {
		c.say(path+".path", "file.count", "add corners, like [[0, 0, 2], [1.2, 0, 2]]",
			"path has %d corners; a %s takes at least %d", len(e.Path), e.Shape,
			corners)
	} else if !c.doc.Has(path+".path") && corners > 0 {
		c.say(path, "file.missing", "add path: [[0, 0, 2], [1.2, 0, 2]]", "a %s needs the path of its corners",
			e.Shape)
	} else if c.said(path+".path") && corners == 0 && e.Shape != "" {
		c.say(path+".path", "shoot.emitter", "delete it, and give the light at", "a %s has no path", e.Shape)
	}
	if e.Shape == "point" && e.Luminance.Set() {
		c.say(path+".luminance", "shoot.emitter", "write its intensity, like 1000 cd",
			"a point has no face and so no luminance")
	}
	if e.TwoSided && (e.Shape == "point" || e.Shape == "sphere" || e.Shape == "tube") {
		c.say(path+".two-sided", "shoot.emitter", "delete it", "a %s has no sides", e.Shape)
	}
	if e.Shape == "polygon" && c.said(path+".path") && len(e.Path) >= 3 {
		c.flat(path+".path", e.Path)
	}
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return strconv.Itoa(n) + " entries"
}

// flat checks that corners lie in one plane, within a thousandth of their spread.
func (c *checker) flat(path string, p [][3]q.Metres) {
	v := func(i int) [3]float64 { return [3]float64{float64(p[i][0]), float64(p[i][1]), float64(p[i][2])} }
	var n [3]float64 // Newell's normal; its length is twice the area
	for i := range p {
		a, b := v(i), v((i+1)%len(p))
		n[0] += (a[1] - b[1]) * (a[2] + b[2])
		n[1] += (a[2] - b[2]) * (a[0] + b[0])
		n[2] += (a[0] - b[0]) * (a[1] + b[1])
	}
	l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if !(l > 1e-9) {
		c.say(path, "shoot.polygon", "move a corner off the line of the others", "these corners enclose no area")
		return
	}
	o := v(0)
	for i := range p {
		a := v(i)
		if h := ((a[0]-o[0])*n[0] + (a[1]-o[1])*n[1] + (a[2]-o[2])*n[2]) / l; math.Abs(h) > 1e-3*math.Sqrt(l) {
			c.say(fmt.Sprintf("%s[%d]", path, i), "shoot.polygon",
				"move it into their plane, or make two pieces of three corners",
				"this corner stands %.3g m off the plane of the others", math.Abs(h))
			return
		}
	}
}

var faceWords = []string{"x-", "x+", "y-", "y+", "z-", "z+"}

func (c *checker) object(o *Object, path string, s *Setup) {
	c.exactly(path, "an object", false, "box", "quad", "disc", "sphere", "cylinder", "polygon", "mesh")
	c.within(path+".mesh", o.Mesh)
	if n := c.doc.Find(path + ".box.faces"); n != nil {
		for _, f := range n.Fields {
			c.refersAt(f.Key.Pos, "face of a box called", f.Key.Text, faceWords)
		}
	}
	if o.Quad != nil && c.said(path+".quad.size") && len(o.Quad.Size) != 2 {
		c.say(path+".quad.size", "file.count", "write [width, height]", "size has %s; a quad takes 2",
			entries(len(o.Quad.Size)))
	}
	if o.Disc != nil && c.said(path+".disc.size") && len(o.Disc.Size) != 1 {
		c.say(path+".disc.size", "file.count", "write its diameter", "size has %s; a disc takes 1",
			entries(len(o.Disc.Size)))
	}
	if o.Quad != nil {
		c.direction(path+".quad.facing", o.Quad.Facing, s)
	}
	if o.Disc != nil {
		c.direction(path+".disc.facing", o.Disc.Facing, s)
	}
	if c.said(path + ".polygon") {
		if len(o.Polygon) < 3 {
			c.say(path+".polygon", "file.count", "add corners, like [0, 0, 2]",
				"a polygon needs at least three corners; here are %d",
				len(o.Polygon))
		} else {
			c.flat(path+".polygon", o.Polygon)
		}
	}
	c.unusedOfObject(o, path)
}
