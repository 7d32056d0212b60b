package deck

import (
	"fmt"
	"sort"
	"strings"

	"cupel/internal/circuit"
)

// Names gives every node and element the name it has in a deck.
type Names struct {
	nodes    []string
	original []string
	elements map[string]string // by the element's own name
	taken    map[string]bool   // lower-case words in use, of elements
}

// NameNodes names the nodes of a circuit; names[0] is the reference and becomes 0.
func NameNodes(names []string) *Names {
	n := &Names{original: names, elements: map[string]string{}, taken: map[string]bool{}}
	// "gnd" would be node 0, "v-sweep" and "time" are the simulator's own.
	taken := map[string]bool{"0": true, "gnd": true, "time": true, "sweep": true}
	for i, name := range names {
		if i == 0 {
			n.nodes = append(n.nodes, "0")
			continue
		}
		n.nodes = append(n.nodes, unique(word(name), taken))
	}
	return n
}

// Node returns the name of a node in the deck.
func (n *Names) Node(i circuit.Node) string { return n.nodes[i] }

// Element returns the name of an element in the deck without its type letter.
func (n *Names) Element(name string) string {
	if w, ok := n.elements[name]; ok {
		return w
	}
	w := unique(word(name), n.taken)
	n.elements[name] = w
	return w
}

// unique returns word, with a number behind it if it is taken.
func unique(w string, taken map[string]bool) string {
	name := w
	for i := 2; taken[name]; i++ {
		name = fmt.Sprintf("%s_%d", w, i)
	}
	taken[name] = true
	return name
}

// word rewrites a name with what SPICE takes for letters everywhere, in
// expressions too: small letters, digits and underscores.
func word(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '+':
			b.WriteString("plus")
		case r == '-' && strings.HasSuffix(name, "-"), r == '−':
			b.WriteString("minus")
		default:
			b.WriteByte('_')
		}
	}
	if b.Len() == 0 {
		return "_"
	}
	return b.String()
}

// comments explains the names that were rewritten beyond their case.
func (n *Names) comments() []string {
	var out []string
	for i, name := range n.original {
		if n.nodes[i] != strings.ToLower(name) {
			out = append(out, fmt.Sprintf("node %s is net %s", n.nodes[i], oneLine(name)))
		}
	}
	for name, w := range n.elements {
		if w != strings.ToLower(name) {
			out = append(out, fmt.Sprintf("element %s is %s", w, oneLine(name)))
		}
	}
	sort.Strings(out)
	return out
}

// oneLine keeps a text from becoming a card.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
