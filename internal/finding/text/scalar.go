package text

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/finding"
	"cupel/internal/quantity"
)

// Int returns the value as a whole number.
func (v Value) Int() int {
	n, _ := v.whole()
	return n
}

// IntIn returns the value as a whole number, and reports it, returning 0, when
// it is not from low to high.
func (v Value) IntIn(low, high int) int {
	n, ok := v.whole()
	switch {
	case !ok || low <= n && n <= high:
		return n
	case low == high:
		v.Fail(NotInRange, sprintf("write %d", low), "%s is %d, expected %d", v.name(), n, low)
	default:
		v.Fail(NotInRange, sprintf("write a number from %d to %d", low, high), "%s is %d, outside %d to %d", v.name(), n, low, high)
	}
	return 0
}

func (v Value) whole() (int, bool) {
	s, ok := v.single("a whole number")
	if !ok {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	if err != nil {
		v.Fail(NotWhole, "write digits only", "%s: %q is not a whole number", v.name(), s)
		return 0, false
	}
	return n, true
}

// Bool returns the value as true or false.
func (v Value) Bool() bool {
	s, ok := v.single("true or false")
	if !ok || s == "true" || s == "false" {
		return s == "true"
	}
	suggestion := ""
	switch strings.ToLower(s) {
	case "yes", "y", "on", "true", "1":
		suggestion = "true"
	case "no", "n", "off", "false", "0":
		suggestion = "false"
	}
	v.Report(finding.Finding{
		Code: NotTrueFalse, Level: finding.Error, Suggestion: suggestion,
		Text: sprintf("%s: %q is neither true nor false", v.name(), s), Do: "write true or false",
	})
	return false
}

// OneOf returns the value when it is one of the words, else "".
func (v Value) OneOf(valid ...string) string {
	s, ok := v.single("one of: " + words(valid))
	if !ok || slices.Contains(valid, s) {
		return s
	}
	v.Report(finding.Finding{
		Code: UnknownWord, Level: finding.Error, Suggestion: finding.Nearest(s, valid),
		Text: sprintf("%s: unknown word %q", v.name(), s), Do: "use one of: " + words(valid),
	})
	return ""
}

// words lists words for a message, at most as many as one reads.
func words(valid []string) string {
	const most = 24
	if len(valid) > most {
		return strings.Join(valid[:most], ", ") + sprintf(" and %d more", len(valid)-most)
	}
	return strings.Join(valid, ", ")
}

// Number returns the value as a plain number without unit.
func (v Value) Number() float64 {
	q, ok := v.quantity(func(s string) (quantity.Quantity, error) { return quantity.Parse(s, quantity.None) })
	if !ok {
		return 0
	}
	return q.Nominal()
}

// Quantity returns the value as a quantity of dimension d. A mistake gives the
// quantity that was not given.
func (v Value) Quantity(d quantity.Dimension) quantity.Quantity {
	q, ok := v.quantity(func(s string) (quantity.Quantity, error) { return quantity.Parse(s, d) })
	if !ok {
		return quantity.Absent(d)
	}
	return q
}

// Stated is Quantity for a figure that is to be kept as somebody else stated
// it, even with its limits out of order.
func (v Value) Stated(d quantity.Dimension) quantity.Quantity {
	q, ok := v.quantity(func(s string) (quantity.Quantity, error) { return quantity.ParseStated(s, d) })
	if !ok {
		return quantity.Absent(d)
	}
	return q
}

// QuantityAny returns the value as a quantity whose unit tells the dimension.
func (v Value) QuantityAny() quantity.Quantity {
	q, ok := v.quantity(quantity.ParseAny)
	if !ok {
		return quantity.Absent(quantity.None)
	}
	return q
}

// QuantityPrefix returns the quantity of dimension d that the value begins
// with, and what follows it. After a mistake nothing follows.
func (v Value) QuantityPrefix(d quantity.Dimension) (quantity.Quantity, Value) {
	rest := ""
	q, ok := v.quantity(func(s string) (q quantity.Quantity, err error) {
		q, rest, err = quantity.ParsePrefix(s, d)
		return q, err
	})
	if !ok {
		return quantity.Absent(d), Value{doc: v.doc}
	}
	return q, v.last(len(rest))
}

// StartsWith returns the quantity of dimension d that the value begins with,
// and what follows it; or false when it begins otherwise. It reports nothing.
func (v Value) StartsWith(d quantity.Dimension) (q quantity.Quantity, rest Value, ok bool) {
	s, ok := v.silent()
	if !ok {
		return quantity.Absent(d), v, false
	}
	q, after, err := quantity.ParsePrefix(s, d)
	if err != nil {
		return quantity.Absent(d), v, false
	}
	return q, v.last(len(after)), true
}

// Words returns the words of a single value, each with its own place.
func (v Value) Words() []Value {
	s, _ := v.silent()
	var found []Value
	for at := 0; at < len(s); {
		n := strings.IndexByte(s[at:], ' ')
		if n < 0 {
			n = len(s) - at
		}
		if n > 0 {
			found = append(found, v.slice(at, at+n))
		}
		at += n + 1
	}
	return found
}

// silent is single without a finding.
func (v Value) silent() (string, bool) {
	if !v.IsSingle() || v.doc.bad[v.node] || !v.part && v.empty() {
		return "", false
	}
	return v.single("")
}

// slice is the part from … to of a single value, in bytes of its text.
func (v Value) slice(from, to int) Value {
	return Value{doc: v.doc, node: v.node, path: v.path, part: true, from: v.from + from, to: v.from + to}
}

// last is the last n bytes of a single value.
func (v Value) last(n int) Value {
	s, _ := v.silent()
	return v.slice(len(s)-n, len(s))
}

// quantity reads the value with parse and reports its error where it is.
func (v Value) quantity(parse func(string) (quantity.Quantity, error)) (quantity.Quantity, bool) {
	s, ok := v.single("a quantity such as 4.7 kΩ")
	if !ok {
		return quantity.Quantity{}, false
	}
	q, err := parse(s)
	if err == nil {
		return q, true
	}
	f := finding.Finding{Code: NotQuantity, Level: finding.Error, Text: err.Error()}
	var e *quantity.Error
	if errors.As(err, &e) {
		f.Code, f.Place = reasonCode(e.Reason), v.At(e.Offset)
		f.Text = sprintf("%s: %q: %s", v.name(), s, e.Message)
		f.Do, f.Suggestion = e.Do, e.Suggestion
	}
	v.Report(f)
	return q, false
}

func reasonCode(r quantity.Reason) string {
	switch r {
	case quantity.WrongUnit:
		return WrongUnit
	case quantity.MissingUnit:
		return MissingUnit
	case quantity.Ambiguous:
		return Ambiguous
	case quantity.WrongOrder:
		return WrongOrder
	case quantity.OutOfRange:
		return NotPossible
	case quantity.LeftoverText:
		return LeftoverWords
	}
	return NotQuantity
}
