package shoot

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"halfstop/diag"
	"halfstop/optics"
	q "halfstop/quantity"
)

func (c *checker) setup(s *Setup, path string) {
	c.clockTime(path+".time", s.At)
	c.nameLights(s, path)
	if s.Camera != nil {
		c.camera(s, path+".camera")
	}
	if s.Sitter != nil {
		if s.Sitter.SkinReads != nil {
			c.exactly(path+".sitter", "the sitter", true, "skin", "skin reads")
		}
		c.direction(path+".sitter.faces", s.Sitter.Faces, s)
		if s.Camera == nil && s.Sitter.Faces.Word == "camera" {
			if c.doc.Has(path + ".sitter.faces") {
				c.say(path+".sitter.faces", "shoot.no-camera", "add a camera, or write a direction [x, y, z]",
					"there is no camera to face")
			} else if !c.failed(path + ".camera") {
				c.say(path+".sitter", "shoot.no-camera", "add a camera, or faces: [x, y, z]",
					"the sitter faces the camera, and there is none")
			}
		}
	}
	people := names{}
	for i := range s.Sitters {
		p := fmt.Sprintf("%s.sitters[%d]", path, i)
		w := &s.Sitters[i]
		if w.Name == "" && !c.failed(p) {
			c.say(p, "shoot.needs", "add name: a short word", "one of several sitters needs a name")
		}
		c.unique(people, "a sitter", w.Name, p)
		if w.SkinReads != nil {
			c.exactly(p, "a sitter", true, "skin", "skin reads")
		}
		c.direction(p+".faces", w.Faces, s)
	}
	for i := range s.Lights {
		c.light(s, &s.Lights[i], fmt.Sprintf("%s.lights[%d]", path, i))
	}
	seen := names{}
	for i := range s.Openings {
		p := fmt.Sprintf("%s.openings[%d]", path, i)
		c.unique(seen, "an opening", s.Openings[i].Name, p)
		c.glass(p, s.Openings[i].Glass)
		c.direction(p+".facing", s.Openings[i].Facing, s)
		c.outside(&s.Openings[i].Outside, p+".outside")
	}
	for i, name := range s.Off {
		c.refers(fmt.Sprintf("%s.off[%d]", path, i), "practical or window called", name, c.houseLights())
	}
	c.houseState(s, path)
	panels := names{}
	for i := range s.Panels {
		p := fmt.Sprintf("%s.panels[%d]", path, i)
		c.unique(panels, "a panel", s.Panels[i].Name, p)
		c.height(p, "a panel", s.Panels[i].At, true)
		c.target(p+".aim", s.Panels[i].Aim, s)
		c.aimed(p, s, "a panel")
		if c.doc.Has(p+".face") && c.doc.Has(p+".surface") {
			c.exactly(p, "a panel", true, "face", "surface")
		}
	}
	objects := names{}
	for i := range s.Objects {
		p := fmt.Sprintf("%s.objects[%d]", path, i)
		c.unique(objects, "an object", s.Objects[i].Name, p)
		c.object(&s.Objects[i], p, s)
	}
	if s.Haze != nil && !c.failed(path+".haze") {
		c.exactly(path+".haze", "haze", false, "visibility", "density", "extinction")
	}
	points := names{}
	for i := range s.Points {
		p := fmt.Sprintf("%s.points[%d]", path, i)
		c.unique(points, "a point", s.Points[i].Name, p)
		c.point(s, &s.Points[i], p)
	}
	for i := range s.Look {
		c.wish(s, &s.Look[i], fmt.Sprintf("%s.look[%d]", path, i))
	}
	if s.May != nil {
		c.may(s, path+".may")
	}
}

// houseState checks what a setup does to the lights of the place against what their controls allow.
func (c *checker) houseState(s *Setup, path string) {
	find := func(name string) *Practical {
		for i := range c.file.Room.Practicals {
			p := &c.file.Room.Practicals[i]
			if fold(p.Name) == strings.TrimPrefix(fold(name), "practicals.") {
				return p
			}
		}
		return nil
	}
	ask := func(p *Practical) string {
		if p.Whose == "" {
			return "ask who runs the place"
		}
		return "ask: " + p.Whose
	}
	for i, name := range s.Off {
		if p := find(name); p != nil && p.Control == "fixed" {
			m := c.say(fmt.Sprintf("%s.off[%d]", path, i), "shoot.fixed",
				ask(p)+"; or leave it on and gel, flag or outshine it", "%s may not be switched off", p.Name)
			m.Severity = diag.Finding
		}
	}
	n := c.doc.Find(path + ".dim")
	if n == nil {
		return
	}
	for _, f := range n.Fields {
		if !c.refersAt(f.Key.Pos, "practical called", f.Key.Text, c.namesOf("practicals", s)) {
			continue
		}
		if p := find(f.Key.Text); p.Control != "dimmer" {
			c.list = append(c.list, diag.Message{Severity: diag.Finding, Code: "shoot.no-dimmer", Pos: f.Key.Pos,
				Text: fmt.Sprintf("%s is not said to be on a dimmer", p.Name),
				Fix:  "write control: dimmer for it, or " + ask(p)})
		}
	}
}

// houseLights returns the names of what belongs to the place and gives light.
func (c *checker) houseLights() []string {
	var known []string
	for _, p := range c.file.Room.Practicals {
		known = append(known, p.Name)
	}
	for _, w := range c.file.Room.Windows {
		known = append(known, w.Name)
	}
	return known
}

// nameLights gives each light without a name its role as name, and checks that no two have the
// same.
func (c *checker) nameLights(s *Setup, path string) {
	seen := names{}
	for i := range s.Lights {
		l := &s.Lights[i]
		p := fmt.Sprintf("%s.lights[%d]", path, i)
		if l.Name == "" {
			l.Name = l.Role
		}
		if l.Name == "" {
			l.Name = fmt.Sprintf("light %d", i+1)
		}
		if first, dup := seen[fold(l.Name)]; dup {
			where := at(p, "name", c.doc)
			if where == p {
				where = at(p, "role", c.doc)
			}
			m := c.say(where, "shoot.name-twice", "give one of them a name: name: "+l.Name+" left",
				"a light named %q stands here a second time", l.Name)
			c.also(m, first, "the first stands here")
			continue
		}
		seen[fold(l.Name)] = p
	}
}

// height checks that a place has three numbers, or two and a height. With floor, a place without
// height is a mistake.
func (c *checker) height(path, what string, at []q.Metres, floor bool) {
	if !c.said(path + ".at") {
		return
	}
	has := c.doc.Has(path + ".height")
	switch {
	case len(at) == 3 && has:
		m := c.say(path+".height", "shoot.height", "delete one of the two", "the height of %s is stated twice", what)
		c.also(m, path+".at", "the third number here is the other")
	case len(at) == 2 && !has && floor:
		c.say(path+".at", "shoot.height", "add height: 2 m, or a third number", "%s at two numbers needs its height",
			what)
	}
}

func (c *checker) camera(s *Setup, path string) {
	cam := s.Camera
	c.height(path, "the camera", cam.At, true)
	c.target(path+".aim", cam.Aim, s)
	c.aimed(path, s, "the camera")
	if cam.Focus != nil {
		c.target(path+".focus", *cam.Focus, s)
	}
	c.colour(path+".white balance", &cam.WhiteBalance)
	if k := cam.Crop; k != nil && c.said(path+".crop") && (k[2]-k[0] < 0.05 || k[3]-k[1] < 0.05) {
		c.say(path+".crop", "shoot.crop", "write left, top, right, bottom as shares, like [0.1, 0, 0.9, 1]",
			"the crop is no part of the frame: right and bottom are at least 0.05 past left and top")
	}
	if cam.Mirror != "" && c.said(path+".mirror") {
		var known []string
		for _, list := range [][]Object{c.file.Room.Objects, s.Objects} {
			for _, o := range list {
				if o.Name != "" && (o.Quad != nil || o.Disc != nil) {
					known = append(known, o.Name)
				}
			}
		}
		c.refers(path+".mirror", "flat object (quad or disc) called", cam.Mirror, known)
	}
	if c.said(path + ".sensor") {
		if _, ok := optics.ParseFormat(cam.Sensor); !ok {
			fix := "write full frame, crop 1.5, crop 1.6, medium 44x33, or its size like 36x24 mm"
			c.say(path+".sensor", "shoot.sensor", fix, "%q is no known size of sensor", cam.Sensor)
		}
	}
}

func (c *checker) light(s *Setup, l *Light, path string) {
	c.exactly(path, "a light", false, "head", "emitter")
	if l.Emitter != nil {
		c.emitter(l.Emitter, path+".emitter", false)
		for _, k := range []string{"modifier", "grid"} {
			if c.doc.Has(path + "." + k) {
				c.say(path+"."+k, "shoot.emitter", "delete it, or use a head of the kit",
					"a bare emitter has no %s", k)
			}
		}
	}
	placed := c.doc.Has(path+".at") || l.Emitter != nil && (l.Emitter.Shape == "tube" || l.Emitter.Shape == "polygon")
	if !placed && !c.failed(path) {
		c.say(path, "file.missing", "add at: [x, y, z]", "the light %q needs \"at\", its place", l.Name)
	}
	c.height(path, "a light", l.At, true)
	c.target(path+".aim", l.Aim, s)
	if c.needsAim(l) {
		c.aimed(path, s, "a light")
	}
	c.colour(path+".colour", &l.Colour)
	c.power(path+".power", l.Power)
	if c.doc.Has(path+".power") && c.doc.Has(path+".level") {
		c.exactly(path, "a light", true, "power", "level")
	}
	if l.Outlet != "" && c.said(path+".outlet") {
		var known []string
		for _, k := range c.file.Room.Circuits {
			known = append(known, k.Name)
		}
		c.refers(path+".outlet", "circuit called", l.Outlet, known)
	}
	if l.Through != "" && c.said(path+".through") && fold(l.Through) != "ceiling" &&
		!wallName.MatchString(fold(l.Through)) {
		var known []string
		for _, p := range s.Panels {
			if p.Name != "" {
				known = append(known, p.Name)
			}
		}
		c.refers(path+".through", "panel called", l.Through, known)
	}
	if h := l.Heights; c.said(path+".heights") && h[0] > h[1] {
		c.say(path+".heights", "shoot.order", "write the lowest first", "the lowest height %s is over the highest %s",
			h[0], h[1])
	}
}

var wallName = regexp.MustCompile(`^wall [0-9]+$`)

// needsAim reports whether the direction of a light matters.
func (c *checker) needsAim(l *Light) bool {
	e := l.Emitter
	if e == nil {
		return true
	}
	shaped := e.Beam > 0 || e.Photometry != ""
	return e.Shape == "disc" || e.Shape == "rectangle" || shaped && e.Shape == "point"
}

// aimed adds a message where something points at the sitter by default and there is none.
func (c *checker) aimed(path string, s *Setup, what string) {
	if s.Sitter == nil && !c.doc.Has(path+".aim") && !c.sitterWritten(path) {
		c.say(path, "shoot.no-aim", "add aim: [x, y, z]", "%s needs \"aim\", since there is no sitter to point at",
			what)
	}
}

// sitterWritten reports whether the setup at path has a sitter written, even a wrong one.
func (c *checker) sitterWritten(path string) bool {
	setup, _, _ := strings.Cut(path, ".")
	return c.doc.Has(setup + ".sitter")
}

// target checks the name of a place.
func (c *checker) target(path string, t Target, s *Setup) {
	if t.Name == "" || !c.said(path) {
		return
	}
	name := fold(t.Name)
	prefix, rest, dotted := strings.Cut(name, ".")
	walls, _ := c.file.Room.Corners()
	switch {
	case dotted && prefix == "sitter":
		c.onSitter(path, t.Name, s)
	case dotted && prefix == "practicals":
		c.refersTo(path, prefix, rest, c.namesOf(prefix, s))
	case dotted && s != nil && (prefix == "points" || prefix == "panels" || prefix == "lights"):
		c.refersTo(path, prefix, rest, c.namesOf(prefix, s))
	case name == "ceiling" || name == "floor":
		if len(walls) == 0 && name == "ceiling" {
			c.say(path, "shoot.no-room", "write a place [x, y, z]", "there is no room and no ceiling")
		}
	case wallName.MatchString(name):
		if n, _ := strconv.Atoi(name[5:]); n < 1 || n > len(walls) {
			c.say(path, "shoot.wall", fmt.Sprintf("write wall 1 to wall %d", len(walls)),
				"there is no %s; the room has %d walls", t.Name, len(walls))
		}
	case name == "camera" && s != nil && s.Camera != nil:
	case name == "sitter":
		c.onSitter(path, "sitter.face", s)
	case dotted && prefix == "sitters":
		c.onSitter(path, name, s)
	default:
		if _, ok := Anatomical(name); ok {
			c.onSitter(path, t.Name, s)
			return
		}
		switch name {
		case "up", "down", "x+", "x-", "y+", "y-", "z+", "z-":
			c.say(path, "shoot.aim-direction", "write what lies that way: a place [x, y, z], ceiling, floor or wall N",
				"%q is a direction, and an aim is a place", t.Name)
			return
		}
		c.say(path, "shoot.unknown-name",
			"write a place [x, y, z], sitter.face, practicals.NAME, panels.NAME, points.NAME, ceiling or wall N",
			"%q is no place", t.Name)
	}
}

func (c *checker) refersTo(path, prefix, rest string, known []string) {
	for i := range known {
		known[i] = prefix + "." + known[i]
	}
	c.refers(path, "place called", prefix+"."+rest, known)
}

func (c *checker) namesOf(list string, s *Setup) []string {
	var known []string
	switch list {
	case "practicals":
		for _, p := range c.file.Room.Practicals {
			known = append(known, p.Name)
		}
	case "points":
		for _, p := range s.Points {
			known = append(known, p.Name)
		}
	case "panels":
		for _, p := range s.Panels {
			known = append(known, p.Name)
		}
	case "lights":
		for _, l := range s.Lights {
			known = append(known, l.Name)
		}
	}
	return known
}

// onSitter checks a name among the sitter's own points.
func (c *checker) onSitter(path, name string, s *Setup) {
	if rest, ok := strings.CutPrefix(fold(name), "sitters."); ok {
		c.onOther(path, rest, s)
		return
	}
	if _, ok := Anatomical(name); !ok {
		bare := strings.TrimPrefix(fold(name), "sitter.")
		fix := ""
		if near := nearPoint(bare); near != "" {
			fix = fmt.Sprintf("write %q", strings.TrimSuffix(name, bare)+near)
		}
		m := c.say(path, "shoot.unknown-name", fix, "the sitter has no point called %q", bare)
		m.Remarks = []diag.Remark{{Text: "there are: " + strings.Join(anatomical, ", ")}}
		return
	}
	if s == nil || s.Sitter == nil && !c.sitterWritten(path) {
		c.say(path, "shoot.no-sitter", "add a sitter, or write a place [x, y, z]",
			"%q needs a sitter, and there is none here", name)
	}
}

// onOther checks a point of another sitter: NAME.point.
func (c *checker) onOther(path, rest string, s *Setup) {
	var known []string
	if s != nil {
		for _, w := range s.Sitters {
			known = append(known, "sitters."+w.Name)
			if mark, ok := strings.CutPrefix(rest, fold(w.Name)+"."); ok && w.Name != "" {
				if _, ok := Anatomical(mark); !ok {
					m := c.say(path, "shoot.unknown-name", "", "%s has no point called %q", w.Name, mark)
					m.Remarks = []diag.Remark{{Text: "there are: " + strings.Join(anatomical, ", ")}}
				}
				return
			}
		}
	}
	name, _, _ := strings.Cut(rest, ".")
	c.refers(path, "person called", "sitters."+name, known)
}

// direction checks the word of a direction.
func (c *checker) direction(path string, v Direction, s *Setup) {
	if v.Word == "" || !c.said(path) {
		return
	}
	known := append([]string(nil), directionWords...)
	if s == nil {
		known = known[:8] // a thing of the room cannot face what stands in one setup only
	} else {
		for _, l := range s.Lights {
			known = append(known, l.Name)
			if l.Role != "" && l.Role != l.Name {
				known = append(known, l.Role)
			}
		}
	}
	if !c.refers(path, "direction called", v.Word, known) || s == nil {
		return
	}
	if v.Word == "camera" && s.Camera == nil {
		c.say(path, "shoot.no-camera", "add a camera, or write a direction [x, y, z]", "there is no camera to face")
	}
	if v.Word == "sitter" && s.Sitter == nil {
		c.say(path, "shoot.no-sitter", "add a sitter, or write a direction [x, y, z]", "there is no sitter to face")
	}
}

func (c *checker) point(s *Setup, p *Point, path string) {
	c.exactly(path, "a point", false, "at", "on")
	if p.On != "" && c.said(path+".on") {
		c.onSitter(path+".on", p.On, s)
	}
	c.direction(path+".facing", p.Facing, s)
	if p.Receptor == "spot" {
		if p.From == nil && s.Camera == nil && !c.failed(path) {
			c.say(path, "shoot.no-camera", "add from: [x, y, z]",
				"a spot reading needs \"from\", the place of its eye, since there is no camera")
		}
	} else {
		if p.At != nil && !c.doc.Has(path+".facing") && s.Camera == nil {
			c.say(path, "shoot.no-facing", "add facing: up, or a direction [x, y, z]",
				"a receptor needs \"facing\", since there is no camera to look at")
		}
		for _, k := range []string{"from", "angle"} {
			if c.doc.Has(path + "." + k) {
				c.say(path+"."+k, "shoot.point", "delete it, or write receptor: spot", "%q belongs to a spot reading",
					k)
			}
		}
	}
	if _, ok := Anatomical(p.Name); ok && c.said(path+".name") && p.On == "" {
		c.say(path+".name", "shoot.name-taken", "give it another name", "%q is one of the sitter's own points",
			p.Name)
	}
}

// lookPoints returns the names that a look may use.
func (s *Setup) lookPoints() []string {
	var known []string
	for _, p := range s.Points {
		known = append(known, p.Name)
	}
	if s.Sitter != nil {
		known = append(known, anatomical...)
	}
	return known
}

// lookPoint checks a point of the look.
func (c *checker) lookPoint(s *Setup, path, name string) {
	if name == "" || !c.said(path) {
		return
	}
	if _, ok := Anatomical(name); ok {
		hidden := false
		for _, p := range s.Points {
			hidden = hidden || fold(p.Name) == fold(name)
		}
		if !hidden && s.Sitter == nil {
			c.say(path, "shoot.no-sitter", "add a sitter, or name one of the setup's points",
				"%q needs a sitter, and there is none here", name)
		}
		return
	}
	c.refers(path, "point called", name, s.lookPoints())
}

var ratioForm = regexp.MustCompile(`^[0-9]+(\.[0-9]+)?\s*:\s*1(\s+(sides|lights))?$`)

// ParseRatio reads '4:1 sides'. convention is empty where it is not written.
func ParseRatio(s string) (ratio float64, convention string, ok bool) {
	t := fold(s)
	if !ratioForm.MatchString(t) {
		return 0, "", false
	}
	number, rest, _ := strings.Cut(t, ":")
	ratio, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	for _, w := range []string{"sides", "lights"} {
		if strings.HasSuffix(rest, w) {
			convention = w
		}
	}
	return ratio, convention, err == nil && ratio >= 1 && ratio < 1e6
}

func (c *checker) wish(s *Setup, w *Wish, path string) {
	if n := c.doc.Find(path); n != nil && len(n.Fields) == 0 && n.Kind != 0 {
		return // an empty entry has been told
	}
	for _, k := range []struct{ key, name string }{{"point", w.Point}, {"above", w.Above}, {"below", w.Below}, {"to",
		w.To}} {
		c.lookPoint(s, path+"."+k.key, k.name)
		if k.key != "point" && k.name != "" && fold(k.name) == fold(w.Point) {
			c.say(path+"."+k.key, "shoot.look", "name another point", "%q is compared with itself", w.Point)
		}
	}
	c.exactly(path, "an entry of the look", true, "above", "below")
	compared := c.doc.Has(path+".above") || c.doc.Has(path+".below")
	if compared && !c.doc.Has(path+".by") {
		c.say(path, "file.missing", "add by: 1 st", "an entry of the look that compares needs \"by\", how many stops")
	}
	if !compared && c.doc.Has(path+".by") {
		c.say(path+".by", "shoot.look", "add above or below with the other point",
			"\"by\" needs a point to compare with")
	}
	says := compared
	for _, k := range []string{"reads", "stops", "darkest", "brightest", "ratio", "colour", "warmer", "haze",
		"ambient"} {
		says = says || c.doc.Has(path+"."+k)
	}
	if !says && !c.failed(path) {
		c.say(path, "shoot.look-empty",
			"add reads, stops, above, below, darkest, brightest, ratio, colour, warmer, haze or ambient",
			"this entry of the look says nothing about %q", w.Point)
	}
	if c.said(path + ".ratio") {
		if _, _, ok := ParseRatio(w.Ratio); !ok {
			c.say(path+".ratio", "shoot.ratio", "write it like 4:1 sides or 3:1 lights", "%q is no ratio", w.Ratio)
		}
		if _, convention, _ := ParseRatio(w.Ratio); w.To == "" && convention != "lights" && !c.doc.Has(path+".to") {
			c.say(path, "file.missing", "add to: face shadow side", "a ratio needs \"to\", the other point")
		}
	}
	for unit, key := range map[string]string{"mired": "warmer", "%": "ambient"} {
		if w.Within.Unit == unit && !c.doc.Has(path+"."+key) {
			c.say(path+".within", "file.unit", "write it in stops, like 0.3 st",
				"a tolerance in %s is of %q, and this entry has none", unit, key)
		}
	}
	if w.To != "" && !c.doc.Has(path+".ratio") {
		c.say(path+".to", "shoot.look", "add ratio", "\"to\" needs a ratio")
	}
	if d, b := w.Darkest, w.Brightest; d != nil && b != nil && *d > *b {
		c.say(path+".darkest", "shoot.look", "", "the darkest allowed, %s, lies over the brightest, %s", *d, *b)
	}
	if w.Colour != nil {
		c.colour(path+".colour", w.Colour)
	}
}
