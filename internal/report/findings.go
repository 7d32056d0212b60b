package report

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
)

// Findings prints findings as text: place, level and text, the line with a
// caret under the place, what to do, the suggestion.
func Findings(fs []answer.Finding) string {
	var b strings.Builder
	for _, f := range fs {
		b.WriteString(headline(f))
		if f.Source != "" && f.Line != nil {
			b.WriteString(caret(f))
		}
		if f.Arithmetic != "" {
			fmt.Fprintf(&b, "    %s\n", f.Arithmetic)
		}
		if f.Suggestion != "" && !strings.Contains(f.Text, string(f.Suggestion)) {
			fmt.Fprintf(&b, "    did you mean %q?\n", f.Suggestion)
		}
		if f.Do != "" {
			b.WriteString(paragraph("    ", string(f.Do)))
		}
	}
	return b.String()
}

func headline(f answer.Finding) string {
	place := string(f.File)
	if f.Line != nil {
		place += fmt.Sprintf(":%d", *f.Line)
	}
	if f.Column != nil {
		place += fmt.Sprintf(":%d", *f.Column)
	}
	if place != "" {
		place += ": "
	}
	code := ""
	if f.Code != "" {
		code = fmt.Sprintf(" [%s]", f.Code)
	}
	return fmt.Sprintf("%s%s: %s%s\n", place, f.Level, f.Text, code)
}

// caret shows the line of a finding with a mark under its column. Tabs are
// kept in the line above the mark, so that it stands right in any terminal.
func caret(f answer.Finding) string {
	line := string(f.Source)
	s := "    " + line + "\n"
	if f.Column == nil {
		return s
	}
	under := []rune(line)
	under = under[:min(*f.Column-1, len(under))]
	for i, r := range under {
		if r != '\t' {
			under[i] = ' '
		}
	}
	return s + "    " + string(under) + "^\n"
}

// Check prints the answer of a check.
func Check(a answer.Check) string {
	count := map[string]int{}
	for _, f := range a.Findings {
		count[f.Level]++
	}
	sum := "nothing to say against it"
	if len(a.Findings) > 0 {
		var parts []string
		for _, level := range []string{"error", "warning", "note"} {
			if n := count[level]; n > 0 {
				parts = append(parts, plural(n, level))
			}
		}
		sum = strings.Join(parts, ", ")
	}
	name := string(a.Board)
	if name == "" {
		name = "board"
	}
	return Findings(a.Findings) + fmt.Sprintf("%s: %s\n", name, sum)
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
