package svg

import (
	"strconv"
	"strings"

	"cupel/internal/schematic"
)

// ids gives every part and net an id that is stable and valid in HTML, CSS
// selectors and URLs: letters, digits, "-" and "_" of the name, everything else
// as its number in hexadecimal between dots.
type ids struct {
	prefix  string
	nets    []string
	symbols []string
}

func newIDs(prefix string, s *schematic.Sheet) ids {
	d := ids{prefix: prefix}
	for _, n := range s.Nets {
		d.nets = append(d.nets, prefix+"net-"+clean(n.Name))
	}
	seen := map[string]int{}
	for i := range s.Symbols {
		sym := &s.Symbols[i]
		kind := "part-"
		if sym.Part == schematic.NoPart {
			kind = string(sym.Shape) + "-"
		}
		id := prefix + kind + clean(sym.Ref)
		if seen[id]++; seen[id] > 1 {
			id += "." + strconv.Itoa(seen[id])
		}
		d.symbols = append(d.symbols, id)
	}
	return d
}

func (d *ids) own(name string) string { return d.prefix + "sheet-" + name }
func (d *ids) net(i int) string       { return d.nets[i] }
func (d *ids) symbol(i int) string    { return d.symbols[i] }

func clean(name string) string {
	var b strings.Builder
	for _, r := range name {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
			b.WriteRune(r)
		default:
			b.WriteString("." + strconv.FormatInt(int64(r), 16) + ".")
		}
	}
	return b.String()
}
