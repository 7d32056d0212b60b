package text

import (
	"bytes"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// sameAs reports whether out is sound and holds the same as want.
func sameAs(out []byte, want *yaml.Node) bool {
	got, ok := sound(out)
	return ok && equal(got, want)
}

func sound(src []byte) (*yaml.Node, bool) {
	var list finding.List
	doc := Parse("", src, &list)
	return doc.root, doc.root != nil && len(list) == 0
}

// equal compares what two trees say, not how they are written. An empty value
// is not the same as an empty text.
func equal(a, b *yaml.Node) bool {
	if a.Kind != b.Kind || a.Value != b.Value || len(a.Content) != len(b.Content) {
		return false
	}
	if a.Kind == yaml.ScalarNode && (a.Tag == "!!null") != (b.Tag == "!!null") {
		return false
	}
	for i := range a.Content {
		if !equal(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

// extended reports whether out is sound and holds what old does and the entry
// at path.
func extended(out []byte, old *yaml.Node, path []string) bool {
	root, ok := sound(out)
	if !ok {
		return false
	}
	n, parentOld := root, old
	for _, name := range path[:len(path)-1] {
		i, j := find(n, name), find(parentOld, name)
		if i < 0 || j < 0 {
			return false
		}
		if n.Kind == yaml.MappingNode {
			i++
		}
		if parentOld.Kind == yaml.MappingNode {
			j++
		}
		n, parentOld = n.Content[i], parentOld.Content[j]
	}
	last := len(n.Content) - 2
	if n.Kind != yaml.MappingNode || last < 0 || n.Content[last].Value != path[len(path)-1] {
		return false
	}
	n.Content = n.Content[:last]
	if parentOld.Kind == yaml.ScalarNode { // an empty value became a map
		return last == 0 && sameExcept(root, old, n, parentOld)
	}
	return equal(root, old)
}

// sameExcept compares two trees that differ at one node.
func sameExcept(a, b, exceptA, exceptB *yaml.Node) bool {
	kind, value, tag := exceptA.Kind, exceptA.Value, exceptA.Tag
	exceptA.Kind, exceptA.Value, exceptA.Tag = exceptB.Kind, exceptB.Value, exceptB.Tag
	same := equal(a, b)
	exceptA.Kind, exceptA.Value, exceptA.Tag = kind, value, tag
	return same
}

// lineEnd is what ends the lines of the text.
func (d *Doc) lineEnd() string {
	if bytes.Contains(d.src, []byte("\r\n")) {
		return "\r\n"
	}
	if !bytes.Contains(d.src, []byte("\n")) && bytes.Contains(d.src, []byte("\r")) {
		return "\r"
	}
	return "\n"
}
