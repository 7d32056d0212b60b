package claim

import (
	"fmt"
	"math"
)

// Rule is how a reading is judged. Its zero value is the default: a guard band
// of the expanded uncertainty with coverage factor 2.
type Rule struct {
	// K is the coverage factor of the guard band; 0 means 2.
	K float64
	// Simple compares the reading alone, without guard band.
	Simple bool
}

// factor is the coverage factor in use.
func (r Rule) factor() float64 {
	if r.K == 0 {
		return 2
	}
	return r.K
}

// String is how the rule is printed beside a verdict.
func (r Rule) String() string {
	if r.Simple {
		return "reading inside the stated limits"
	}
	return fmt.Sprintf("reading inside the stated limits by its expanded uncertainty, k = %g", r.factor())
}

// Reading is one measured figure with its standard uncertainty, both in the SI
// unit of the claim.
type Reading struct {
	Value, Uncertainty float64
	Cell               int     // 0: not of one cell
	Temperature        float64 // K
}

// JudgeReading judges c by one reading under rule r.
func JudgeReading(c Claim, m Reading, r Rule) Judgement {
	j := blank(c)
	j.Rule = r.String()
	j.Temperature = m.Temperature
	u := r.factor() * m.Uncertainty
	j.Low, j.Typ, j.High = m.Value-u, m.Value, m.Value+u
	j.LowCell, j.HighCell = m.Cell, m.Cell
	if c.None {
		j.Verdict, j.Reason = Fails, fmt.Sprintf("none is stated, but it acts at %s", show(m.Value, c.dim()))
		return j
	}
	l, ok := limitsOf(c.Value)
	if !ok {
		j.Verdict, j.Reason = CannotTell, fmt.Sprintf("only %s is stated, without limits", show(c.Value.Nominal(), c.dim()))
		return j
	}
	if l.min > l.max {
		j.Verdict, j.Reason = CannotTell, crossed(l, c)
		return j
	}
	j.Margin = l.margin(m.Value, m.Value)
	j.Verdict = l.guarded(m.Value, u)
	if r.Simple {
		j.Verdict = l.simple(m.Value)
	}
	j.Reason = readingReason(j, u, r.Simple)
	return j
}

// readingReason says where the reading lies and what its uncertainty allows to
// say.
func readingReason(j Judgement, u float64, simple bool) string {
	dim := j.Claim.dim()
	side := "inside"
	if j.Margin < 0 {
		side = "outside"
	}
	s := fmt.Sprintf("%s lies %s %s the stated limits", show(j.Typ, dim), showStep(math.Abs(j.Margin), dim), side)
	switch {
	case simple:
		return s + "; its uncertainty is left out"
	case j.Verdict == CannotTell:
		return s + fmt.Sprintf(", less than its expanded uncertainty of %s", showStep(u, dim))
	}
	return s + fmt.Sprintf(", more than its expanded uncertainty of %s", showStep(u, dim))
}
