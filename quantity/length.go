package quantity

import (
	"math"
	"strconv"
	"strings"
)

// parseLength reads '2.4 m', '35 mm', '7 ft 10 in', `7'10"`, `5' 7.5"`; a bare number is metres.
func parseLength(s string) (float64, error) {
	t := strings.TrimSpace(s)
	n, rest := leading(t)
	if len(t) > longest || n == "" {
		return metre.parse(s)
	}
	i := strings.IndexAny(rest, "0123456789")
	if i < 0 {
		return metre.parse(s)
	}
	first, second := plain(rest[:i]), rest[i:]
	if u, ok := metre.find(first); !ok || u.times != 3048 {
		return metre.parse(s)
	}
	n2, rest2 := leading(second)
	u2 := plain(rest2)
	if u2 == "" {
		u2 = "in"
	}
	if u, ok := metre.find(u2); !ok || u.times != 254 {
		return 0, wrong("write it like 7 ft 10 in", "%s is not a length", quoted(t))
	}
	feet, err := number(n)
	if err != nil {
		return 0, err
	}
	inches, err := number(n2)
	if err != nil {
		return 0, err
	}
	if inches >= 12 || feet != math.Trunc(feet) {
		return 0, wrong("write whole feet and under 12 inches, like 7 ft 10 in", "%s is not a length", quoted(t))
	}
	if strings.HasPrefix(n, "-") || strings.HasPrefix(n, "−") || strings.HasPrefix(n, "–") {
		inches = -inches
	}
	return finite(t, (feet*12+inches)*254/10000)
}

// Feet returns m in feet and inches, to the nearest whole inch: '7 ft 10 in', '10 in', '-1 ft 2
// in'. It is rounded, so it does not read back exactly; String does.
func (m Metres) Feet() string {
	inches := math.Round(float64(m) / 0.0254)
	sign := ""
	if inches < 0 {
		sign, inches = "-", -inches
	}
	if math.IsNaN(inches) || inches > 1e15 {
		return m.String()
	}
	ft, in := int64(inches)/12, int64(inches)%12
	switch {
	case ft == 0:
		return sign + strconv.FormatInt(in, 10) + " in"
	case in == 0:
		return sign + strconv.FormatInt(ft, 10) + " ft"
	}
	return sign + strconv.FormatInt(ft, 10) + " ft " + strconv.FormatInt(in, 10) + " in"
}
