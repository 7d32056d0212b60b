package schematic

// Sizes of texts. Widths are estimates from above, by classes of letters: a
// sheet is laid out without knowing the reader's font. The demo boards were
// looked at in a browser with a wide face: no two texts overlapped there.
const (
	TextSize    = 9 // references, values
	SmallSize   = 8 // pins, names of nets
	TitleSize   = 16
	HeadingSize = 11
	LineHeight  = 10
)

// SizeOf is the font size of a kind of text.
func SizeOf(k TextKind) int {
	switch k {
	case PinText, NetText:
		return SmallSize
	case TitleText:
		return TitleSize
	case HeadingText:
		return HeadingSize
	}
	return TextSize
}

// WidthOf is the room that a text of a kind takes at most.
func WidthOf(s string, k TextKind) int {
	mono := k == NetText
	thousandths := 0
	for _, r := range s {
		thousandths += advance(r, mono)
	}
	return (thousandths*SizeOf(k) + 999) / 1000
}

// advance is the width of a rune in thousandths of the font size.
func advance(r rune, mono bool) int {
	switch {
	case r == '\u2009': // thin space
		return 250
	case r > 0x2e7f:
		return 1050 // East Asian wide and beyond
	case mono:
		return 620
	case r == 'm' || r == 'w' || r == 'M' || r == 'W' || r == '%' || r == 'Ω':
		return 900
	case r >= 'A' && r <= 'Z':
		return 720
	case r == 'i' || r == 'l' || r == 'j' || r == '.' || r == ',' || r == ' ' || r == '-' || r == 't' || r == 'f':
		return 380
	}
	return 600
}

// NewLine returns a line of text with its box filled in.
func NewLine(text string, k TextKind, at Point, a Anchor) Line {
	return NewPair(text, "", k, at, a)
}

// PairGap is the space between the two texts of a line.
const PairGap = 4

// NewPair returns a line of two texts, the second set as a value.
func NewPair(text, tail string, k TextKind, at Point, a Anchor) Line {
	w := WidthOf(text, k)
	if tail != "" {
		w += PairGap + WidthOf(tail, ValueText)
	}
	x := at.X
	switch a {
	case Middle:
		x -= w / 2
	case End:
		x -= w
	}
	size := SizeOf(k)
	return Line{
		Text: text, Tail: tail, At: at, Anchor: a, Kind: k,
		Box: R(x, at.Y-size*4/5, x+w, at.Y+size/5),
	}
}

// Moved returns the line moved by d.
func (l Line) Moved(d Point) Line {
	l.At, l.Box = l.At.Add(d), l.Box.Add(d)
	return l
}
