package trial

import (
	"math"
)

// bracket finds lo at rest and hi acted on. An outcome in its answer says that
// there are none.
func (s search) bracket() (ending, error) {
	switch {
	case s.inside(s.expect):
		return s.around()
	}
	return s.further(s.from)
}

// inside reports whether x lies strictly between from and to.
func (s search) inside(x float64) bool {
	return x != 0 && (x-s.from)*(s.to-x) > 0
}

// advance is x one coarse step further, or back, held between from and to.
func (s search) advance(x, steps float64) float64 {
	if s.ratio > 1 {
		x *= math.Pow(s.ratio, steps*s.sign())
	} else {
		x += steps * s.sign() * s.coarse
	}
	lo, hi := math.Min(s.from, s.to), math.Max(s.from, s.to)
	return math.Max(lo, math.Min(hi, x))
}

func (s search) sign() float64 {
	if s.to < s.from {
		return -1
	}
	return 1
}

// around tries both sides of the expected threshold, then looks further the
// way that is needed.
func (s search) around() (ending, error) {
	steps := 1.0
	if s.width > 0 && s.ratio <= 1 {
		steps = s.width / s.coarse
	}
	near, far := s.advance(s.expect, -steps), s.advance(s.expect, steps)
	if near != s.from {
		st, err := s.try(near)
		if err != nil {
			return ending{}, err
		}
		switch st.answer {
		case still:
		case acted, chattered:
			return s.walkBack(near, st)
		default:
			return s.stopped(st, s.from), nil
		}
	}
	st, err := s.try(far)
	if err != nil {
		return ending{}, err
	}
	switch st.answer {
	case acted, chattered:
		return ending{lo: near, hi: far, saw: st}, nil
	case still:
		return s.further(far)
	}
	return s.stopped(st, near), nil
}

// further goes on from lo, where the board rests still.
func (s search) further(lo float64) (ending, error) {
	switch {
	case lo == s.to:
		return s.exhausted(), nil
	case s.farFirst:
		return s.fromFar(lo)
	}
	return s.walk(lo)
}

// walkBack goes towards from until the board rests, in steps that double: a
// sheet that expects too much says nothing of where to look. From itself is
// left to the confirming step.
func (s search) walkBack(hi float64, saw step) (ending, error) {
	for steps := 1.0; ; steps *= 2 {
		x := s.advance(hi, -steps)
		if x == s.from {
			return ending{lo: x, hi: hi, saw: saw}, nil
		}
		st, err := s.try(x)
		if err != nil {
			return ending{}, err
		}
		switch st.answer {
		case still:
			return ending{lo: x, hi: hi, saw: saw}, nil
		case acted, chattered:
			hi, saw = x, st
		default:
			return s.stopped(st, s.from), nil
		}
	}
}

// walk goes from lo towards to in coarse steps.
func (s search) walk(lo float64) (ending, error) {
	for {
		x := s.advance(lo, 1)
		st, err := s.try(x)
		if err != nil {
			return ending{}, err
		}
		switch st.answer {
		case acted, chattered:
			return ending{lo: lo, hi: x, saw: st}, nil
		case still:
			if x == s.to {
				return s.exhausted(), nil
			}
		default:
			return s.stopped(st, lo), nil
		}
		lo = x
	}
}

// farPoints are where a search that found nothing at its far end looks as
// well, as fractions of the way: a board may act in between and not there.
var farPoints = []float64{1. / 3, 2. / 3}

// fromFar begins at the far end. At lo the board rests.
func (s search) fromFar(lo float64) (ending, error) {
	st, err := s.try(s.to)
	if err != nil {
		return ending{}, err
	}
	switch st.answer {
	case acted, chattered:
		return ending{lo: lo, hi: s.to, saw: st}, nil
	case still:
	default:
		return s.walk(lo)
	}
	for _, f := range farPoints {
		x := s.between(lo, s.to, f)
		st, err := s.try(x)
		if err != nil {
			return ending{}, err
		}
		if st.answer == acted || st.answer == chattered {
			return ending{lo: lo, hi: x, saw: st, note: "acts in between, but no longer at the far end"}, nil
		}
	}
	return s.exhausted(), nil
}
