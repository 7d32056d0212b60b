package cli

import (
	"errors"
	"math"
	"testing"

	"cupel/internal/quantity"
)

func TestAmount(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  quantity.Dimension
		want float64 // NaN: refused
	}{
		{"40", quantity.Temperature, 40},
		{"40 °C", quantity.Temperature, 40},
		{"-20", quantity.Temperature, -20},
		{"313.15 K", quantity.Temperature, 40},
		{"20", quantity.Current, 20},
		{"20 A", quantity.Current, 20},
		{"2,5", quantity.Current, 2.5},
		{"500mA", quantity.Current, 0.5},
		{"20 V", quantity.Current, math.NaN()},
		{"inf", quantity.Current, math.NaN()},
		{"", quantity.Current, math.NaN()},
	} {
		v := 0.0
		err := amount{&v, c.dim, "X"}.Set(c.text)
		if math.IsNaN(c.want) != (err != nil) || err == nil && math.Abs(v-c.want) > 1e-9 {
			t.Errorf("%q: %g, %v; want %g", c.text, v, err, c.want)
		}
	}
}

func TestFlagErrorsSpeakPlainly(t *testing.T) {
	got := plainFlagError(errors.New(`invalid argument "x" for "--cells" flag: strconv.ParseInt: parsing "x": invalid syntax`))
	if got.Error() != `invalid argument "x" for "--cells" flag: expected a whole number` {
		t.Error(got)
	}
}
