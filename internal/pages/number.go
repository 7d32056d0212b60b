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

// Number puts a piece of an answer into the reader's words and numbers: it leaves
// everything in tags alone.
func (l *language) Number(piece template.HTML) template.HTML {
	if !l.comma && l.phrase == nil {
		return piece
	}
	var b strings.Builder
	at, text := 0, string(piece)
	for _, m := range tag.FindAllStringIndex(text, -1) {
		b.WriteString(l.said(text[at:m[0]]))
		b.WriteString(text[m[0]:m[1]])
		at = m[1]
	}
	b.WriteString(l.said(text[at:]))
	return template.HTML(b.String())
}

// said is a text of an answer in the reader's words and numbers.
func (l *language) said(text string) string { return l.number(l.own(text)) }

// Number2 is Number for a text of an answer.
func (l *language) Number2(text any) string { return l.said(fmt.Sprint(text)) }

// Verdict is a verdict in the reader's words.
func (l *language) Verdict(word string) string {
	return l.T("verdict." + strings.ReplaceAll(word, " ", "-"))
}

// IsComma reports whether the reader's decimal sign is a comma.
func (l *language) IsComma() bool { return l.comma }
