package marking

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/quantity"
)

// Codes lists the marks that a part of value v may bear, each of which reads
// back as v. It is empty for a value with more than three figures.
func Codes(d quantity.Dimension, v float64) []string {
	f, ok := figures(v)
	if !ok {
		return nil
	}
	switch d {
	case quantity.Resistance:
		return resistorCodes(f, decade(v))
	case quantity.Capacitance:
		return capacitorCodes(f, decade(v)+12)
	}
	return nil
}

// decade is n where v = f·10^n and f the three figures of v.
func decade(v float64) int {
	var n int
	_, e, _ := strings.Cut(fmt.Sprintf("%.9e", v), "e")
	_, _ = fmt.Sscan(e, &n)
	return n - 2
}

func resistorCodes(f, n int) []string {
	var out []string
	if f%10 == 0 && n+1 >= 0 && n+1 <= 7 {
		out = append(out, fmt.Sprintf("%d%d", f/10, n+1))
	}
	if n >= 0 && n <= 6 {
		out = append(out, fmt.Sprintf("%d%d", f, n))
	}
	if n < 0 {
		out = append(out, withPoint(f, n))
	}
	if i, ok := slices.BinarySearch(series["E96"], f); ok {
		for _, letter := range "ZYXABCDEF" {
			if eia96Exponents[byte(letter)] == n {
				out = append(out, fmt.Sprintf("%02d%c", i+1, letter))
			}
		}
	}
	return out
}

// withPoint writes f·10^n ohms under 100 Ω with an R for the point.
func withPoint(f, n int) string {
	whole := float64(f) * math.Pow10(n)
	if f%10 == 0 {
		f, n = f/10, n+1
	}
	if f%10 == 0 && n < 0 {
		f, n = f/10, n+1
	}
	if n >= 0 {
		return fmt.Sprintf("%.0fR", whole)
	}
	text := fmt.Sprintf("%0*d", -n, f)
	return text[:len(text)+n] + "R" + text[len(text)+n:]
}

// capacitorCodes writes f·10^n picofarads.
func capacitorCodes(f, n int) []string {
	if f%10 != 0 {
		return nil
	}
	switch f, n = f/10, n+1; {
	case n >= 0 && n <= 7:
		return []string{fmt.Sprintf("%d%d", f, n)}
	case n == -1:
		return []string{fmt.Sprintf("%d9", f)}
	case n == -2:
		return []string{fmt.Sprintf("%d8", f)}
	}
	return nil
}

// nearest is the value of E24 or E96 that lies nearest to v; NaN for none.
func nearest(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return math.NaN()
	}
	best := math.NaN()
	for _, name := range []string{"E24", "E96"} {
		values := series[name]
		scale := math.Pow10(int(math.Floor(math.Log10(v))))
		for _, n := range append(values[:len(values):len(values)], 10*values[0]) {
			w := float64(n) / float64(values[0]) * scale
			if math.IsNaN(best) || math.Abs(w-v) < 0.7*math.Abs(best-v) {
				best = w
			}
		}
	}
	// The product of a table value and a power of ten, as a person types it.
	return round(best)
}

// round gives the decimal of three figures nearest to v.
func round(v float64) float64 {
	var out float64
	if _, err := fmt.Sscan(fmt.Sprintf("%.2e", v), &out); err != nil {
		return math.NaN()
	}
	return out
}
