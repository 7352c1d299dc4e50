package day

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"

	"halfstop/shoot"
)

//go:embed durations.csv
var durationsCSV string

// Usual is how long an action takes where a crew has not said, and how many do it.
type Usual struct {
	Action string
	Dur    Duration
	Hands  int
	Source string
}

// Usuals gives the starting values of durations.csv, in its order.
func Usuals() []Usual {
	r := csv.NewReader(strings.NewReader(durationsCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("day: durations.csv: " + err.Error())
	}
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic("day: durations.csv: " + err.Error())
		}
		return x
	}
	var out []Usual
	for _, f := range rows {
		out = append(out, Usual{f[0], Duration{number(f[1]), number(f[2]), number(f[3])}, int(number(f[4])), f[5]})
	}
	return out
}

// Of turns a span of the file into a duration.
func Of(s shoot.Span) Duration { return Duration{float64(s.Low), float64(s.Likely), float64(s.High)} }
