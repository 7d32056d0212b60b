package quantity

import (
	"math/big"
	"strconv"
)

// tolerance is what may follow a number: ±10 %, ±25 mV, +22/−82 %.
type tolerance struct {
	given     bool
	up, down  reading
	relative  bool
	err       *Error
	dimension Dimension // of an absolute one
}

// toleranceSign skips ± or one of its makeshifts.
func (s *scanner) toleranceSign() bool {
	return s.any("±", "+/-", "+/−", "+/–", "+-", "+−", "+–")
}

// tolerance reads a tolerance into p.tol and reports whether there was one.
func (p *parser) tolerance() bool {
	t := p.scanner
	spaced := t.space()
	p.tol.dimension = p.d
	if p.d == Temperature {
		p.tol.dimension = TemperatureDifference
	}
	if at := t.pos; t.toleranceSign() {
		t.space()
		p.scanner = t
		p.tol.given = true
		p.tol.up, p.tol.err = p.toleranceNumber()
		p.tol.down = p.tol.up
		p.checkTolerance(at)
		return true
	}
	if !spaced && t.peek() != '+' {
		return false // 0.5-1.5 is a range
	}
	return p.twoSided(t)
}

// toleranceNumber reads a number in the unit of the value or as a part of it.
func (p *parser) toleranceNumber() (reading, *Error) {
	r := reading{at: p.pos}
	n, mark, err := p.number(p.tol.dimension)
	r.n, r.end = n, p.pos
	if err != nil {
		return r, err
	}
	if mark != nil {
		return r, p.markedUnit(&r, mark, p.tol.dimension)
	}
	t := p.scanner
	t.space()
	word := t.word()
	if sp := Ratio.find(word); sp != nil && p.d != Ratio {
		r.unit, r.word, p.scanner = sp, word, t
		p.tol.relative = true
		return r, nil
	}
	return r, p.unit(&r, p.tol.dimension, p.loose)
}

// twoSided reads +22/−82 % or −82/+22 %, starting at t.
func (p *parser) twoSided(t scanner) bool {
	back, at := p.scanner, t.pos
	p.scanner = t
	first, neg, ok := p.signed()
	if !ok {
		p.scanner, p.tol = back, tolerance{}
		return false
	}
	p.space()
	p.any("/")
	p.space()
	second, neg2, ok := p.signed()
	if !ok || neg == neg2 {
		p.scanner, p.tol = back, tolerance{}
		return false
	}
	if first.unit == nil {
		first.unit, first.word = second.unit, second.word
	}
	p.tol.given, p.tol.up, p.tol.down = true, first, second
	if neg {
		p.tol.up, p.tol.down = second, first
	}
	if (Ratio.find(first.word) != nil) != (Ratio.find(second.word) != nil) {
		p.tol.err = p.fail(at, Syntax, "one side of the tolerance is a part, the other an amount", "write both sides in the same unit")
	}
	p.checkTolerance(at)
	return true
}

// signed reads a tolerance's number with its sign taken off.
func (p *parser) signed() (r reading, neg, ok bool) {
	neg = p.peek() != '+'
	if !p.any("+") && !p.any(minuses...) {
		return r, neg, false
	}
	if !isDigit(p.peek()) {
		return r, neg, false
	}
	r, err := p.toleranceNumber()
	return r, neg, err == nil
}

// checkTolerance refuses tolerances that cannot be meant.
func (p *parser) checkTolerance(at int) {
	t := &p.tol
	switch {
	case t.err != nil:
	case t.up.n.neg || t.down.n.neg:
		t.err = p.fail(at, Syntax, "a sign inside the tolerance", "write ± once")
	case p.d == Ratio && t.up.unit != nil:
		t.err = p.fail(at, Ambiguous, "the tolerance may be "+t.up.word+" of the value or be added to it", "write the range from the lower to the upper limit")
	case p.d == Temperature && t.relative:
		t.err = p.fail(at, WrongUnit, "a tolerance in "+t.up.word+" of a temperature", "write the tolerance in K")
	}
}

// limits gives the value's exact limits.
func (t *tolerance) limits(nominal *big.Rat) (low, high *big.Rat) {
	low = new(big.Rat).Sub(nominal, t.part(t.down, nominal))
	high = new(big.Rat).Add(nominal, t.part(t.up, nominal))
	return low, high
}

// part is one side of the tolerance in SI units.
func (t *tolerance) part(side reading, nominal *big.Rat) *big.Rat {
	r := side.n.in(side.unit)
	if t.relative {
		r.Mul(r, new(big.Rat).Abs(nominal))
	}
	return r
}

// units gives the numbers without unit the one that stands behind them, and
// refuses those that stay without.
func (p *parser) units() *Error {
	var order []*reading
	for _, r := range p.numbers {
		if r != nil {
			order = append(order, r)
		}
	}
	sortByPlace(order)
	if p.tol.given {
		order = append(order, p.toleranceUnit())
	}
	var seen *spelling
	for i, r := range order {
		if r == nil {
			continue
		}
		if r.unit == nil {
			r.unit = p.borrowed(order[i+1:])
		}
		if r.unit == nil && (seen != nil || !p.d.row().bare) {
			return p.missing(*last(order[i:]), seen, p.d)
		}
		seen = r.unit
		if r.unit == nil {
			r.unit = bare
		}
	}
	return nil
}

// toleranceUnit is the tolerance as a reading that may lend its unit, nil when
// it is a part of the value.
func (p *parser) toleranceUnit() *reading {
	if p.tol.relative {
		return nil
	}
	if p.tol.up.unit == nil {
		p.tol.up.unit = p.tol.down.unit
	}
	return &p.tol.up
}

// last is the last number: when none from r on has a unit, it belongs there.
func last(order []*reading) *reading {
	for i := len(order) - 1; i > 0; i-- {
		if order[i] != nil {
			return order[i]
		}
	}
	return order[0]
}

// borrowed is the unit that the next number with a unit has, in dimension p.d.
func (p *parser) borrowed(next []*reading) *spelling {
	for _, r := range next {
		if r != nil && r.unit != nil && r.unit != bare {
			if r == &p.tol.up && p.d == Temperature {
				return p.d.find(r.word) // ±5 °C is a difference, 25 °C is not
			}
			return r.unit
		}
	}
	return nil
}

func sortByPlace(order []*reading) {
	for i := 1; i < len(order); i++ {
		for j := i; j > 0 && order[j].at < order[j-1].at; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
}

// values turns what was read into numbers.
func (p *parser) values() (Quantity, *Error) {
	q := Absent(p.d)
	for w, to := range []*float64{&q.Min, &q.Typ, &q.Max} {
		if p.numbers[w] == nil {
			continue
		}
		v, err := p.value(*p.numbers[w], p.d)
		if err != nil {
			return q, err
		}
		*to = v
	}
	if p.tol.given {
		if err := p.spread(&q); err != nil {
			return q, err
		}
	}
	return q, p.inOrder(q)
}

// spread sets the limits of q from the tolerance.
func (p *parser) spread(q *Quantity) *Error {
	t := &p.tol
	if t.down.unit == nil {
		t.down.unit = t.up.unit
	}
	if t.up.unit == nil {
		t.up.unit = t.down.unit
	}
	nominal := p.numbers[typical]
	low, high := t.limits(nominal.n.in(nominal.unit))
	q.Min, _ = low.Float64()
	q.Max, _ = high.Float64()
	if q.Min < 0 && (!p.d.row().signed || p.d == Temperature) {
		return p.fail(t.down.at, OutOfRange, "the tolerance reaches below zero", "check its unit")
	}
	return nil
}

// inOrder refuses limits that cross, at the number that is out of order.
func (p *parser) inOrder(q Quantity) *Error {
	if !p.ordered {
		return nil
	}
	last, name := q.Min, least
	for w, v := range []float64{q.Min, q.Typ, q.Max} {
		switch {
		case v != v:
			continue
		case v < last && p.numbers[w] != nil:
			return p.fail(p.numbers[w].at, WrongOrder, which(w).String()+" is below "+name.String(),
				"write them in the order minimum, typical, maximum, and check "+strconv.Quote(p.text[p.numbers[w].at:p.numbers[w].end]))
		}
		last, name = v, which(w)
	}
	return nil
}
