package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
)

// isSTL: a binary file is as long as its count says; an
// ASCII one begins with 'solid' and has a facet.
func isSTL(src []byte) bool {
	if len(src) >= 84 && int64(len(src)) == 84+50*int64(binary.LittleEndian.Uint32(src[80:])) {
		return true
	}
	return bytes.HasPrefix(src, []byte("solid")) && bytes.Contains(src[:min(len(src), 4096)], []byte("facet"))
}

// parseSTL reads triangles one by one and welds corners that are equal.
func parseSTL(src []byte) (*Mesh, error) {
	m := &Mesh{Format: "STL"}
	add := func(a [3][3]float32) error {
		// Each triangle has corners of its own until they are welded.
		if len(m.Tris) >= MostTriangles {
			return fmt.Errorf("more than %d triangles: simplify it first", MostTriangles)
		}
		n := uint32(len(m.Pos))
		m.Pos = append(m.Pos, a[0], a[1], a[2])
		m.Tris = append(m.Tris, [3]uint32{n, n + 1, n + 2})
		return nil
	}
	if len(src) >= 84 && int64(len(src)) == 84+50*int64(binary.LittleEndian.Uint32(src[80:])) {
		n := (len(src) - 84) / 50
		if n > MostTriangles {
			return nil, fmt.Errorf("byte 80: %d triangles; %d are read at most: simplify it first", n, MostTriangles)
		}
		m.Pos, m.Tris = make([][3]float32, 0, 3*n), make([][3]uint32, 0, n)
		for i := range n {
			b := src[84+50*i+12:] // the normal is not needed
			var a [3][3]float32
			for k := range 9 {
				a[k/3][k%3] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*k:]))
			}
			if err := add(a); err != nil {
				return nil, err
			}
		}
		m.weld()
		return m, nil
	}
	l := lines{src: src, skip: true}
	var a [3][3]float32
	have := 0
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		switch string(bytes.ToLower(field(&line))) {
		case "outer", "facet":
			have = 0
		case "vertex":
			p, err := l.place(&line)
			if err != nil {
				return nil, err
			}
			if have == 3 {
				return nil, fmt.Errorf("line %d: a facet has more than three corners", l.n)
			}
			a[have] = p
			have++
		case "endloop":
			if have != 3 {
				return nil, fmt.Errorf("line %d: a facet ends with %d corners of three", l.n, have)
			}
			if err := add(a); err != nil {
				return nil, fmt.Errorf("line %d: %w", l.n, err)
			}
			have = 0
		}
	}
	if have != 0 {
		return nil, fmt.Errorf("line %d: the file ends inside a facet", l.n)
	}
	m.weld()
	return m, nil
}
