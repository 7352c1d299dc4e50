package quantity

import (
	"math"
	"strings"
)

// ParseSeconds reads a time: '1/125 s', '1/125', '2 s', '0.5 s', '8 ms'. The number counts as
// written: 1/125 is 0.008 s, not 2^-7. A whole number without a unit is an error, since '60' more
// likely means 1/60. Check: TestSeconds.
func ParseSeconds(s string) (Seconds, error) {
	t := strings.TrimSpace(s)
	top, rest := leading(t)
	rest = strings.TrimSpace(rest)
	if len(t) > longest || top == "" || !strings.HasPrefix(rest, "/") {
		x, err := second.parse(s)
		if err == nil {
			return Seconds(x), nil
		}
		if n, e := number(t); e == nil && n > 1 {
			return 0, wrong("write 1/"+t+" s or "+t+" s", "the time %s has no unit", quoted(t))
		}
		return 0, err
	}
	bottom, unit := leading(strings.TrimSpace(rest[1:]))
	if u := plain(unit); u != "" && u != "s" && u != "sec" && u != "second" && u != "seconds" {
		return 0, second.wrongUnit(t, unit)
	}
	a, err := number(top)
	if err != nil {
		return 0, err
	}
	b, err := number(bottom)
	if err != nil {
		return 0, err
	}
	if !(b > 0) {
		return 0, wrong("write it like 1/125 s", "%s is not a time", quoted(t))
	}
	x, err := finite(t, a/b)
	return Seconds(x), err
}

// String returns t so that it reads back as the same float64: '1/125 s', '2 s', '0.3 s'.
func (t Seconds) String() string {
	x := float64(t)
	if n := math.Round(1 / x); x > 0 && x < 1 && n < 1e9 && 1/n == x && n >= 2 {
		return "1/" + digits(n) + " s"
	}
	return second.print(x)
}

// Engraved returns the nearest setting of the engraved third-stop series as text ('1/125 s'), its
// time as written, and how far t lies over that time in stops (positive: longer). "-", 0, 0 for
// what is no time. Check: TestShutterEngraved.
func (t Seconds) Engraved() (text string, at Seconds, over Stops) {
	if !(t > 0) || math.IsInf(float64(t), 0) {
		return "-", 0, 0
	}
	best := math.Inf(1)
	for _, e := range sSeries {
		if d := math.Log2(float64(t) / e.shown); math.Abs(d) < math.Abs(best) {
			best, text, at = d, e.text, Seconds(e.shown)
		}
	}
	return text + " s", at, Stops(best)
}
