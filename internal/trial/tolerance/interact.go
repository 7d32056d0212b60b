package tolerance

import (
	"math"
	"slices"

	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/uncertainty"
)

// Causes of a spread.
const (
	// Linear is the part of a figure's variance that a line must explain for
	// squared regression coefficients to be called shares.
	Linear = 0.9
	// regressed is how many variables are put into a regression at most, those
	// of the greatest effect; the rest of the variance stays unexplained.
	regressed = 40
	// Pairs of boards of a total effect, and how many variables get one.
	pairs  = 100
	totals = 5
)

// Cause is a variable's share in the variance of a figure.
type Cause struct {
	Variable Variable
	Share    float64
}

// Regress shares the variance of a figure over samples between the variables it
// answers to: values[i] is the figure of sample numbers[i], NaN where it has
// none. r2 is how much a line explains; ok is false where there is nothing to
// explain or too little to explain it with.
func Regress(seed uint64, effects []Effect, numbers []uint64, values []float64) (causes []Cause, r2 float64, ok bool) {
	var y []float64
	var of []uint64
	for i, v := range values {
		if !math.IsNaN(v) {
			y, of = append(y, v), append(of, numbers[i])
		}
	}
	effects = effects[:min(len(effects), regressed, len(y)/3)]
	columns := make([][]float64, len(effects))
	for j, e := range effects {
		columns[j] = make([]float64, len(of))
		for i, n := range of {
			columns[j][i] = draw(drawInside, seed, n, e.Variable)
		}
	}
	shares, r2, ok := uncertainty.Shares(columns, y)
	if !ok {
		return nil, 0, false
	}
	for j, e := range effects {
		causes = append(causes, Cause{e.Variable, shares[j]})
	}
	slices.SortStableFunc(causes, func(a, b Cause) int { return descending(a.Share, b.Share) })
	return causes, r2, true
}

func descending(a, b float64) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}

// interactions looks, over the random boards inside, how much of each figure a
// line explains. Where that is too little it asks for total effects.
func (w *work) interactions() error {
	numbers := make([]uint64, insidePoints)
	for i := range numbers {
		numbers[i] = uint64(i)
	}
	var all []*frozen
	for _, f := range w.all {
		causes, r2, ok := Regress(w.Seed, f.Effects, numbers, f.insideY)
		if f.R2 = r2; !ok || r2 >= Linear || f.High-f.Low <= spreadLeast*f.eps {
			continue
		}
		f.Interacting = true
		for _, c := range causes[:min(len(causes), totals)] {
			all = freeze(all, f, c.Variable)
		}
	}
	return w.thaw(all)
}

// spreadLeast is how many times the noise a spread must have to be explained.
const spreadLeast = 10

// frozen is a variable that is drawn anew on boards otherwise kept, for figures
// of one lesson.
type frozen struct {
	lesson  int
	v       Variable
	figures []*figure
	again   [][]trial.Again // of each figure, by pair
}

// freeze adds a figure to the variables that are drawn anew for it.
func freeze(all []*frozen, f *figure, v Variable) []*frozen {
	for _, z := range all {
		if z.lesson == f.lesson && z.v == v {
			z.figures = append(z.figures, f)
			return all
		}
	}
	return append(all, &frozen{lesson: f.lesson, v: v, figures: []*figure{f}})
}

// thaw asks for all of them and computes the total effects.
func (w *work) thaw(all []*frozen) error {
	var asks []Ask
	for _, z := range all {
		z.again = make([][]trial.Again, len(z.figures))
		for j := range uint64(pairs) {
			asks = append(asks, Ask{with(Sample{w.Seed, j}, z.v, draw(drawSecond, w.Seed, j, z.v)), []int{z.lesson}})
		}
	}
	err := w.ask(asks, func(i int, f *figure, a trial.Again) {
		z := all[i/pairs]
		if k := slices.Index(z.figures, f); k >= 0 {
			z.again[k] = append(z.again[k], a)
		}
	})
	for _, z := range all {
		for k, f := range z.figures {
			if err == nil {
				f.total(z.v, z.again[k])
			}
		}
	}
	return err
}

// total adds a variable's total effect.
func (f *figure) total(v Variable, again []trial.Again) {
	var y, z []float64
	for j, a := range again {
		if a.Outcome == protection.Found && !math.IsNaN(f.insideY[j]) {
			y, z = append(y, f.insideY[j]), append(z, a.Value)
		}
	}
	if s := uncertainty.TotalEffect(y, z); len(y) > 1 && !math.IsNaN(s) && !math.IsInf(s, 0) {
		f.Totals = append(f.Totals, Total{v, s})
		slices.SortStableFunc(f.Totals, func(a, b Total) int { return descending(a.Share, b.Share) })
	}
}
