package quantity

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// scanner reads the pieces of a quantity from left to right.
type scanner struct {
	text string
	pos  int
}

// maxDigits bounds a number's length: nobody types more, and the exact
// arithmetic costs by the digit.
const maxDigits = 40

func (s *scanner) peek() rune { return runeAt(s.text, s.pos) }

func runeAt(text string, pos int) rune {
	if pos >= len(text) {
		return 0
	}
	r, _ := utf8.DecodeRuneInString(text[pos:])
	return r
}

func (s *scanner) skip() {
	_, size := utf8.DecodeRuneInString(s.text[s.pos:])
	s.pos += size
}

// space skips spaces of any width and reports whether there were any.
func (s *scanner) space() bool {
	from := s.pos
	for unicode.IsSpace(s.peek()) {
		s.skip()
	}
	return s.pos > from
}

// any skips the first of the words that comes next.
func (s *scanner) any(words ...string) bool {
	for _, w := range words {
		if strings.HasPrefix(s.text[s.pos:], w) {
			s.pos += len(w)
			return true
		}
	}
	return false
}

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

// digits skips digits and returns them.
func (s *scanner) digits() string {
	from := s.pos
	for isDigit(s.peek()) {
		s.pos++
	}
	return s.text[from:s.pos]
}

// minuses are the characters that people type for a minus sign.
var minuses = []string{"-", minus, "–"}

// sign skips a sign and reports whether it was a minus.
func (s *scanner) sign() (neg bool) {
	if s.any(minuses...) {
		return true
	}
	s.any("+")
	return false
}

// startsNumber reports whether a number of dimension d comes next.
func (s *scanner) startsNumber(d Dimension) bool {
	t := *s
	t.sign()
	switch r := t.peek(); {
	case isDigit(r):
		return true
	case r == '.' || r == ',':
		return isDigit(runeAt(t.text, t.pos+1))
	default:
		return t.mark(d) != nil
	}
}

// mark is the spelling of a letter in the place of a decimal point: the k of
// 4k7, the R of R47.
func (s *scanner) mark(d Dimension) *spelling {
	r := s.peek()
	size := utf8.RuneLen(r)
	if r == 0 || size < 1 || s.pos+size > len(s.text) || !isDigit(runeAt(s.text, s.pos+size)) {
		return nil
	}
	sp := d.find(string(r))
	leads := s.pos == 0 || !isDigit(runeAt(s.text, s.pos-1))
	switch {
	case sp == nil || sp.unit != nil && !sp.unit.prefixed:
		return nil
	case leads && (sp.alone || d.row().letters == ""):
		return nil // V5 is a name, not half a volt
	}
	return sp
}

// number reads a number. When a letter stood for its point, that letter's
// spelling comes with it.
func (s *scanner) number(d Dimension) (decimal, *spelling, *Error) {
	from := s.pos
	n := decimal{neg: s.sign()}
	n.digits = s.digits()
	mark := s.mark(d)
	switch {
	case mark != nil:
		at := s.pos
		s.skip()
		if e := s.doubtful(mark, at, n, d); e != nil {
			return n, nil, e
		}
		n = n.fraction(s.digits())
	case s.peek() == '.' || s.peek() == ',':
		if e := s.fraction(&n); e != nil {
			return n, nil, e
		}
		s.exponent(&n)
	default:
		s.exponent(&n)
	}
	switch {
	case n.digits == "":
		return n, nil, s.fail(from, Syntax, "a number was expected", "write for example "+strconv.Quote(d.row().example))
	case len(n.digits) > maxDigits:
		return n, nil, s.fail(from, Syntax, "the number is too long", "write fewer digits")
	}
	return n, mark, nil
}

func (n decimal) fraction(digits string) decimal {
	n.digits += digits
	n.exp -= len(digits)
	return n
}

// fraction reads a point or comma and the digits after it.
func (s *scanner) fraction(n *decimal) *Error {
	at, point := s.pos, s.peek()
	if !isDigit(runeAt(s.text, s.pos+1)) {
		return nil // a comma after the number
	}
	s.pos++
	digits := s.digits()
	next := s.peek()
	if (next == '.' || next == ',') && isDigit(runeAt(s.text, s.pos+1)) {
		return s.fail(s.pos, Syntax, "a second decimal point", "write one point or comma, and no separators between thousands")
	}
	lead := strings.TrimLeft(n.digits, "0")
	if point == ',' && len(digits) == 3 && lead != "" && len(n.digits) <= 3 {
		e := s.fail(at, Ambiguous, "the comma may be a decimal comma or one between thousands: "+
			n.digits+"."+digits+" or "+n.digits+digits, "write a decimal point, and nothing between thousands")
		return e
	}
	*n = n.fraction(digits)
	return nil
}

// exponent reads e-3 after a number.
func (s *scanner) exponent(n *decimal) {
	t := *s
	if n.digits == "" || !t.any("e", "E") {
		return
	}
	neg := t.sign()
	digits := t.digits()
	if digits == "" || len(digits) > 3 {
		return
	}
	exp, _ := strconv.Atoi(digits)
	if neg {
		exp = -exp
	}
	n.exp += exp
	*s = t
}

// word reads the letters and signs that may be a unit, without judging them.
func (s *scanner) word() string {
	from := s.pos
	for {
		r := s.peek()
		joins := strings.ContainsRune("/·⋅*", r) && r != 0
		switch {
		case isUnitRune(r):
			s.skip()
		case joins && isUnitRune(runeAt(s.text, s.pos+utf8.RuneLen(r))):
			s.skip()
		case r == '^' && runeAt(s.text, s.pos+1) == '2':
			s.pos += 2
		case r == '2' && s.pos > from && strings.HasSuffix(s.text[from:s.pos], "m") && !isDigit(runeAt(s.text, s.pos+1)):
			s.pos++ // mm2
		default:
			return s.text[from:s.pos]
		}
	}
}

func isUnitRune(r rune) bool {
	return unicode.IsLetter(r) || strings.ContainsRune("°º\u2103%‰²", r) && r != 0
}

// fail makes an error at a byte offset.
func (s *scanner) fail(at int, why Reason, message, do string) *Error {
	return &Error{Text: s.text, Offset: at, Reason: why, Message: message, Do: do}
}
