package sheet

import (
	"fmt"
	"math"
	"strings"

	"halfstop/quantity"
)

var raised = []string{"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"}

// fParts splits N into the engraved whole stop at or under it and the raised tenth.
func fParts(n quantity.FNumber) (whole, tenth string) {
	w, t := n.Tenths()
	switch {
	case w == "-":
		return "–", ""
	case n < 0.5:
		return "<0.5", "" // a hand-held meter shows nothing under it (from memory)
	}
	return w, raised[t]
}

// aperture is the setting of the lens: the engraved number where it is one, else the whole stop
// with its tenth.
func aperture(n quantity.FNumber) string {
	if s, over := n.Engraved(); s != "-" && (math.Abs(float64(over)) < 0.06 || s == fmt.Sprintf("%g", float64(n))) {
		return s
	}
	w, t := fParts(n)
	return w + t
}

// signed writes numbers with U+2212.
func signed(v float64, digits int) string {
	r := math.Round(v*math.Pow10(digits)) / math.Pow10(digits)
	switch {
	case math.IsNaN(v):
		return "–"
	case r < 0:
		return fmt.Sprintf("−%.*f", digits, -r)
	case r > 0:
		return fmt.Sprintf("+%.*f", digits, r)
	}
	return fmt.Sprintf("±%.*f", digits, 0.0)
}

func levelWord(l int) string {
	switch {
	case l < 0:
		return fmt.Sprintf("−%d", -l)
	case l > 0:
		return fmt.Sprintf("+%d", l)
	}
	return "0"
}

// ruler prints lengths: metres with two decimals, or feet and inches to the half inch.
type ruler struct{ feet bool }

func (r ruler) length(m float64) string {
	if math.IsNaN(m) || math.IsInf(m, 0) {
		return "–"
	}
	if !r.feet {
		return strings.Replace(fmt.Sprintf("%.2f", m+0), "-", "−", 1)
	}
	sign := ""
	half := math.Round(m / 0.0127)
	if half < 0 {
		sign, half = "−", -half
	}
	ft := math.Floor(half / 24)
	rest := half - 24*ft
	in := fmt.Sprintf("%d", int(rest/2))
	if int(rest)%2 == 1 {
		if rest < 2 && ft == 0 {
			in = ""
		}
		in += "½"
	}
	if ft == 0 {
		return sign + in + "″"
	}
	return fmt.Sprintf("%s%d′ %s″", sign, int(ft), in)
}

// unit is the unit after a single length in metres. Feet have their own marks.
func (r ruler) unit() string {
	if r.feet {
		return ""
	}
	return "m"
}

func (r ruler) size(w, h float64, round bool) string {
	if round {
		return "Ø " + r.length(w)
	}
	return r.length(w) + " × " + r.length(h)
}

// scales offered, largest first: those of a scale ruler (1:20 to 1:125, 1:200 and on; common
// practice, no source), since a crew measures off the sheet with one.
func (r ruler) scales() []int {
	if r.feet {
		return []int{24, 32, 48, 64, 96, 192, 384}
	}
	return []int{20, 25, 50, 75, 100, 125, 200, 250, 500}
}

// scaleWords writes a scale; 1:48 is a quarter inch to the foot.
func (r ruler) scaleWords(s int) string {
	if r.feet {
		if w, ok := map[int]string{24: "½″", 32: "⅜″", 48: "¼″", 64: "3/16″", 96: "⅛″", 192: "1/16″",
			384: "1/32″"}[s]; ok {
			return w + " = 1′"
		}
	}
	return fmt.Sprintf("1:%d", s)
}

// typographic turns a hyphen that stands for a minus sign in the caller's text into U+2212.
func typographic(s string) string {
	rs := []rune(s)
	for i, r := range rs {
		if r == '-' && i+1 < len(rs) && (rs[i+1] >= '0' && rs[i+1] <= '9') &&
			(i == 0 || rs[i-1] == ' ' || rs[i-1] == '(') {
			rs[i] = '−'
		}
	}
	return string(rs)
}
