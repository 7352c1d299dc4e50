package quantity

import (
	"encoding/json"
	"math"
)

// Each quantity has the same methods: ParseX, String, MarshalText, UnmarshalText, MarshalJSON,
// UnmarshalJSON. Text has the unit and reads back as the same float64 (FuzzText). JSON has the bare
// number in the base unit, since the keys of answers name the unit; text with a unit is read as
// well. What is not finite is null in JSON and an error in text.

func text(x float64, s string) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, wrong("", "%v is not finite and cannot be written", x)
	}
	return []byte(s), nil
}

func into[T any](p *T, parse func(string) (T, error), b []byte) error {
	x, err := parse(string(b))
	if err == nil {
		*p = x
	}
	return err
}

func toJSON(x float64) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(x)
}

func fromJSON[T ~float64](p *T, parse func(string) (T, error), b []byte) error {
	if len(b) > 0 && b[0] == '"' {
		var s string
		if err := json.Unmarshal(b, &s); err != nil {
			return err
		}
		return into(p, parse, []byte(s))
	}
	var x float64
	if err := json.Unmarshal(b, &x); err != nil {
		return err
	}
	*p = T(x)
	return nil
}
