package learn

import (
	_ "embed"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
)

//go:embed causes.csv
var causesCSV string

// Cause is a mistake that would explain a reading.
type Cause struct {
	Words string
	Stops float64 // by which it moves a reading
	Share float64 // its chance among the causes known, 0 to 1
	// Shows is what else tells it: 'colour', 'shadows', 'meter' where it is no fault of the light;
	// or nothing.
	Shows string
}

// spread is how far a cause's own size varies, stops (common practice, no source).
const spread = 0.3

// table gives the rows of causes.csv; Share is the weight.
func table() []Cause {
	r := csv.NewReader(strings.NewReader(causesCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("learn: causes.csv: " + err.Error())
	}
	var out []Cause
	for _, f := range rows {
		s, err1 := strconv.ParseFloat(f[0], 64)
		w, err2 := strconv.ParseFloat(f[1], 64)
		if err1 != nil || err2 != nil {
			panic("learn: causes.csv: " + strings.Join(f, ","))
		}
		out = append(out, Cause{f[3], s, w, f[2]})
	}
	return out
}

// causesOf lists the causes that fit a reading that is off by so many stops, most likely first;
// those under one in ten are left out.
func causesOf(off float64) []Cause {
	all := table()
	sum := 0.0
	for i := range all {
		// A head that did not fire leaves whatever else is there: far below, no size is more
		// likely than another.
		d := off - all[i].Stops
		if all[i].Stops <= -8 && off < -4 {
			d = 0
		}
		all[i].Share *= math.Exp(-d * d / (2 * spread * spread))
		sum += all[i].Share
	}
	if sum < 1e-12 {
		return nil
	}
	var out []Cause
	for _, c := range all {
		if c.Share /= sum; c.Share >= 0.1 {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Cause) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}

// Mistakes lists what may be wrong with a light where no meter is in a hand, each with the stops by
// which it moves the light; Share is its chance among them. A light that is off is not in it.
func Mistakes() (out []Cause) {
	sum := 0.0
	for _, c := range table() {
		if c.Shows != "meter" && c.Stops > -8 {
			out = append(out, c)
			sum += c.Share
		}
	}
	for i := range out {
		out[i].Share /= sum
	}
	return out
}
