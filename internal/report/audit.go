package report

import (
	"cmp"
	"fmt"
	"slices"

	"cupel/internal/answer"
)

// Audit prints the answer of an audit: every finding with its arithmetic, the
// worst first, and how many there are.
func Audit(a answer.Audit) string {
	name := string(a.Board)
	if name == "" {
		name = "claims"
	}
	worst := slices.Clone(a.Findings)
	slices.SortStableFunc(worst, func(x, y answer.Finding) int { return cmp.Compare(level(y.Level), level(x.Level)) })
	l := asFindings(worst)
	s := fmt.Sprintf("%s: %s\n", name, l.Summary())
	if len(l) > 0 {
		s = Findings(worst) + "\n" + s
	}
	return s
}
