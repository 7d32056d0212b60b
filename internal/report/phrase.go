package report

import (
	"html/template"
	"strconv"
	"strings"
)

// phrase is a piece of text that remembers which of its words are numbers of
// the answer.
type phrase []word

// word is a piece of a phrase; value is the answer's number behind it, nil if
// it is plain text.
type word struct {
	text  string
	value *float64
}

// say is a phrase of plain text.
func say(s string) phrase {
	if s == "" {
		return nil
	}
	return phrase{{text: s}}
}

// count is a phrase of a whole number.
func count(n int) phrase {
	v := float64(n)
	return phrase{{strconv.Itoa(n), &v}}
}

// join is all phrases in a row.
func join(ps ...phrase) phrase {
	var out phrase
	for _, p := range ps {
		out = append(out, p...)
	}
	return out
}

// list is the non-empty phrases with a separator between them.
func list(between string, ps ...phrase) phrase {
	var out phrase
	for _, p := range ps {
		if len(p) == 0 {
			continue
		}
		if len(out) > 0 {
			out = append(out, word{text: between})
		}
		out = append(out, p...)
	}
	return out
}

// String is the phrase as plain text.
func (p phrase) String() string {
	var b strings.Builder
	for _, w := range p {
		b.WriteString(w.text)
	}
	return b.String()
}

// HTML is the phrase for a page: each number is a data element with the
// answer's own digits as its value.
func (p phrase) HTML() template.HTML {
	var b strings.Builder
	for _, w := range p {
		text := template.HTMLEscapeString(w.text)
		if w.value == nil {
			b.WriteString(text)
			continue
		}
		b.WriteString(`<data value="` + strconv.FormatFloat(*w.value, 'g', -1, 64) + `">` + text + `</data>`)
	}
	return template.HTML(b.String())
}
