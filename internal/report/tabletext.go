package report

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// Widths that columns keep to where words allow.
const (
	valueWidth = 11
	wordsWidth = 7
	markWidth  = 12
	leastWidth = 4
)

// String prints the table as text, its title above and what holds for all rows
// under that. A table too wide for a terminal is continued below.
func (t table) String() string {
	if len(t.rows) == 0 {
		return ""
	}
	head := t.title + "\n"
	if len(t.note) > 0 {
		head += paragraph("  ", t.note.String())
	}
	var parts []string
	for _, p := range t.fitting() {
		g := p.grid()
		parts = append(parts, p.groups(&g)+g.String())
	}
	return head + strings.Join(parts, "\n")
}

// fitting splits the table into ones that a terminal shows, each with the
// columns that name the rows.
func (t table) fitting() []table {
	marks := 0
	for marks < len(t.heads) && t.heads[marks].mark {
		marks++
	}
	values := len(t.heads) - marks
	g := t.grid()
	t.groups(&g)
	if g.width() <= wide || values < 2 {
		return []table{t}
	}
	middle := marks + (values+1)/2
	first, rest := t.only(0, middle), t.only(0, marks)
	tail := t.only(middle, len(t.heads))
	rest.heads = append(rest.heads, tail.heads...)
	for i := range rest.rows {
		rest.rows[i] = append(rest.rows[i], tail.rows[i]...)
	}
	return append(first.fitting(), rest.fitting()...)
}

// only is the table with the columns from, up to but not including to.
func (t table) only(from, to int) table {
	out := t
	out.heads = slices.Clone(t.heads[from:to])
	out.rows = nil
	for _, r := range t.rows {
		out.rows = append(out.rows, slices.Clone(r[from:to]))
	}
	return out
}

// grid is the table as a grid, its columns as narrow as it takes to fit.
func (t table) grid() grid {
	g := t.gridOf(valueWidth)
	for limit := valueWidth - 1; limit >= leastWidth && g.width() > wide; limit-- {
		g = t.gridOf(limit)
	}
	return g
}

func (t table) gridOf(values int) grid {
	var g grid
	for i, h := range t.heads {
		name := h.name
		if h.unit != "" {
			name += " " + h.unit
		}
		limit := values
		switch {
		case h.mark:
			limit = markWidth
		case h.words:
			limit = min(values, wordsWidth)
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
