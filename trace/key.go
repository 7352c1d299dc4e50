package trace

import (
	"crypto/sha256"
	"encoding/binary"
	"hash"
	"math"
	"reflect"

	"halfstop/geom"
)

// Key is the content hash of what a picture or a layer of it depends on.
type Key [sha256.Size]byte

// Key hashes what all layers depend on: triangles, materials, haze.
func (sc *Scene) Key() Key {
	d := digest{h: sha256.New()}
	d.value(reflect.ValueOf(sc.verts))
	d.value(reflect.ValueOf(sc.normals))
	d.value(reflect.ValueOf(sc.strands))
	d.value(reflect.ValueOf(sc.tones))
	d.value(reflect.ValueOf(sc.tris))
	d.value(reflect.ValueOf(sc.triMat))
	for _, m := range sc.mats {
		d.material(m)
	}
	if sc.Medium != nil {
		d.value(reflect.ValueOf(*sc.Medium))
	}
	return d.sum()
}

// LayerKey hashes a layer's emitters. What a function says of an emitter (a photometric web, a sky) enters by what the emitter gives at 64
// places in the scene, four samples each. Call it after Prepare.
func (sc *Scene) LayerKey(layer int) Key {
	d := digest{h: sha256.New()}
	var s lightSample
	for _, e := range sc.byLayer[layer] {
		d.value(reflect.ValueOf(e.Tint))
		d.text(reflect.TypeOf(e.shape).String())
		d.value(reflect.ValueOf(e.shape))
		size := sc.bounds.Size()
		for i := range 256 {
			f := float64(i/4) + 0.5
			p := sc.bounds.Lo
			p.X += size.X * turn(f/64, 0)
			p.Y += size.Y * turn(f/64, i/4)
			p.Z += size.Z * turn(0.3, 3*(i/4))
			s = lightSample{}
			if e.sample(p, float64(i%2)/2+0.25, float64(i/2%2)/2+0.25, &s) {
				d.number(s.le)
			}
		}
	}
	return d.sum()
}

// Key hashes a lens.
func (l *Lens) Key() Key {
	d := digest{h: sha256.New()}
	d.value(reflect.ValueOf(*l))
	return d.sum()
}

type digest struct {
	h   hash.Hash
	buf []byte
}

func (d *digest) sum() (k Key) {
	d.flush()
	copy(k[:], d.h.Sum(nil))
	return
}

func (d *digest) flush() {
	d.h.Write(d.buf)
	d.buf = d.buf[:0]
}

func (d *digest) bits(v uint64) {
	if d.buf = binary.LittleEndian.AppendUint64(d.buf, v); len(d.buf) > 4096 {
		d.flush()
	}
}

func (d *digest) number(v float64) { d.bits(math.Float64bits(v)) }

func (d *digest) text(s string) {
	d.bits(uint64(len(s)))
	d.buf = append(d.buf, s...)
}

// material hashes what a material states, not what was worked out from it.
func (d *digest) material(m *Material) {
	v := reflect.ValueOf(m).Elem()
	for i := range v.NumField() {
		f := v.Type().Field(i)
		switch {
		case !f.IsExported():
		case f.Type == v.Addr().Type():
			if b, _ := v.Field(i).Interface().(*Material); b != nil {
				d.text(f.Name)
				d.material(b)
			}
		default:
			d.value(v.Field(i))
		}
	}
	if m.Texture != nil {
		// A texture is a function: it enters by its values at places a hand and a step apart.
		for i := range 256 {
			x := geom.V(turn(0, i)*5, turn(0.5, 3*i)*5, turn(0.25, 7*i)*3)
			d.number(float64(m.Texture(x, [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}}[i%3])))
		}
	}
}

// value hashes numbers, texts and what is made of them; functions are left out.
func (d *digest) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float32, reflect.Float64:
		d.number(v.Float())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		d.bits(uint64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		d.bits(v.Uint())
	case reflect.Bool:
		if v.Bool() {
			d.bits(1)
		} else {
			d.bits(0)
		}
	case reflect.String:
		d.text(v.String())
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			d.bits(0)
			return
		}
		d.bits(1)
		d.value(v.Elem())
	case reflect.Slice:
		d.bits(uint64(v.Len()))
		if !d.quick(v) {
			for i := range v.Len() {
				d.value(v.Index(i))
			}
		}
	case reflect.Array:
		for i := range v.Len() {
			d.value(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			d.value(v.Field(i))
		}
	}
}

// quick hashes the long slices of a mesh without asking for each number.
func (d *digest) quick(v reflect.Value) bool {
	if !v.CanInterface() {
		return false
	}
	switch s := v.Interface().(type) {
	case [][3]float32:
		for _, p := range s {
			d.bits(uint64(math.Float32bits(p[0]))<<32 | uint64(math.Float32bits(p[1])))
			d.bits(uint64(math.Float32bits(p[2])))
		}
	case [][3]uint32:
		for _, p := range s {
			d.bits(uint64(p[0])<<32 | uint64(p[1]))
			d.bits(uint64(p[2]))
		}
	case []float32:
		for _, p := range s {
			d.bits(uint64(math.Float32bits(p)))
		}
	case []uint16:
		for _, p := range s {
			d.bits(uint64(p))
		}
	default:
		return false
	}
	return true
}
