package scout

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"halfstop/geom"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

// Edit is one step of a change of the shoot file: a setting gets a value, or goes where Delete is.
type Edit struct {
	Path, Value string
	Delete      bool
}

// Target is something of the shoot that a spot can be of.
type Target struct {
	Name string `json:"name" doc:"'walls', 'wall 2', the name of a practical or of an object"`
	Kind string `json:"kind" words:"surface|practical|object"`
}

// Targets lists what of a place a spot can be of: parts of the shell, practicals, objects.
func Targets(f *shoot.File) []Target {
	out := []Target{{"walls", "surface"}, {"floor", "surface"}, {"ceiling", "surface"}}
	n := len(f.Room.Outline)
	if n == 0 && len(f.Room.Size) == 3 {
		n = 4
	}
	if n == 0 {
		out = nil // no room: nothing to paint
	}
	for i := range n {
		out = append(out, Target{fmt.Sprintf("wall %d", i+1), "surface"})
	}
	for i := range f.Room.Practicals {
		out = append(out, Target{f.Room.Practicals[i].Name, "practical"})
	}
	for i := range f.Room.Objects {
		if o := &f.Room.Objects[i]; o.Name != "" {
			out = append(out, Target{o.Name, "object"})
		}
	}
	return out
}

// shellPart is a part of the room that a spot can be of.
var shellPart = regexp.MustCompile(`^(walls|floor|ceiling|wall [0-9]+)$`)

// Put gives the edits that put a spot into the shoot under a name of Targets: a surface gets its
// reflectance and colour, a practical its luminance (a tube the flux of such a tube) and, where a
// card or a stated white tells it, its chromaticity; what said its level before goes. The error
// says why it cannot be. Check: TestPut.
func Put(f *shoot.File, doc *yamltext.Doc, name string, m *Measured, a *Ask) ([]Edit, error) {
	key := strings.ToLower(strings.TrimSpace(name))
	if m.Clipped > 0.02 {
		return nil, fmt.Errorf("it is clipped in %.0f %% of its pixels: expose less", 100*m.Clipped)
	}
	if shellPart.MatchString(key) {
		if !doc.Has("room") {
			return nil, fmt.Errorf("the shoot has no room to paint")
		}
		return surface("room.surfaces."+key, m)
	}
	for i := range f.Room.Practicals {
		if p := &f.Room.Practicals[i]; strings.EqualFold(p.Name, strings.TrimSpace(name)) {
			return practical(doc, p, fmt.Sprintf("room.practicals[%d]", i), m, a)
		}
	}
	for i := range f.Room.Objects {
		if strings.EqualFold(f.Room.Objects[i].Name, strings.TrimSpace(name)) {
			return surface(fmt.Sprintf("room.objects[%d].surface", i), m)
		}
	}
	return nil, fmt.Errorf("the shoot has no wall, floor, ceiling, practical or object of this name")
}

// surface paints one part.
func surface(path string, m *Measured) ([]Edit, error) {
	switch {
	case m.Reflectance == nil:
		return nil, fmt.Errorf("a reflectance needs a card or a sheet of paper in the same light")
	case *m.Reflectance > 1:
		return nil, fmt.Errorf("a reflectance of %.0f %% cannot be: it is a lamp, a gloss, or in other "+
			"light than the card",
			100**m.Reflectance)
	}
	return []Edit{{Path: path, Value: fmt.Sprintf("{diffuse: '%s'}", m.Colour)}}, nil
}

// practical gives one its level and colour.
func practical(doc *yamltext.Doc, p *shoot.Practical, base string, m *Measured, a *Ask) (out []Edit, err error) {
	switch {
	case m.Luminance == nil:
		return nil, fmt.Errorf("its level needs exposure data in the photograph")
	case p.Emitter == nil && len(p.Path) < 2:
		return nil, fmt.Errorf("it says no shape: give it an emitter with its shape first")
	case p.Emitter != nil && p.Emitter.Shape == "point":
		return nil, fmt.Errorf("a point has no luminance: give its emitter the shape and size of the lamp")
	}
	for _, key := range []string{"flux", "watts", "reads", "emitter.flux", "emitter.intensity"} { // said anew
		if doc.Has(base + "." + key) {
			out = append(out, Edit{Path: base + "." + key, Delete: true})
		}
	}
	if p.Emitter != nil {
		out = append(out, Edit{Path: base + ".emitter.luminance", Value: fmt.Sprintf("%.3g cd/m2", *m.Luminance)})
	} else {
		// A tube of even luminance L gives π L by its face (Lambert): flux is π L π d l.
		long := 0.0
		for i := 1; i < len(p.Path); i++ {
			long += at(p.Path[i]).Sub(at(p.Path[i-1])).Len()
		}
		flux := math.Pi * *m.Luminance * math.Pi * float64(p.Diameter) * long
		if i := len(out); i > 0 && out[0].Path == base+".flux" {
			out = out[1:] // it is set in its place
		}
		out = append(out, Edit{Path: base + ".flux", Value: fmt.Sprintf("%.3g lm", flux)})
	}
	if len(m.UV) == 2 && (a.Card != nil || a.White > 0) {
		c := spectrum.XYOfUVPrime(m.UV[0], m.UV[1])
		if !spectrum.InsideLocus(c) {
			return out, nil // no light has that colour: its level alone
		}
		out = append(out, Edit{Path: base + ".colour", Value: fmt.Sprintf("{xy: [%.4f, %.4f]}", c.X, c.Y)})
	}
	return out, nil
}

func at[T ~float64](p [3]T) geom.Vec { return geom.V(float64(p[0]), float64(p[1]), float64(p[2])) }

// Apply makes the edits in a text.
func Apply(name string, src []byte, list []Edit) ([]byte, error) {
	for _, e := range list {
		doc, diags := yamltext.Parse(name, src)
		if doc == nil {
			return nil, diags.Err()
		}
		var err error
		if e.Delete {
			src, err = doc.Delete(e.Path)
		} else {
			src, err = doc.Set(e.Path, e.Value)
		}
		if err != nil {
			return nil, err
		}
	}
	return src, nil
}
