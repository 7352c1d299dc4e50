package mesh

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// lines walks over the lines of a text without cutting it up.
type lines struct {
	src  []byte
	n    int  // number of the line last given
	skip bool // empty lines are passed over
}

func (l *lines) next() ([]byte, bool) {
	if len(l.src) == 0 {
		return nil, false
	}
	l.n++
	for len(l.src) > 1 && l.src[0] == '\n' && l.skip { // a run of empty lines
		l.src = l.src[1:]
		l.n++
	}
	line := l.src
	if i := bytes.IndexByte(l.src, '\n'); i >= 0 {
		line, l.src = l.src[:i], l.src[i+1:]
	} else {
		l.src = nil
	}
	return line, true
}

// field takes the next word of a line.
func field(line *[]byte) []byte {
	s := *line
	i := 0
	for i < len(s) && (s[i] == ' ' || s[i] == '\t' || s[i] == '\r') {
		i++
	}
	s = s[i:]
	for i = 0; i < len(s) && s[i] != ' ' && s[i] != '\t' && s[i] != '\r'; i++ {
	}
	*line = s[i:]
	return s[:i]
}

func (l *lines) number(line *[]byte, what string) (float32, error) {
	w := field(line)
	if len(w) == 0 {
		return 0, fmt.Errorf("line %d: %s is missing", l.n, what)
	}
	v, err := strconv.ParseFloat(string(w[:min(len(w), 64)]), 32)
	if err != nil || len(w) > 64 {
		return 0, fmt.Errorf("line %d: %q is no number", l.n, clip(w))
	}
	return float32(v), nil
}

func (l *lines) place(line *[]byte) (p [3]float32, err error) {
	for i := range p {
		if p[i], err = l.number(line, "one of a corner's three numbers"); err != nil {
			return p, err
		}
	}
	return p, nil
}

func clip(w []byte) string {
	if len(w) > 40 {
		return string(w[:40]) + "…"
	}
	return string(w)
}

// whole reads a whole number of at most 20 characters.
func whole(w []byte) (int, bool) {
	k, err := strconv.Atoi(string(w[:min(len(w), 20)]))
	return k, err == nil
}

// parseOBJ reads corners (v, with colours 0 to 1 after the place where there are any), texture
// corners (vt), faces (f; polygons are fanned) and their materials.
func parseOBJ(src []byte, files func(name string, most int64) ([]byte, error)) (*Mesh, error) {
	m := &Mesh{Format: "OBJ"}
	o := &objPaint{m: m, files: files, by: map[string]*objMaterial{}, seen: map[string]*texture{}}
	coloured := false
	var ids []uint32
	l := lines{src: src, skip: true}
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		switch string(field(&line)) {
		case "v":
			if err := m.room(1, 0); err != nil {
				return nil, fmt.Errorf("line %d: %w", l.n, err)
			}
			p, err := l.place(&line)
			if err != nil {
				return nil, err
			}
			m.Pos = append(m.Pos, p)
			c, has := objColour(line)
			if has && !coloured {
				coloured = true
				m.Colours = make([][3]uint8, len(m.Pos)-1, cap(m.Pos))
			}
			if coloured {
				m.Colours = append(m.Colours, c)
			}
		case "mtllib":
			o.library(l.n, line)
		case "usemtl":
			o.use(l.n, line)
		case "vt":
			if len(o.by) == 0 {
				continue // nothing is looked up by it
			}
			u, err := l.number(&line, "a texture coordinate")
			if err != nil {
				return nil, err
			}
			v, err := l.number(&line, "a texture coordinate")
			if err != nil {
				return nil, err
			}
			if len(o.uv) >= MostCorners || math.Abs(float64(u)) > farthest || math.Abs(float64(v)) > farthest {
				return nil, fmt.Errorf("line %d: more than %d texture corners, or one at %g, %g", l.n, MostCorners, u,
					v)
			}
			o.uv = append(o.uv, [2]float32{u, v})
		case "f":
			ids, o.ids = ids[:0], o.ids[:0]
			first := len(m.Tris)
			for {
				w := field(&line)
				if len(w) == 0 {
					break
				}
				corner, _, _ := bytes.Cut(w, []byte("/"))
				k, ok := whole(corner)
				if k < 0 {
					k += len(m.Pos) + 1
				}
				if !ok || k < 1 || k > len(m.Pos) {
					return nil, fmt.Errorf("line %d: %q names no corner; there are %d so far", l.n, clip(w), len(m.Pos))
				}
				o.corner(w)
				if ids = append(ids, uint32(k-1)); len(ids) > MostTriangles {
					return nil, fmt.Errorf("line %d: a face of more than %d corners", l.n, MostTriangles)
				}
			}
			if err := m.fan(ids); err != nil {
				return nil, fmt.Errorf("line %d: %w", l.n, err)
			}
			o.face(first)
		}
	}
	return m, nil
}

// objColour reads three numbers from 0 to 1 after a
// corner's place, as scanning programs write them.
func objColour(rest []byte) (c [3]uint8, ok bool) {
	for i := range c {
		w := field(&rest)
		v, err := strconv.ParseFloat(string(w[:min(len(w), 64)]), 32)
		if err != nil || !(v >= 0 && v <= 1) {
			return [3]uint8{}, false
		}
		c[i] = uint8(math.Round(255 * v))
	}
	return c, true
}
