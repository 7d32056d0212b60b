package audit

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"cupel/internal/quantity"
)

// number is one number of a stated figure, kept as its writer wrote it.
type number struct {
	v    float64 // SI; NaN where nothing is stated
	text string  // "75 mV", "4.20 V"
	// from says how it follows from what is written, where it is not written
	// itself: "100 mV − 25 mV = 75 mV".
	from string
	name string // "overcharge detect, minimum"
	dim  quantity.Dimension
}

// stated reports whether there is a number at all.
func (n number) stated() bool { return !math.IsNaN(n.v) }

// numeral is a number with the unit that may follow it, or one with the prefix
// in place of the point, as in 4k7 and 0R005.
var numeral = regexp.MustCompile(`\d+[kKMGRmuµμnpVAΩ]\d+|\d+(?:[.,]\d+)?(?:\s*[A-Za-zµμΩΩ%·°]+)?`)

// spelling finds v among the numbers of a text and returns it as it is written
// there, with the unit of a later number where it has none.
func spelling(text string, d quantity.Dimension, v float64) (string, bool) {
	pieces := numeral.FindAllString(text, -1)
	for i, p := range pieces {
		for _, unit := range pieces[i:] {
			whole := p
			if unit != p {
				whole = digits(p) + " " + strings.TrimSpace(strings.TrimPrefix(unit, digits(unit)))
			}
			q, err := quantity.Parse(whole, d)
			if err != nil {
				continue
			}
			if q.Typ == v {
				return strings.TrimSpace(whole), true
			}
			break // it has its unit and is another number
		}
	}
	return "", false
}

// digits is what a piece begins with: digits and a decimal mark.
func digits(piece string) string {
	return piece[:len(piece)-len(strings.TrimLeft(piece, "0123456789.,"))]
}

// tolerance takes "100 mV ±25 mV" apart; ok is false where there is none with
// one figure for both sides.
func tolerance(text string) (value, part string, ok bool) {
	for _, sign := range []string{"±", "+/-", "+-"} {
		if value, part, ok = strings.Cut(text, sign); ok {
			return strings.TrimSpace(value), strings.TrimSpace(part), true
		}
	}
	return "", "", false
}

// write puts v, one of the numbers of q, into the words of its writer.
func write(q quantity.Quantity, v float64) (text, from string) {
	if math.IsNaN(v) {
		return "", ""
	}
	if s, ok := spelling(q.Text, q.Dim, v); ok {
		return s, ""
	}
	text = inUnitOf(q, v)
	value, part, ok := tolerance(q.Text)
	if !ok {
		return text, ""
	}
	sign := "+"
	if v < q.Typ {
		sign = "−"
	}
	if s, ok := spelling(q.Text, q.Dim, q.Typ); ok {
		value = s
	}
	if strings.HasSuffix(part, "%") {
		return text, value + " " + sign + " " + part + " = " + text
	}
	if digits(part) == part { // the unit stands behind the value only
		part += " " + strings.TrimSpace(strings.TrimPrefix(value, digits(value)))
	}
	return text, value + " " + sign + " " + part + " = " + text
}

// inUnitOf prints v in the unit that q is written in.
func inUnitOf(q quantity.Quantity, v float64) string {
	for _, p := range numeral.FindAllString(q.Text, -1) {
		unit := strings.TrimSpace(strings.TrimPrefix(p, digits(p)))
		one, err := quantity.Parse("1 "+unit, q.Dim)
		if unit == "" || err != nil || q.Dim == quantity.Temperature {
			continue
		}
		// Nine digits take the last bits of a division away and no digit of a table.
		n := strconv.FormatFloat(round(v/one.Typ, 9), 'f', -1, 64)
		return pad(n, q.Text) + " " + unit
	}
	return show(v, q.Dim)
}

// pad gives n as many decimals as the figures of the text have: 4.2 beside
// 4.25 ±0.05 is 4.20.
func pad(n, text string) string {
	most := 0
	for _, p := range numeral.FindAllString(text, -1) {
		_, fraction, _ := strings.Cut(strings.Replace(digits(p), ",", ".", 1), ".")
		most = max(most, len(fraction))
	}
	whole, fraction, _ := strings.Cut(n, ".")
	if len(fraction) >= most {
		return n
	}
	return whole + "." + fraction + strings.Repeat("0", most-len(fraction))
}

// shown is how many digits a computed figure is printed with.
const shown = 4

// show prints a computed figure in the unit a person would choose.
func show(v float64, d quantity.Dimension) string {
	q := quantity.Absent(d)
	q.Typ = round(v, shown)
	if d == quantity.Temperature { // in °C, so that the rounding is of what is read
		q.Typ = round(v-zeroDegree, shown) + zeroDegree
	}
	return q.String()
}

func round(v float64, digits int) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return r
}
