package text

import (
	"fmt"
	"sort"
	"unicode/utf8"

	"cupel/internal/finding"
)

func sprintf(format string, args ...any) string { return fmt.Sprintf(format, args...) }

// bom is the byte order mark that some editors put before UTF-8. It is not
// counted as a character.
const bom = "\ufeff"

// lineStarts returns the offset of the first character of each line. Lines end
// with LF, CR LF or a lone CR, as YAML has it.
func lineStarts(src []byte) []int {
	starts := []int{0}
	if len(src) >= len(bom) && string(src[:len(bom)]) == bom {
		starts[0] = len(bom)
	}
	for i, c := range src {
		if c == '\n' || c == '\r' && (i+1 == len(src) || src[i+1] != '\n') {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// offset is the byte offset of a line and column, both counted from 1.
func (d *Doc) offset(line, column int) int {
	if line < 1 || line > len(d.lines) {
		return len(d.src)
	}
	at := d.lines[line-1]
	for n := 1; n < column && at < len(d.src); n++ {
		_, size := utf8.DecodeRune(d.src[at:])
		at += size
	}
	return at
}

// place is the place of a byte offset.
func (d *Doc) place(offset int) finding.Place {
	if len(d.lines) == 0 {
		return finding.Place{File: d.file}
	}
	line := sort.SearchInts(d.lines, offset+1)
	line = max(line, 1)
	start := d.lines[line-1]
	column := 1
	if offset > start {
		column += utf8.RuneCount(d.src[start:min(offset, len(d.src))])
	}
	return finding.Place{File: d.file, Line: line, Column: column}
}
