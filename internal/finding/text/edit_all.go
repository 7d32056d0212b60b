package text

import (
	"errors"
	"slices"
	"strconv"
	"strings"
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

// InsertAll is [Insert] for many maps of one text, which is parsed but twice: the
// values of the edits are YAML on one line, and no two go into the same map.
func InsertAll(src []byte, edits []Edit) ([]byte, error) {
	doc, err := editable(src)
	if err != nil {
		return nil, err
	}
	var pieces []piece
	var grow []func()
	for _, x := range edits {
		p, add, err := doc.entry(x)
		if err != nil {
			return nil, err
		}
		pieces, grow = append(pieces, p), append(grow, add)
	}
	slices.SortFunc(pieces, func(a, b piece) int { return b.from - a.from })
	out := src
	for _, p := range pieces {
		out = replace(out, p.from, p.from, p.with)
	}
	for _, add := range grow {
		add()
	}
	if !sameAs(out, doc.root) {
		return nil, errors.New("the text cannot take these entries together: edit it by hand")
	}
	return out, nil
}

// entry is the piece of text of a new entry, and what adds it to the tree.
func (d *Doc) entry(x Edit) (piece, func(), error) {
	last := len(x.Path) - 1
	if last < 0 || strings.ContainsAny(x.Value, "\r\n") {
		return piece{}, nil, errors.New("an entry to insert needs a key, and a value on one line")
	}
	e, err := d.follow(x.Path[:last])
	if err != nil {
		return piece{}, nil, err
	}
	n := e.node()
	if n.Kind != yaml.MappingNode || find(n, x.Path[last]) >= 0 {
		return piece{}, nil, e.refuse("is not a map, or has the key " + strconv.Quote(x.Path[last]) + " already")
	}
	at, before, after, ok := e.insertion(n)
	line := Scalar(x.Path[last]) + ": " + x.Value
	added, sounds := sound([]byte(line))
	if !ok || !sounds || added.Kind != yaml.MappingNode || len(added.Content) != 2 {
		return piece{}, nil, e.refuse("cannot take the entry " + line)
	}
	return piece{from: at, with: before + line + after}, func() { n.Content = append(n.Content, added.Content...) }, nil
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
