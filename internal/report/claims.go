package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"cupel/internal/answer"
)

// verdicts are the words of a verdict, worst first.
var verdicts = []string{"fails", "cannot tell", "not tested", "meets"}

// worstFirst sorts claims as they are read: what fails before what cannot be
// told, and of each the one nearest to or furthest beyond its limit first. The
// answer itself keeps its order.
func worstFirst(cs []answer.Claim) []answer.Claim {
	cs = slices.Clone(cs)
	slices.SortStableFunc(cs, func(a, b answer.Claim) int {
		return cmp.Compare(slices.Index(verdicts, a.Verdict), slices.Index(verdicts, b.Verdict))
	})
	return cs
}

// Sentence says in one line what the claims came to: the first thing to read.
func Sentence(s answer.Summary) string {
	total := s.Meets + s.Fails + s.CannotTell + s.NotTested
	if total == 0 {
		return "Nothing is stated of this board; what follows is what it does."
	}
	var parts []string
	say := func(n int, one, many string) {
		switch n {
		case 0:
		case 1:
			parts = append(parts, "one "+one)
		default:
			parts = append(parts, numeral(n)+" "+many)
		}
	}
	say(s.Fails, "does not hold", "do not hold")
	say(s.CannotTell, "cannot be judged", "cannot be judged")
	say(s.NotTested, "was not tested", "were not tested")
	of := fmt.Sprintf("Of %s", stateds(total))
	if len(parts) == 0 {
		return strings.Replace(of, "Of", "All", 1) + " hold for typical parts."
	}
	say(s.Meets, "holds", "hold")
	last := len(parts) - 1
	if last == 0 {
		return of + " " + parts[0] + "."
	}
	return of + " " + strings.Join(parts[:last], ", ") + " and " + parts[last] + "."
}

func stateds(n int) string {
	if n == 1 {
		return "one stated figure"
	}
	return numeral(n) + " stated figures"
}

// numeral writes small numbers as words.
func numeral(n int) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}

// predicted prints what was predicted for a claim: one figure, a range, or how
// the search ended.
func predicted(c answer.Claim) string {
	p := c.Predicted
	unit := string(c.Unit)
	switch {
	case p.Low == nil || p.High == nil:
		if c.Outcome == "" {
			return "–"
		}
		return string(c.Outcome)
	case same(*p.Low, *p.High, unit):
		return amount(*p.Low, unit, 0)
	}
	return interval(*p.Low, *p.High, unit)
}

// interval prints two ends with a common prefix, enough digits to tell them
// apart and no more.
func interval(low, high float64, unit string) string {
	f, p := prefix(max(abs(low), abs(high)), unit)
	res := (high - low) / 4
	a, b := bare(low, unit, f, 0), bare(high, unit, f, 0)
	if a == b {
		a, b = bare(low, unit, f, res), bare(high, unit, f, res)
	}
	return a + " to " + b + thin + p + symbol(unit)
}

// same reports whether two ends read the same on any meter: they differ by
// less than a part in ten thousand.
func same(low, high float64, _ string) bool { return high-low <= 1e-4*max(abs(low), abs(high)) }

func abs(x float64) float64 { return max(x, -x) }

// cells says at which cells the ends of a prediction were found.
func cells(p answer.Predicted) string {
	switch {
	case p.LowCell == nil || p.HighCell == nil:
		return ""
	case *p.LowCell == *p.HighCell:
		return fmt.Sprint(*p.LowCell)
	}
	return fmt.Sprintf("%d, %d", *p.LowCell, *p.HighCell)
}

// statedText prints what is stated.
func statedText(c answer.Claim) string {
	if c.Text == "none" {
		return "none"
	}
	return limits(c.Stated.Min, c.Stated.Typ, c.Stated.Max, string(c.Unit))
}

// margin prints a margin with its sign.
func margin(c answer.Claim) string {
	if c.Margin == nil {
		return ""
	}
	unit := string(c.Unit)
	if unit != "K" {
		s := amount(*c.Margin, unit, 0)
		if *c.Margin > 0 {
			return "+" + s
		}
		return s
	}
	// A difference of temperatures stays in kelvin.
	return fmt.Sprintf("%+.1f%sK", *c.Margin, thin)
}
