package shoot

import (
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"time"

	"halfstop/diag"
	"halfstop/yamltext"
)

// checker checks what settings mean together. It adds no message about a setting that decoding has
// already refused.
type checker struct {
	doc  *yamltext.Doc
	file *File
	list diag.List
}

// say adds a message about the value at a path.
func (c *checker) say(path, code, fix, format string, args ...any) *diag.Message {
	c.list = append(c.list, diag.Message{Code: code, Pos: c.doc.Pos(path), Text: fmt.Sprintf(format, args...),
		Fix: fix})
	return &c.list[len(c.list)-1]
}

// also adds a second place to a message.
func (c *checker) also(m *diag.Message, path, text string) {
	m.Remarks = append(m.Remarks, diag.Remark{Pos: c.doc.Pos(path), Text: text})
}

// failed reports whether a message already stands at or inside the value at path.
func (c *checker) failed(path string) bool {
	n := c.doc.Find(path)
	return n != nil && c.failedNode(n)
}

func (c *checker) failedNode(n *yamltext.Node) bool {
	for _, m := range c.list {
		if m.Pos.Line == n.Pos.Line && m.Pos.Col == n.Pos.Col && m.Code != "file.missing" &&
			m.Code != "file.unknown-key" {
			return true
		}
	}
	for _, v := range n.Items {
		if c.failedNode(v) {
			return true
		}
	}
	for _, f := range n.Fields {
		if c.failedNode(f.Value) || c.failedNode(f.Key) {
			return true
		}
	}
	return false
}

// said reports whether a value is written at path and was accepted.
func (c *checker) said(path string) bool { return c.doc.Has(path) && !c.failed(path) }

// all runs every check.
func (c *checker) all() {
	if c.said("halfstop") && c.file.Version != Current {
		c.say("halfstop", "shoot.version", fmt.Sprintf("write %d", Current), "there is no version %d of a shoot",
			c.file.Version)
	}
	c.about()
	c.room()
	c.day()
	names := names{}
	if c.doc.Has("setups") && len(c.file.Setups) == 0 && !c.failed("setups") {
		c.say("setups", "shoot.no-setup", "add a setup", "a shoot needs at least one setup")
	}
	for i := range c.file.Setups {
		path := fmt.Sprintf("setups[%d]", i)
		c.unique(names, "a setup", c.file.Setups[i].Name, path)
		c.setup(&c.file.Setups[i], path)
	}
	c.plausible(reflect.ValueOf(*c.file), "", "")
}

// names holds the path at which each name was given first.
type names map[string]string

// unique reports a name that is given twice.
func (c *checker) unique(seen names, what, name, path string) {
	k := fold(name)
	if k == "" {
		return
	}
	if first, dup := seen[k]; dup {
		m := c.say(at(path, "name", c.doc), "shoot.name-twice", "give one of them another name",
			"%s named %q stands here a second time", what, name)
		c.also(m, at(first, "name", c.doc), "the first stands here")
		return
	}
	seen[k] = path
}

// at gives path.key where that is written, else path.
func at(path, key string, doc *yamltext.Doc) string {
	if doc.Has(path + "." + key) {
		return path + "." + key
	}
	return path
}

// refers adds a message where nothing has the name at path. known are the names as written.
func (c *checker) refers(path, what, name string, known []string) bool {
	return c.refersAt(c.doc.Pos(path), what, name, known)
}

func (c *checker) refersAt(pos diag.Pos, what, name string, known []string) bool {
	for _, k := range known {
		if fold(k) == fold(name) {
			return true
		}
	}
	fix := "define it first, or delete this"
	if near := diag.Nearest(name, known); near != "" {
		fix = fmt.Sprintf("write %q", near)
	} else if strings.Contains(what, "in the kit") {
		fix = "take a name of `halfstop kit list`, or add it to kit/own.yaml"
	} else if len(known) > 0 {
		fix = "take one of the names listed, or define it first"
	}
	c.list = append(c.list, diag.Message{Code: "shoot.unknown-name", Pos: pos, Text: fmt.Sprintf("there is no %s %q",
		what, name), Fix: fix})
	m := &c.list[len(c.list)-1]
	if len(known) > 40 {
		known = append(known[:40:40], "…")
	}
	if len(known) > 0 {
		m.Remarks = append(m.Remarks, diag.Remark{Text: "there are: " + strings.Join(known, ", ")})
	}
	return false
}

// exactly adds a message unless one and only one of the settings is written. With may, none is
// allowed too.
func (c *checker) exactly(path, what string, may bool, keys ...string) {
	var there []string
	for _, k := range keys {
		if c.doc.Has(path + "." + k) {
			there = append(there, k)
		}
	}
	switch {
	case len(there) == 0 && !may:
		c.say(path, "shoot.one-of", "add one of them", "%s needs one of: %s", what, strings.Join(keys, ", "))
	case len(there) > 1:
		m := c.say(path+"."+there[1], "shoot.one-of", "delete one of them",
			"%s has both %s and %s; only one of them may stand", what, there[0], there[1])
		c.also(m, path+"."+there[0], "the other stands here")
	}
}

var clock = regexp.MustCompile(`^([01]?[0-9]|2[0-4]):[0-5][0-9]$`)

// clockTime adds a message for what is no time of day, hh:mm.
func (c *checker) clockTime(path, s string) {
	if s != "" && (!clock.MatchString(s) || strings.HasPrefix(s, "24:") && s != "24:00") {
		c.say(path, "shoot.clock", "write hours and minutes, like 14:30", "%q is no time of day", s)
	}
}

func (c *checker) about() {
	a := &c.file.Shoot
	if a.Date != "" && !c.failed("shoot.date") {
		if _, err := time.Parse("2006-01-02", a.Date); err != nil {
			c.say("shoot.date", "shoot.date", "write year-month-day, like 2026-03-14", "%q is no date", a.Date)
		}
	}
	h := &a.Hours
	last, lastKey := "", ""
	for _, t := range []struct{ key, at string }{{"access", h.Access}, {"sitter", h.Sitter}, {"strike", h.Strike},
		{"out", h.Out}} {
		path := "shoot.hours." + t.key
		before := len(c.list)
		c.clockTime(path, t.at)
		if t.at == "" || len(c.list) > before {
			continue
		}
		now := fmt.Sprintf("%05s", t.at)
		if last != "" && now < last {
			m := c.say(path, "shoot.hours", "put the hours in the order of the day", "%s at %s comes before %s",
				t.key, t.at, lastKey)
			c.also(m, "shoot.hours."+lastKey, lastKey+" is set here")
		}
		last, lastKey = now, t.key
	}
}

// within adds a message for a file outside the shoot's folder.
func (c *checker) within(path, file string) {
	if !c.failed(path) {
		c.withinAt(c.doc.Pos(path), file)
	}
}

func (c *checker) withinAt(pos diag.Pos, file string) {
	if file == "" {
		return
	}
	slashed := strings.ReplaceAll(file, `\`, "/")
	outside := strings.HasPrefix(slashed, "/") || strings.HasPrefix(slashed, "~") || len(file) > 1 && file[1] == ':'
	for part := range strings.SplitSeq(slashed, "/") {
		outside = outside || part == ".."
	}
	if outside {
		c.list = append(c.list, diag.Message{Code: "shoot.outside-folder", Pos: pos,
			Text: fmt.Sprintf("the file %q lies outside the shoot's folder", file),
			Fix:  "put the file into the shoot's folder and write its name"})
	}
}
