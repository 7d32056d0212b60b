package finding

import (
	"errors"
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write what is printed into the golden file")

// examples show everything that Print can print.
var examples = List{
	{
		Code: "T101", Level: Error, Place: Place{"board.yaml", 7, 8}, Source: "  R1: {valeu: 4k7, pins: [a, b]}",
		Text: `unknown key "valeu"`, Do: "use one of: value, pins, size", Suggestion: "value",
	},
	{Level: Note, Text: "a finding about no place"},
	{Code: "B010", Level: Warning, Place: Place{File: "board.yaml"}, Text: "about the whole file", Do: "look at it"},
	{Code: "B011", Level: Warning, Place: Place{"board.yaml", 12, 0}, Source: "R2:\tx", Text: "about a line with a tab"},
	{Code: "B012", Level: Warning, Place: Place{"board.yaml", 1234, 5}, Source: "a:\tµ\u0301Ω\x1b[31m", Text: "about characters that would move the caret \x1b[31m", Do: "never\nprint them"},
	{Code: "B013", Level: Error, Place: Place{"board.yaml", 3, 140}, Source: strings.Repeat("0123456789", 20), Text: "about the middle of a long line"},
	{Code: "B014", Level: Error, Place: Place{"board.yaml", 3, 201}, Source: strings.Repeat("0123456789", 20), Text: "about the end of a long line"},
	{Code: "B015", Level: Error, Place: Place{"board.yaml", 3, 0}, Source: strings.Repeat("0123456789", 20), Text: "about a long line as a whole"},
	{Code: "B016", Level: Error, Place: Place{"board.yaml", 3, 99}, Source: "short", Text: "about a column behind the line"},
	{
		Code: "A103", Level: Error, Place: Place{"claims.yaml", 7, 13}, Source: "  - {stated: 60 A}", Text: "the stage cannot act at this current",
		Figures:    []Figure{{"threshold", 0.1, "V"}, {"path", 0.0025, "Ω"}, {"ratio", 1.0 / 3, ""}},
		Arithmetic: "0.100 V ÷ 0.0025 Ω = 40 A", Do: "measure the path's resistance",
	},
}

func TestPrint(t *testing.T) {
	var b strings.Builder
	if err := Print(&b, examples); err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/print.txt"
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil || b.String() != string(want) {
		t.Errorf("printed, unlike %s (%v):\n%s", golden, err, b.String())
	}
}

// The caret stands under the character of the column, also in a long line.
func TestCaretIsUnderItsCharacter(t *testing.T) {
	source := []rune(strings.Repeat("abcdefghijklmnopqrstuvwxyz", 12))
	for column := 1; column <= len(source); column++ {
		line, caret := window(string(source), column)
		if shown := []rune(line); shown[caret] != source[column-1] || len(shown) > wide+2 {
			t.Fatalf("column %d: %q at %d of %q", column, shown[caret], caret, line)
		}
	}
}

// failing is a writer that is full.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

func TestPrintReturnsTheWritersError(t *testing.T) {
	if err := Print(failing{}, examples); err == nil {
		t.Error("no error")
	}
}

func TestSummary(t *testing.T) {
	for _, c := range []struct {
		list List
		want string
	}{
		{nil, "nothing found"},
		{List{{Level: Note}}, "1 note"},
		{examples, "6 errors, 3 warnings, 1 note"},
	} {
		if got := c.list.Summary(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestFillSource(t *testing.T) {
	l := List{
		{Place: Place{"a", 1, 1}},
		{Place: Place{"a", 2, 1}},
		{Place: Place{"a", 9, 1}},
		{Place: Place{"b", 1, 1}},
		{Place: Place{"a", 1, 1}, Source: "kept"},
	}
	l.FillSource("a", []byte("\ufeffone\r\ntwo"))
	var got []string
	for _, f := range l {
		got = append(got, f.Source)
	}
	if s := strings.Join(got, "|"); s != "one|two|||kept" {
		t.Errorf("%q", s)
	}
}
