package finding

import "strings"

// Nearest returns the word of valid that is most likely meant by word, or ""
// when none is close. A word that differs in case only is nearest; else the
// one with the fewest inserted, dropped, changed or swapped neighbouring
// characters, at most a third of the longer word; of equals the first.
func Nearest(word string, valid []string) string {
	lower := []rune(strings.ToLower(strings.TrimSpace(word)))
	best, least := "", -1
	for _, v := range valid {
		other := []rune(strings.ToLower(v))
		if len(lower) == 0 || len(other) == 0 {
			continue
		}
		allowed := max(len(lower), len(other)) / 3
		if len(lower) > maxWord || abs(len(lower)-len(other)) > allowed {
			continue
		}
		d := edits(lower, other)
		if d <= allowed && (least < 0 || d < least) {
			best, least = v, d
		}
	}
	return best
}

// maxWord is the longest word worth comparing: longer ones are not misspelt
// names, and comparing costs the product of the lengths.
const maxWord = 80

// edits is the optimal string alignment distance: the Levenshtein distance
// that also counts the swap of two neighbours as one edit.
func edits(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
