package quantity

import "strings"

// parser reads one quantity:
//
//	quantity = [label] number … | number tolerance | number range number | number "/" number "/" number
type parser struct {
	scanner
	d       Dimension
	loose   bool // something else may follow
	ordered bool // min ≤ typ ≤ max is demanded
	numbers [3]*reading
	tol     tolerance
}

func (p *parser) quantity() (Quantity, *Error) {
	p.space()
	from := p.pos
	if err := p.pieces(); err != nil {
		return Quantity{}, err
	}
	if err := p.units(); err != nil {
		return Quantity{}, err
	}
	q, err := p.values()
	if err != nil {
		return q, err
	}
	q.Text = strings.TrimSpace(p.text[from:p.pos])
	return q, nil
}

// pieces reads all numbers of the quantity into p.numbers.
func (p *parser) pieces() *Error {
	if !p.startsNumber(p.d) {
		if p.toleranceSign() {
			return p.fail(p.pos, Syntax, "a tolerance without the value before it", "write the value first, or the range from the lower to the upper limit")
		}
		return p.labelled(nil)
	}
	first, err := p.reading(p.d, p.loose)
	if err != nil {
		return err
	}
	switch {
	case p.tolerance():
		p.numbers[typical] = &first
		return p.tol.err
	case p.slash():
		return p.triple(first)
	case p.rangeMark():
		return p.span(first)
	}
	return p.labelled(&first)
}

// next reads one more number after a separator.
func (p *parser) next() (*reading, *Error) {
	p.space()
	r, err := p.reading(p.d, p.loose)
	return &r, err
}

// slash skips the slash between two numbers.
func (p *parser) slash() bool {
	t := p.scanner
	t.space()
	if !t.any("/") {
		return false
	}
	t.space()
	if !t.startsNumber(p.d) {
		return false
	}
	p.scanner = t
	return true
}

func (p *parser) triple(first reading) *Error {
	between := first.end
	second, err := p.next()
	if err != nil {
		return err
	}
	if !p.slash() {
		e := p.fail(p.pos, Syntax, "two numbers where three are needed", "write minimum/typical/maximum, or a range with a dash")
		e.Suggestion = p.replaced(between, second.at, "–")
		return e
	}
	third, err := p.next()
	p.numbers = [3]*reading{&first, second, third}
	return err
}

// rangeMark skips what stands between the two ends of a range.
func (p *parser) rangeMark() bool {
	t := p.scanner
	t.space()
	if !t.any("to", "...", "..", "…", "—") && !t.any(minuses...) {
		return false
	}
	t.space()
	if !t.startsNumber(p.d) {
		return false
	}
	p.scanner = t
	return true
}

// span reads the upper end of a range and the typical value that may follow.
func (p *parser) span(first reading) *Error {
	last, err := p.next()
	if err != nil {
		return err
	}
	p.numbers[least], p.numbers[most] = &first, last
	return p.after()
}

// after reads further numbers, each with its label before it.
func (p *parser) after() *Error {
	for {
		t := p.scanner
		t.separator()
		at := t.pos
		w, ok := t.label()
		if !ok {
			return nil
		}
		p.scanner = t
		r, err := p.next()
		if err != nil {
			return err
		}
		if err := p.put(w, r, at); err != nil {
			return err
		}
	}
}

func (s *scanner) separator() {
	s.space()
	if s.any(",", ";") {
		s.space()
	}
}

// put keeps r as the number w.
func (p *parser) put(w which, r *reading, at int) *Error {
	if p.numbers[w] != nil {
		return p.fail(at, Syntax, w.String()+" is given twice", "give each of min, typ and max once")
	}
	p.numbers[w] = r
	return nil
}

// labelled reads numbers with labels. The labels stand before their numbers
// (typ 4.0 mΩ max 5.2 mΩ), where a first number without one is typical
// (1.8 mΩ max 2.4 mΩ); or, when the last one ends the quantity, behind them
// (4.0 mΩ typ, 5.2 mΩ max).
func (p *parser) labelled(first *reading) *Error {
	if first == nil {
		if t := p.scanner; !isLabel(&t) {
			_, _, err := p.number(p.d)
			return err
		}
		return p.after()
	}
	if p.behind(*first) {
		return nil
	}
	p.numbers[typical] = first
	return p.after()
}

func isLabel(s *scanner) bool {
	_, ok := s.label()
	return ok
}

// behind reads numbers with their labels behind them; it changes nothing when
// they do not all have one.
func (p *parser) behind(r reading) bool {
	t := parser{scanner: p.scanner, d: p.d, loose: p.loose}
	for {
		t.space()
		at := t.pos
		w, ok := t.label()
		one := r
		if !ok || t.put(w, &one, at) != nil {
			return false
		}
		end := t.scanner
		t.separator()
		if !t.startsNumber(p.d) {
			t.scanner = end
			break
		}
		next, err := t.reading(p.d, p.loose)
		if err != nil {
			return false
		}
		r = next
	}
	p.scanner, p.numbers = t.scanner, t.numbers
	return true
}
