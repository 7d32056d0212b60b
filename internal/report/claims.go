package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
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

// says is what is read first: what the claims came to, after that no trial could
// begin, where that is so.
func says(a answer.Predict) string {
	why := stuck(a.Results)
	if why == "" {
		return Sentence(a.Summary)
	}
	s := "No protection could be tried: " + why + "."
	if len(a.Claims) > 0 {
		s += " " + Sentence(a.Summary)
	}
	return s
}

// stuck says why no trial of a protection could begin; empty if any could.
func stuck(rs []answer.Result) string {
	why := ""
	for _, r := range rs {
		switch protection.Trial(r.Trial) {
		case protection.FirstConnection, protection.SupplyCurrent, protection.Balance, protection.Temperature:
			continue
		}
		switch protection.Outcome(r.Outcome) {
		case protection.NotApplicable:
		case protection.Undefined:
			if why == "" {
				why = string(r.Note)
			}
		default:
			return ""
		}
	}
	return why
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
func predicted(c answer.Claim) phrase {
	p := c.Predicted
	unit := string(c.Unit)
	switch {
	case p.Low == nil || p.High == nil:
		if c.Outcome == "" {
			return say("–")
		}
		return say(string(c.Outcome))
	case same(*p.Low, *p.High):
		return figure(p.Low, unit, 0)
	}
	return interval(p.Low, p.High, unit)
}

// interval prints two ends with a common prefix and equal decimals, enough to
// tell them apart and no more.
func interval(low, high *float64, unit string) phrase {
	f, p := together(unit, low, high)
	a, b := shown(*low, unit)/f, shown(*high, unit)/f
	d := significant(math.Max(math.Abs(a), math.Abs(b)), otherDigits)
	if unit == "V" || fixed(a, d) == fixed(b, d) {
		d = significant(math.Max(math.Abs(a), math.Abs(b)), mostDigits)
	}
	return phrase{{fixed(a, d), low}, {text: " to "}, {fixed(b, d) + thin + p + symbol(unit), high}}
}

// same reports whether two ends read the same with as many digits as are shown.
func same(low, high float64) bool {
	most := math.Max(math.Abs(low), math.Abs(high))
	if most == 0 {
		return true
	}
	digit := math.Pow(10, math.Floor(math.Log10(most))+1-mostDigits)
	return math.Round(low/digit) == math.Round(high/digit)
}

// cells says at which cells the ends of a prediction were found; nothing where
// all read the same.
func cells(p answer.Predicted) phrase {
	switch {
	case p.LowCell == nil || p.HighCell == nil || same(*p.Low, *p.High):
		return nil
	case *p.LowCell == *p.HighCell:
		return count(*p.LowCell)
	}
	return list(", ", count(*p.LowCell), count(*p.HighCell))
}

// statedPhrase is what is stated.
func statedPhrase(c answer.Claim) phrase {
	return limits(c.Stated.Min, c.Stated.Typ, c.Stated.Max, string(c.Unit))
}

// margin is a margin with its sign.
func margin(c answer.Claim) phrase {
	if c.Margin == nil {
		return nil
	}
	unit := string(c.Unit)
	// A difference of temperatures stays in kelvin.
	text := fixed(*c.Margin, 1) + thin + "K"
	if unit != "K" {
		f, p := prefix(*c.Margin, unit)
		text = fixed(*c.Margin/f, significant(*c.Margin/f, otherDigits)) + thin + p + unit
	}
	if *c.Margin > 0 {
		text = "+" + text
	}
	return phrase{{text, c.Margin}}
}

// usual is the temperature that a claim's name leaves unsaid, °C.
const usual = 25

// claimName is a claim's name with its temperature if that is unusual, and
// whether it is the person's own.
func claimName(c answer.Claim) phrase {
	p := say(c.Name)
	if c.Temperature != nil && *c.Temperature != usual {
		p = list(" at ", p, degC(c.Temperature))
	}
	if c.Kind == "requirement" {
		p = list(" ", p, say("(own)"))
	}
	return p
}

// nominalOnly ends every reason while no tolerances are computed; the report
// says so once.
const nominalOnly = "; typical board only, no tolerances computed"

// because is the reason of a verdict.
func because(c answer.Claim) string { return strings.TrimSuffix(string(c.Because), nominalOnly) }
