package shoot

import (
	"fmt"

	"halfstop/diag"
)

func (c *checker) may(s *Setup, path string) {
	known := c.namesOf("lights", s)
	lists := []struct {
		key  string
		list []string
	}{{"power", s.May.Power}, {"colour", s.May.Colour}, {"gel", s.May.Gel}, {"modifier", s.May.Modifier}, {"place",
		s.May.Place}}
	for _, l := range lists {
		for i, name := range l.list {
			p := fmt.Sprintf("%s.%s[%d]", path, l.key, i)
			if n := c.doc.Find(path + "." + l.key); n != nil && len(n.Items) == 0 {
				p = path + "." + l.key
			}
			if !c.refers(p, "light called", name, known) {
				continue
			}
			for j := range s.Lights {
				if fold(s.Lights[j].Name) == fold(name) && s.Lights[j].Lock {
					m := c.say(p, "shoot.locked", "unlock it, or take it off this list",
						"the light %q is locked", name)
					m.Severity = diag.Finding
				}
			}
		}
	}
	if a := s.May.Aperture; c.said(path+".aperture") && a[0] > a[1] {
		c.say(path+".aperture", "shoot.order", "write the widest first", "%s is a smaller aperture than %s",
			a[0], a[1])
	}
	if t := s.May.Shutter; c.said(path+".shutter") && t[0] < t[1] {
		c.say(path+".shutter", "shoot.order", "write the longest first", "%s is shorter than %s", t[0], t[1])
	}
	if i := s.May.ISO; c.said(path+".iso") && i[0] > i[1] {
		c.say(path+".iso", "shoot.order", "write the lowest first", "ISO %s is over %s", i[0], i[1])
	}
}
