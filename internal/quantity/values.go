package quantity

import (
	"math"
	"strconv"
)

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
	if math.IsInf(q.Min, 0) || math.IsInf(q.Max, 0) {
		return p.fail(t.up.at, OutOfRange, "the tolerance is too large", "check its exponent")
	}
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
