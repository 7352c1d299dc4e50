package quantity

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
)

//go:embed series.csv
var seriesCSV string

// engraved is one row of the engraved third-stop series: third k, and the number shown.
type engraved struct {
	third int
	text  string
	shown float64
}

var fSeries, sSeries = readSeries(seriesCSV)

func readSeries(csv string) (f, s []engraved) {
	for line := range strings.Lines(csv) {
		cells := strings.Split(strings.TrimSpace(line), ",")
		if strings.HasPrefix(line, "#") || len(cells) != 3 {
			continue
		}
		k, err := strconv.Atoi(cells[1])
		if err != nil {
			panic("quantity: series.csv: " + line)
		}
		top, bottom, isFraction := strings.Cut(cells[2], "/")
		x, err := strconv.ParseFloat(top, 64)
		if isFraction {
			x, err = strconv.ParseFloat(bottom, 64)
			x = 1 / x
		}
		if err != nil {
			panic("quantity: series.csv: " + line)
		}
		if cells[0] == "f" {
			f = append(f, engraved{k, cells[2], x})
		} else {
			s = append(s, engraved{k, cells[2], x})
		}
	}
	return f, s
}

// ParseFNumber reads an f-number from 0.01 to 1000.
//
// A number of the engraved third-stop series stands for the exact value 2^(k/6): 'f/5.6', 'F5.6'
// and '5.6' are 5.65685. Any other number is taken as it is (f/4.2 is 4.2), and so is one with two
// or more decimals (f/5.60 is 5.6). Tenths of stops may follow; plus is towards the higher number,
// for more light metered or less let through: 'f/5.6 + 0.3' is 2^(5/2)·2^(0.3/2). Check:
// TestFNumber.
func ParseFNumber(s string) (FNumber, error) {
	const like = "write it like f/5.6 or f/5.6 + 0.3"
	t := strings.TrimSpace(s)
	if t == "" || len(t) > longest {
		return 0, wrong(like, "%s is not an f-number", quoted(t))
	}
	body := strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(t, "f"), "F"))
	body = strings.TrimSpace(strings.TrimPrefix(body, "/"))
	n, rest := leading(body)
	if n == "" || n[0] == '+' || n[0] == '-' {
		return 0, wrong(like, "%s is not an f-number", quoted(t))
	}
	x, err := number(n)
	if err != nil {
		return 0, err
	}
	tenths, err := addend(t, rest, like)
	if err != nil {
		return 0, err
	}
	f := FNumber(x * math.Exp2(tenths/2))
	if third, ok := thirdOf(n, x); ok {
		f = exactF(third, tenths)
	}
	if !(f >= 0.01 && f <= 1000) {
		return 0, wrong(like, "f-number %s is outside 0.01 to 1000", quoted(t))
	}
	return f, nil
}

// thirdOf finds n in the engraved series. A number with two decimals or an exponent is never in it.
func thirdOf(n string, x float64) (int, bool) {
	_, decimals, _ := strings.Cut(strings.Replace(n, ",", ".", 1), ".")
	if len(decimals) > 1 || strings.ContainsAny(n, "eE") {
		return 0, false
	}
	for _, e := range fSeries {
		if e.shown == x {
			return e.third, true
		}
	}
	return 0, false
}

// exactF returns 2^(third/6 + stops/2). Tenths of stops and thirds share the denominator 60, so f/4
// + 0.7 and f/5.6 - 0.3 are the same float64.
func exactF(third int, st float64) FNumber {
	if t := math.Round(st * 10); t/10 == st && math.Abs(t) < 1e6 {
		return FNumber(math.Exp2((10*float64(third) + 3*t) / 60))
	}
	return FNumber(math.Exp2(float64(third)/6 + st/2))
}

// addend reads '+ 0.3', '- 0.3' or nothing, in stops. Error: more than 20 stops.
func addend(whole, rest, like string) (float64, error) {
	r := strings.TrimSpace(rest)
	if r == "" {
		return 0, nil
	}
	r = strings.NewReplacer("−", "-", "–", "-").Replace(r)
	if r[0] != '+' && r[0] != '-' {
		return 0, wrong(like, "%s is followed by %s, which is no tenths of stops",
			quoted(strings.TrimSpace(strings.TrimSuffix(whole, rest))), quoted(r))
	}
	n, unit := leading(strings.TrimSpace(r[1:]))
	if u := plain(unit); n == "" || n[0] == '+' || n[0] == '-' || u != "" && u != "st" && u != "stop" && u != "stops" {
		return 0, wrong(like, "%s after %s is no number of stops", quoted(strings.TrimSpace(r)),
			quoted(strings.TrimSpace(strings.TrimSuffix(whole, rest))))
	}
	x, err := number(n)
	if err != nil {
		return 0, err
	}
	if x > 20 {
		return 0, wrong(like, "%s adds more than 20 stops", quoted(whole))
	}
	if r[0] == '-' {
		x = -x
	}
	return x, nil
}

// String returns n so that it reads back as the same float64: 'f/5.6', 'f/5.6 + 0.3', 'f/4.2'.
// Exactly 5.6 is 'f/5.60'.
func (n FNumber) String() string {
	x := float64(n)
	sixtieths := math.Round(60 * math.Log2(x))
	if x > 0 && math.Abs(sixtieths) < 1e4 && math.Exp2(sixtieths/60) == x {
		if s, ok := seriesText(int(sixtieths)); ok {
			return s
		}
	}
	s := digits(x)
	if _, ok := thirdOf(s, x); ok {
		if !strings.Contains(s, ".") {
			s += ".0"
		}
		s += "0"
	}
	return "f/" + s
}

// seriesText writes 2^(i/60) with the engraved numbers and tenths, whole stops first.
func seriesText(i int) (string, bool) {
	if i%3 == 0 {
		tenths := i / 3
		k := floorDiv(tenths, 10)
		if e, ok := engravedF(3 * k); ok {
			return withTenths("f/"+e, tenths-10*k), true
		}
	}
	for _, t := range []int{0, 1, -1, 2, -2, 3, -3} {
		if (i-3*t)%10 == 0 {
			if e, ok := engravedF((i - 3*t) / 10); ok {
				return withTenths("f/"+e, t), true
			}
		}
	}
	return "", false
}

func engravedF(third int) (string, bool) {
	for _, e := range fSeries {
		if e.third == third {
			return e.text, true
		}
	}
	return "", false
}

func withTenths(s string, t int) string {
	switch {
	case t > 0:
		return s + " + " + digits(float64(t)/10)
	case t < 0:
		return s + " - " + digits(float64(-t)/10)
	}
	return s
}

func floorDiv(a, b int) int { return int(math.Floor(float64(a) / float64(b))) }

// Tenths returns n as a meter shows it: the engraved whole stop at or under n, and the tenths of a
// stop above it, 0 to 9.
//
// 4.29 gives "4" and 2. A tenth is never 10: 5.64 gives "5.6" and 0. Outside the series 0.7 to 128
// the whole stop is computed, like "181". Zero, negative and non-finite n give "-" and 0. Check:
// TestTenths.
func (n FNumber) Tenths() (whole string, tenth int) {
	t := math.Round(20 * math.Log2(float64(n)))
	if !(n > 0) || math.IsInf(t, 0) {
		return "-", 0
	}
	k := math.Floor(t / 10)
	tenth = int(t - 10*k)
	if e, ok := engravedF(3 * int(k)); ok {
		return e, tenth
	}
	return strconv.FormatFloat(math.Exp2(k/2), 'g', 2, 64), tenth
}

// Meter returns n as a meter shows it, always with a tenth: 'f/4 + 0.2', 'f/4 + 0.0'. It is
// rounded, so it does not read back exactly; String does.
func (n FNumber) Meter() string {
	whole, tenth := n.Tenths()
	return "f/" + whole + " + 0." + strconv.Itoa(tenth)
}

// Engraved returns the nearest number of the engraved third-stop series as text ('5.6'), and how
// far n lies over its exact value in stops (positive: n is the higher number). "-" and 0 for what
// is no f-number.
func (n FNumber) Engraved() (text string, over Stops) {
	if !(n > 0) || math.IsInf(float64(n), 0) {
		return "-", 0
	}
	best := math.Inf(1)
	for _, e := range fSeries {
		if d := 2*math.Log2(float64(n)) - float64(e.third)/3; math.Abs(d) < math.Abs(best) {
			best, text = d, e.text
		}
	}
	return text, Stops(best)
}
