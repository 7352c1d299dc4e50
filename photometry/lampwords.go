package photometry

import (
	"regexp"
	"strconv"
	"strings"
)

// inWords is a colour temperature in free text: '3000K', 'LED 4000 K'.
var inWords = regexp.MustCompile(`(?i)(?:^|[^0-9.])([1-9][0-9]{3,4})\s*°?K(?:$|[^a-z0-9])`)

// inCode is a colour by the lamp trade's three figures: rendering by its tens, then hundreds of
// kelvin ('840', '930').
var inCode = regexp.MustCompile(`^(?:LED\s*)?[6-9]([2-6][0-9])$`)

// LampKelvin is the colour temperature that the words about the lamp name, and those words; 0: none
// does, or they name several, as of a lamp that is tuned. Neither LM-63 nor EULUMDAT has a field of
// its own for it.
func (w *Web) LampKelvin() (kelvin float64, words string) {
	texts := []string{w.Lamp}
	for _, want := range []string{"LAMP", "LAMPCAT", "LUMINAIRE", "LUMCAT", "OTHER"} {
		for _, k := range w.Keywords {
			if k.Key == want || want == "LAMP" && strings.Contains(k.Key, "COLO") {
				texts = append(texts, k.Text)
			}
		}
	}
	for i, text := range texts {
		text = strings.Join(strings.Fields(text), " ")
		named := map[float64]bool{}
		for _, m := range inWords.FindAllStringSubmatch(text, -1) {
			if x, err := strconv.ParseFloat(m[1], 64); err == nil && x >= 1500 && x <= 20000 {
				named[x], kelvin = true, x
			}
		}
		x, err := strconv.ParseFloat(text, 64)
		switch m := inCode.FindStringSubmatch(text); {
		case len(named) == 1:
			return kelvin, text
		case len(named) > 1:
			return 0, text
		case i == 0 && err == nil && x >= 1500 && x <= 20000:
			return x, text
		case m != nil:
			x, _ := strconv.ParseFloat(m[1], 64)
			return 100 * x, text
		}
	}
	return 0, ""
}
