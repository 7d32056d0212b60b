package study

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"cupel/internal/answer"
	"cupel/internal/evidence"
	"cupel/internal/protection"
	"cupel/internal/trial"
)

// digits is how many significant digits a computed number is published with:
// two more than the tightest search resolves, and few enough that the last
// bits of a sum, which differ between processors, do not show.
const digits = 7

// number publishes x, which is absent when it is NaN or infinite.
func number(x float64) *float64 {
	n := answer.Number(x)
	if n == nil {
		return nil
	}
	// The shortest way to round in decimal is through the decimal text.
	r, _ := strconv.ParseFloat(strconv.FormatFloat(*n, 'e', digits-1, 64), 64)
	return &r
}

// celsius publishes a temperature of the inside, which is in kelvin.
func celsius(kelvin float64) *float64 { return number(kelvin - zeroCelsius) }

// result publishes one result, found at a temperature in kelvin.
func result(r trial.Result, kelvin float64) answer.Result {
	a := answer.Result{
		Trial:       string(r.Trial),
		State:       answer.Text(r.State),
		Quantity:    string(r.Quantity),
		Temperature: celsius(kelvin),
		Outcome:     string(r.Outcome),
		Unit:        answer.Text(r.Unit),
		Basis:       string(evidence.Computed),
		Assumed:     r.Assumed,
		Stimulus:    answer.Text(r.Stimulus),
		OpenMeans:   answer.Text(r.OpenMeans),
		Stage:       answer.Text(r.Stage),
		Step:        answer.Text(r.Step),
		Port:        answer.Text(r.Port),
		Word:        answer.Text(r.Word),
		Conditions:  conditions(r.Conditions),
		Note:        answer.Text(r.Note),
	}
	if r.Cell > 0 {
		a.Cell = answer.Whole(r.Cell)
	}
	if r.Tap >= 0 && r.Quantity == protection.TapCurrent {
		a.Tap = answer.Whole(r.Tap)
	}
	switch {
	case r.Outcome != protection.Found:
		searched(&a, r)
	case r.Unit != "":
		a.Value = number(r.Value)
		a.Resolution = resolution(r)
	}
	return a
}

// searched fills in how far a search without a value went.
func searched(a *answer.Result, r trial.Result) {
	if r.SearchedUnit != "" {
		a.SearchedTo = number(r.SearchedTo)
		a.SearchUnit = answer.Text(r.SearchedUnit)
	}
}

// resolution is half the last interval of the search, absent where there was
// no search: the trial then leaves the bounds at the value, at zero or at NaN.
func resolution(r trial.Result) *float64 {
	if !(r.Low < r.High) || r.Value < r.Low || r.Value > r.High {
		return nil
	}
	return number((r.High - r.Low) / 2)
}

func conditions(cs []trial.Condition) answer.List[answer.Condition] {
	var out answer.List[answer.Condition]
	for _, c := range cs {
		out = append(out, answer.Condition{Name: c.Name, Value: number(c.Value), Unit: answer.Text(c.Unit)})
	}
	return out
}

// sortResults sorts by cell, then trial, then name, then by what tells two
// results of one name apart. What is alike even then keeps the trial's order.
func sortResults(rs []answer.Result) {
	slices.SortStableFunc(rs, func(a, b answer.Result) int {
		return cmp.Or(
			cmp.Compare(whole(a.Cell), whole(b.Cell)),
			cmp.Compare(order(a.Trial), order(b.Trial)),
			cmp.Compare(a.Quantity, b.Quantity),
			cmp.Compare(a.State, b.State),
			cmp.Compare(a.Stage, b.Stage),
			cmp.Compare(stepRank(a), stepRank(b)),
			cmp.Compare(a.Port, b.Port),
			cmp.Compare(whole(a.Tap), whole(b.Tap)),
			cmp.Compare(amount(a.Temperature), amount(b.Temperature)),
		)
	})
}

// stepRank puts the figure of the whole before the steps of its sweep.
func stepRank(r answer.Result) int {
	if r.Step == "" {
		return 0
	}
	return 1
}

// order is the place of a trial in the order they are printed in; what is no
// trial comes last.
func order(t string) int {
	if i := slices.Index(protection.Claimable(), protection.Trial(t)); i >= 0 {
		return i
	}
	return math.MaxInt
}

// whole sorts absent numbers before all others.
func whole(n *int) int {
	if n == nil {
		return math.MinInt
	}
	return *n
}

func amount(x *float64) float64 {
	if x == nil {
		return math.Inf(-1)
	}
	return *x
}
