package quantity

import (
	"math"
	"strconv"
	"strings"
)

// reading is one number as it was written, with its unit.
type reading struct {
	n    decimal
	unit *spelling // nil when none was written
	word string    // the unit as written
	at   int       // offset of the number
	end  int       // offset after the number, before the unit
}

// doubtful refuses a spelling that has two readings or is a lone prefix.
func (s *scanner) doubtful(sp *spelling, at int, n decimal, d Dimension) *Error {
	row := d.row()
	switch {
	case sp.doubt != "":
		word := s.text[at:s.pos]
		return s.fail(at, Ambiguous, strconv.Quote(word)+" may mean "+sp.doubt, "write the unit with the prefix that is meant")
	case sp.alone:
		e := s.fail(at, MissingUnit, "the unit is missing", "write the unit "+row.symbol+" after the prefix")
		rest := s.digitsAhead()
		right := n.fraction(rest).plain() + " " + sp.symbol(d)
		e.Suggestion = s.replaced(at-len(n.digits), s.pos+len(rest), right)
		return e
	}
	return nil
}

// replaced is the whole text with another piece from … to.
func (s *scanner) replaced(from, to int, piece string) string {
	return strings.TrimSpace(s.text[:max(from, 0)] + piece + s.text[to:])
}

// digitsAhead returns the digits that come next without skipping them.
func (s *scanner) digitsAhead() string {
	t := *s
	return t.digits()
}

// reading reads a number and its unit. Where loose is set, a word after a
// space that is no unit is left alone, for what follows the quantity.
func (s *scanner) reading(d Dimension, loose bool) (reading, *Error) {
	r := reading{at: s.pos}
	n, mark, err := s.number(d)
	r.n, r.end = n, s.pos
	if err != nil {
		return r, err
	}
	if mark != nil {
		return r, s.markedUnit(&r, mark, d)
	}
	return r, s.unit(&r, d, loose)
}

// markedUnit reads the unit that may follow a number such as 4k7.
func (s *scanner) markedUnit(r *reading, mark *spelling, d Dimension) *Error {
	r.unit, r.word = mark, s.text[r.at:s.pos]
	t := *s
	t.space()
	word := t.word()
	sp := d.find(word)
	if sp != nil && sp.unit != nil && sp.prefix == nil && mark.unit == nil && sp.unit == &d.row().units[0] {
		*s = t
		return nil
	}
	if word != "" && t.pos-len(word) == s.pos {
		return s.fail(s.pos, Syntax, strconv.Quote(word)+" follows a number that has its unit", "write the prefix once, in place of the point or after the number")
	}
	return nil
}

// unit reads the unit of r, if there is one.
func (s *scanner) unit(r *reading, d Dimension, loose bool) *Error {
	t := *s
	spaced := t.space()
	at := t.pos
	word := t.word()
	sp := d.find(word)
	switch {
	case word == "" || isRangeWord(word):
		return nil
	case sp == nil && s.labelAt(at):
		return nil
	case sp == nil && spaced && loose && !known(word):
		return nil
	case sp == nil:
		return s.wrongUnit(*r, at, word, d)
	}
	if e := t.doubtful(sp, at, r.n, d); e != nil {
		return e
	}
	r.unit, r.word = sp, word
	*s = t
	return nil
}

func (s *scanner) labelAt(at int) bool {
	t := scanner{s.text, at}
	_, ok := t.label()
	return ok
}

func isRangeWord(word string) bool { return word == "to" }

// known reports whether the word is a unit of any dimension.
func known(word string) bool {
	_, ok := dimensionOf(word)
	return ok
}

// wrongUnit says what is wrong with a unit that d does not have.
func (s *scanner) wrongUnit(r reading, at int, word string, d Dimension) *Error {
	row := d.row()
	expected := "expected " + row.name + " in " + row.symbol
	if d == None {
		expected = "expected a number without unit"
	}
	if other, ok := dimensionOf(word); ok {
		return s.fail(at, WrongUnit, strconv.Quote(word)+" is a unit of "+other.Name()+", "+expected, "write for example "+strconv.Quote(row.example))
	}
	e := s.fail(at, WrongUnit, "unknown unit "+strconv.Quote(word)+", "+expected, "write for example "+strconv.Quote(row.example))
	if right := d.sameLetters(word); right != "" {
		e.Suggestion = s.replaced(at, at+len(word), right)
	}
	return e
}

// sameLetters is the one unit of d that word is when case is ignored, "" when
// there is none or more than one.
func (d Dimension) sameLetters(word string) string {
	found := ""
	for name, sp := range spellings[d] {
		if !strings.EqualFold(name, word) || sp.alone || sp.doubt != "" {
			continue
		}
		symbol := sp.symbol(d)
		if found != "" && found != symbol {
			return ""
		}
		found = symbol
	}
	return found
}

// missing says that a number needs a unit. Likely is the unit of the number
// before it, if any.
func (s *scanner) missing(r reading, likely *spelling, d Dimension) *Error {
	row := d.row()
	e := s.fail(r.end, MissingUnit, "the unit is missing", "write it, for example "+strconv.Quote(row.example))
	symbol := row.symbol
	switch {
	case likely != nil:
		symbol = likely.symbol(d)
	case d == Temperature:
		symbol = "°C"
	}
	e.Suggestion = s.replaced(r.end, r.end, " "+symbol)
	return e
}

// bare is the spelling of a number without unit.
var bare = &spelling{}

// value is the reading in SI units.
func (s *scanner) value(r reading, d Dimension) (float64, *Error) {
	v := r.n.floatIn(r.unit)
	row := d.row()
	switch {
	case math.IsInf(v, 0):
		return v, s.fail(r.at, OutOfRange, "the number is too large", "check its exponent")
	case d == Temperature && v < 0:
		return v, s.fail(r.at, OutOfRange, "a temperature below absolute zero", "check the unit")
	case !row.signed && v < 0:
		return v, s.fail(r.at, OutOfRange, row.name+" below zero", "take the minus away")
	}
	return v + 0, nil // + 0 makes −0 zero
}
