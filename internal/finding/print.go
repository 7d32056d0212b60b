package finding

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
)

// Print writes the findings in the order of the list, each with its line, a
// caret under the column, what was probably meant and what to do:
//
//	board.yaml:7:8: error T101: unknown key "valeu"
//	  7 |   R1: {valeu: 4k7, pins: [a, b]}
//	    |        ^
//	    did you mean "value"?
//	    use one of: value, pins, size
func Print(w io.Writer, list List) error {
	b := bufio.NewWriter(w)
	for i, f := range list {
		if i > 0 {
			b.WriteByte('\n')
		}
		f.print(b)
	}
	return b.Flush()
}

func (f Finding) print(b *bufio.Writer) {
	if f.Place.File != "" {
		b.WriteString(f.Place.String() + ": ")
	}
	b.WriteString(f.Level.String())
	if f.Code != "" {
		b.WriteString(" " + f.Code)
	}
	b.WriteString(": " + printable(f.Text) + "\n")
	margin := f.printSource(b)
	for _, fig := range f.Figures {
		number := strconv.FormatFloat(fig.Value, 'g', 6, 64)
		b.WriteString(margin + strings.TrimSpace(fig.Name+" = "+number+" "+fig.Unit) + "\n")
	}
	for _, line := range f.notes() {
		b.WriteString(margin + printable(line) + "\n")
	}
}

// notes are the lines below the figures.
func (f Finding) notes() []string {
	var lines []string
	if f.Arithmetic != "" {
		lines = append(lines, f.Arithmetic)
	}
	if f.Suggestion != "" {
		lines = append(lines, "did you mean "+strconv.Quote(f.Suggestion)+"?")
	}
	if f.Do != "" {
		lines = append(lines, f.Do)
	}
	return lines
}

// printSource writes the source line and the caret, and returns the margin of
// the lines below.
func (f Finding) printSource(b *bufio.Writer) string {
	if f.Source == "" || f.Place.Line == 0 {
		return "    "
	}
	number := fmt.Sprintf("%3d", f.Place.Line)
	blank := strings.Repeat(" ", len(number))
	line, caret := window(f.Source, f.Place.Column)
	fmt.Fprintf(b, "%s | %s\n", number, line)
	if caret >= 0 {
		fmt.Fprintf(b, "%s | %s^\n", blank, strings.Repeat(" ", caret))
	}
	return blank + " "
}

// visible is r, or a space for what would move the caret or command a terminal.
func visible(r rune) rune {
	if unicode.IsControl(r) || unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Cf, r) {
		return ' '
	}
	return r
}

// printable is s without what would command a terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return r
		}
		return visible(r)
	}, s)
}

// wide is how many characters of a source line are printed at most.
const wide = 100

// window is the part of a source line around a column, counted from 1, and the
// place of that column in it, -1 when the column is 0. Characters that would
// move the caret or the terminal are printed as spaces.
func window(source string, column int) (string, int) {
	runes := []rune(strings.TrimRight(source, "\r\n"))
	for i, r := range runes {
		runes[i] = visible(r)
	}
	at := min(column-1, len(runes))
	if len(runes) <= wide {
		return strings.TrimRight(string(runes), " "), at
	}
	from := max(0, min(at-wide*2/3, len(runes)-wide))
	to := from + wide
	line, cut := string(runes[from:to]), at-from
	if from > 0 {
		line, cut = "…"+line, cut+1
	}
	if to < len(runes) {
		line += "…"
	}
	if column == 0 {
		cut = -1
	}
	return line, cut
}

// Count is the number of findings of exactly that level.
func (l List) Count(level Level) int {
	n := 0
	for _, f := range l {
		if f.Level == level {
			n++
		}
	}
	return n
}

// Summary counts the findings in words: "2 errors, 1 warning"; "nothing found"
// for an empty list.
func (l List) Summary() string {
	var parts []string
	for _, level := range []Level{Error, Warning, Note} {
		switch n := l.Count(level); {
		case n == 1:
			parts = append(parts, "1 "+level.String())
		case n > 1:
			parts = append(parts, strconv.Itoa(n)+" "+level.String()+"s")
		}
	}
	if len(parts) == 0 {
		return "nothing found"
	}
	return strings.Join(parts, ", ")
}

// FillSource sets the source line of the findings in the named file that have
// none, from the file's text.
func (l List) FillSource(file string, text []byte) {
	var lines []string
	for i := range l {
		f := &l[i]
		if f.Source != "" || f.Place.File != file || f.Place.Line < 1 {
			continue
		}
		if lines == nil {
			lines = strings.Split(strings.TrimPrefix(string(text), "\ufeff"), "\n")
		}
		if f.Place.Line <= len(lines) {
			f.Source = strings.TrimRight(lines[f.Place.Line-1], "\r")
		}
	}
}
