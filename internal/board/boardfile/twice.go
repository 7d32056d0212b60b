package boardfile

import (
	"fmt"
	"sort"
	"strings"

	"cupel/internal/board"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// spread is where the entries of a section begin.
type spread struct{ keys []text.Value }

func (s *spread) add(key text.Value) { s.keys = append(s.keys, key) }

// before returns the last key at or before p (keys come in the order of the
// text), and whether there is one.
func (s *spread) before(p finding.Place) (text.Value, bool) {
	n := sort.Search(len(s.keys), func(i int) bool { return after(s.keys[i].Place(), p) })
	if n == 0 {
		return text.Value{}, false
	}
	return s.keys[n-1], true
}

func after(a, b finding.Place) bool {
	return a.Line > b.Line || a.Line == b.Line && a.Column > b.Column
}

// renameDuplicates says in the words of the trade what a key that stands twice
// means: a part or pad twice, or a pin on two nets. The text's reader keeps
// the first of the two and knows no boards.
func (r *reader) renameDuplicates(list finding.List) {
	for i := range list {
		if f := &list[i]; f.Code == text.DuplicateKey {
			r.renameDuplicate(f)
		}
	}
}

func (r *reader) renameDuplicate(f *finding.Finding) {
	part, inPart := r.parts.before(f.Place)
	pad, inPad := r.pads.before(f.Place)
	switch key := keyAt(*f); {
	case inPart && (!inPad || after(part.Place(), pad.Place())):
		i, ok := r.index[part.Text()]
		if f.Place.Column == part.Place().Column {
			f.Code = RefTwice
			f.Text = strings.Replace(f.Text, "duplicate key", "duplicate part", 1)
		} else if ok && hasPin(&r.board.Parts[i], key) {
			p := &r.board.Parts[i]
			f.Code = PinTwice
			f.Text = fmt.Sprintf("pin %s.%s is already on net %s", p.Ref, key, r.netName(p.Pin(key)))
			f.Do = "give it the one net it is on; two nets with a pin in common are one net"
		}
	case inPad && r.hasPad(key):
		f.Code = PadTwice
		f.Text = strings.Replace(f.Text, "duplicate key", "duplicate pad", 1)
	}
}

// keyAt is the key that stands at the finding's place.
func keyAt(f finding.Finding) string {
	line := []rune(f.Source)
	if f.Place.Column < 1 || f.Place.Column > len(line) {
		return ""
	}
	key, _, _ := strings.Cut(string(line[f.Place.Column-1:]), ":")
	return strings.Trim(strings.TrimSpace(key), `"'`)
}

func hasPin(p *board.Part, name string) bool {
	for _, pin := range p.Pins {
		if pin.Name == name {
			return true
		}
	}
	return false
}

func (r *reader) hasPad(name string) bool {
	_, ok := r.board.Pad(padName(name))
	return ok
}

func (r *reader) netName(id board.NetID) string {
	if id == board.NoNet {
		return Nothing
	}
	return r.board.Nets[id].Name
}
