package trace

import (
	"reflect"
	"slices"
)

// SameSurfaces reports whether two scenes have the same surfaces and the same haze. A texture is known by its material's name.
func (sc *Scene) SameSurfaces(o *Scene) bool {
	if !slices.Equal(sc.tris, o.tris) || !slices.Equal(sc.triMat, o.triMat) || !slices.Equal(sc.verts, o.verts) || !slices.Equal(sc.normals, o.normals) ||
		!slices.Equal(sc.tones, o.tones) || !slices.Equal(sc.strands, o.strands) || !slices.EqualFunc(sc.mats, o.mats, (*Material).same) {
		return false
	}
	return sc.Medium == o.Medium || sc.Medium != nil && o.Medium != nil && *sc.Medium == *o.Medium
}

func (m *Material) same(o *Material) bool {
	if m == o || m == nil || o == nil {
		return m == o
	}
	if (m.Texture == nil) != (o.Texture == nil) || !m.Back.same(o.Back) {
		return false
	}
	a, b := reflect.ValueOf(m).Elem(), reflect.ValueOf(o).Elem()
	for i := range a.NumField() {
		if f := a.Type().Field(i); f.IsExported() && f.Name != "Texture" && f.Name != "Back" && !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()) {
			return false
		}
	}
	return true
}

// SameEmitters reports whether a layer has the same emitters in both scenes. What a function says of an emitter is never held to be the same.
func (sc *Scene) SameEmitters(o *Scene, layer int) bool {
	return layer < len(sc.byLayer) && layer < len(o.byLayer) && slices.EqualFunc(sc.byLayer[layer], o.byLayer[layer], (*Emitter).same)
}

// Reach gives the share of samples of a layer's light, a fixed few of each emitter, that come to a receptor (of a Spot: to what it looks at)
// past opaque things. Two scenes with different shares throw different shadows there.
func (sc *Scene) VisibleShare(layer int, r *Receptor) float64 {
	at := r.At
	if r.Kind == Spot {
		id, h := sc.closest(r.At, r.Facing)
		if id < 0 {
			return 0
		}
		at = at.AddMul(r.Facing, float64(h.T)-20*sc.eps)
	}
	var s lightSample
	var pass Band
	n, free := 0, 0.0
	for _, e := range sc.byLayer[layer] {
		for k := range 8 {
			if !e.sample(at, goldenShift(0.1, k), goldenShift(0.3, 3*k), &s) {
				continue
			}
			n++
			if ok, _ := sc.visible(at, s.w, s.dist, &pass); ok {
				free++
			}
		}
	}
	if n == 0 {
		return 0
	}
	return free / float64(n)
}
