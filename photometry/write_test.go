package photometry

import (
	"bytes"
	"fmt"
	"math"
	"strings"
)

// WriteLM63 writes the edition of 2019 so that ParseLM63 gives the same web back, to the last bit
// of every number. Check: TestWriteLM63RoundTrip, FuzzLM63.
func WriteLM63(w *Web) []byte {
	var b bytes.Buffer
	b.WriteString("IES:LM-63-2019\r\n")
	for _, k := range w.Keywords {
		key := strings.Map(func(r rune) rune {
			if r < ' ' || r == ']' || r == '[' {
				return -1
			}
			return r
		}, k.Key)
		if key == "" {
			key = "OTHER"
		}
		for i, line := range strings.Split(k.Text, "\n") {
			if i > 0 {
				key = "MORE"
			}
			fmt.Fprintf(&b, "[%s] %s\r\n", key, oneLine(line))
		}
	}
	switch {
	case w.Tilt == nil || len(w.Tilt.Angles) == 0:
		b.WriteString("TILT=NONE\r\n")
	default:
		b.WriteString("TILT=INCLUDE\r\n")
		fmt.Fprintf(&b, "%d\r\n%d\r\n", w.Tilt.Geometry, len(w.Tilt.Angles))
		wrap(&b, w.Tilt.Angles)
		wrap(&b, w.Tilt.Factors)
	}
	unit, per := 2, 1.0
	if w.Unit == 0.3048 {
		unit, per = 1, 0.3048
	}
	width, length, height := w.Opening.lm63()
	fmt.Fprintf(&b, "%s %s 1 %d %d %d %d %s %s %s\r\n", digits(w.Lamps), digits(w.Lumens), len(w.Vertical),
		len(w.Horizontal), w.Kind, unit,
		digits(undo(width, per)), digits(undo(length, per)), digits(undo(height, per)))
	// The second number is the file generation type; 1.00001 is 'undefined' (from memory).
	fmt.Fprintf(&b, "1 1.00001 %s\r\n", digits(w.Watts))
	wrap(&b, w.Vertical)
	wrap(&b, w.Horizontal)
	for _, row := range w.Table {
		wrap(&b, row)
	}
	return b.Bytes()
}

// undo finds the number that, times per, gives x back.
func undo(x, per float64) float64 {
	y := x / per
	for _, z := range []float64{y, math.Nextafter(y, math.Inf(1)), math.Nextafter(y, math.Inf(-1))} {
		if z*per == x {
			return z
		}
	}
	return y
}

// wrap writes numbers on lines of at most 128 characters (older readers stop at 132).
func wrap(b *bytes.Buffer, xs []float64) {
	col := 0
	for i, x := range xs {
		s := digits(x)
		if i > 0 && col+1+len(s) > 128 {
			b.WriteString("\r\n")
			col = 0
		} else if i > 0 {
			b.WriteByte(' ')
			col++
		}
		b.WriteString(s)
		col += len(s)
	}
	b.WriteString("\r\n")
}

func oneLine(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s))
}

// WriteEULUMDAT writes an .ldt file; types A and B are first resampled onto type C planes (2.5 and
// 5 degrees). ParseEULUMDAT gives the same web back within 1e-12 of each intensity, since they are
// stored per 1000 lm. Check: TestWriteEULUMDATRoundTrip, FuzzEULUMDAT.
func WriteEULUMDAT(w *Web) []byte {
	if w.Kind != TypeC {
		w = w.TypeC(2.5, 5)
	}
	planes, _ := w.unfoldC()
	planes = planes[:len(planes)-1]
	isym, rows := 0, w.Table
	switch w.Symmetry() {
	case Round:
		isym, planes = 1, planes[:1]
	case Quadrant:
		isym = 4
	case Bilateral:
		isym = 2
	case Bilateral90:
		n := len(w.Horizontal)
		mc := len(planes)
		if mc%4 == 0 && n == mc/2+1 && planes[mc/4] == 90 && planes[3*mc/4] == 270 {
			isym = 3
			rows = make([][]float64, n)
			for i := range rows {
				rows[i] = w.Table[n-1-i]
			}
			break
		}
		_, rows = w.unfoldC()
		rows = rows[:len(rows)-1]
	default:
		_, rows = w.unfoldC()
		rows = rows[:len(rows)-1]
	}
	total := w.Flux()
	lamps, lamp := -1.0, total
	if w.Lumens > 0 && w.Lamps > 0 {
		lamps, lamp = w.Lamps, w.Lamps*w.Lumens
	}
	if !(lamp > 0) {
		lamp = 1000
	}
	var b bytes.Buffer
	put := func(s string) { b.WriteString(s + "\r\n") }
	num := func(xs ...float64) {
		for _, x := range xs {
			put(digits(x))
		}
	}
	key := func(name string) string {
		for _, k := range w.Keywords {
			if k.Key == name {
				s := []rune(oneLine(k.Text))
				return string(s[:min(len(s), 78)])
			}
		}
		return ""
	}
	put(key("MANUFAC"))
	itype := 3.0
	if isym == 1 {
		itype = 1
	}
	num(itype, float64(isym), float64(len(planes)), step(planes), float64(len(w.Vertical)), step(w.Vertical))
	put(key("TEST"))
	name := []rune(oneLine(w.Name))
	put(string(name[:min(len(name), 78)]))
	put(key("LUMCAT"))
	put("")
	put(key("ISSUEDATE"))
	o := w.Opening
	long, wide := o.Width*1000, o.Length*1000
	if o.Shape == ShapeDisc || o.Shape == ShapeSphere {
		wide = 0
	}
	num(long, wide, o.Height*1000, long, wide)
	for range 4 {
		num(o.Height * 1000)
	}
	num(100*w.down(), 100*total/lamp, 1, 0, 1, lamps)
	put("")
	num(lamp)
	put("")
	put("")
	num(w.Watts)
	num(make([]float64, 10)...)
	num(planes...)
	num(w.Vertical...)
	for _, row := range rows {
		for _, v := range row {
			num(v / lamp * 1000)
		}
	}
	return b.Bytes()
}

// step is the even spacing of angles, 0 where they are uneven.
func step(a []float64) float64 {
	if len(a) < 2 {
		return 0
	}
	d := a[1] - a[0]
	for i := 1; i < len(a); i++ {
		if math.Abs(a[i]-a[i-1]-d) > 1e-9 {
			return 0
		}
	}
	return d
}

// down is the share of the flux with gamma under 90 degrees.
func (w *Web) down() float64 {
	g := &w.grid
	if !(g.flux > 0) {
		return 0
	}
	sum := 0.0
	for i := 0; i+1 < len(g.phi); i++ {
		for j := 0; j+1 < len(g.theta); j++ {
			t0, t1 := g.theta[j], math.Min(g.theta[j+1], math.Pi/2)
			if t1 <= t0 {
				break
			}
			f := (t1 - t0) / (g.theta[j+1] - g.theta[j])
			a := band(t0, t1, g.cd[i][j], g.cd[i][j]+f*(g.cd[i][j+1]-g.cd[i][j]))
			b := band(t0, t1, g.cd[i+1][j], g.cd[i+1][j]+f*(g.cd[i+1][j+1]-g.cd[i+1][j]))
			sum += (g.phi[i+1] - g.phi[i]) * (a + b) / 2
		}
	}
	return sum / g.flux
}
