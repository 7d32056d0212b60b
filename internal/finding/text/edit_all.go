package text

import (
	"errors"
	"slices"
	"unicode/utf8"

	yaml "go.yaml.in/yaml/v4"
)

// Edit is a new value for the single value at a path.
type Edit struct {
	Path  []string
	Value string
}

// SetAll is [Set] for many values of one text, which is parsed but twice.
func SetAll(src []byte, edits []Edit) ([]byte, error) {
	doc, err := editable(src)
	if err != nil {
		return nil, err
	}
	pieces := make([]piece, 0, len(edits))
	for _, x := range edits {
		e, err := doc.follow(x.Path)
		if err != nil {
			return nil, err
		}
		p, err := e.piece(x.Value)
		if err != nil {
			return nil, err
		}
		pieces = append(pieces, p)
	}
	// From the end on: what stands before stays where it is.
	slices.SortFunc(pieces, func(a, b piece) int { return b.from - a.from })
	out := src
	for _, p := range pieces {
		out = replace(out, p.from, p.to, p.with)
	}
	// The nodes take their values only now: offsets are found by what they say.
	for _, p := range pieces {
		p.node.Value, p.node.Tag = p.value, "!!str"
	}
	if !sameAs(out, doc.root) {
		return nil, errors.New("the text cannot take these values together: edit it by hand")
	}
	return out, nil
}

// piece is a piece of text that takes another's place.
type piece struct {
	from, to int
	with     string
	node     *yaml.Node
	value    string
}

func (e *editor) piece(value string) (piece, error) {
	n := e.node()
	if n.Kind != yaml.ScalarNode {
		return piece{}, e.refuse("is a map or a list, not a single value")
	}
	if !utf8.ValidString(value) {
		return piece{}, e.refuse("cannot take a value that is not UTF-8")
	}
	from, to, lead, ok := e.valueSpan()
	if !ok {
		return piece{}, e.refuse("is written in a form that only a person should edit")
	}
	for _, s := range notations(value, n.Style) {
		if readsAs("{a: "+s+"}", value) && readsAs("a: "+s, value) {
			return piece{from, to, lead + s, n, value}, nil
		}
	}
	return piece{}, e.refuse("cannot take this value")
}
