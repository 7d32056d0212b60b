package tolerance

import (
	"math"
	"slices"

	"cupel/internal/protection"
	"cupel/internal/trial"
)

// Ask is a board, and the lessons whose figures are wanted of it.
type Ask struct {
	Point   Point
	Lessons []int
}

// Asker computes boards, side by side if it can: the answer to Ask i has at j the
// figures of its lesson j. A board that cannot be computed has them all with the
// outcome "not computed". An error ends the study.
type Asker func(asks []Ask) ([][][]trial.Again, error)

// Study searches for the worst corners of figures.
type Study struct {
	Variables []Variable
	Lessons   []*trial.Lesson
	Mine      []int // indexes of the lessons to study; the others are not asked for
	Seed      uint64
	Ask       Asker
}

// Extent is how far one figure goes over the tolerances of all parts.
type Extent struct {
	// Low and High are the furthest found, with the doubt of each; NaN if no
	// board had a figure at all.
	Low, High           float64
	LowDoubt, HighDoubt float64
	// Effects are the variables that the figure answers to, greatest first.
	Effects []Effect
	// Odd names what the figure is not monotone in; Beyond is true if a board
	// lay outside the corners found first, whether that could be named or not.
	Odd    []Variable
	Beyond bool
	// Others are the outcomes, other than the nominal board's, that any of the
	// boards Tried had, in order.
	Others []protection.Outcome
	Tried  int
	// Interacting says that a line explains too little of the figure over
	// random boards: R2 is how much. Totals are then the total effects of those
	// that have most.
	R2          float64
	Interacting bool
	Totals      []Total
}

// Effect is what a variable alone does to a figure: its values at the lower and
// the upper limit, NaN where there is none.
type Effect struct {
	Variable  Variable
	Low, High float64
	size      float64
}

// Total is a variable's total effect: the share of the variance it has part in.
type Total struct {
	Variable Variable
	Share    float64
}

// Numbers of boards tried after the corners are found, as the corners are not to
// be believed before.
const (
	randomCorners = 200
	insidePoints  = 200
)

// figure is the study of one figure.
type figure struct {
	lesson, index int
	Extent
	centre    trial.Again
	eps       float64           // a change less than this is none
	most      float64           // that a part moves it by
	noise     float64           // what solvers move it by
	minor     map[block]float64 // how far parts that do not count moved it
	answers   map[Variable]*Effect
	low, high corner
	insideY   []float64 // at insidePoints, NaN where not found
	lowClimb  climb
	highClimb climb
	judgeLow  float64 // where the corners ended, before random boards were tried
	judgeHigh float64
	doubtLow  float64
	doubtHigh float64
}

// corner is the board at which a figure is expected to be furthest.
type corner map[Variable]float64

// work is a study under way.
type work struct {
	Study
	byLesson map[int][]*figure
	all      []*figure
	active   map[int]map[block]bool
}

// Run studies. The answer has at i the extents of lesson i's figures; nil for
// lessons that are not Mine.
func (s Study) Run() ([][]Extent, error) {
	w := &work{Study: s, byLesson: map[int][]*figure{}, active: map[int]map[block]bool{}}
	for _, round := range []func() error{w.centre, w.screen, w.alone, w.corners, w.random, w.climbOn, w.interactions} {
		if err := round(); err != nil {
			return nil, err
		}
	}
	out := make([][]Extent, len(s.Lessons))
	for l, fs := range w.byLesson {
		for _, f := range fs {
			out[l] = append(out[l], f.Extent)
		}
	}
	return out, nil
}

// ask asks and lets every figure see every answer.
func (w *work) ask(asks []Ask, see func(ask int, f *figure, a trial.Again)) error {
	if len(asks) == 0 {
		return nil
	}
	answers, err := w.Ask(asks)
	if err != nil {
		return err
	}
	for i, ask := range asks {
		for j, l := range ask.Lessons {
			for k, f := range w.byLesson[l] {
				a := answers[i][j][k]
				f.see(a)
				if see != nil {
					see(i, f, a)
				}
			}
		}
	}
	return nil
}

// see widens the extent to a board.
func (f *figure) see(a trial.Again) {
	f.Tried++
	if i, had := slices.BinarySearch(f.Others, a.Outcome); a.Outcome != f.centre.Outcome && !had {
		f.Others = slices.Insert(f.Others, i, a.Outcome)
	}
	if a.Outcome != protection.Found {
		return
	}
	if !(a.Value >= f.Low) {
		f.Low, f.LowDoubt = a.Value, a.Doubt
	}
	if !(a.Value <= f.High) {
		f.High, f.HighDoubt = a.Value, a.Doubt
	}
}

// noise is what a change must exceed, as a part of the largest figure of its
// kind in the lesson, to be one: solvers and time steps move figures by less.
// Measured on the demo boards, where equal boards differ by some 1e-6.
const noise = 1e-5

// minor is what a part may move a figure by without its variables being looked at
// one by one, as a part of what the part that moves it most does: at a corner it
// takes the limits it was screened with, or the opposite ones.
const minor = 1e-3

// centre asks for the nominal board.
func (w *work) centre() error {
	answers, err := w.Ask([]Ask{{Set{}, w.Mine}})
	if err != nil {
		return err
	}
	for j, l := range w.Mine {
		scale := map[protection.Quantity]float64{}
		for k, a := range answers[0][j] {
			q := w.Lessons[l].Results[w.Lessons[l].Again[k]].Quantity
			scale[q] = math.Max(scale[q], math.Abs(a.Value))
		}
		for k, a := range answers[0][j] {
			q := w.Lessons[l].Results[w.Lessons[l].Again[k]].Quantity
			f := &figure{lesson: l, index: k, centre: a, noise: noise * scale[q], answers: map[Variable]*Effect{}, minor: map[block]float64{}}
			f.eps = f.noise
			f.Low, f.High = math.NaN(), math.NaN()
			f.see(a)
			w.byLesson[l] = append(w.byLesson[l], f)
			w.all = append(w.all, f)
		}
		w.active[l] = map[block]bool{}
	}
	return nil
}

// differs reports whether a is another figure than the nominal board's.
func (f *figure) differs(a trial.Again) bool {
	return a.Outcome != f.centre.Outcome || a.Outcome == protection.Found && math.Abs(a.Value-f.centre.Value) > f.eps
}

// block is the variables of one part, or of one sheet's lot. Parts in parallel
// are apart: moved against each other they would cancel out.
type block struct {
	lot  bool
	name string
	unit int
}

func (v Variable) block() block { return block{v.Lot, v.Name, v.Unit} }

// screen moves one part after the other, all its variables at once and each to
// a random limit, to see which lessons answer to it at all. Two variables of one
// part could cancel out; random corners would show that.
func (w *work) screen() error {
	var asks []Ask
	var blocks []block
	at := map[block]Set{}
	for _, v := range w.Variables {
		b := v.block()
		if _, ok := at[b]; !ok {
			at[b] = Set{Levels: map[Variable]float64{}}
			blocks = append(blocks, b)
		}
		at[b].Levels[v] = w.screened(v)
	}
	for _, b := range blocks {
		asks = append(asks, Ask{at[b], w.Mine})
	}
	moves := make([]map[*figure]trial.Again, len(asks))
	err := w.ask(asks, func(i int, f *figure, a trial.Again) {
		if f.differs(a) {
			if moves[i] == nil {
				moves[i] = map[*figure]trial.Again{}
			}
			moves[i][f] = a
			if a.Outcome == protection.Found && f.centre.Outcome == protection.Found {
				f.most = math.Max(f.most, math.Abs(a.Value-f.centre.Value))
			}
		}
	})
	for _, f := range w.all {
		f.eps = math.Max(f.eps, minor*f.most)
	}
	for i, b := range blocks {
		for f, a := range moves[i] {
			if f.differs(a) {
				w.active[f.lesson][b] = true
			} else {
				f.minor[b] = a.Value - f.centre.Value
			}
		}
	}
	return err
}

// screened is the limit that a variable had while its part was moved.
func (w *work) screened(v Variable) float64 { return math.Copysign(1, draw(drawScreen, w.Seed, 0, v)) }

// alone moves every variable of the parts that count to both limits, alone.
func (w *work) alone() error {
	var asks []Ask
	var moved []Variable
	for _, v := range w.Variables {
		var lessons []int
		for _, l := range w.Mine {
			if w.active[l][v.block()] {
				lessons = append(lessons, l)
			}
		}
		if len(lessons) > 0 {
			asks = append(asks, Ask{with(nil, v, -1), lessons}, Ask{with(nil, v, 1), lessons})
			moved = append(moved, v)
		}
	}
	if err := w.ask(asks, func(i int, f *figure, a trial.Again) { f.effect(moved[i/2], i%2 == 1, a) }); err != nil {
		return err
	}
	for _, f := range w.all {
		f.rank(w.Variables)
	}
	return nil
}

// effect keeps what a variable alone did.
func (f *figure) effect(v Variable, up bool, a trial.Again) {
	if a.Outcome == f.centre.Outcome && math.Abs(a.Value-f.centre.Value) <= f.noise {
		return
	}
	e := f.answers[v]
	if e == nil {
		e = &Effect{Variable: v, Low: f.centre.Value, High: f.centre.Value}
		f.answers[v] = e
	}
	value := a.Value
	if a.Outcome != protection.Found {
		value = math.NaN()
	}
	if up {
		e.High = value
	} else {
		e.Low = value
	}
}

// rank sorts effects, those that can end the figure first; of equals in the
// order of the variables.
func (f *figure) rank(order []Variable) {
	for _, v := range order {
		if e := f.answers[v]; e != nil {
			e.size = math.Max(math.Abs(e.Low-f.centre.Value), math.Abs(e.High-f.centre.Value))
			if math.IsNaN(e.Low) || math.IsNaN(e.High) {
				e.size = math.Inf(1)
			}
			f.Effects = append(f.Effects, *e)
		}
	}
	slices.SortStableFunc(f.Effects, func(a, b Effect) int {
		switch {
		case a.size > b.size:
			return -1
		case a.size < b.size:
			return 1
		}
		return 0
	})
}
