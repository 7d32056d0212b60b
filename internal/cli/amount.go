package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cupel/internal/quantity"
)

// amount is a flag that takes a bare number in the unit its help names, or a
// quantity with its unit: 40, "40 °C", 20 A.
type amount struct {
	value *float64
	dim   quantity.Dimension // Temperature is kept in °C
	word  string             // of the value in help
}

// String prints the default.
func (a amount) String() string {
	if a.value == nil || *a.value == 0 {
		return ""
	}
	return strconv.FormatFloat(*a.value, 'g', -1, 64)
}

// Type names the value in messages.
func (a amount) Type() string { return a.word }

// Set reads a value.
func (a amount) Set(text string) error {
	text = strings.TrimSpace(text)
	if v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64); err == nil && !math.IsInf(v, 0) && !math.IsNaN(v) {
		*a.value = v
		return nil
	}
	q, err := quantity.Parse(text, a.dim)
	if err != nil {
		return fmt.Errorf("expected a %s, as %s", a.dim.Name(), map[bool]string{true: "40", false: "20"}[a.dim == quantity.Temperature])
	}
	*a.value = q.Nominal()
	if a.dim == quantity.Temperature {
		*a.value -= 273.15
	}
	return nil
}

// plainFlagError takes the parser's own words out of a mistake in a flag.
func plainFlagError(err error) error {
	for _, kind := range []struct{ of, want string }{{"strconv.ParseFloat", "a number"}, {"strconv.ParseInt", "a whole number"}, {"strconv.ParseUint", "a whole number of 0 or more"}} {
		if text, _, ok := strings.Cut(err.Error(), ": "+kind.of); ok {
			return fmt.Errorf("%s: expected %s", text, kind.want)
		}
	}
	return err
}
