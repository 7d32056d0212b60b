package report

import (
	"strings"
	"unicode/utf8"
)

// wide is the widest line of a text: it fits the narrowest window people keep.
const wide = 100

// grid is a text table.
type grid struct {
	columns []column
	rows    [][]string
}

// column is one column; text beyond its width wraps.
type column struct {
	head  string
	width int // 0: as wide as its widest text
	right bool
}

func (g *grid) row(cells ...string) { g.rows = append(g.rows, cells) }

// under sets a remark under the last row, across all columns.
func (g *grid) under(remark string) { g.rows = append(g.rows, []string{remarkMark, remark}) }

// remarkMark marks a row that is a remark; no cell of a table holds it.
const remarkMark = "\x00"

// String prints the table, two spaces between columns, a rule under its head.
func (g *grid) String() string {
	widths := g.widths()
	var b strings.Builder
	heads := make([]string, len(g.columns))
	rules := make([]string, len(g.columns))
	for i, c := range g.columns {
		heads[i], rules[i] = c.head, strings.Repeat("─", widths[i])
	}
	g.line(&b, widths, heads)
	g.line(&b, widths, rules)
	for _, r := range g.rows {
		if r[0] == remarkMark {
			b.WriteString(paragraph("  ", r[1]))
			continue
		}
		g.line(&b, widths, r)
	}
	return b.String()
}

// width is how wide the table prints.
func (g *grid) width() int {
	n := -2
	for _, w := range g.widths() {
		n += w + 2
	}
	return n
}

func (g *grid) widths() []int {
	out := make([]int, len(g.columns))
	for i, c := range g.columns {
		if out[i] = c.width; out[i] > 0 {
			continue
		}
		out[i] = utf8.RuneCountInString(c.head)
		for _, r := range g.rows {
			if r[0] != remarkMark {
				out[i] = max(out[i], utf8.RuneCountInString(r[i]))
			}
		}
	}
	return out
}

// line prints one row, on as many lines as its longest cell wraps to.
func (g *grid) line(b *strings.Builder, widths []int, cells []string) {
	wrapped := make([][]string, len(cells))
	lines := 1
	for i, c := range cells {
		wrapped[i] = wrap(c, widths[i])
		lines = max(lines, len(wrapped[i]))
	}
	for n := range lines {
		var l strings.Builder
		for i := range cells {
			text := ""
			if n < len(wrapped[i]) {
				text = wrapped[i][n]
			}
			if i > 0 {
				l.WriteString("  ")
			}
			l.WriteString(pad(text, widths[i], g.columns[i].right))
		}
		b.WriteString(strings.TrimRight(l.String(), " ") + "\n")
	}
}

func pad(s string, width int, right bool) string {
	fill := strings.Repeat(" ", max(width-utf8.RuneCountInString(s), 0))
	if right {
		return fill + s
	}
	return s + fill
}

// wrap breaks s at spaces into lines of at most width letters; a longer word
// keeps its length. A number stays with its unit: between them is a thin space.
func wrap(s string, width int) []string {
	var out []string
	line := ""
	for _, word := range strings.Split(s, " ") {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			out = append(out, line)
			line = word
		}
	}
	return append(out, line)
}

// paragraph wraps s with an indent, and hangs all lines but the first by two
// more.
func paragraph(indent, s string) string {
	lines := wrap(s, wide-len(indent)-2)
	return indent + strings.Join(lines, "\n"+indent+"  ") + "\n"
}
