package kit

import (
	"reflect"
	"slices"
	"strings"
)

// Merge lays own over base and follows every `like`. An own entry with the name of a base entry, or
// like one, takes from that entry whatever it does not say itself; saying a head's level in one way
// drops the other ways it would have inherited. Own entries come first. A `like` that names nothing
// stays as it is: Check reports it. Check: TestMerge.
func Merge(base, own Kit) Kit {
	k := Kit{
		Heads:     merge(base.Heads, own.Heads),
		Modifiers: merge(base.Modifiers, own.Modifiers),
		Grids:     merge(base.Grids, own.Grids),
		Gels:      merge(base.Gels, own.Gels),
		Panels:    merge(base.Panels, own.Panels),
		Stands:    merge(base.Stands, own.Stands),
		Surfaces:  merge(base.Surfaces, own.Surfaces),
		Things:    merge(base.Things, own.Things),
		Lessons:   append(slices.Clone(own.Lessons), base.Lessons...),
		Timings:   append(slices.Clone(own.Timings), base.Timings...),
	}
	k.stateOwn(base, own)
	k.taught = k.teach()
	return k
}

// entry is any struct of the kit with fields Name and Like.
func nameOf(v any) (name, like string) {
	r := reflect.ValueOf(v)
	return key(r.FieldByName("Name").String()), key(r.FieldByName("Like").String())
}

// key makes names compare without regard to case and doubled spaces.
func key(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }

func merge[T any](base, own []T) []T {
	inBase := map[string]T{}
	for _, b := range base {
		n, _ := nameOf(b)
		inBase[n] = b
	}
	inOwn := map[string]T{}
	for _, o := range own {
		n, _ := nameOf(o)
		inOwn[n] = o
	}
	var full func(o T, depth int) T
	full = func(o T, depth int) T {
		name, like := nameOf(o)
		if like == "" {
			like = name
		}
		under, ok := inBase[like]
		if mine, own := inOwn[like]; own && like != name && depth < 16 {
			under, ok = full(mine, depth+1), true
		}
		if !ok {
			return o
		}
		return overlay(under, o)
	}
	var out []T
	for _, o := range own {
		out = append(out, full(o, 0))
	}
	for _, b := range base {
		if n, _ := nameOf(b); !has(inOwn, n) {
			out = append(out, b)
		}
	}
	return out
}

func has[T any](m map[string]T, k string) bool { _, ok := m[k]; return ok }

// overlay copies each field that over says.
func overlay[T any](under, over T) T {
	if h, ok := any(over).(Head); ok && h.level() != "" {
		u := any(under).(Head)
		u.Photometry, u.Guide, u.GuideISO, u.GuideC, u.Energy, u.Efficacy, u.Gives, u.Flux = "", 0, 0, 0, 0,
			keptEfficacy(h, u), nil, 0
		under = any(u).(T)
	}
	dst, src := reflect.ValueOf(&under).Elem(), reflect.ValueOf(over)
	for i := range src.NumField() {
		if f := src.Field(i); !f.IsZero() {
			dst.Field(i).Set(f)
		}
	}
	return under
}

// keptEfficacy keeps the inherited efficacy where only another energy is said.
func keptEfficacy(over, under Head) float64 {
	if over.Energy != 0 {
		return under.Efficacy
	}
	return 0
}

// level names the way a head's level is said, ” for none; reads do not count.
func (h Head) level() string {
	if w := h.levels(); len(w) > 0 {
		return w[0]
	}
	return ""
}

func (h Head) levels() (ways []string) {
	if h.Photometry != "" {
		ways = append(ways, "photometry")
	}
	if h.Guide != 0 {
		ways = append(ways, "guide number")
	}
	if h.Energy != 0 && h.Efficacy != 0 || h.Energy != 0 && h.Guide == 0 && h.Gives == nil && h.Photometry == "" {
		ways = append(ways, "energy")
	}
	if h.Gives != nil {
		ways = append(ways, "gives")
	}
	if h.Flux != 0 {
		ways = append(ways, "flux")
	}
	return ways
}

// find looks a name up.
func find[T any](list []T, name string) (T, bool) {
	want := key(name)
	for _, e := range list {
		if n, _ := nameOf(e); n == want {
			return e, true
		}
	}
	var none T
	return none, false
}

// FindHead looks a head up by name; case and doubled spaces do not matter. So do the others.
func (k *Kit) FindHead(name string) (Head, bool) { return find(k.Heads, name) }

// FindModifier looks a modifier up; ” is 'bare'.
func (k *Kit) FindModifier(name string) (Modifier, bool) {
	if key(name) == "" {
		name = "bare"
	}
	return find(k.Modifiers, name)
}

// FindGrid looks a grid up.
func (k *Kit) FindGrid(name string) (Grid, bool) { return find(k.Grids, name) }

// FindGel looks an own gel up; gels of the catalogue of surfaces and sheets are found by
// Transmittance.
func (k *Kit) FindGel(name string) (GelSpec, bool) { return find(k.Gels, name) }

// FindPanel looks a panel up.
func (k *Kit) FindPanel(name string) (PanelSpec, bool) { return find(k.Panels, name) }

// FindStand looks a stand up.
func (k *Kit) FindStand(name string) (Stand, bool) { return find(k.Stands, name) }

// FindSurface looks an own surface up.
func (k *Kit) FindSurface(name string) (SurfaceSpec, bool) { return find(k.Surfaces, name) }

// FindThing looks a thing up.
func (k *Kit) FindThing(name string) (Thing, bool) { return find(k.Things, name) }
