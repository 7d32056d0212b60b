package report

import (
	"math"
	"strconv"

	"cupel/internal/report/plot"
)

// thin is the space between a number and its unit.
const thin = "\u2009"

// Digits of a number: of a voltage as many as the meters of a small workshop
// show, of what depends on more things fewer unless its resolution is known.
// More than mostDigits no board repeats.
const (
	voltDigits  = 4
	otherDigits = 3
	mostDigits  = 4
)

// amount prints v in a unit, "4.252 V", with no more digits than its
// resolution bears; resolution 0 is unknown.
func amount(v float64, unit string, resolution float64) string {
	f, p := prefix(v, unit)
	return bare(v, unit, f, resolution) + thin + p + symbol(unit)
}

// figure is amount as a phrase; a value that is absent is an empty one.
func figure(v *float64, unit string, resolution float64) phrase {
	if v == nil {
		return nil
	}
	return phrase{{amount(*v, unit, resolution), v}}
}

// bare prints v in units of factor f, without its unit.
func bare(v float64, unit string, f, resolution float64) string {
	v = shown(v, unit)
	if resolution > 0 {
		return fixed(v/f, min(decimals(resolution/f), significant(v/f, mostDigits)))
	}
	d := otherDigits
	if unit == "V" {
		d = voltDigits
	}
	return fixed(v/f, significant(v/f, d))
}

// shown turns kelvin, which no meter shows, into degrees Celsius.
func shown(v float64, unit string) float64 {
	if unit == "K" {
		return v - 273.15
	}
	return v
}

func symbol(unit string) string {
	if unit == "K" {
		return "°C"
	}
	return unit
}

// fixed prints v with that many decimals; a zero has no sign.
func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if z, err := strconv.ParseFloat(s, 64); err == nil && z == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64)
	}
	if v < 0 {
		return "−" + s[1:]
	}
	return s
}

// decimals is how many decimals a resolution bears: with 0.5 mV the last digit
// shown is 1 mV.
func decimals(resolution float64) int {
	return min(max(int(math.Ceil(-math.Log10(resolution*2)-1e-9)), 0), 9)
}

// nothing is what counts as none in units of the smallest prefix in use.
const nothing = 1e-3

// significant is how many decimals give v that many significant digits.
func significant(v float64, digits int) int {
	if math.Abs(v) < nothing {
		return 0
	}
	return max(digits-1-int(math.Floor(math.Log10(math.Abs(v))+1e-9)), 0)
}

// prefix is the SI prefix that v reads best with. Volts keep theirs from
// 100 mV up: nobody writes 950 mV beside 1.05 V.
func prefix(v float64, unit string) (float64, string) {
	v = math.Abs(v)
	if unit == "K" || unit == "" || v == 0 || unit == "V" && v >= 0.1 && v < 1e3 {
		return 1, ""
	}
	return plot.Prefix(v)
}

// limits prints stated limits: "4.20 / 4.25 / 4.30 V", "≥ 20 A".
func limits(lo, typ, hi *float64, unit string) phrase {
	switch {
	case lo == nil && typ == nil && hi == nil:
		return say("none")
	case lo != nil && hi != nil && typ != nil:
		return several(unit, " / ", lo, typ, hi)
	case lo != nil && hi != nil:
		return several(unit, " to ", lo, hi)
	case lo != nil && typ != nil:
		return list(", typ ", join(say("≥ "), stated(lo, unit)), stated(typ, unit))
	case hi != nil && typ != nil:
		return list(", ≤ ", join(say("typ "), stated(typ, unit)), stated(hi, unit))
	case lo != nil:
		return join(say("≥ "), stated(lo, unit))
	case hi != nil:
		return join(say("≤ "), stated(hi, unit))
	}
	return stated(typ, unit)
}

// together is the prefix of values that share one: that of the largest, but of
// volts millivolts if one of them is below 100 mV and none above 1 V.
func together(unit string, vs ...*float64) (float64, string) {
	least, largest := math.Inf(1), 0.0
	for _, v := range vs {
		least, largest = math.Min(least, math.Abs(*v)), math.Max(largest, math.Abs(*v))
	}
	if unit == "V" && largest < 1 {
		return prefix(least, unit)
	}
	return prefix(largest, unit)
}

// several prints values that share a prefix.
func several(unit, between string, vs ...*float64) phrase {
	f, p := together(unit, vs...)
	d := 0
	for _, v := range vs {
		d = max(d, needed(shown(*v, unit)/f))
	}
	var out phrase
	for i, v := range vs {
		if i > 0 {
			out = append(out, word{text: between})
		}
		out = append(out, word{fixed(shown(*v, unit)/f, d), v})
	}
	out[len(out)-1].text += thin + p + symbol(unit)
	return out
}

// stated prints a number as exactly as it was stated.
func stated(v *float64, unit string) phrase { return several(unit, "", v) }

// needed is how many decimals show v whole, six at most.
func needed(v float64) int {
	for d := range 6 {
		p := math.Pow(10, float64(d))
		if math.Abs(math.Round(v*p)/p-v) <= 1e-9*math.Abs(v) {
			return d
		}
	}
	return 6
}
