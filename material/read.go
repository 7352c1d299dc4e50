package material

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"halfstop/spectrum"
)

//go:embed data/*.csv
var data embed.FS

// rows reads an embedded table whose cells are parted by sep; comment lines begin with '#', the
// first other line names the columns. The files are ours: a bad one panics, which every test would
// show.
func rows(file, sep string) (names []string, out [][]string) {
	b, err := data.ReadFile("data/" + file)
	if err != nil {
		panic(err)
	}
	for _, line := range strings.Split(string(b), "\n") {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		cells := strings.Split(line, sep)
		if names == nil {
			names = cells
			continue
		}
		if len(cells) != len(names) {
			panic(file + ": " + line)
		}
		out = append(out, cells)
	}
	return names, out
}

// columns reads a table of numbers over wavelength into curves by column name.
func columns(file string) map[string]spectrum.Curve {
	names, cells := rows(file, ",")
	out := map[string]spectrum.Curve{}
	for j := 1; j < len(names); j++ {
		var pairs [][2]float64
		for _, r := range cells {
			pairs = append(pairs, [2]float64{number(r[0]), number(r[j])})
		}
		c, err := spectrum.OfPairs(pairs)
		if err != nil {
			panic(file + ": " + err.Error())
		}
		out[names[j]] = c
	}
	return out
}

func number(s string) float64 {
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return v
}

// patches are the measured chart patches by name.
var patches = sync.OnceValue(func() map[string]spectrum.Curve { return columns("patches.csv") })

var d65 = sync.OnceValue(func() spectrum.Curve {
	c, err := spectrum.Lamp("D65")
	if err != nil {
		panic(err)
	}
	return c
})

// parseColour reads a colour cell of surfaces.csv (see its header).
func parseColour(cell string) (spectrum.Curve, error) {
	shape, level, scaled := strings.Cut(cell, "=")
	shape = strings.TrimSpace(shape)
	if shape == "" {
		return spectrum.Curve{}, nil
	}
	c, err := parseShape(shape)
	if err != nil || !scaled {
		return c, err
	}
	Y, err := strconv.ParseFloat(strings.TrimSpace(level), 64)
	if err != nil || !(Y >= 0 && Y <= 1) {
		return c, fmt.Errorf("level %q is not between 0 and 1", level)
	}
	is := spectrum.LuminousRatio(d65(), c)
	if !(is > 0) {
		return c, fmt.Errorf("the colour %q is black and cannot be scaled to %g", shape, Y)
	}
	return c.Scale(Y / is), nil
}

func parseShape(shape string) (spectrum.Curve, error) {
	if name, ok := strings.CutPrefix(shape, "patch "); ok {
		c, ok := patches()[name]
		if !ok {
			return c, fmt.Errorf("no chart patch is called %q", name)
		}
		return c, nil
	}
	if v, err := strconv.ParseFloat(shape, 64); err == nil {
		if !(v >= 0 && v <= 1) {
			return spectrum.Curve{}, fmt.Errorf("%g is not between 0 and 1", v)
		}
		return spectrum.Constant(v), nil
	}
	var pairs [][2]float64
	for _, p := range strings.Fields(shape) {
		a, b, ok := strings.Cut(p, ":")
		nm, err1 := strconv.ParseFloat(a, 64)
		v, err2 := strconv.ParseFloat(b, 64)
		if !ok || err1 != nil || err2 != nil {
			return spectrum.Curve{}, fmt.Errorf("%q is not 'nm:value'", p)
		}
		pairs = append(pairs, [2]float64{nm, v})
	}
	return spectrum.Smooth(pairs)
}
