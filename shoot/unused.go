package shoot

// unused is a setting without effect where it is written.
type unused struct {
	key, text, fix string
	ignored        bool
}

func (c *checker) unused(path, code string, list ...unused) {
	for _, k := range list {
		if k.ignored && c.doc.Has(path+"."+k.key) {
			c.say(path+"."+k.key, code, k.fix, "%s", k.text)
		}
	}
}

// unusedOfObject adds a message for each setting that an object's shape does not use.
func (c *checker) unusedOfObject(o *Object, path string) {
	flat := o.Quad != nil || o.Disc != nil || len(o.Polygon) > 0
	solid := o.Box != nil || o.Sphere != nil || o.Cylinder != nil
	if !flat && !solid && o.Mesh == "" {
		return // told already: it has no shape
	}
	c.unused(path, "shoot.object",
		unused{"at", "\"at\" belongs to a mesh; other shapes have their own", "move it into the shape", o.Mesh == ""},
		unused{"scale", "\"scale\" belongs to a mesh; other shapes say their size", "delete it, and change the size",
			o.Mesh == ""},
		unused{"kind", "\"kind\" fills a box; this shape has none", "delete it, or write a box", o.Box == nil},
		unused{"turn", "\"turn\" turns a box or a mesh; this shape says where it faces",
			"delete it, and change facing or the corners",
			flat || o.Sphere != nil || o.Cylinder != nil},
		unused{"back", "\"back\" is the other side of a flat shape; a solid has none", "delete it", solid ||
			o.Mesh != ""})
}

// unusedOfPractical adds a message for each setting that a practical's shape does not use.
func (c *checker) unusedOfPractical(p *Practical, path string) {
	tube, other := len(p.Path) > 0, p.Emitter != nil || p.Photometry != ""
	c.unused(path, "shoot.ignored",
		unused{"diameter", "\"diameter\" is of a tube by its path; this emitter has its own size", "delete it",
			!tube && other},
		unused{"housing", "\"housing\" is behind a tube by its path", "delete it, or give a path", !tube && other},
		unused{"aim", "\"aim\" says nothing here: a tube shines all round", "delete it", tube},
		unused{"at", "\"at\" says nothing here: a tube lies where its path says", "delete it, or delete the path",
			tube})
}
