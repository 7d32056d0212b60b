package claim

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// The decision rules, as every face prints them.
const (
	RangeRule   = "prediction's range inside the stated limits"
	NominalRule = "typical prediction inside the stated limits"
	NoneRule    = "nothing found as far as was searched"
)

// Judgement is the verdict on one claim with all that led to it. Numbers that
// do not exist are NaN, cells 0.
type Judgement struct {
	Claim   Claim
	Verdict Verdict
	Rule    string
	Reason  string // one sentence, lower case, no full stop
	// Margin is the distance to the nearest stated limit in the claim's unit,
	// positive inside; NaN when there is no limit or no figure.
	Margin float64
	// Low and High are the ends over all cells and conditions, Typ the mean of
	// the typical figures.
	Low, Typ, High    float64
	LowCell, HighCell int
	Unit              string  // SI symbol
	Temperature       float64 // K
	// Outcome is Found, or the outcome that decided when a search found nothing.
	Outcome    protection.Outcome
	SearchedTo float64
	Tolerances bool // the range is over tolerances, not the typical board alone
}

// Judge judges c by the predictions that speak of it: those of its trial,
// quantity, cell, stage, state and temperature. What holds for one of them only
// does not hold for the board: the worst decides.
func Judge(c Claim, all []Prediction) Judgement {
	j := blank(c)
	ps := relevant(c, all)
	if len(ps) == 0 {
		j.Reason = "nothing was tried that this figure speaks of"
		return j
	}
	here := at(ps, j.Temperature)
	if len(here) == 0 {
		j.Reason = fmt.Sprintf("nothing was tried at %s", show(j.Temperature, quantity.Temperature))
		return j
	}
	j.gather(here)
	j.decide(here)
	return j
}

// blank is the judgement before anything is known.
func blank(c Claim) Judgement {
	nan := math.NaN()
	return Judgement{
		Claim: c, Verdict: NotTested, Rule: RangeRule, Margin: nan, Low: nan, Typ: nan, High: nan,
		Unit: c.Unit(), Temperature: c.Temperature(), SearchedTo: nan,
	}
}

// gather combines what was found into low, typical and high.
func (j *Judgement) gather(ps []Prediction) {
	var sum float64
	var n int
	j.Tolerances = true
	for _, p := range ps {
		if p.Outcome != protection.Found {
			continue
		}
		low, high := p.span()
		if n == 0 || low < j.Low {
			j.Low, j.LowCell = low, p.Cell
		}
		if n == 0 || high > j.High {
			j.High, j.HighCell = high, p.Cell
		}
		sum += p.Value
		n++
		j.Tolerances = j.Tolerances && !p.nominal()
	}
	if n == 0 {
		j.Tolerances = false
		return
	}
	j.Typ = sum / float64(n)
	j.Outcome = protection.Found
	if !j.Tolerances {
		j.Rule = NominalRule
	}
}

// decide takes the worst of the single verdicts.
func (j *Judgement) decide(ps []Prediction) {
	if j.Claim.None {
		j.Rule = NoneRule
	} else if l, ok := limitsOf(j.Claim.Value); ok && l.min <= l.max && !math.IsNaN(j.Low) {
		j.Margin = l.margin(j.Low, j.High)
	}
	first := true
	for _, p := range ps {
		v, reason := judgeOne(j.Claim, p)
		if !first && !v.worse(j.Verdict) {
			continue
		}
		first = false
		j.Verdict, j.Reason = v, reason
		if p.Outcome != protection.Found {
			j.Outcome, j.SearchedTo = p.Outcome, p.SearchedTo
		}
	}
	if j.Verdict == Meets && !j.Claim.None {
		j.Reason = j.inside()
	}
}

// inside is the reason of a claim that every cell meets.
func (j *Judgement) inside() string {
	dim := j.Claim.dim()
	s := fmt.Sprintf("%s lies inside the stated limits, %s from the nearest",
		showRange(j.Low, j.High, dim), showStep(j.Margin, dim))
	if !j.Tolerances {
		s += nominalOnly
	}
	return s
}

const nominalOnly = "; typical board only, no tolerances computed"

// judgeOne judges c by one prediction.
func judgeOne(c Claim, p Prediction) (Verdict, string) {
	switch {
	case p.Outcome != protection.Found:
		return judgeOutcome(c, p)
	case c.None:
		return Fails, fmt.Sprintf("none is stated, but %s acts at %s", where(p), show(p.Value, c.dim()))
	}
	l, ok := limitsOf(c.Value)
	if !ok {
		return CannotTell, bareReason(c, p)
	}
	if l.min > l.max {
		return CannotTell, crossed(l, c)
	}
	low, high := p.span()
	v := l.judge(low, high)
	return v, rangeReason(v, l, c, p)
}

// bareReason says how far the prediction is from a figure that has no limits.
func bareReason(c Claim, p Prediction) string {
	dim, typ := c.dim(), c.Value.Nominal()
	return fmt.Sprintf("only %s is stated, without limits; %s is at %s, %s away",
		show(typ, dim), where(p), show(p.Value, dim), showStep(math.Abs(p.Value-typ), dim))
}

// crossed is the reason where the stated minimum is above the maximum.
func crossed(l limits, c Claim) string {
	return fmt.Sprintf("the stated minimum of %s is above the stated maximum of %s", show(l.min, c.dim()), show(l.max, c.dim()))
}

// rangeReason says on which side of which limit the prediction lies.
func rangeReason(v Verdict, l limits, c Claim, p Prediction) string {
	low, high := p.span()
	dim := c.dim()
	s := fmt.Sprintf("%s: %s ", where(p), showRange(low, high, dim))
	switch {
	case v == Meets:
		s += "lies inside the stated limits"
	case v == Fails && high < l.min:
		s += "lies below the stated minimum of " + show(l.min, dim)
	case v == Fails:
		s += "lies above the stated maximum of " + show(l.max, dim)
	case low < l.min && high > l.max:
		s += "reaches beyond both stated limits: it depends on the parts of the one board"
	case low < l.min:
		s += fmt.Sprintf("reaches below the stated minimum of %s: it depends on the parts of the one board", show(l.min, dim))
	default:
		s += fmt.Sprintf("reaches above the stated maximum of %s: it depends on the parts of the one board", show(l.max, dim))
	}
	if p.nominal() {
		s += nominalOnly
	}
	return s
}

// where names what the prediction is of: "cell 3", "the board", with its
// condition.
func where(p Prediction) string {
	s := "the board"
	if p.Cell != 0 {
		s = fmt.Sprintf("cell %d", p.Cell)
	}
	if p.Condition != "" {
		s += ", " + p.Condition
	}
	return s
}
