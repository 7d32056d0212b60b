package text

import (
	"slices"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// Map is a map of a document. The zero Map is empty and reports nothing.
type Map struct{ value Value }

// Place is where the map begins.
func (m Map) Place() finding.Place { return m.value.Place() }

// Path are the keys and indexes that lead to the map.
func (m Map) Path() []string { return m.value.Path() }

// Value is the map as a value.
func (m Map) Value() Value { return m.value }

// Len is the number of entries.
func (m Map) Len() int { return len(m.content()) / 2 }

func (m Map) content() []*yaml.Node {
	if m.value.node == nil {
		return nil
	}
	return m.value.node.Content
}

// Fields says which keys the map may have and reports every other one. It
// returns the map.
func (m Map) Fields(allowed ...string) Map {
	content := m.content()
	for i := 0; i+1 < len(content); i += 2 {
		if slices.Contains(allowed, content[i].Value) {
			continue
		}
		if m.splitComma(i) {
			continue
		}
		key := m.value.key(content[i])
		var left []string // a key that is there already is not what was meant
		for _, a := range allowed {
			if !m.Has(a) {
				left = append(left, a)
			}
		}
		meant := finding.Nearest(content[i].Value, left)
		if meant != "" {
			m.value.doc.excuse(m.value.node, meant)
		}
		key.Report(finding.Finding{
			Code: UnknownKey, Level: finding.Error,
			Text: sprintf("unknown key %q", content[i].Value), Do: "use one of: " + words(allowed),
			Suggestion: meant,
		})
	}
	return m
}

// Keys lists the keys in order.
func (m Map) Keys() []string {
	var keys []string
	for i := 0; i+1 < len(m.content()); i += 2 {
		keys = append(keys, m.content()[i].Value)
	}
	return keys
}

// Has reports whether the map has the key.
func (m Map) Has(key string) bool { return m.Get(key).Given() }

// Get returns the value of the key, an absent value when there is none.
func (m Map) Get(key string) Value {
	content := m.content()
	for i := 0; i+1 < len(content); i += 2 {
		if content[i].Value == key {
			return m.value.child(content[i+1], step{key: key})
		}
	}
	return Value{doc: m.value.doc}
}

// Need is Get, and reports at the map when the key is missing.
func (m Map) Need(key string) Value {
	v := m.Get(key)
	if !v.Given() && m.value.node != nil && !m.excused(key) {
		m.value.Fail(MissingKey, sprintf("add %q", key+":"), "%s needs the key %q", m.value.name(), key)
	}
	return v
}

// excused reports whether a finding explains already that the key is missing.
func (m Map) excused(key string) bool {
	e := m.value.doc.excused[m.value.node]
	return e[key] || e[everyKey]
}

// Each calls f for every entry in the order of the text.
func (m Map) Each(f func(key, value Value)) {
	content := m.content()
	for i := 0; i+1 < len(content); i += 2 {
		f(m.value.key(content[i]), m.value.child(content[i+1], step{key: content[i].Value}))
	}
}

// splitComma reports the entry at index i of the content when it is the second
// half of a number with a decimal comma: {value: 4,7k} is two entries.
func (m Map) splitComma(i int) bool {
	n := m.value.node
	if i < 2 || n.Style&yaml.FlowStyle == 0 {
		return false
	}
	key, value, before := n.Content[i], n.Content[i+1], n.Content[i-1]
	if value.Tag != "!!null" || value.Value != "" || !endsInDigit(before) || !startsWithDigit(key) {
		return false
	}
	whole := before.Value + "," + key.Value
	v := m.value.key(key)
	v.Report(finding.Finding{
		Code: SplitComma, Level: finding.Error,
		Text:       sprintf("a comma between braces separates entries, so %q is cut in two", whole),
		Do:         "write a decimal point, or put the value in quotes",
		Suggestion: before.Value + "." + key.Value,
	})
	return true
}

func endsInDigit(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Style == 0 && n.Value != "" && isDigit(n.Value[len(n.Value)-1])
}

func startsWithDigit(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Style == 0 && n.Value != "" && isDigit(n.Value[0])
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
