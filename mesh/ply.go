package mesh

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// plyProperty is one value, or a list of values, of an element.
type plyProperty struct {
	name        string
	kind, count int // bytes of a scalar as a code of plyKinds; count is 0 for no list
}

type plyElement struct {
	name  string
	count int64
	props []plyProperty
}

// plyKinds are the scalar types by name; the code is the size in
// bytes, plus 16 for signed, plus 32 for floating point.
var plyKinds = map[string]int{"char": 17, "int8": 17, "uchar": 1, "uint8": 1, "short": 18, "int16": 18, "ushort": 2,
	"uint16": 2,
	"int":    20, "int32": 20, "uint": 4, "uint32": 4, "float": 36, "float32": 36, "double": 40, "float64": 40}

// ply reads values, from words or from bytes.
type ply struct {
	lines         // ASCII
	line   []byte // the rest of the row
	bin    []byte // binary: the rest
	order  binary.ByteOrder
	whole  int
	format string
}

// where names the place of what is read now.
func (p *ply) where() string {
	if p.order == nil {
		return fmt.Sprintf("line %d", p.n)
	}
	return fmt.Sprintf("byte %d", p.whole-len(p.bin))
}

// value takes the next value of a kind.
func (p *ply) value(kind int) (float64, error) {
	if p.order == nil {
		w := field(&p.line)
		v, err := strconv.ParseFloat(string(w[:min(len(w), 64)]), 64)
		if err != nil || len(w) > 64 {
			return 0, fmt.Errorf("%s: %q is no number", p.where(), clip(w))
		}
		return v, nil
	}
	size := kind & 15
	if len(p.bin) < size {
		return 0, fmt.Errorf("%s: the file ends in the middle of a record", p.where())
	}
	b := p.bin
	p.bin = b[size:]
	switch kind {
	case 17:
		return float64(int8(b[0])), nil
	case 1:
		return float64(b[0]), nil
	case 18:
		return float64(int16(p.order.Uint16(b))), nil
	case 2:
		return float64(p.order.Uint16(b)), nil
	case 20:
		return float64(int32(p.order.Uint32(b))), nil
	case 4:
		return float64(p.order.Uint32(b)), nil
	case 36:
		return float64(math.Float32frombits(p.order.Uint32(b))), nil
	}
	return math.Float64frombits(p.order.Uint64(b)), nil
}

// parsePLY reads the elements 'vertex' (x, y, z; red, green, blue) and 'face' (vertex_indices);
// others are passed over. The header is that of Turk's format 1.0 (from public descriptions).
func parsePLY(src []byte) (*Mesh, error) {
	p := &ply{lines: lines{src: src}, whole: len(src)}
	elements, err := p.header()
	if err != nil {
		return nil, err
	}
	if p.order != nil {
		p.bin = p.src
	}
	m := &Mesh{Format: "PLY"}
	for _, e := range elements {
		if err := p.fits(e); err != nil {
			return nil, err
		}
		switch e.name {
		case "vertex":
			err = p.vertices(m, e)
		case "face":
			err = p.faces(m, e)
		default:
			err = p.rows(e, func(int, []float64) error { return nil })
		}
		if err != nil {
			return nil, err
		}
	}
	for i, t := range m.Tris {
		for _, k := range t {
			if int(k) >= len(m.Pos) {
				return nil, fmt.Errorf("triangle %d names corner %d of %d, counted from 0", i+1, k, len(m.Pos))
			}
		}
	}
	return m, nil
}

func (p *ply) header() (out []plyElement, err error) {
	bad := func(format string, args ...any) ([]plyElement, error) {
		return nil, fmt.Errorf("line %d: %s", p.n, fmt.Sprintf(format, args...))
	}
	for {
		raw, ok := p.next()
		if !ok || p.n > 1000 {
			return bad("the header does not end with end_header")
		}
		if len(raw) > 1000 {
			return bad("a line of the header is longer than 1000 characters")
		}
		f := strings.Fields(string(raw))
		if len(f) == 0 {
			continue
		}
		switch f[0] {
		case "format":
			if len(f) < 2 {
				return bad("the format is not named")
			}
			switch p.format = f[1]; f[1] {
			case "ascii":
			case "binary_little_endian":
				p.order = binary.LittleEndian
			case "binary_big_endian":
				p.order = binary.BigEndian
			default:
				return bad("the format %q is none of ascii, binary_little_endian, binary_big_endian",
					clip([]byte(f[1])))
			}
		case "element":
			if len(f) != 3 {
				return bad("an element needs a name and a count")
			}
			n, err := strconv.ParseInt(f[2], 10, 64)
			if err != nil || n < 0 {
				return bad("the count %q of %s is no number", clip([]byte(f[2])), clip([]byte(f[1])))
			}
			out = append(out, plyElement{name: f[1], count: n})
		case "property":
			if len(out) == 0 {
				return bad("a property before any element")
			}
			e := &out[len(out)-1]
			var pr plyProperty
			switch {
			case len(f) == 3:
				pr = plyProperty{name: f[2], kind: plyKinds[f[1]]}
			case len(f) == 5 && f[1] == "list":
				pr = plyProperty{name: f[4], kind: plyKinds[f[3]], count: plyKinds[f[2]]}
				if pr.count == 0 || pr.count >= 32 {
					return bad("%q counts no list", clip([]byte(f[2])))
				}
			}
			if pr.kind == 0 {
				return bad("this property is of no type that the format knows")
			}
			e.props = append(e.props, pr)
		case "end_header":
			if p.format == "" {
				return bad("the format is not named")
			}
			return out, nil
		}
	}
}

// fits holds a count against what is left of the file, before memory is taken.
func (p *ply) fits(e plyElement) error {
	most := int64(MostCorners)
	if e.name == "face" {
		most = MostTriangles
	}
	if (e.name == "vertex" || e.name == "face") && e.count > most {
		return fmt.Errorf("%d of %s; %d are read at most: simplify it first", e.count, e.name, most)
	}
	least, left := int64(1), int64(len(p.src)) // a row of text has its end at least
	if p.order != nil {
		least, left = 0, int64(len(p.bin))
		for _, pr := range e.props {
			if pr.count > 0 {
				least += int64(pr.count & 15)
			} else {
				least += int64(pr.kind & 15)
			}
		}
	}
	if len(e.props) == 0 || e.count == 0 {
		if e.count == 0 || p.order != nil {
			return nil
		}
	}
	if e.count > left/least+1 || p.order != nil && e.count > left/least {
		return fmt.Errorf("%s: %d of %s are promised; the file has %d bytes more", p.where(), e.count,
			clip([]byte(e.name)), left)
	}
	return nil
}

// rows reads an element's rows; each is called with the scalars of a row, lists left out.
func (p *ply) rows(e plyElement, each func(row int, values []float64) error) error {
	if len(e.props) == 0 && p.order != nil {
		return nil
	}
	values := make([]float64, len(e.props))
	for i := range int(e.count) {
		if err := p.row(); err != nil {
			return err
		}
		for k, pr := range e.props {
			if pr.count > 0 {
				if _, err := p.list(pr, nil); err != nil {
					return err
				}
				continue
			}
			v, err := p.value(pr.kind)
			if err != nil {
				return err
			}
			values[k] = v
		}
		if err := each(i, values); err != nil {
			return fmt.Errorf("%s: %w", p.where(), err)
		}
	}
	return nil
}

// row goes to the next line of text.
func (p *ply) row() error {
	if p.order != nil {
		return nil
	}
	line, ok := p.next()
	if !ok {
		return fmt.Errorf("line %d: the file ends before all its rows", p.n)
	}
	p.line = line
	return nil
}

// list reads a list, into out where it is not nil.
func (p *ply) list(pr plyProperty, out *[]uint32) (n int, err error) {
	c, err := p.value(pr.count)
	if err != nil {
		return 0, err
	}
	if c < 0 || c > MostTriangles || c != math.Floor(c) {
		return 0, fmt.Errorf("%s: a list of %g values", p.where(), c)
	}
	if p.order != nil && int64(c)*int64(pr.kind&15) > int64(len(p.bin)) {
		return 0, fmt.Errorf("%s: a list of %g values runs past the end", p.where(), c)
	}
	for range int(c) {
		v, err := p.value(pr.kind)
		if err != nil {
			return 0, err
		}
		if out == nil {
			continue
		}
		if v < 0 || v >= MostCorners || v != math.Floor(v) {
			return 0, fmt.Errorf("%s: %g names no corner", p.where(), v)
		}
		*out = append(*out, uint32(v))
	}
	return int(c), nil
}

func (p *ply) vertices(m *Mesh, e plyElement) error {
	var at, colour [3]int
	for k := range 3 {
		at[k], colour[k] = -1, -1
	}
	for i, pr := range e.props {
		for k := range 3 {
			if pr.count == 0 && pr.name == string("xyz"[k]) {
				at[k] = i
			}
			if pr.count == 0 && (pr.name == []string{"red", "green", "blue"}[k] ||
				pr.name == "diffuse_"+[]string{"red", "green", "blue"}[k]) {
				colour[k] = i
			}
		}
	}
	if at[0] < 0 || at[1] < 0 || at[2] < 0 {
		return fmt.Errorf("its vertices have no x, y and z")
	}
	coloured := colour[0] >= 0 && colour[1] >= 0 && colour[2] >= 0
	if err := m.room(int(e.count), 0); err != nil {
		return err
	}
	m.Pos = make([][3]float32, 0, e.count)
	if coloured {
		m.Colours = make([][3]uint8, 0, e.count)
	}
	return p.rows(e, func(_ int, v []float64) error {
		m.Pos = append(m.Pos, [3]float32{float32(v[at[0]]), float32(v[at[1]]), float32(v[at[2]])})
		if coloured {
			var c [3]uint8
			for k := range 3 {
				x := v[colour[k]]
				if kind := e.props[colour[k]].kind; kind >= 32 {
					x *= 255 // floating point colours run from 0 to 1
				} else if kind&15 == 2 {
					x /= 257
				}
				c[k] = uint8(math.Round(max(0, min(255, x))))
			}
			m.Colours = append(m.Colours, c)
		}
		return nil
	})
}

func (p *ply) faces(m *Mesh, e plyElement) error {
	list := -1
	for i, pr := range e.props {
		if pr.count > 0 && pr.kind < 32 && (pr.name == "vertex_indices" || pr.name == "vertex_index") {
			list = i
		}
	}
	if list < 0 {
		return fmt.Errorf("its faces have no vertex_indices")
	}
	var ids []uint32
	for range int(e.count) {
		if err := p.row(); err != nil {
			return err
		}
		for i, pr := range e.props {
			var err error
			switch {
			case i == list:
				ids = ids[:0]
				_, err = p.list(pr, &ids)
			case pr.count > 0:
				_, err = p.list(pr, nil)
			default:
				_, err = p.value(pr.kind)
			}
			if err != nil {
				return err
			}
		}
		if err := m.fan(ids); err != nil {
			return fmt.Errorf("%s: %w", p.where(), err)
		}
	}
	return nil
}
