package quantity

import "math"

// Parse reads the whole text as a quantity of dimension d.
func Parse(text string, d Dimension) (Quantity, error) {
	return Quantity{}, &Error{Text: text, Message: "reader not written yet"}
}

// ParseStated reads as Parse does, and keeps limits that are out of order as
// they were written.
func ParseStated(text string, d Dimension) (Quantity, error) {
	return Parse(text, d)
}

// ParsePrefix reads the quantity at the start of the text and returns the rest.
func ParsePrefix(text string, d Dimension) (q Quantity, rest string, err error) {
	q, err = Parse(text, d)
	return q, "", err
}

// ParseAny reads a quantity and takes its dimension from the unit.
func ParseAny(text string) (Quantity, error) {
	return Parse(text, None)
}

// Absent returns the quantity of which no number was given.
func Absent(d Dimension) Quantity {
	return Quantity{Dim: d, Min: math.NaN(), Typ: math.NaN(), Max: math.NaN()}
}
