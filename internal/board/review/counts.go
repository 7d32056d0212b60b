package review

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"cupel/internal/finding"
)

// counts is the rule of [CountDiffers]. Letters that nobody counted are only
// missed where others were counted.
func counts(v *view) {
	if len(v.Counted) == 0 {
		return
	}
	have := map[string]int{}
	for i := range v.Parts {
		have[letters(v.Parts[i].Ref)] += max(1, v.Parts[i].Count)
	}
	for _, c := range v.Counted {
		if n := have[c.Letters]; n != c.Count {
			v.report(CountDiffers, finding.Warning, c.Place, differs(n, c.Count),
				"%d %s were counted on the board, the text has %d", c.Count, c.Letters, n)
		}
		delete(have, c.Letters)
	}
	var left []string
	for l, n := range have {
		left = append(left, fmt.Sprintf("%d %s", n, l))
	}
	if slices.Sort(left); len(left) > 0 {
		v.report(CountDiffers, finding.Warning, v.Counted[0].Place, "count them too, or take out what the board does not have",
			"the text has %s, which were not counted on the board", strings.Join(left, ", "))
	}
}

func differs(have, counted int) string {
	if have < counted {
		return "look for the part that was forgotten: links of 0 Ω and parts under others are easily missed"
	}
	return "look for a part that stands under two references, or count again on the photos"
}

// letters are what a reference begins with.
func letters(ref string) string {
	return ref[:len(ref)-len(strings.TrimLeftFunc(ref, unicode.IsLetter))]
}
