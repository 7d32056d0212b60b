package claim

import (
	"fmt"
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

// show prints v for a sentence, with four digits and an SI prefix.
func show(v float64, d quantity.Dimension) string {
	if d == quantity.Temperature {
		return trim(v-273.15, 3) + " °C"
	}
	return showUnit(v, symbol[d])
}

// showStep prints a difference: of temperatures in K.
func showStep(v float64, d quantity.Dimension) string {
	if d == quantity.Temperature {
		return trim(v, 3) + " K"
	}
	return showUnit(v, symbol[d])
}

// showRange prints both ends, or one figure when they are equal.
func showRange(low, high float64, d quantity.Dimension) string {
	a, b := show(low, d), show(high, d)
	if a == b {
		return a
	}
	return a + " to " + b
}

// showValue prints what was found, in the unit of the claim's trial.
func showValue(v float64, p Prediction, c Claim) string {
	return showUnit(v, protection.UnitOf(c.Protection, p.Quantity))
}

var symbol = map[quantity.Dimension]string{
	quantity.Voltage: "V", quantity.Current: "A", quantity.Resistance: "Ω", quantity.Time: "s",
	quantity.Power: "W", quantity.Energy: "J", quantity.Frequency: "Hz", quantity.TemperatureDifference: "K",
}

// prefixes are the SI prefixes that figures of the trade use.
var prefixes = []struct {
	factor float64
	name   string
}{{1e9, "G"}, {1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}, {1e-12, "p"}}

func showUnit(v float64, unit string) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Sprintf("%g %s", v, unit)
	}
	p := prefixes[len(prefixes)-1]
	for _, q := range prefixes {
		// 0.99995 prints as 1.000 with four digits.
		if math.Abs(v) >= 0.99995*q.factor {
			p = q
			break
		}
	}
	return trim(v/p.factor, 4) + " " + p.name + unit
}

// trim prints v with so many significant digits and no idle zeros.
func trim(v float64, digits int) string {
	s, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return strconv.FormatFloat(s, 'f', -1, 64)
}
