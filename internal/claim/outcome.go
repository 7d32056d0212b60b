package claim

import (
	"fmt"
	"math"

	"cupel/internal/protection"
)

// judgeOutcome judges c by a search that ended without a number.
func judgeOutcome(c Claim, p Prediction) (Verdict, string) {
	if c.None {
		return judgeNone(p)
	}
	switch p.Outcome {
	case protection.NoneFound:
		return judgeNoneFound(c, p)
	case protection.NotCut:
		return Fails, fmt.Sprintf("%s: the path was not cut", where(p))
	case protection.NeverReleases:
		return Fails, fmt.Sprintf("%s: it never releases", where(p))
	}
	return CannotTell, undecided(p)
}

// judgeNone judges the statement that there is no such protection.
func judgeNone(p Prediction) (Verdict, string) {
	switch p.Outcome {
	case protection.NoneFound, protection.NotCut:
		return Meets, fmt.Sprintf("none is stated and none was found%s", searched(p))
	case protection.NotApplicable:
		return Meets, "none is stated and the board has no place for it" + because(p)
	}
	return CannotTell, undecided(p)
}

// judgeNoneFound judges a stated figure where the search found no action. It
// fails only when the search went past the figure.
func judgeNoneFound(c Claim, p Prediction) (Verdict, string) {
	if p.SearchedUnit != c.Unit() || math.IsNaN(p.SearchedTo) {
		return Fails, fmt.Sprintf("%s: none found%s, so there is no %s", where(p), searched(p), c.Quantity.Label())
	}
	if !past(c, p.SearchedTo) {
		return CannotTell, fmt.Sprintf("%s: none found%s, which does not reach past what is stated", where(p), searched(p))
	}
	return Fails, fmt.Sprintf("%s: none found%s, past what is stated", where(p), searched(p))
}

// past reports whether a search to v went past every figure c states, in the
// direction that such a search goes.
func past(c Claim, v float64) bool {
	if downward(c) {
		return v < edge(c, math.Min)
	}
	return v > edge(c, math.Max)
}

// downward reports whether the search for c goes from high to low.
func downward(c Claim) bool {
	return c.Protection == protection.Overdischarge && c.Quantity == protection.Detect ||
		c.Protection == protection.Overcharge && c.Quantity == protection.ReleaseAt ||
		c.Protection == protection.Balance && c.Quantity == protection.Stop
}

// edge is the outermost figure stated.
func edge(c Claim, outer func(a, b float64) float64) float64 {
	v := c.Value.Nominal()
	for _, x := range []float64{c.Value.Min, c.Value.Max} {
		if !math.IsNaN(x) {
			v = outer(v, x)
		}
	}
	return v
}

// undecided says why an outcome judges nothing.
func undecided(p Prediction) string {
	s := fmt.Sprintf("%s: %s%s", where(p), p.Outcome, because(p))
	if p.Outcome == protection.NotReached {
		s += searched(p)
	}
	return s
}

func because(p Prediction) string {
	if p.Note == "" {
		return ""
	}
	return ": " + p.Note
}

func searched(p Prediction) string {
	if math.IsNaN(p.SearchedTo) || p.SearchedUnit == "" {
		return ""
	}
	return " up to " + showUnit(p.SearchedTo, p.SearchedUnit)
}
