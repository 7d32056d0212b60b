package finding

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	valid := []string{"value", "pins", "size", "count", "sheet", "overcharge", "overdischarge", "B-", "µF"}
	for _, c := range []struct{ word, want string }{
		{"valeu", "value"}, // two neighbours swapped
		{"vlue", "value"},
		{"values", "value"},
		{"Value", "value"},
		{" value ", "value"},
		{"pin", "pins"},
		{"sise", "size"},
		{"overchage", "overcharge"},
		{"over-discharge", "overdischarge"},
		{"b-", "B-"},
		{"μF", ""}, // one of two characters is not close
		// nothing is close
		{"colour", ""},
		{"x", ""},
		{"", ""},
		{strings.Repeat("value", 100), ""},
	} {
		if got := Nearest(c.word, valid); got != c.want {
			t.Errorf("Nearest(%q) = %q, want %q", c.word, got, c.want)
		}
	}
	if got := Nearest("cat", []string{"hat", "bat"}); got != "hat" {
		t.Errorf("of two that are equally near: %q, want the first", got)
	}
	if got := Nearest("x", nil); got != "" {
		t.Errorf("of nothing: %q", got)
	}
}

// One edit of a word of four letters or more leaves it the nearest, and the
// number of edits is the same in both directions.
func TestOneEditIsForgiven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-z]{4,12}`).Draw(t, "word")
		i := rapid.IntRange(0, len(word)-2).Draw(t, "i")
		wrong := map[string]string{
			"drop":   word[:i] + word[i+1:],
			"double": word[:i] + word[i:i+1] + word[i:],
			"change": word[:i] + "ß" + word[i+1:],
			"swap":   word[:i] + word[i+1:i+2] + word[i:i+1] + word[i+2:],
		}[rapid.SampledFrom([]string{"drop", "double", "change", "swap"}).Draw(t, "edit")]
		if got := Nearest(wrong, []string{"0000000000", word}); got != word {
			t.Fatalf("Nearest(%q) = %q, want %q", wrong, got, word)
		}
		if a, b := edits([]rune(word), []rune(wrong)), edits([]rune(wrong), []rune(word)); a != b || a > 1 {
			t.Fatalf("%q and %q: %d and %d edits", word, wrong, a, b)
		}
	})
}
