package spectrum

import (
	"embed"
	"strconv"
	"strings"
)

//go:embed data/*.csv
var data embed.FS

// table is an embedded file of numbers: comment lines with '#', one line of column names, rows.
type table struct {
	names []string
	rows  [][]float64
}

// readTable parses an embedded table. An empty cell reads as zero. The files are part of the
// program: a bad one is a bug and panics at start.
func readTable(file string) table {
	b, err := data.ReadFile("data/" + file)
	if err != nil {
		panic(err)
	}
	var t table
	for _, line := range strings.Split(string(b), "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		cells := strings.Split(line, ",")
		if t.names == nil {
			t.names = cells
			continue
		}
		row := make([]float64, len(t.names))
		for i, c := range cells {
			if c == "" {
				continue
			}
			v, err := strconv.ParseFloat(c, 64)
			if err != nil {
				panic(file + ": " + err.Error())
			}
			row[i] = v
		}
		t.rows = append(t.rows, row)
	}
	return t
}

// curve returns a column as a curve over the first column, whose steps must be even.
func (t table) curve(name string) Curve {
	for j, n := range t.names {
		if n != name {
			continue
		}
		c := Curve{t.rows[0][0], t.rows[1][0] - t.rows[0][0], make([]float64, len(t.rows))}
		for i, r := range t.rows {
			c.V[i] = r[j]
		}
		return c
	}
	panic("no column " + name)
}
