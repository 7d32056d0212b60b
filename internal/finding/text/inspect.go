package text

import yaml "go.yaml.in/yaml/v4"

// inspect reports what no file may hold, in the whole tree below n, and marks
// it so that its readers stay silent.
func (d *Doc) inspect(n *yaml.Node, depth int) {
	if depth > maxDepth {
		d.fail(TooDeep, d.nodePlace(n), "flatten it", "nested more than %d deep", maxDepth)
		d.bad[n], n.Content = true, nil
		return
	}
	switch {
	case n.Kind == yaml.AliasNode:
		d.fail(Anchored, d.nodePlace(n), "write the value out, or put it in quotes if it begins with *", "the alias *%s is not allowed", n.Value)
		d.bad[n] = true
	case n.Anchor != "":
		d.fail(Anchored, d.nodePlace(n), "delete it, or put the value in quotes if it begins with &", "the anchor &%s is not allowed", n.Anchor)
	case n.Style&yaml.TaggedStyle != 0:
		d.fail(Tagged, d.nodePlace(n), "delete the tag, or put the value in quotes if it begins with !", "the tag %s is not allowed", n.Tag)
		d.bad[n] = true
	}
	if n.Kind == yaml.MappingNode {
		d.inspectKeys(n)
	}
	for _, c := range n.Content {
		d.inspect(c, depth+1)
	}
}

// everyKey excuses a map for every key that it lacks.
const everyKey = ""

// inspectKeys takes the entries out of a map whose key cannot be used.
func (d *Doc) inspectKeys(n *yaml.Node) {
	line := map[string]int{}
	var kept []*yaml.Node
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		first, twice := line[key.Value]
		switch {
		case key.Kind == yaml.ScalarNode && key.Tag == "!!merge":
			d.fail(Anchored, d.nodePlace(key), "write the keys out", "the merge key << is not allowed")
			d.excuse(n, everyKey)
		case key.Kind == yaml.AliasNode:
			d.fail(Anchored, d.nodePlace(key), "write the key out", "the alias *%s is not allowed", key.Value)
		case key.Kind != yaml.ScalarNode:
			d.fail(BadKey, d.nodePlace(key), "use a plain word as the key", "a map or a list cannot be a key")
		case key.Value == "":
			d.fail(BadKey, d.nodePlace(key), "write the key before the colon", "an empty key")
		case twice:
			d.fail(DuplicateKey, d.nodePlace(key), "delete or rename one of the two", "duplicate key %q, first on line %d", key.Value, first)
		default:
			line[key.Value] = key.Line
			kept = append(kept, key, n.Content[i+1])
		}
	}
	n.Content = kept
}
