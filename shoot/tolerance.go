package shoot

import (
	"math"
	"strconv"
	"strings"

	q "halfstop/quantity"
	"halfstop/yamltext"
)

// Tolerance is by how much a wish may be missed: in stops, or in the unit of what it asks for. The
// zero value is 'not written'.
type Tolerance struct {
	Value float64
	Unit  string // 'st', 'mired' or '%'
}

// Stops returns the tolerance of what is judged in stops; 0 where it is written in another unit or
// not at all.
func (t Tolerance) Stops() q.Stops {
	if t.Unit == "st" {
		return q.Stops(t.Value)
	}
	return 0
}

// mostBare is up to where a tolerance without a unit is taken for stops: 15 may be meant in mired.
const mostBare = 3

// UnmarshalNode reads '0.3 st', '15 mired' and '5 %'. A number without a unit is in stops; one that
// no tolerance in stops has is an error.
func (t *Tolerance) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	text, ok := d.Scalar(n, "a tolerance with its unit")
	if !ok {
		return
	}
	text = strings.TrimSpace(text)
	bare, err := strconv.ParseFloat(text, 64)
	isBare := err == nil
	if isBare && math.Abs(bare) > mostBare {
		d.Problem(n, "file.unit", "write "+text+" st, or with warmer "+text+" mired, or with ambient "+text+" %",
			"within: %s has no unit: it may be stops, mired or per cent", n.Said())
		return
	}
	stops, err := q.ParseStops(text)
	out := Tolerance{float64(stops), "st"}
	if m, e := q.ParseMired(text); e == nil && !isBare {
		out, err = Tolerance{float64(m), "mired"}, nil
	} else if s, e := q.ParseShare(text); e == nil && !isBare {
		out, err = Tolerance{100 * float64(s), "%"}, nil
	}
	switch {
	case err != nil:
		d.Problem(n, "file.value", "write it like 0.3 st; with warmer 15 mired, with ambient 5 %",
			"within: %s is no tolerance in stops, mired or per cent", n.Said())
	case out.Value < 0:
		d.Problem(n, "file.range", "write how much may be missed either way, like 0.3 st",
			"within: %s is under 0", n.Said())
	default:
		*t = out
	}
}

// bare reports whether a written value is a number without a unit.
func bare(text string) bool {
	return text != "" && strings.Trim(text, "0123456789.,+-") == ""
}
