package report

import (
	"strings"
	"testing"

	"cupel/internal/answer"
)

// TestBelowResolution: what is less than can be told is no figure, and does not
// choose its column's unit.
func TestBelowResolution(t *testing.T) {
	row := func(cell int, v float64) answer.Result {
		res := 1e-3
		return answer.Result{Quantity: "peak_voltage", Outcome: "found", Cell: &cell, Value: &v, Unit: "V", Resolution: &res}
	}
	column := []tableColumn{{name: "peak", takes: func(r answer.Result) bool { return r.Quantity == "peak_voltage" }}}
	for _, c := range []struct {
		values []float64
		want   string
	}{
		{[]float64{47.2e-6, 42e-6}, "1  < 1 mV 2  < 1 mV"},
		{[]float64{47.2e-6, 36.12}, "1  < 1 mV 2  36.12"},
		{[]float64{0, 2e-3}, "1  < 1 mV 2  2"},
	} {
		var rs []answer.Result
		for i, v := range c.values {
			rs = append(rs, row(i+1, v))
		}
		var got []string
		for _, r := range tabulate("", rs, []mark{byCell}, column).rows {
			got = append(got, r[0].String()+"  "+r[1].String())
		}
		if s := strings.ReplaceAll(strings.Join(got, " "), thin, " "); s != c.want {
			t.Errorf("%v: %q, want %q", c.values, s, c.want)
		}
	}
}
