package text

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// Set replaces the single value at path by newScalar, quoted as the old one
// was, or where YAML needs it. Entries of lists are named by their index.
//
// Like the other edits it works on sound text only, changes nothing but the
// value's own bytes, and reads the result again before returning it.
func Set(src []byte, path []string, newScalar string) ([]byte, error) {
	e, err := open(src, path)
	if err != nil {
		return nil, err
	}
	node := e.node()
	if node.Kind != yaml.ScalarNode {
		return nil, e.refuse("is a map or a list, not a single value")
	}
	if !utf8.ValidString(newScalar) {
		return nil, e.refuse("cannot take a value that is not UTF-8")
	}
	from, to, lead, ok := e.valueSpan()
	if !ok {
		return nil, e.refuse("is written in a form that only a person should edit")
	}
	old := *node
	node.Value, node.Tag = newScalar, "!!str"
	for _, s := range notations(newScalar, old.Style) {
		if out := replace(src, from, to, lead+s); sameAs(out, e.doc.root) {
			return out, nil
		}
	}
	return nil, e.refuse("cannot take this value")
}

// Insert adds an entry at the end of the map that path without its last
// element leads to. The last element is the new key; value is YAML on one
// line, such as the result of [Scalar] or {value: 4k7, pins: [a, b]}.
func Insert(src []byte, path []string, value string) ([]byte, error) {
	if len(path) == 0 || strings.ContainsAny(value, "\r\n") {
		return nil, errors.New("an entry to insert needs a key, and a value on one line")
	}
	e, err := open(src, path[:len(path)-1])
	if err != nil {
		return nil, err
	}
	key := path[len(path)-1]
	node := e.node()
	switch {
	case node.Kind == yaml.ScalarNode && node.Tag == "!!null" && node.Value == "" && len(path) > 1:
	case node.Kind != yaml.MappingNode:
		return nil, e.refuse("is not a map")
	case find(node, key) >= 0:
		return nil, e.refuse("has the key " + strconv.Quote(key) + " already")
	}
	at, before, after, ok := e.insertion(node)
	if !ok {
		return nil, e.refuse("is written in a form that only a person should edit")
	}
	for _, k := range notations(key, 0) {
		out := replace(src, at, at, before+k+": "+value+after)
		if extended(out, e.doc.root, path) {
			return out, nil
		}
	}
	return nil, e.refuse(fmt.Sprintf("cannot take the entry %q: %s", key, value))
}

// Delete removes the entry of a map at path: its lines, or between braces its
// text and one comma. Comments above it stay.
func Delete(src []byte, path []string) ([]byte, error) {
	e, err := open(src, path)
	if err != nil {
		return nil, err
	}
	if len(path) == 0 || e.parent().Kind != yaml.MappingNode {
		return nil, e.refuse("is not an entry of a map")
	}
	parent, key := e.parent(), path[len(path)-1]
	cuts := e.deletions()
	i := find(parent, key)
	parent.Content = append(parent.Content[:i:i], parent.Content[i+2:]...)
	for _, c := range cuts {
		if out := c.apply(src); sameAs(out, e.doc.root) {
			return out, nil
		}
	}
	return nil, e.refuse("is written in a form that only a person should edit")
}

// Scalar writes s as a YAML scalar on one line that means s wherever it stands,
// quoted when it must be.
func Scalar(s string) string {
	for _, n := range notations(s, 0) {
		if readsAs("a: "+n, s) && readsAs("{a: "+n+"}", s) && readsAs("- "+n, s) {
			return n
		}
	}
	return strconv.Quote(s)
}

// readsAs reports whether the last value of a one-entry text is s.
func readsAs(src, s string) bool {
	root, ok := sound([]byte(src))
	if !ok || len(root.Content) == 0 || len(root.Content) > 2 {
		return false
	}
	v := root.Content[len(root.Content)-1]
	return v.Kind == yaml.ScalarNode && v.Value == s && v.Tag != "!!null"
}

// notations lists ways to write s, the one most like the old style first.
func notations(s string, old yaml.Style) []string {
	single, double := "'"+strings.ReplaceAll(s, "'", "''")+"'", strconv.Quote(s)
	switch old {
	case yaml.SingleQuotedStyle:
		return []string{single, double}
	case yaml.DoubleQuotedStyle:
		return []string{double}
	}
	return []string{s, double}
}

func replace(src []byte, from, to int, with string) []byte {
	out := make([]byte, 0, len(src)+len(with))
	out = append(out, src[:from]...)
	out = append(out, with...)
	return append(out, src[to:]...)
}

// editor is a text opened at a path.
type editor struct {
	doc   *Doc
	path  []string
	nodes []*yaml.Node // from the root to the node at path
	keys  []*yaml.Node // the key of each node, nil for the root and in lists
}

// open parses src and follows path.
func open(src []byte, path []string) (*editor, error) {
	doc, err := editable(src)
	if err != nil {
		return nil, err
	}
	return doc.follow(path)
}

// editable parses a text that is to be edited.
func editable(src []byte) (*Doc, error) {
	var list finding.List
	doc := Parse("", src, &list)
	if err := list.Err(); err != nil {
		return nil, fmt.Errorf("the text must be sound before it can be edited: %w", err)
	}
	if doc.root == nil {
		return nil, errors.New("the text is empty")
	}
	return doc, nil
}

func (d *Doc) follow(path []string) (*editor, error) {
	e := &editor{doc: d, path: path, nodes: []*yaml.Node{d.root}, keys: []*yaml.Node{nil}}
	for i, name := range path {
		n := e.node()
		at := find(n, name)
		if at < 0 {
			return nil, fmt.Errorf("%s is not in the text", strings.Join(path[:i+1], "."))
		}
		var key *yaml.Node
		if n.Kind == yaml.MappingNode {
			key = n.Content[at]
			at++
		}
		e.nodes, e.keys = append(e.nodes, n.Content[at]), append(e.keys, key)
	}
	return e, nil
}

// find is the index in n.Content of the key or the list entry named so.
func find(n *yaml.Node, name string) int {
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i < len(n.Content); i += 2 {
			if n.Content[i].Value == name {
				return i
			}
		}
	case yaml.SequenceNode:
		if i, err := strconv.Atoi(name); err == nil && i >= 0 && i < len(n.Content) {
			return i
		}
	}
	return -1
}

func (e *editor) node() *yaml.Node   { return e.nodes[len(e.nodes)-1] }
func (e *editor) key() *yaml.Node    { return e.keys[len(e.keys)-1] }
func (e *editor) parent() *yaml.Node { return e.nodes[len(e.nodes)-2] }

func (e *editor) refuse(why string) error {
	name := strings.Join(e.path, ".")
	if name == "" {
		name = "the text"
	}
	return errors.New(name + " " + why)
}
