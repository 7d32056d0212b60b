package quantity

import "strings"

// prefix is an SI prefix with its spellings; the first is printed.
type prefix struct {
	names []string
	exp   int
}

var prefixes = []prefix{
	{[]string{"f"}, -15},
	{[]string{"p"}, -12},
	{[]string{"n"}, -9},
	{[]string{"µ", "μ", "u"}, -6}, // micro sign, Greek mu, Latin u
	{[]string{"m"}, -3},
	{[]string{"k", "K"}, 3},
	{[]string{"M"}, 6},
	{[]string{"G"}, 9},
}

// spelling is one way to write a unit, with or without prefix.
type spelling struct {
	unit   *unit // nil for a prefix that stands alone
	prefix *prefix
	doubt  string // why it is refused: both readings
	alone  bool   // a prefix alone that the dimension does not accept
}

// exp is the power of ten of the spelling against the SI unit.
func (s *spelling) exp() int {
	e := 0
	if s.unit != nil {
		e = s.unit.exp
	}
	if s.prefix != nil {
		e += s.prefix.exp
	}
	return e
}

// spellings maps every accepted or knowingly refused text to its meaning.
var spellings = allSpellings()

func allSpellings() []map[string]*spelling {
	all := make([]map[string]*spelling, len(table))
	for i := range table {
		all[i] = table[i].spellings()
	}
	return all
}

func (d *dimension) spellings() map[string]*spelling {
	m := map[string]*spelling{}
	for i := range d.units {
		for _, name := range d.units[i].names {
			m[name] = &spelling{unit: &d.units[i]}
		}
	}
	for i := range d.units {
		if d.units[i].prefixed {
			d.addPrefixed(m, &d.units[i])
		}
	}
	if len(d.units) > 0 && d.units[0].prefixed {
		d.addAlone(m)
	}
	return m
}

// addPrefixed adds the spellings of u with a prefix. A spelling that is there
// already is a unit of its own (min is no milli-inch).
func (d *dimension) addPrefixed(m map[string]*spelling, u *unit) {
	for i := range prefixes {
		p := &prefixes[i]
		for _, pn := range p.names {
			for _, name := range u.names {
				if m[pn+name] != nil {
					continue
				}
				s := &spelling{unit: u, prefix: p}
				shouted := strings.HasPrefix(name, "OHM")
				if pn == "M" && (!d.mega || shouted) {
					s.doubt = "m" + u.names[0] + " or M" + u.names[0]
				}
				m[pn+name] = s
			}
		}
	}
}

// addAlone adds the prefixes without unit: 4k7, 100n.
func (d *dimension) addAlone(m map[string]*spelling) {
	for i := range prefixes {
		p := &prefixes[i]
		for _, pn := range p.names {
			if m[pn] != nil {
				continue
			}
			s := &spelling{prefix: p, alone: !strings.Contains(d.letters, pn)}
			if s.alone {
				s.doubt = d.doubtAlone(pn)
			}
			m[pn] = s
		}
	}
}

// doubtAlone names the readings of a lone prefix that has more than one.
func (d *dimension) doubtAlone(p string) string {
	switch {
	case p == "M":
		return "m" + d.symbol + " or M" + d.symbol
	case p == "m" && d.symbol == "s":
		return "ms or min"
	case p == "m" && d.symbol == "F":
		return "mF or µF" // old parts are marked m, even mm, for micro
	}
	return ""
}

// find looks a spelling up.
func (d Dimension) find(word string) *spelling {
	if d < 0 || int(d) >= len(spellings) {
		return nil
	}
	return spellings[d][word]
}

// dimensionOf is the dimension that a unit tells by itself.
func dimensionOf(word string) (Dimension, bool) {
	for i := range spellings {
		if s := spellings[i][word]; s != nil && s.unit != nil && !s.unit.loose {
			return Dimension(i), true
		}
	}
	return None, false
}

// symbol is the spelling as it is printed.
func (s *spelling) symbol(d Dimension) string {
	name := d.Unit()
	if s.unit != nil {
		name = s.unit.names[0]
	}
	if s.prefix != nil {
		name = s.prefix.names[0] + name
	}
	return name
}
