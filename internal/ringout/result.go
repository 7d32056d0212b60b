package ringout

import (
	"errors"
	"fmt"
	"strings"

	"cupel/internal/quantity"
)

// ReadResult reads what a person says the meter showed: connected, open, a
// resistance (0.4, 4k7, >20M, OL) or a forward drop (0.61 V). Letters c and o
// stand for the first two.
func ReadResult(s string) (Result, float64, error) {
	s = strings.TrimSpace(s)
	switch strings.ToLower(s) {
	case "connected", "c", "beep":
		return Connected, 0, nil
	case "open", "o", "ol", "0l", "nothing":
		return Open, 0, nil
	}
	value := strings.TrimSpace(strings.TrimPrefix(s, ">")) // beyond the range: at least that much
	if v, err := exact(value, quantity.Resistance); err == nil {
		return Ohms, v, nil
	}
	if v, err := exact(value, quantity.Voltage); err == nil && value == s {
		return Drop, v, nil
	}
	return "", 0, fmt.Errorf("%q is no reading: connected, open, a resistance as 0.4 or 4k7, OL, or a drop as 0.61 V", s)
}

// exact reads a single value of 0 or more.
func exact(s string, d quantity.Dimension) (float64, error) {
	q, err := quantity.Parse(s, d)
	switch {
	case err != nil:
		return 0, err
	case q.Typ != q.Low() || q.Typ != q.High() || !(q.Typ >= 0):
		return 0, errors.New("not a single value")
	}
	return q.Typ, nil
}
