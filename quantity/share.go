package quantity

import (
	"math"
	"strings"
)

// parseShare reads '62 %' as 0.62, and a bare number from 0 to 1 as it is.
func parseShare(s string) (float64, error) {
	if x, err := number(strings.TrimSpace(s)); err == nil && len(s) <= longest {
		if x < 0 || x > 1 {
			return 0, wrong("write "+digits(x)+" %", "the share %s has no unit", quoted(strings.TrimSpace(s)))
		}
		return x, nil
	}
	return share.parse(s)
}

// printShare returns percent where that reads back as the same float64, else the bare number, else
// the nearest percent.
func printShare(x float64) string {
	percent := digits(math.Round(x*1e8) / 1e6)
	if y, err := share.parse(percent + " %"); err == nil && y == x {
		return percent + " %"
	}
	if x >= 0 && x <= 1 {
		return digits(x)
	}
	return exactPercent(x)
}

// exactPercent finds the percentage that reads back as x. One exists within a few units in the last
// place.
func exactPercent(x float64) string {
	up, down := x*100, x*100
	for range 8 {
		for _, p := range []float64{up, down} {
			if p/100 == x {
				return digits(p) + " %"
			}
		}
		up, down = math.Nextafter(up, math.Inf(1)), math.Nextafter(down, math.Inf(-1))
	}
	return digits(x*100) + " %"
}

// parseISO reads '400', 'ISO 400', '400 ISO'.
func parseISO(s string) (float64, error) {
	t := strings.TrimSpace(s)
	if len(t) > 3 && strings.EqualFold(t[:3], "iso") {
		t = strings.TrimSpace(t[3:])
	}
	return iso.parse(t)
}

// signed prints a value with a plus where it is positive, since it is a difference.
func signed(m *measure, x float64) string {
	if x > 0 {
		return "+" + m.print(x)
	}
	return m.print(x)
}
