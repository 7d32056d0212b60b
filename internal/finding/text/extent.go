package text

import (
	"strings"

	yaml "go.yaml.in/yaml/v4"
)

// valueSpan is where the single value stands, and what must be written before
// a new one when there was none.
func (e *editor) valueSpan() (from, to int, lead string, ok bool) {
	n, d := e.node(), e.doc
	if n.Value != "" || n.Style != 0 {
		s, ok := d.span(n)
		return s.from, s.to, "", ok
	}
	if e.key() == nil {
		at := d.offset(n.Line, n.Column)
		return at, at, " ", true
	}
	at, lead, ok := d.afterColon(e.key())
	return at, at, lead, ok
}

// afterColon is the offset behind the colon of a key, and what separates a
// value from it. A key between braces may have no colon.
func (d *Doc) afterColon(key *yaml.Node) (at int, lead string, ok bool) {
	s, ok := d.span(key)
	if !ok {
		return 0, "", false
	}
	if at := d.blanks(s.to); at < len(d.src) && d.src[at] == ':' {
		return at + 1, " ", true
	}
	return s.to, ": ", true
}

// blanks is the offset of the first byte from at on that is no space or tab.
func (d *Doc) blanks(at int) int {
	for at < len(d.src) && (d.src[at] == ' ' || d.src[at] == '\t') {
		at++
	}
	return at
}

// end is the offset behind the value n of a key, which is nil in a list.
func (d *Doc) end(n, key *yaml.Node) (int, bool) {
	switch {
	case n.Kind == yaml.ScalarNode && n.Value == "" && n.Style == 0:
		if key == nil {
			return d.offset(n.Line, n.Column), true
		}
		at, _, ok := d.afterColon(key)
		return at, ok
	case n.Kind == yaml.ScalarNode:
		s, ok := d.span(n)
		return s.to, ok
	case n.Style&yaml.FlowStyle != 0:
		return d.flowEnd(n)
	case len(n.Content) == 0:
		return 0, false
	}
	return d.lastEnd(n)
}

// lastEnd is the offset behind the last value of a map or list.
func (d *Doc) lastEnd(n *yaml.Node) (int, bool) {
	last := n.Content[len(n.Content)-1]
	if n.Kind == yaml.MappingNode {
		return d.end(last, n.Content[len(n.Content)-2])
	}
	return d.end(last, nil)
}

// flowEnd is the offset behind the closing brace or bracket of n.
func (d *Doc) flowEnd(n *yaml.Node) (int, bool) {
	at := d.offset(n.Line, n.Column) + 1
	if len(n.Content) > 0 {
		var ok bool
		if at, ok = d.lastEnd(n); !ok {
			return 0, false
		}
	}
	closing := byte('}')
	if n.Kind == yaml.SequenceNode {
		closing = ']'
	}
	for ; at < len(d.src); at++ {
		switch c := d.src[at]; {
		case c == closing:
			return at + 1, true
		case c == '#':
			at = d.lineBreak(at) - 1
		case !strings.ContainsRune(" \t\r\n,:", rune(c)):
			return 0, false
		}
	}
	return 0, false
}

// lineBreak is the offset of the next line end from at on.
func (d *Doc) lineBreak(at int) int {
	for at < len(d.src) && d.src[at] != '\n' && d.src[at] != '\r' {
		at++
	}
	return at
}

// nextLine is the offset of the line after the one that holds at.
func (d *Doc) nextLine(at int) int {
	at = d.lineBreak(at)
	if at < len(d.src) && d.src[at] == '\r' {
		at++
		if at == len(d.src) || d.src[at] != '\n' {
			return at
		}
	}
	return min(at+1, len(d.src))
}

// indent is what stands before a node on its line, as blanks.
func (d *Doc) indent(n *yaml.Node) string { return strings.Repeat(" ", n.Column-1) }

// insertion is where a new entry of the map goes, and what stands around it.
func (e *editor) insertion(n *yaml.Node) (at int, before, after string, ok bool) {
	d := e.doc
	if n.Style&yaml.FlowStyle != 0 {
		if len(n.Content) == 0 {
			return d.offset(n.Line, n.Column) + 1, "", "", true
		}
		at, ok := d.lastEnd(n)
		return at, ", ", "", ok
	}
	indent := ""
	if n.Kind == yaml.ScalarNode { // a key without value
		if e.key() == nil {
			return 0, "", "", false
		}
		at, _, ok = d.afterColon(e.key())
		indent = d.indent(e.key()) + "  "
	} else {
		at, ok = d.lastEnd(n)
		indent = d.indent(n.Content[0])
	}
	if !ok {
		return 0, "", "", false
	}
	next := d.nextLine(at)
	if next == len(d.src) && d.lineBreak(at) == next { // the last line has no end
		return next, d.lineEnd() + indent, "", true
	}
	return next, indent, d.lineEnd(), true
}

// cut is a deletion: a piece of text to take out, and one to put in before it.
type cut struct {
	from, to int
	at       int
	put      string
}

func (c cut) apply(src []byte) []byte {
	out := replace(src, c.from, c.to, "")
	return replace(out, c.at, c.at, c.put)
}

// deletions lists the ways to take out the entry at the path.
func (e *editor) deletions() []cut {
	d, parent := e.doc, e.parent()
	i := find(parent, e.path[len(e.path)-1])
	key, value := parent.Content[i], parent.Content[i+1]
	from := d.offset(key.Line, key.Column)
	to, ok := d.end(value, key)
	if !ok {
		return nil
	}
	only := len(parent.Content) == 2
	switch {
	case parent.Style&yaml.FlowStyle != 0 && only:
		return []cut{{from: from, to: to}, {from: from, to: d.afterComma(to)}}
	case parent.Style&yaml.FlowStyle != 0 && i > 0:
		before, ok := d.end(parent.Content[i-1], parent.Content[i-2])
		if !ok {
			return nil
		}
		return []cut{{from: before, to: to}}
	case parent.Style&yaml.FlowStyle != 0 || !d.startsLine(from):
		if only {
			return nil
		}
		next := parent.Content[i+2:]
		if len(next) == 0 {
			return nil
		}
		return []cut{{from: from, to: d.offset(next[0].Line, next[0].Column)}}
	}
	c := cut{from: from - (key.Column - 1), to: d.nextLine(to)}
	if only {
		return e.emptied(c)
	}
	return []cut{c}
}

// emptied completes the cut of a map's only entry: {} takes its place.
func (e *editor) emptied(c cut) []cut {
	key := e.keys[len(e.keys)-2]
	if key == nil {
		return nil
	}
	at, lead, ok := e.doc.afterColon(key)
	if !ok {
		return nil
	}
	c.at, c.put = at, lead+"{}"
	return []cut{c}
}

func (d *Doc) afterComma(at int) int {
	if next := d.blanks(at); next < len(d.src) && d.src[next] == ',' {
		return next + 1
	}
	return at
}

// startsLine reports whether only spaces stand before at on its line.
func (d *Doc) startsLine(at int) bool {
	for at > 0 && d.src[at-1] == ' ' {
		at--
	}
	return at == 0 || d.src[at-1] == '\n' || d.src[at-1] == '\r' || at == len(bom) && string(d.src[:at]) == bom
}
