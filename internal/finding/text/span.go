package text

import yaml "go.yaml.in/yaml/v4"

// inside is the offset in the source of the byte at the offset of a scalar's
// decoded text.
func (d *Doc) inside(n *yaml.Node, offset int) (int, bool) {
	at := d.offset(n.Line, n.Column)
	if n.Style == 0 && at+len(n.Value) <= len(d.src) && string(d.src[at:at+len(n.Value)]) == n.Value {
		return at + offset, true
	}
	return 0, false
}
