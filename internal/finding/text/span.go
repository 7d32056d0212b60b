package text

import (
	"strings"
	"unicode/utf8"

	yaml "go.yaml.in/yaml/v4"
)

// span is where a scalar stands in the source. The parser gives the start
// only, and the text without quotes and escapes.
type span struct {
	from, to int   // with the quotes
	at       []int // offset of each byte of the decoded text, and of its end
}

// span finds the scalar n in the source. ok is false for block scalars and for
// notations that it does not follow.
func (d *Doc) span(n *yaml.Node) (s span, ok bool) {
	w := walker{src: d.src, value: n.Value, pos: d.offset(n.Line, n.Column)}
	s.from = w.pos
	switch n.Style {
	case 0:
	case yaml.SingleQuotedStyle:
		w.quote = '\''
	case yaml.DoubleQuotedStyle:
		w.quote = '"'
	default:
		return s, false
	}
	if w.quote != 0 && !w.accept(w.quote) {
		return s, false
	}
	s.at = make([]int, 0, len(n.Value)+1)
	for len(s.at) < len(n.Value) {
		from := w.pos
		n := w.step(len(s.at))
		if n < 0 {
			return s, false
		}
		for ; n > 0; n-- {
			s.at = append(s.at, from)
		}
	}
	s.at = append(s.at, w.pos)
	if w.quote != 0 && !w.accept(w.quote) {
		return s, false
	}
	s.to = w.pos
	return s, true
}

// inside is the offset in the source of the byte at the offset of a scalar's
// decoded text.
func (d *Doc) inside(n *yaml.Node, offset int) (int, bool) {
	s, ok := d.span(n)
	if !ok || offset < 0 || offset >= len(s.at) {
		return 0, false
	}
	return s.at[offset], true
}

// walker goes through a scalar's source and its decoded text side by side.
type walker struct {
	src   []byte
	value string
	pos   int
	quote byte // 0 for a plain scalar
}

func (w *walker) accept(c byte) bool {
	if w.pos < len(w.src) && w.src[w.pos] == c {
		w.pos++
		return true
	}
	return false
}

// step goes one character, escape or line fold further, and returns how many
// bytes of the decoded text from i on it stands for; -1 when they differ.
func (w *walker) step(i int) int {
	if w.pos >= len(w.src) {
		return -1
	}
	if next, breaks := w.fold(); breaks > 0 {
		w.pos = next
		folded := " "
		if breaks > 1 {
			folded = strings.Repeat("\n", breaks-1)
		}
		return w.match(i, folded)
	}
	c := w.src[w.pos]
	switch {
	case w.quote == '"' && c == '\\':
		return w.escape(i)
	case w.quote == '\'' && c == '\'':
		w.pos++
		if !w.accept('\'') {
			return -1
		}
		return w.match(i, "'")
	}
	w.pos++
	return w.match(i, string([]byte{c}))
}

func (w *walker) match(i int, s string) int {
	if strings.HasPrefix(w.value[i:], s) {
		return len(s)
	}
	return -1
}

// fold looks for the end of a line with the blanks around it, and returns the
// offset behind it and how many line ends there were.
func (w *walker) fold() (next, breaks int) {
	next = w.pos
	for next < len(w.src) {
		switch w.src[next] {
		case ' ', '\t':
			next++
		case '\r':
			next++
			if next < len(w.src) && w.src[next] == '\n' {
				next++
			}
			breaks++
		case '\n':
			next++
			breaks++
		default:
			return next, breaks
		}
	}
	return next, breaks
}

// escape goes over a backslash and what it stands for.
func (w *walker) escape(i int) int {
	if w.pos+1 >= len(w.src) {
		return -1
	}
	c := w.src[w.pos+1]
	if c == '\n' || c == '\r' { // the line goes on, nothing stands for it
		w.pos++
		w.pos, _ = w.fold()
		return 0
	}
	w.pos += 2 + map[byte]int{'x': 2, 'u': 4, 'U': 8}[c]
	_, size := utf8.DecodeRuneInString(w.value[i:])
	if w.pos > len(w.src) {
		return -1
	}
	return size
}
