package report

import (
	"strings"
	"unicode/utf8"
)

// Widths that columns keep to where words allow.
const (
	valueWidth = 11
	wordsWidth = 7
	markWidth  = 12
)

// String prints the table as text, its title above and what holds for all rows
// under that.
func (t table) String() string {
	if len(t.rows) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(t.title + "\n")
	if len(t.note) > 0 {
		b.WriteString(paragraph("  ", t.note.String()))
	}
	g := t.grid()
	if groups := t.groups(&g); groups != "" {
		b.WriteString(groups)
	}
	b.WriteString(g.String())
	return b.String()
}

func (t table) grid() grid {
	var g grid
	for i, h := range t.heads {
		name := h.name
		if h.unit != "" {
			name += " " + h.unit
		}
		limit := valueWidth
		switch {
		case h.mark:
			limit = markWidth
		case h.words:
			limit = wordsWidth
		}
		c := column{head: name, right: !h.mark && !h.words, width: longest(name)}
		for _, r := range t.rows {
			text := r[i].String()
			c.width = max(c.width, longest(text), min(utf8.RuneCountInString(text), limit))
		}
		g.columns = append(g.columns, c)
	}
	for _, r := range t.rows {
		cells := make([]string, len(r))
		for i, p := range r {
			cells[i] = p.String()
		}
		g.row(cells...)
	}
	return g
}

// groups is the line above the heads that names groups of columns. It widens a
// group whose name is longer than its columns.
func (t table) groups(g *grid) string {
	line, any := "", false
	for i := 0; i < len(t.heads); {
		j, span := i, 0
		for ; j < len(t.heads) && t.heads[j].group == t.heads[i].group; j++ {
			span += g.columns[j].width + 2
		}
		name := t.heads[i].group
		if short := utf8.RuneCountInString(name) + 2 - span; name != "" && short > 0 {
			g.columns[j-1].width += short
			span += short
		}
		any = any || name != ""
		line += pad(name, span, false)
		i = j
	}
	if !any {
		return ""
	}
	return strings.TrimRight(line, " ") + "\n"
}

// longest is the length of the longest word.
func longest(s string) int {
	n := 0
	for _, w := range strings.Split(s, " ") {
		n = max(n, utf8.RuneCountInString(w))
	}
	return n
}
