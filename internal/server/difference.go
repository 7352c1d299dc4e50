package server

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"
)

// Difference makes a new JSON value of an old one, after the idea of JSON Merge Patch (RFC 7396),
// with lists changed entry by entry. Without any of its fields the new value is null.
type Difference struct {
	Whole any                    `json:"whole,omitempty" doc:"the new value, in place of the old one"`
	Parts map[string]*Difference `json:"parts,omitempty" doc:"by key of an object, or number of an entry of a list as long as before"`
	Gone  []string               `json:"gone,omitempty" doc:"keys that the object has no more"`
}

var marshals = reflect.TypeFor[json.Marshaler]()

// differ gives the difference of two values of one type as they are written in JSON; nil: none.
func differ(old, now reflect.Value) *Difference {
	if old.Type().Implements(marshals) || reflect.PointerTo(old.Type()).Implements(marshals) {
		return another(old, now)
	}
	switch now.Kind() {
	case reflect.Pointer:
		if old.IsNil() || now.IsNil() {
			return another(old, now)
		}
		if old.Pointer() == now.Pointer() {
			return nil
		}
		return differ(old.Elem(), now.Elem())
	case reflect.Slice:
		if old.Len() != now.Len() || old.IsNil() != now.IsNil() {
			return another(old, now)
		}
		if now.Len() > 0 && old.Pointer() == now.Pointer() {
			return nil
		}
		fallthrough
	case reflect.Array:
		d := &Difference{}
		for i := range now.Len() {
			d.part(strconv.Itoa(i), differ(old.Index(i), now.Index(i)))
		}
		return d.orNil()
	case reflect.Struct:
		d := &Difference{}
		if !d.fields(old, now) {
			return another(old, now)
		}
		return d.orNil()
	}
	return another(old, now)
}

// another is the new value where it is another.
func another(old, now reflect.Value) *Difference {
	same := false
	switch now.Kind() { // most values are these; the rest goes the slow way
	case reflect.Float64:
		same = old.Float() == now.Float()
	case reflect.Int:
		same = old.Int() == now.Int()
	case reflect.String:
		same = old.String() == now.String()
	case reflect.Bool:
		same = old.Bool() == now.Bool()
	default:
		same = reflect.DeepEqual(old.Interface(), now.Interface())
	}
	if same {
		return nil
	}
	if k := now.Kind(); (k == reflect.Pointer || k == reflect.Slice || k == reflect.Map) && now.IsNil() {
		return &Difference{}
	}
	return &Difference{Whole: now.Interface()}
}

// fields adds the differences of a struct's fields; false where it is not one that is understood.
func (d *Difference) fields(old, now reflect.Value) bool {
	t := now.Type()
	for i := range t.NumField() {
		f := t.Field(i)
		name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-" || !f.IsExported():
			continue
		case f.Anonymous || name == "" || strings.Contains(opts, "omitzero"):
			return false
		}
		a, b := old.Field(i), now.Field(i)
		if strings.Contains(opts, "omitempty") && empty(b) {
			if !empty(a) {
				d.Gone = append(d.Gone, name)
			}
			continue
		}
		if strings.Contains(opts, "omitempty") && empty(a) {
			d.part(name, &Difference{Whole: b.Interface()})
			continue
		}
		d.part(name, differ(a, b))
	}
	return true
}

// empty reports what omitempty leaves out.
func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.String, reflect.Array:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

func (d *Difference) part(key string, p *Difference) {
	if p == nil {
		return
	}
	if d.Parts == nil {
		d.Parts = map[string]*Difference{}
	}
	d.Parts[key] = p
}

func (d *Difference) orNil() *Difference {
	if d.Parts == nil && d.Gone == nil {
		return nil
	}
	return d
}

// sent is what one connection was sent of a setup last: the base that its next difference is to.
type sent struct {
	readings *ReadingsView
	view     *SetupView
}

// delta replaces the readings and the view of an event by their differences to what the connection
// was sent before, and keeps the new ones as the next base.
func delta(e Event, last map[int]sent) Event {
	if e.Kind != "readings" || e.Readings == nil {
		return e
	}
	was := last[e.Index]
	now := sent{e.Readings, was.view}
	if was.readings != nil {
		e.Change = differ(reflect.ValueOf(was.readings), reflect.ValueOf(e.Readings))
		if e.Change == nil {
			e.Change = &Difference{Parts: map[string]*Difference{}}
		}
		e.Readings = nil
	}
	if e.View != nil {
		now.view = e.View
		if was.view != nil {
			e.ViewChange = differ(reflect.ValueOf(was.view), reflect.ValueOf(e.View))
			e.View = nil
		}
	}
	last[e.Index] = now
	return e
}
