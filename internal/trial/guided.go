package trial

import (
	"math"

	"cupel/internal/protection"
)

// guided is a search that knows where the same search ended on a nominal board.
// It ends as the plain one does: with a stimulus at which this very board rested
// and one, no further than the resolution beyond, at which it acted.
type guided struct {
	search
	lesson lesson
	seen   []sighting // at the start, then of the last stimulus at rest
	starts int

	lo, hi      float64
	rests, acts bool    // lo and hi are set
	saw         step    // at hi
	solved      float64 // where the line through the last stimulus at rest meets the edge; NaN
	aimed       bool    // between has used solved
}

// Bounds of a guided search, our own choices.
const (
	mostTries = 24
	wider     = 3.0 // of the step of a search that has lost its way
)

// guidedSearch looks where the lesson says, and searches as if there had been
// none if that does not lead to an end.
func (s *stand) guidedSearch(sr search, l lesson) (ending, error) {
	switch {
	case l.nothing():
		return sr.nothing(l)
	case !l.found():
		return sr.run()
	case sr.fromFound && l.hi == sr.from:
		return sr.atOnce()
	}
	g := &guided{search: sr, lesson: l, solved: math.NaN()}
	x, err := g.begin(s)
	if err != nil {
		return ending{}, err
	}
	e, done, err := g.find(s, g.move(x, -0.5))
	if err != nil || done {
		return e, err
	}
	return sr.run()
}

// nothing looks whether there is still nothing to find.
func (sr search) nothing(l lesson) (ending, error) {
	st, err := sr.try(sr.to)
	if err != nil {
		return ending{}, err
	}
	if st.answer == still {
		return ending{outcome: protection.NoneFound, searchedTo: sr.to, note: l.note}, nil
	}
	return sr.run()
}

// atOnce looks whether the very first stimulus acts, as it did.
func (sr search) atOnce() (ending, error) {
	st, err := sr.try(sr.from)
	if err != nil {
		return ending{}, err
	}
	if st.answer == acted {
		return sr.atFrom(st), nil
	}
	return sr.run()
}

// begin looks at the board where the search starts, and where that says it
// should end, and says where to try.
func (g *guided) begin(s *stand) (float64, error) {
	if g.foretell != nil && finite(g.lesson.told) {
		t, err := g.foretell(twice * g.lesson.value())
		if x := g.lesson.value() + t - g.lesson.told; err != nil || finite(x) {
			return x, err
		}
	}
	if g.start != nil {
		if err := g.start(s.sight(&g.seen)); err != nil {
			return 0, err
		}
	}
	g.starts = len(g.seen)
	x := g.lesson.expects(g.seen)
	if g.under == nil || g.lesson.edge < 0 || g.starts == 0 {
		return x, nil
	}
	if err := g.under(x, g.lesson.after); err != nil {
		return 0, err
	}
	if err := s.sight(&g.seen)(x); err != nil {
		return 0, err
	}
	if y := g.lesson.sharper(g.seen[g.starts-1], g.seen[g.starts]); finite(y) && y > x/2 && y < 2*x {
		x = y
	}
	return x, nil
}

// find brackets, beginning at x. done is false if it gave up.
func (g *guided) find(s *stand, x float64) (e ending, done bool, err error) {
	step := 1.0
	for range mostTries {
		if !g.inside(x) {
			return e, false, nil
		}
		st, err := g.ask(s, x)
		if err != nil {
			return e, false, err
		}
		switch {
		case st.answer == beyond || st.answer == unclear:
			return e, false, nil
		case g.rests && g.acts && g.narrow():
			return g.ending(), true, nil
		case g.rests && g.acts:
			x = g.between()
		case g.rests:
			x, step = g.forward(step), step*wider
		default:
			x, step = g.move(g.hi, -step), step*wider
		}
	}
	return e, false, nil
}

// ask tries x.
func (g *guided) ask(s *stand, x float64) (step, error) {
	try := g.try
	if g.sure != nil {
		try = g.sure
	}
	st, err := try(x)
	switch {
	case err != nil:
	case st.answer != still:
		g.hi, g.acts, g.saw = x, true, st
	default:
		g.lo, g.rests, g.solved = x, true, math.NaN()
		err = g.solve(s, x)
	}
	return st, err
}

// solve takes where the comparator says the end is from the board as it stands
// still at x.
func (g *guided) solve(s *stand, x float64) error {
	if g.starts == 0 || g.lesson.edge < 0 || g.under != nil {
		return nil
	}
	g.seen = g.seen[:g.starts]
	if err := s.sight(&g.seen)(x); err != nil {
		return err
	}
	g.solved = meets(g.seen[g.starts-1], g.seen[g.starts], g.lesson.edge)
	return nil
}

// width is how far apart lo and hi may be, of a bracket that ends at x: a hair
// less than asked, that rounding does not cost a step.
func (g *guided) width(x float64) float64 {
	return math.Max(g.resolution, g.relative*math.Abs(x)) * (1 - 1e-9)
}

// move is x by so many widths further in the sense of the search.
func (g *guided) move(x, widths float64) float64 {
	if g.ratio > 1 && g.resolution < g.relative*math.Abs(x) {
		return x * math.Pow(1-g.relative*(1-1e-9), -widths*g.sign())
	}
	return x + widths*g.sign()*g.width(x)
}

func (g *guided) narrow() bool {
	e := ending{lo: g.lo, hi: g.hi}
	return g.fine(e)
}

// inside reports whether x is where the search may go: from itself counts.
func (g *guided) inside(x float64) bool {
	return !math.IsNaN(x) && (x-g.from)*(g.to-x) >= 0
}

// forward is where to look next for the act: half a width past where the line of
// this board says it is, but no nearer than a width, or further and further.
func (g *guided) forward(step float64) float64 {
	past := (g.solved - g.move(g.lo, 0.9)) * g.sign()
	if past > 0 && step < wider*wider {
		return g.move(g.solved, 0.5)
	}
	return g.move(g.lo, step)
}

// between is where to look inside a bracket that is too wide.
func (g *guided) between() float64 {
	middle := g.search.between(g.lo, g.hi, 0.5)
	if math.IsNaN(g.solved) || g.aimed {
		return middle
	}
	for _, x := range []float64{g.move(g.solved, -0.5), g.move(g.solved, 0.5), g.move(g.hi, -1)} {
		if (x-g.lo)*(g.hi-x) > 0 {
			g.aimed = true
			return x
		}
	}
	return middle
}

// ending is how it ended.
func (g *guided) ending() ending {
	e := ending{outcome: protection.Found, lo: g.lo, hi: g.hi, searchedTo: g.hi, note: g.saw.note, saw: g.saw}
	if g.saw.answer == chattered {
		e.outcome = protection.Chatters
	}
	if g.solved >= e.low() && g.solved <= e.high() {
		e.solved = g.solved
	}
	return e
}
