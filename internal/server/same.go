package server

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"reflect"
	"slices"
	"strings"

	q "halfstop/quantity"
	"halfstop/shoot"
)

// Light that was traced stays true as long as nothing that carries it has changed: power, level, colour and gel of a head, and
// the camera's exposure settings only weigh it. These keys say what has.

// lightKeys holds what the readings of a setup rest on.
type lightKeys struct {
	base   uint64   // everything but what follows
	eyes   uint64   // the camera, the points and their names
	lights []uint64 // each light brought along
}

func (k lightKeys) equal(o lightKeys) bool {
	return k.base == o.base && k.eyes == o.eyes && slices.Equal(k.lights, o.lights)
}

// keysOf gives the keys of a setup's readings, and of its picture, which does not depend on points but on the aperture.
func keysOf(f *shoot.File, index int) (readings lightKeys, picture uint64) {
	s := f.Setups[index]
	var names []string
	for _, w := range s.Look {
		names = append(names, w.Point, w.Above, w.Below, w.To)
	}
	s.Name, s.Priority, s.Look, s.May, s.Notes, s.Cover = "", 0, nil, nil, "", nil
	lights := s.Lights
	s.Lights = nil
	aperture := 0.0
	if s.Camera != nil {
		c := *s.Camera
		aperture = float64(c.Aperture)
		c.Aperture, c.TStop, c.ND, c.Shutter, c.ISO, c.WhiteBalance, c.Sync, c.FullWell, c.ReadNoise, c.Crop = 0, 0, 0, 0, 0, shoot.Spectrum{}, 0, 0, 0, nil
		s.Camera = &c
	}
	place := hashOf(f.Room, f.Kit, f.House.FlatC, f.House.DomeC, f.House.K, f.Shoot.Date, f.Shoot.Place)
	all := []any{place, aperture}
	readings.eyes = hashOf(s.Camera, s.Points, names)
	s.Points = nil
	all = append(all, s)
	s.Camera = nil
	readings.base = hashOf(place, s)
	for _, l := range lights {
		l.Power, l.Level, l.Gel, l.Lock, l.Stand, l.Outlet, l.Area, l.Heights, l.Through = "", nil, nil, false, "", "", nil, [2]q.Metres{}, ""
		if l.Emitter == nil {
			l.Colour = shoot.Spectrum{}
		}
		k := hashOf(l)
		readings.lights = append(readings.lights, k)
		all = append(all, k)
	}
	return readings, hashOf(all...)
}

// hashOf mixes values of any plain type, exactly.
func hashOf(values ...any) uint64 {
	h := fnv.New64a()
	var b [8]byte
	num := func(v uint64) {
		binary.LittleEndian.PutUint64(b[:], v)
		h.Write(b[:])
	}
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		num(uint64(v.Kind()))
		switch v.Kind() {
		case reflect.Float64, reflect.Float32:
			num(math.Float64bits(v.Float()))
		case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
			num(uint64(v.Int()))
		case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
			num(v.Uint())
		case reflect.Bool:
			if v.Bool() {
				num(1)
			}
		case reflect.String:
			num(uint64(v.Len()))
			h.Write([]byte(v.String()))
		case reflect.Pointer, reflect.Interface:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		case reflect.Slice, reflect.Array:
			num(uint64(v.Len()))
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Map:
			keys := v.MapKeys()
			slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
			num(uint64(len(keys)))
			for _, k := range keys {
				walk(k)
				walk(v.MapIndex(k))
			}
		}
	}
	for _, v := range values {
		walk(reflect.ValueOf(v))
	}
	return h.Sum64()
}
