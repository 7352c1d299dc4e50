package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// longest is the length of the longest text that is read as a quantity, in bytes.
const longest = 80

// parseError holds what is wrong with a written quantity, and what to write instead.
type parseError struct{ text, fix string }

// What is the first half of the message: what is wrong.
func (e *parseError) What() string { return e.text }
func (e *parseError) Fix() string  { return e.fix }

func (e *parseError) Error() string {
	if e.fix == "" {
		return e.text
	}
	return e.text + ": " + e.fix
}

// Split returns the two halves of an error made by this room: what is wrong, and what to write
// instead ("" where that is not known).
func Split(err error) (text, fix string) {
	var p *parseError
	if errors.As(err, &p) {
		return p.text, p.fix
	}
	return err.Error(), ""
}

func wrong(fix, format string, args ...any) error {
	return &parseError{fmt.Sprintf(format, args...), fix}
}

// quoted shortens what was written so that a message stays readable.
func quoted(s string) string {
	if len(s) > longest {
		s = s[:longest] + "…"
	}
	return strconv.Quote(strings.ToValidUTF8(s, "�"))
}

// leading splits s after the number at its head: sign, digits, point or comma, exponent. The signs
// '−' and '–' read as '-'.
func leading(s string) (number, rest string) {
	i := 0
	if r, n := utf8.DecodeRuneInString(s); r == '-' || r == '+' || r == '−' || r == '–' {
		i = n
	}
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.' || s[i] == ',') {
		i++
	}
	if i+1 < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if s[j] == '-' || s[j] == '+' {
			j++
		}
		if j < len(s) && s[j] >= '0' && s[j] <= '9' {
			for j < len(s) && s[j] >= '0' && s[j] <= '9' {
				j++
			}
			i = j
		}
	}
	return s[:i], s[i:]
}

// number reads a finite decimal number. A comma is the decimal sign where it can be nothing else.
func number(s string) (float64, error) {
	t := strings.NewReplacer("−", "-", "–", "-").Replace(s)
	if strings.Count(t, ",") == 1 && !strings.Contains(t, ".") {
		front, back, _ := strings.Cut(t, ",")
		digits := strings.TrimLeft(front, "+-")
		if digits == "" || back == "" {
			return 0, wrong("", "%s is not a number", quoted(s))
		}
		if len(back) == 3 && digits != "0" {
			return 0, wrong("write "+front+back+" or "+front+"."+back, "the comma in %s may part thousands or decimals",
				quoted(s))
		}
		t = front + "." + back
	}
	if strings.Contains(t, ",") {
		return 0, wrong("write decimals with a point and thousands with nothing", "%s is not a number", quoted(s))
	}
	if t == "" || strings.Trim(t, "0123456789.+-eE") != "" || !strings.ContainsAny(t, "0123456789") {
		return 0, wrong("", "%s is not a number", quoted(s))
	}
	x, err := strconv.ParseFloat(t, 64)
	if errors.Is(err, strconv.ErrRange) || math.Abs(x) > 1e300 {
		return 0, wrong("", "the number %s is too large", quoted(s))
	}
	if err != nil {
		return 0, wrong("", "%s is not a number", quoted(s))
	}
	return x + 0, nil
}

// ParseNumber reads a plain finite number without a unit, with a decimal point or an unambiguous
// decimal comma.
func ParseNumber(s string) (float64, error) {
	t := strings.TrimSpace(s)
	if len(t) > longest {
		return 0, wrong("", "%s is not a number", quoted(s))
	}
	n, rest := leading(t)
	if n == "" || strings.TrimSpace(rest) != "" {
		return 0, wrong("write the number alone", "%s is not a plain number", quoted(s))
	}
	return number(n)
}

// digits returns x so that it reads back as the same float64, without an exponent between 1e-6 and
// 1e15.
func digits(x float64) string {
	if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e15) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
