package text

import (
	"strconv"
	"strings"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// Value is a value of a document: a single value, a list or a map; or part of
// the text of a single value. The zero Value is absent.
type Value struct {
	doc  *Doc
	node *yaml.Node
	path *step
	part bool // only from … to of a single value
	from int  // in bytes of node.Value
	to   int
}

// step is one step of the way from the root to a value.
type step struct {
	up    *step
	key   string
	index int // of a list, when key is ""
}

func (v Value) child(n *yaml.Node, s step) Value {
	s.up = v.path
	return Value{doc: v.doc, node: n, path: &s}
}

// key is the key n of the map v as a value of its own.
func (v Value) key(n *yaml.Node) Value {
	return Value{doc: v.doc, node: n, path: v.path}
}

// Given reports whether the value is there at all.
func (v Value) Given() bool { return v.node != nil && (!v.part || v.from < v.to) }

// IsMap reports whether the value is a map.
func (v Value) IsMap() bool { return v.is(yaml.MappingNode) }

// IsList reports whether the value is a list.
func (v Value) IsList() bool { return v.is(yaml.SequenceNode) }

// IsSingle reports whether the value is neither a map nor a list.
func (v Value) IsSingle() bool { return v.is(yaml.ScalarNode) }

func (v Value) is(k yaml.Kind) bool { return v.node != nil && v.node.Kind == k }

// Place is where the value begins.
func (v Value) Place() finding.Place {
	if v.doc == nil {
		return finding.Place{}
	}
	if v.part {
		return Value{doc: v.doc, node: v.node}.At(v.from)
	}
	return v.doc.nodePlace(v.node)
}

// At is the place of the byte at the offset of a single value's text.
func (v Value) At(offset int) finding.Place {
	if v.doc == nil || !v.is(yaml.ScalarNode) {
		return v.Place()
	}
	at, ok := v.doc.inside(v.node, v.from+offset)
	if !ok {
		return v.doc.nodePlace(v.node)
	}
	return v.doc.place(at)
}

// Path are the keys and indexes that lead to the value, for [Set].
func (v Value) Path() []string {
	if v.path == nil {
		return nil
	}
	up := Value{path: v.path.up}.Path()
	if v.path.key == "" {
		return append(up, strconv.Itoa(v.path.index))
	}
	return append(up, v.path.key)
}

// name is what messages call the value.
func (v Value) name() string {
	if v.path == nil {
		return "the file"
	}
	if v.path.key == "" {
		return sprintf("entry %d of %s", v.path.index+1, Value{path: v.path.up}.name())
	}
	return v.path.key
}

// Report adds a finding, at the value unless the finding has a place.
func (v Value) Report(f finding.Finding) {
	if v.doc == nil {
		return
	}
	if f.Place.Line == 0 {
		f.Place = v.Place()
	}
	v.doc.Report(f)
}

// Fail reports an error at the value.
func (v Value) Fail(code, do, format string, args ...any) {
	v.Report(finding.Finding{Code: code, Level: finding.Error, Text: sprintf(format, args...), Do: do})
}

// Warn reports a warning at the value.
func (v Value) Warn(code, do, format string, args ...any) {
	v.Report(finding.Finding{Code: code, Level: finding.Warning, Text: sprintf(format, args...), Do: do})
}

// Text is the value as it is meant: without quotes, on one line.
func (v Value) Text() string {
	s, _ := v.single("a single value")
	return s
}

// single returns the text of a single value, or reports what is there instead
// of what is wanted.
func (v Value) single(want string) (string, bool) {
	if v.node == nil || v.doc.bad[v.node] {
		return "", false
	}
	if v.node.Kind != yaml.ScalarNode {
		v.wrongKind(want)
		return "", false
	}
	if v.part {
		return v.node.Value[v.from:v.to], v.from < v.to
	}
	if v.empty() {
		v.Fail(EmptyValue, "write "+want+", or delete the entry", "%s has no value", v.name())
		return "", false
	}
	return v.node.Value, true
}

func (v Value) empty() bool {
	return v.node.Kind == yaml.ScalarNode && v.node.Tag == "!!null" || strings.TrimSpace(v.node.Value) == "" && v.node.Kind == yaml.ScalarNode
}

func (v Value) wrongKind(want string) {
	found := "a single value"
	switch v.node.Kind {
	case yaml.MappingNode:
		found = "a map"
	case yaml.SequenceNode:
		found = "a list"
	}
	v.Fail(WrongKind, "write "+want, "%s is %s, expected %s", v.name(), found, want)
}

// Map returns the value as a map.
func (v Value) Map() Map {
	if v.collection(yaml.MappingNode, "a map of keys and values") {
		return Map{v}
	}
	return Map{Value{doc: v.doc, path: v.path}}
}

// List returns the entries of a list.
func (v Value) List() []Value {
	if !v.collection(yaml.SequenceNode, "a list") {
		return nil
	}
	return v.entries()
}

// OneOrMore returns the entries of a list, or the value itself when it is a
// single one.
func (v Value) OneOrMore() []Value {
	if v.IsSingle() {
		if _, ok := v.single("a single value or a list"); !ok {
			return nil
		}
		return []Value{v}
	}
	return v.List()
}

// Texts returns the texts of the entries of a list of single values.
func (v Value) Texts() []string {
	var texts []string
	for _, e := range v.List() {
		texts = append(texts, e.Text())
	}
	return texts
}

func (v Value) entries() []Value {
	entries := make([]Value, len(v.node.Content))
	for i, n := range v.node.Content {
		entries[i] = v.child(n, step{index: i})
	}
	return entries
}

// collection reports whether the value is of kind k, and a finding when it is
// another.
func (v Value) collection(k yaml.Kind, want string) bool {
	switch {
	case v.node == nil || v.doc.bad[v.node]:
		return false
	case v.node.Kind == k:
		return true
	case v.empty():
		v.Fail(EmptyValue, "write "+want+", or delete the entry", "%s has no value", v.name())
		return false
	}
	v.wrongKind(want)
	return false
}
