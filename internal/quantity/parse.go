package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Parse reads the whole text as a quantity of dimension d. Its error is an
// *Error.
//
// A single number gives Typ alone, because its writer gave no limits. Limits
// come from a tolerance (100 nF ±10 %), a range (0.5–1.5 s), three numbers
// (4.20/4.25/4.30 V) or the words min, typ, max. A number without unit takes
// the unit of the next one; without any unit it is read as a resistance, a
// ratio or a plain number only.
func Parse(text string, d Dimension) (Quantity, error) {
	return whole(text, d, true)
}

// ParseStated reads as Parse does, and keeps limits that are out of order as
// they were written, for figures that somebody else stated.
func ParseStated(text string, d Dimension) (Quantity, error) {
	return whole(text, d, false)
}

// ParsePrefix reads the quantity that the text begins with, its tolerance
// included, and returns the rest without the space before it.
func ParsePrefix(text string, d Dimension) (q Quantity, rest string, err error) {
	p := parser{scanner: scanner{text: text}, d: d, loose: true, ordered: true}
	q, e := p.quantity()
	if e != nil {
		return Absent(d), "", e
	}
	return q, strings.TrimSpace(text[p.pos:]), nil
}

// ParseAny reads a quantity and takes its dimension from the unit. A number
// without unit has the dimension None.
func ParseAny(text string) (Quantity, error) {
	d, ok := unitIn(text)
	if ok {
		return Parse(text, d)
	}
	q, err := Parse(text, None)
	if e, ok := err.(*Error); ok && e.Reason == WrongUnit {
		e.Message = strings.TrimSuffix(e.Message, ", expected a number without unit")
		e.Do = "write a unit that tells what is meant, for example V, A, Ω, s, °C"
	}
	return q, err
}

// unitIn is the dimension of the first unit in the text. A minute counts last:
// min is also a label.
func unitIn(text string) (d Dimension, ok bool) {
	for s := (scanner{text: text}); s.pos < len(text); {
		at := s.pos
		word := s.word()
		if word == "" {
			s.skip()
			continue
		}
		if found, is := dimensionOf(word); is {
			d, ok = found, true
			if !s.labelAt(at) {
				return d, true
			}
		}
	}
	return d, ok
}

// Absent returns the quantity of which no number was given.
func Absent(d Dimension) Quantity {
	return Quantity{Dim: d, Min: math.NaN(), Typ: math.NaN(), Max: math.NaN()}
}

func whole(text string, d Dimension, ordered bool) (Quantity, error) {
	p := parser{scanner: scanner{text: text}, d: d, ordered: ordered}
	q, err := p.quantity()
	if err == nil {
		err = p.leftover(q.Text)
	}
	if err != nil {
		return Absent(d), err
	}
	return q, nil
}

// leftover refuses what stands after a whole quantity.
func (p *parser) leftover(read string) *Error {
	p.space()
	rest := p.text[p.pos:]
	if rest == "" {
		return nil
	}
	if t := p.scanner; !t.startsNumber(p.d) || isDigit(t.peek()) {
		e := p.fail(p.pos, LeftoverText, "nothing belongs after "+strconv.Quote(read), "take "+strconv.Quote(rest)+" away")
		e.Suggestion = read
		return e
	}
	return p.fail(p.pos, LeftoverText, "a tolerance with one side", "write ±, or both sides as in +22/−82 %")
}
