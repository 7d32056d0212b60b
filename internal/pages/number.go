package pages

import (
	"fmt"
	"html/template"
	"regexp"
	"strings"
)

// point is a decimal point: between digits, and no part of a place in a text
// or of a name.
var point = regexp.MustCompile(`(^|[^\w.])([−+-]?\d+)\.(\d+)([^\w.]|[a-zA-ZµΩ°%]|$)`)

// number puts the decimal sign of the reader into numbers.
func (l *language) number(text string) string {
	if !l.comma {
		return text
	}
	// A match takes the character behind a number with it; twice finds numbers
	// that stand side by side.
	return point.ReplaceAllString(point.ReplaceAllString(text, "${1}${2},${3}${4}"), "${1}${2},${3}${4}")
}

var tag = regexp.MustCompile(`<[^>]*>`)

// Number is number for a piece of a page: it leaves everything in tags alone.
func (l *language) Number(piece template.HTML) template.HTML {
	if !l.comma {
		return piece
	}
	var b strings.Builder
	at, text := 0, string(piece)
	for _, m := range tag.FindAllStringIndex(text, -1) {
		b.WriteString(l.number(text[at:m[0]]))
		b.WriteString(text[m[0]:m[1]])
		at = m[1]
	}
	b.WriteString(l.number(text[at:]))
	return template.HTML(b.String())
}

// Number2 is number for a text of an answer.
func (l *language) Number2(text any) string { return l.number(fmt.Sprint(text)) }

// Verdict is a verdict in the reader's words.
func (l *language) Verdict(word string) string {
	return l.T("verdict." + strings.ReplaceAll(word, " ", "-"))
}

// IsComma reports whether the reader's decimal sign is a comma.
func (l *language) IsComma() bool { return l.comma }
