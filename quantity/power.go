package quantity

import (
	"math"
	"strings"
)

// Power is a flash setting in stops relative to full power: 0 is full, -2 a quarter, -2.3 a quarter
// less three tenths. Written '1/1', '1/4', '1/4 - 0.3', '1/8 + 0.7'.
type Power Stops

// Times returns the part of the full energy, 2^p.
func (p Power) Times() float64 { return math.Exp2(float64(p)) }

// ParsePower reads '1/4', '1/4 - 0.3', 'full', from 20 stops under full to 3 over. A fraction whose
// denominator is a power of two counts as whole stops. Check: TestPower.
func ParsePower(s string) (Power, error) {
	const like = "write it like 1/4 or 1/4 - 0.3"
	t := strings.TrimSpace(s)
	if t == "" || len(t) > longest {
		return 0, wrong(like, "%s is not a flash setting", quoted(t))
	}
	body := t
	if len(t) >= 4 && strings.EqualFold(t[:4], "full") {
		body = "1/1" + t[4:]
	}
	top, rest := leading(body)
	rest = strings.TrimSpace(rest)
	if !strings.HasPrefix(rest, "/") {
		return 0, wrong(like, "%s is not a flash setting", quoted(t))
	}
	bottom, rest := leading(strings.TrimSpace(rest[1:]))
	a, errA := number(top)
	b, errB := number(bottom)
	if errA != nil || errB != nil || !(a > 0) || !(b > 0) {
		return 0, wrong(like, "%s is not a flash setting", quoted(t))
	}
	st, err := addend(t, rest, like)
	if err != nil {
		return 0, err
	}
	k := math.Log2(a / b)
	p := sumDecimal(k, st)
	if p > 3 || p < -20 || math.IsNaN(p) {
		return 0, wrong(like, "%s is outside 20 stops under full to 3 over", quoted(t))
	}
	return Power(p), nil
}

// sumDecimal adds st, which has few decimals, to k, so that -2 and -0.3 give the float64 nearest to
// -2.3.
func sumDecimal(k, st float64) float64 {
	for _, d := range []float64{10, 100, 1000} {
		if n := math.Round(st * d); n/d == st && k == math.Trunc(k) {
			return (k*d + n) / d
		}
	}
	return k + st
}

// String returns p about its nearest whole stop, so that it reads back as the same float64: '1/4 -
// 0.3', '1/8', '1/1'.
func (p Power) String() string {
	x := float64(p)
	if math.IsNaN(x) || math.Abs(x) > 60 {
		return stops.print(x)
	}
	k := math.Min(math.Round(x), 0)
	text := "1/" + digits(math.Exp2(-k))
	r := x - k
	for _, d := range []float64{10, 100, 1000} {
		if n := math.Round(r * d); (k*d+n)/d == x {
			r = n / d
			break
		}
	}
	switch {
	case r > 0:
		return text + " + " + digits(r)
	case r < 0:
		return text + " - " + digits(-r)
	}
	return text
}
