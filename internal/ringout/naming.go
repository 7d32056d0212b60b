package ringout

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/evidence"
)

// NamedNet is a net as a netlist has it.
type NamedNet struct {
	Name  string
	Pads  []int // in order
	Grade evidence.Grade
	// Because are the numbers of the entries that join it.
	Because []int
	// Roots are the nets it consists of. Several are one by hand only: no reading
	// joins them and none holds them apart.
	Roots []int
}

// Netlist gives the nets names. byHand is the net that somebody wrote for each
// pad, empty for none. A net takes the name that most of its pads were given by
// hand; without one it is called after its most telling pad. What was written by
// hand stands until a reading says otherwise: nets of one name stay one unless a
// reading holds them apart. A pad on no net, of which no reading and no hand says
// otherwise, is in none.
func (c *Copper) Netlist(byHand []string) []NamedNet {
	n := naming{copper: c, byHand: byHand, of: map[string]int{}}
	nets := c.Nets()
	for _, net := range nets {
		n.wish(net)
	}
	slices.SortStableFunc(n.wishes, func(a, b wish) int { return cmp.Compare(b.weight, a.weight) })
	done := map[int]bool{}
	for _, w := range n.wishes {
		if !done[w.net.Root] {
			done[w.net.Root] = n.grant(w)
		}
	}
	for _, net := range nets {
		if !done[net.Root] && (len(net.Pads) > 1 || c.isTerminal(net.Pads[0])) {
			n.list = append(n.list, c.called(n.own(net), net))
		}
	}
	slices.SortFunc(n.list, func(a, b NamedNet) int { return a.Pads[0] - b.Pads[0] })
	return n.list
}

type naming struct {
	copper *Copper
	byHand []string
	wishes []wish
	list   []NamedNet
	of     map[string]int // of each name, its place in list
}

// wish is a net that would take a name.
type wish struct {
	net    Net
	name   string
	weight int
}

// terminalWeight makes a terminal count more for its net's name than all pads of
// parts on it: what the outside connects is known without a reading.
const terminalWeight = 1000

func (n *naming) wish(net Net) {
	if len(net.Pads) == 1 && net.Grade == evidence.Proven && !n.copper.isTerminal(net.Pads[0]) {
		return // readings show that it is on nothing
	}
	weight := map[string]int{}
	var names []string
	for _, p := range net.Pads {
		h := n.byHand[p]
		if h == "" {
			continue
		}
		if weight[h] == 0 {
			names = append(names, h)
		}
		weight[h]++
		if n.copper.isTerminal(p) {
			weight[h] += terminalWeight
		}
	}
	for _, h := range names {
		n.wishes = append(n.wishes, wish{net, h, weight[h]})
	}
}

func (c *Copper) isTerminal(pad int) bool { return c.sample.Pads[pad].Terminal != "" }

// grant gives a net its name, unless a reading holds it apart from what has that
// name already.
func (n *naming) grant(w wish) bool {
	i, taken := n.of[w.name]
	if !taken {
		n.of[w.name] = len(n.list)
		n.list = append(n.list, n.copper.called(w.name, w.net))
		return true
	}
	l := &n.list[i]
	for _, r := range l.Roots {
		if n.copper.Opens(r, w.net.Root) > 0 {
			return false
		}
	}
	l.Roots = append(l.Roots, w.net.Root)
	l.Pads = append(l.Pads, w.net.Pads...)
	slices.Sort(l.Pads)
	l.Because = tidy(append(l.Because, w.net.Because...))
	if l.Grade != evidence.Contradicted {
		l.Grade = evidence.Assumed
	}
	if w.net.Grade == evidence.Contradicted {
		l.Grade = evidence.Contradicted
	}
	return true
}

func (c *Copper) called(name string, net Net) NamedNet {
	return NamedNet{Name: name, Pads: net.Pads, Grade: net.Grade, Because: net.Because, Roots: []int{net.Root}}
}

// own is a name that nobody gave: that of a terminal, or of the first pad whose
// pin has a function, or of the first pad.
func (n *naming) own(net Net) string {
	s := n.copper.sample
	best, rank := net.Pads[0], 0
	for _, p := range net.Pads {
		r := 0
		switch pin := s.Pads[p].Pin; {
		case s.Pads[p].Terminal != "":
			r = 2
		case pin != "" && strings.Trim(pin, "0123456789") != "":
			r = 1
		}
		if r > rank {
			best, rank = p, r
		}
	}
	name := s.netName(best)
	free := name
	for k := 2; ; k++ {
		if _, taken := n.of[free]; !taken {
			n.of[free] = len(n.list)
			return free
		}
		free = name + "-" + strconv.Itoa(k)
	}
}

func (s *Sample) netName(pad int) string {
	p := &s.Pads[pad]
	if p.Part != NoPart {
		return strings.ToLower(s.Parts[p.Part].Ref) + "-" + p.Pin
	}
	if k, ok := s.Tap(pad); ok && k > 0 {
		return "tap" + strconv.Itoa(k)
	}
	return strings.NewReplacer("-", "minus", "+", "plus").Replace(strings.ToLower(p.Name))
}
