package quantity

import (
	"strings"
	"unicode"
)

// label reads min, typ, max and their like.
func (s *scanner) label() (which, bool) {
	for _, l := range labels {
		n := len(l.word)
		if len(s.text)-s.pos < n || !strings.EqualFold(s.text[s.pos:s.pos+n], l.word) {
			continue
		}
		letters := unicode.IsLetter(rune(l.word[0]))
		if letters && unicode.IsLetter(runeAt(s.text, s.pos+n)) {
			continue
		}
		s.pos += n
		if letters {
			s.any(".")
		}
		return l.which, true
	}
	return 0, false
}

// which tells the three numbers of a quantity apart.
type which int

const (
	least which = iota
	typical
	most
)

func (w which) String() string { return [...]string{"min", "typ", "max"}[w] }

// labels are the words before or after a number that say which it is, the
// longer ones first.
var labels = []struct {
	word  string
	which which
}{
	{"minimum", least},
	{"min", least},
	{"typical", typical},
	{"typ", typical},
	{"nominal", typical},
	{"nom", typical},
	{"maximum", most},
	{"max", most},
	{"up to", most},
	{"<=", most},
	{"≤", most},
	{"<", most},
	{">=", least},
	{"≥", least},
	{">", least},
}
