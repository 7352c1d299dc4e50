package picture

import (
	"encoding/binary"
	"math"

	"halfstop/spectrum"
)

// Profile returns an ICC profile (version 4.3, ICC.1:2010, matrix and curve) of a display: its
// primaries adapted to D50 with the Bradford transform as the standard asks, and the sRGB curve as
// parametric type 3. Check: TestProfile, against a colour engine's reading of it.
func Profile(d *spectrum.Display) []byte {
	var tags []tag
	text := func(s string) []byte {
		b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
		b = binary.BigEndian.AppendUint32(b, uint32(2*len(s)))
		b = binary.BigEndian.AppendUint32(b, 28)
		for _, r := range s {
			b = binary.BigEndian.AppendUint16(b, uint16(r))
		}
		return b
	}
	xyz := func(v [3]float64) []byte {
		b := []byte("XYZ \x00\x00\x00\x00")
		for _, x := range v {
			b = binary.BigEndian.AppendUint32(b, fixed16(x))
		}
		return b
	}
	white := d.XYZ([3]float64{1, 1, 1})
	m := bradford([3]float64{white.X, white.Y, white.Z}, d50)
	tags = append(tags, tag{"desc", text(d.Name)}, tag{"cprt", text("no rights reserved")}, tag{"wtpt", xyz(d50)})
	// The three columns must sum to D50 in the file's own rounding: the standard's white.
	cols := [3][3]float64{}
	for i := range cols {
		var e [3]float64
		e[i] = 1
		t := d.XYZ(e)
		cols[i] = times(m, [3]float64{t.X, t.Y, t.Z})
	}
	for i, name := range [3]string{"rXYZ", "gXYZ", "bXYZ"} {
		tags = append(tags, tag{name, xyz(cols[i])})
	}
	chad := []byte("sf32\x00\x00\x00\x00")
	for _, r := range m {
		for _, v := range r {
			chad = binary.BigEndian.AppendUint32(chad, fixed16(v))
		}
	}
	tags = append(tags, tag{"chad", chad})
	curve := []byte("para\x00\x00\x00\x00\x00\x03\x00\x00")
	for _, v := range [5]float64{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045} {
		curve = binary.BigEndian.AppendUint32(curve, fixed16(v))
	}
	for _, name := range [3]string{"rTRC", "gTRC", "bTRC"} {
		tags = append(tags, tag{name, curve})
	}
	return assemble(tags)
}

type tag struct {
	name string
	data []byte
}

// assemble writes header, tag table and data; tags of the same content share it.
func assemble(tags []tag) []byte {
	head := make([]byte, 128)
	put := binary.BigEndian.PutUint32
	put(head[8:], 0x04300000)
	copy(head[12:], "mntrRGB XYZ ")
	for i, v := range [6]uint16{2026, 1, 1, 0, 0, 0} {
		binary.BigEndian.PutUint16(head[24+2*i:], v)
	}
	copy(head[36:], "acsp")
	for i, v := range d50 {
		put(head[68+4*i:], fixed16(v))
	}
	table := binary.BigEndian.AppendUint32(nil, uint32(len(tags)))
	var body []byte
	at := map[string]int{}
	start := 128 + 4 + 12*len(tags)
	for _, t := range tags {
		pos, ok := at[string(t.data)]
		if !ok {
			pos = start + len(body)
			at[string(t.data)] = pos
			body = append(body, t.data...)
			for len(body)%4 != 0 {
				body = append(body, 0)
			}
		}
		table = append(table, t.name...)
		table = binary.BigEndian.AppendUint32(table, uint32(pos))
		table = binary.BigEndian.AppendUint32(table, uint32(len(t.data)))
	}
	out := append(append(head, table...), body...)
	put(out, uint32(len(out)))
	return out
}

func fixed16(v float64) uint32 { return uint32(int32(math.Round(v * 65536))) }

// d50 is the profile connection space's white (ICC.1:2010, 7.2.16).
var d50 = [3]float64{0.9642, 1, 0.8249}

// bradford is the linear Bradford adaptation from white a to white b (ICC.1:2010, annex E).
func bradford(a, b [3]float64) [3][3]float64 {
	m := [3][3]float64{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	inv := [3][3]float64{{0.9869929, -0.1470543, 0.1599627}, {0.4323053, 0.5183603, 0.0492912},
		{-0.0085287, 0.0400428, 0.9684867}}
	ca, cb := times(m, a), times(m, b)
	var out [3][3]float64
	for i := range out {
		for j := range out {
			for k := range 3 {
				out[i][j] += inv[i][k] * cb[k] / ca[k] * m[k][j]
			}
		}
	}
	return out
}

func times(m [3][3]float64, v [3]float64) (out [3]float64) {
	for i := range m {
		for j := range v {
			out[i] += m[i][j] * v[j]
		}
	}
	return
}
