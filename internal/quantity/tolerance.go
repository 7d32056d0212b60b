package quantity

import "math/big"

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
