package pages

import (
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/study"
)

// findings are those of a dossier's texts, each with its line.
func findings(d *dossier.Dossier) []answer.Finding {
	list := d.Findings
	for name, text := range d.Texts {
		list.FillSource(name, text)
	}
	return study.Findings(list)
}

// Caret is the line under a finding's source with the caret at its column.
func (v *visit) Caret(f answer.Finding) string {
	if f.Column == nil || f.Source == "" {
		return ""
	}
	var b strings.Builder
	for i, r := range []rune(string(f.Source)) {
		if i >= *f.Column-1 {
			break
		}
		if r == '\t' {
			b.WriteRune(r)
		} else {
			b.WriteByte(' ')
		}
	}
	return b.String() + "^"
}

// Place is where a finding is.
func (v *visit) Place(f answer.Finding) string {
	if f.Line == nil {
		return string(f.File)
	}
	return v.T("place", "file", string(f.File), "line", *f.Line)
}

// TextLink leads to the text a finding speaks of.
func (v *visit) TextLink(f answer.Finding) string { return textLink(f) }

// atoi is a whole number, −1 for what is none.
func atoi(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return -1
	}
	return n
}
