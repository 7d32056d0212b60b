package marking

import (
	"fmt"
	"math"
	"slices"
)

// e24 is the one series that no formula gives: eight of its values are not the
// rounded steps of a geometric series (IEC 60063:2015).
var e24 = []int{10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}

// names lists the series, the smallest first.
var names = []string{"E3", "E6", "E12", "E24", "E48", "E96", "E192"}

// series holds the preferred values of one decade, from 10 or from 100.
var series = map[string][]int{
	"E3": every(8, e24), "E6": every(4, e24), "E12": every(2, e24), "E24": e24,
	"E48": every(4, e192()), "E96": every(2, e192()), "E192": e192(),
}

// every takes each n-th value.
func every(n int, values []int) []int {
	var out []int
	for i := 0; i < len(values); i += n {
		out = append(out, values[i])
	}
	return out
}

// e192 is round(100·10^(i/192)), but for 920 (IEC 60063:2015).
func e192() []int {
	out := make([]int, 192)
	for i := range out {
		out[i] = int(math.Round(100 * math.Pow(10, float64(i)/192)))
		if out[i] == 919 {
			out[i] = 920
		}
	}
	return out
}

// InSeries reports whether v is a preferred value of the series "E24" or
// whichever, in any decade.
func InSeries(name string, v float64) bool {
	values := series[name]
	f, ok := figures(v)
	if !ok || len(values) == 0 {
		return false
	}
	if values[0] == 10 {
		if f%10 != 0 {
			return false
		}
		f /= 10
	}
	_, found := slices.BinarySearch(values, f)
	return found
}

// Series names the smallest series of preferred values that holds v, "" when
// none does. It is a hint: a value outside all of them is likely misread.
func Series(v float64) string {
	for _, name := range names {
		if InSeries(name, v) {
			return name
		}
	}
	return ""
}

// figures gives the first three figures of v; false when it has more.
func figures(v float64) (int, bool) {
	if !(v > 0) || math.IsInf(v, 0) {
		return 0, false
	}
	// The printed form has exactly the figures; a logarithm would not.
	text := fmt.Sprintf("%.9e", v)
	if text[4:11] != "0000000" {
		return 0, false
	}
	return int(text[0]-'0')*100 + int(text[2]-'0')*10 + int(text[3]-'0'), true
}
