package claim

import (
	"math"
	"strconv"

	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// dim is the dimension of the claim's figure.
func (c Claim) dim() quantity.Dimension {
	d, _ := protection.Dimension(c.Protection, c.Quantity)
	return d
}

// digits is how many significant digits sentences carry: one more than the
// figures they speak of are worth, so that a margin can be seen.
const digits = 4

const celsius0 = 273.15 // K

// show prints v for a sentence, without idle zeros.
func show(v float64, d quantity.Dimension) string {
	if d == quantity.Temperature {
		return plain(round(v-celsius0, digits)+celsius0, d)
	}
	return plain(round(v, digits), d)
}

// showStep prints a difference: of temperatures in K.
func showStep(v float64, d quantity.Dimension) string {
	if d == quantity.Temperature {
		d = quantity.TemperatureDifference
	}
	return show(v, d)
}

// showRange prints both ends, or one figure when they are equal.
func showRange(low, high float64, d quantity.Dimension) string {
	a, b := show(low, d), show(high, d)
	if a == b {
		return a
	}
	return a + " to " + b
}

// showUnit prints v in the unit of that SI symbol.
func showUnit(v float64, unit string) string {
	for d := quantity.None + 1; d <= quantity.TemperatureDifference; d++ {
		if d.Unit() == unit {
			return show(v, d)
		}
	}
	return strconv.FormatFloat(round(v, digits), 'g', -1, 64) + " " + unit
}

// plain prints v as a quantity without limits.
func plain(v float64, d quantity.Dimension) string {
	q := quantity.Absent(d)
	q.Typ = v
	return q.String()
}

func round(v float64, digits int) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return r
}
