package marking

import (
	"math"
	"slices"
	"testing"
)

// TestSeries holds the tables against IEC 60063:2015 as abstracts and
// chip-resistor data sheets print them.
func TestSeries(t *testing.T) {
	for name, want := range map[string][]int{
		"E6":  {10, 15, 22, 33, 47, 68},
		"E12": {10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82},
		"E96": {
			100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158, 162, 165, 169,
			174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294,
			301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511,
			523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887,
			909, 931, 953, 976,
		},
	} {
		if !slices.Equal(series[name], want) {
			t.Errorf("%s is %v", name, series[name])
		}
	}
	if !slices.IsSorted(series["E192"]) || len(slices.Compact(slices.Clone(series["E192"]))) != 192 {
		t.Errorf("E192 has %v", series["E192"])
	}
}

// TestE24IsNoFormula: eight values differ from the rounded geometric steps.
func TestE24IsNoFormula(t *testing.T) {
	var differ []int
	for i, v := range e24 {
		if f := int(math.Round(10 * math.Pow(10, float64(i)/24))); f != v {
			differ = append(differ, v)
		}
	}
	if !slices.Equal(differ, []int{27, 30, 33, 36, 39, 43, 47, 82}) {
		t.Errorf("%v differ", differ)
	}
}

func TestSmallestSeries(t *testing.T) {
	for v, want := range map[float64]string{
		4700: "E3", 0.1: "E3", 6.8e-9: "E6", 1.2e6: "E12", 0.0051: "E24", 17.4e3: "E96", 178: "E48", 92e3: "E192",
		17.5e3: "", 0: "", 1234: "", 0.3: "E24", 2.2e-12: "E3", 1e-6: "E3",
	} {
		if got := Series(v); got != want {
			t.Errorf("%g is of %q, want %q", v, got, want)
		}
	}
}
