package desk

import (
	"bytes"
	"fmt"
)

// change is what an action made of one file, as the piece in which the texts
// before and after differ: a reading at the end of a long log takes a line.
type change struct {
	Name          string
	Before, After side
	Head, Tail    int // bytes at both ends that are the same
}

// side is a file before or after a change.
type side struct {
	There bool
	Hash  string // of the whole text
	Text  []byte // between head and tail
}

// changed finds the piece in which a step's texts differ.
func changed(s step) change {
	c := change{Name: s.name}
	most := min(len(s.before), len(s.after))
	for c.Head < most && s.before[c.Head] == s.after[c.Head] {
		c.Head++
	}
	for c.Tail < most-c.Head && s.before[len(s.before)-1-c.Tail] == s.after[len(s.after)-1-c.Tail] {
		c.Tail++
	}
	c.Before, c.After = c.side(s.before), c.side(s.after)
	return c
}

func (c change) side(text []byte) side {
	if text == nil {
		return side{}
	}
	return side{There: true, Hash: Hash(text), Text: bytes.Clone(text[c.Head : len(text)-c.Tail])}
}

// back is the text before the change, of the one after it; again the reverse.
func (c change) back(text []byte) ([]byte, error)  { return c.turn(text, c.After, c.Before) }
func (c change) again(text []byte) ([]byte, error) { return c.turn(text, c.Before, c.After) }

func (c change) turn(text []byte, from, to side) ([]byte, error) {
	if !from.holds(text) || c.Head < 0 || c.Tail < 0 || c.Head+c.Tail > len(text) {
		return nil, fmt.Errorf("%s is not the text that this action left: nothing was undone; change it by hand", c.Name)
	}
	if !to.There {
		return nil, nil
	}
	// A file with nothing in it is there all the same, so this is never nil.
	out := append([]byte{}, text[:c.Head]...)
	out = append(out, to.Text...)
	return append(out, text[len(text)-c.Tail:]...), nil
}

// holds reports whether a file is what it was on that side.
func (s side) holds(text []byte) bool {
	if !s.There || text == nil {
		return !s.There && text == nil
	}
	return Hash(text) == s.Hash
}
