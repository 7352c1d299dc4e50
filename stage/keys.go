package stage

import (
	"halfstop/content"
	"halfstop/trace"
)

// Keys are content keys of what traced light rests on. Where two stages have the same key, what was
// traced for one holds for the other; settings of heads and of the camera's exposure are in none of
// them, since they only weigh it.
type Keys struct {
	Place  content.Key   // all surfaces but the bodies of lights brought along, the haze, and the house's lights
	Lights []content.Key // by number in the setup: its emitters and its body; 0 for one that is off
	View   content.Key   // the camera without its aperture
	Points content.Key   // where light is measured, by name
	// the spectra that layers are folded into and what each
	// was traced at: see AxialFull of kit.Source
	Colours content.Key
	// Place without the panels, people wherever they stand, and the materials of all: what a page's
	// graphics processor keeps through a drag
	Still content.Key
}

// Light is the key of what readings rest on: everything but Colours.
func (k *Keys) Light() content.Key {
	var h content.Hash
	h.Keys(k.Place, k.View, k.Points)
	h.Keys(k.Lights...)
	return h.Key()
}

// keysOf works them out. rigs are the marks before and after each light's body, by its number.
func (s *Stage) keysOf(rigs [][2]trace.Mark) Keys {
	k := Keys{Lights: make([]content.Key, len(s.Setup.Lights))}
	var place content.Hash
	from := trace.Mark{}
	for i, r := range rigs {
		if r == ([2]trace.Mark{}) {
			continue // off
		}
		if r[0] != from {
			place.Keys(s.Scene.SurfaceKey(from, r[0]))
		}
		from = r[1]
		var h content.Hash
		h.Keys(s.Scene.SurfaceKey(r[0], r[1]))
		k.Lights[i] = h.Key()
	}
	place.Keys(s.Scene.SurfaceKey(from, s.Scene.Mark()), s.Scene.MediumKey())
	var still content.Hash
	from = trace.Mark{}
	for i := range s.People {
		p := &s.People[i]
		still.Keys(s.Scene.SurfaceKey(from, p.from), p.shape)
		from = p.to
	}
	still.Keys(s.Scene.SurfaceKey(from, s.moving), s.Scene.MediumKey(), s.Scene.MaterialsKey())
	var colours content.Hash
	for l := range s.Layers {
		y := &s.Layers[l]
		var h content.Hash
		h.Keys(s.Scene.EmitterKey(l))
		if y.Source == nil { // else the level at full is in Colours: another gel does not change where light goes
			h.Floats(s.Scene.Flux(l))
		}
		if y.Light >= 0 {
			h.Keys(k.Lights[y.Light])
			k.Lights[y.Light] = h.Key()
			still.Text(y.Name)
		} else {
			h.Text(y.Name)
			place.Keys(h.Key())
			still.Keys(h.Key())
		}
		for c := range y.Fold.W {
			colours.Floats32(y.Fold.W[c][:])
		}
		colours.Floats(y.Full())
	}
	k.Place, k.Still, k.Colours = place.Key(), still.Key(), colours.Key()
	k.View, k.Points = s.viewKey(), s.pointsKey()
	return k
}

// Full is what a layer's transport was traced at: the level on the axis at full setting of a head,
// 1 of anything else.
func (l *Layer) Full() float64 {
	if l.Source != nil && l.Source.AxialFull > 0 {
		return l.Source.AxialFull
	}
	return 1
}

func (s *Stage) viewKey() content.Key {
	var h content.Hash
	if v := s.View; v != nil {
		for _, p := range [4][3]float64{v.At.Array(), v.Axis.Array(), v.Right.Array(), v.Up.Array()} {
			h.Floats(p[:]...)
		}
		h.Floats(float64(v.Format.Width), float64(v.Format.Height), float64(v.Lens), float64(v.Focus),
			float64(v.Set.Shift[0]), float64(v.Set.Shift[1]))
		h.Int(v.Set.Blades)
		h.Bool(v.Set.Falloff)
	}
	return h.Key()
}

func (s *Stage) pointsKey() content.Key {
	var h content.Hash
	for i := range s.Points {
		p := &s.Points[i]
		h.Text(p.Name)
		for _, r := range [2]*trace.Receptor{p.Incident, p.Seen} {
			h.Keys(receptorKey(r))
		}
	}
	return h.Key()
}

func receptorKey(r *trace.Receptor) content.Key {
	var h content.Hash
	if r != nil {
		h.Int(int(r.Kind))
		h.Floats(r.At.X, r.At.Y, r.At.Z, r.Facing.X, r.Facing.Y, r.Facing.Z, r.Angle)
	}
	return h.Key()
}

// Moving is the number of the first triangle of the scene that is of a light or a panel.
func (s *Stage) Moving() int { return s.moving.Triangles() }
