package elaborate

import (
	"fmt"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/quantity"
)

// work is one elaboration.
type work struct {
	inside [][2]circuit.Node // nodes within parts, each with the pin it hangs on
	board  *board.Board
	sheets func(string) (*catalog.Sheet, bool)
	opt    Options
	c      *Circuit
	list   finding.List
	sheet  []*catalog.Sheet // by part; nil for bare parts
	pins   map[pinKey]circuit.Node
	fets   map[device.MOSFETSheet]device.MOSFETParams
	edges  []edge // see resistive
}

// pinKey names a pin by the index of its part.
type pinKey struct {
	part int
	pin  string
}

func newWork(b *board.Board, sheets func(string) (*catalog.Sheet, bool), opt Options) *work {
	if opt.Choice == nil {
		opt.Choice = Nominal{}
	}
	if opt.Kelvin == 0 {
		opt.Kelvin = circuit.RoomKelvin
	}
	w := &work{
		board: b, sheets: sheets, opt: opt,
		c:    &Circuit{Parts: map[string][]circuit.Element{}},
		pins: map[pinKey]circuit.Node{}, fets: map[device.MOSFETSheet]device.MOSFETParams{},
	}
	w.findSheets()
	w.numberNodes()
	w.assumeNets()
	return w
}

func (w *work) findSheets() {
	w.sheet = make([]*catalog.Sheet, len(w.board.Parts))
	for i := range w.board.Parts {
		p := &w.board.Parts[i]
		if p.Sheet == "" {
			continue
		}
		s, ok := w.sheets(p.Sheet)
		if !ok {
			w.fail(SheetMissing, p.Place, "add parts/"+p.Sheet+".yaml, or name a generic sheet",
				"part %s: no part sheet %q", p.Ref, p.Sheet)
			continue
		}
		w.sheet[i] = s
		if s.Generic {
			w.assume("sheet " + s.Name + " (generic)")
		}
	}
}

// numberNodes gives every net a node, B− first, and every pin on no net one of
// its own.
func (w *work) numberNodes() {
	b := w.board
	reference := b.Tap(0)
	if reference == board.NoNet {
		w.fail(NoReference, b.Place, "add B-: NET to the pads", "the board has no pad B−, which every voltage counts from")
		reference = 0
	}
	w.c.NodeOf = map[board.NetID]circuit.Node{reference: 0}
	w.c.Nodes = []string{w.netName(reference)}
	used := w.usedNets()
	for i := range b.Nets {
		if net := board.NetID(i); net != reference && used[net] {
			w.c.NodeOf[net] = w.newNode(b.Nets[i].Name)
		}
	}
	for i := range b.Parts {
		for _, pin := range b.Parts[i].Pins {
			w.pins[pinKey{i, pin.Name}] = w.pinNode(&b.Parts[i], pin)
		}
	}
}

// usedNets are the nets that need a node: parts hang on them, or a cell does.
func (w *work) usedNets() map[board.NetID]bool {
	used := map[board.NetID]bool{}
	for i := range w.board.Parts {
		for _, pin := range w.board.Parts[i].Pins {
			used[pin.Net] = true
		}
	}
	for k := 0; k <= w.board.Cells; k++ {
		used[w.board.Tap(k)] = true
	}
	return used
}

func (w *work) netName(net board.NetID) string {
	if net < 0 || int(net) >= len(w.board.Nets) {
		return ""
	}
	return w.board.Nets[net].Name
}

func (w *work) pinNode(p *board.Part, pin board.Pin) circuit.Node {
	switch {
	case pin.Net == board.NoNet:
		return w.newNode(p.Ref + "." + pin.Name)
	case pin.Net < 0 || int(pin.Net) >= len(w.board.Nets):
		w.fail(NetMissing, pin.Place, "connect the pin to a net of the board", "pin %s.%s is on a net that the board does not have", p.Ref, pin.Name)
		return 0
	}
	return w.c.NodeOf[pin.Net]
}

func (w *work) newNode(name string) circuit.Node {
	w.c.Nodes = append(w.c.Nodes, name)
	return circuit.Node(len(w.c.Nodes) - 1)
}

// node returns the node of pin name of part i. A pin that the board leaves out
// gets a node of its own.
func (w *work) node(i int, name string) circuit.Node {
	key := pinKey{i, name}
	n, ok := w.pins[key]
	if !ok {
		n = w.newNode(w.board.Parts[i].Ref + "." + name)
		w.pins[key] = n
	}
	return n
}

func (w *work) add(part int, e circuit.Element) {
	ref := w.board.Parts[part].Ref
	w.c.Elements = append(w.c.Elements, e)
	w.c.Parts[ref] = append(w.c.Parts[ref], e)
}

func (w *work) assume(what string) {
	if !slices.Contains(w.c.Assumed, what) {
		w.c.Assumed = append(w.c.Assumed, what)
	}
}

// assumeNets names the nets that are less than implied. Nets that were all
// written by hand are said once.
func (w *work) assumeNets() {
	var weak []string
	for _, n := range w.board.Nets {
		if n.Grade != evidence.Proven && n.Grade != evidence.Implied {
			weak = append(weak, "net "+n.Name)
		}
	}
	if len(weak) == len(w.board.Nets) && len(weak) > 0 {
		w.assume("all nets, as written by hand")
		return
	}
	for _, n := range weak {
		w.assume(n)
	}
}

func (w *work) fail(code string, at finding.Place, do, format string, args ...any) {
	w.list.Add(finding.Finding{Code: code, Level: finding.Error, Place: at, Text: fmt.Sprintf(format, args...), Do: do})
}

func (w *work) warn(code string, at finding.Place, do, format string, args ...any) {
	w.list.Add(finding.Finding{Code: code, Level: finding.Warning, Place: at, Text: fmt.Sprintf(format, args...), Do: do})
}

// figures hands out the figures of one part, as the choice has them.
type figures struct {
	w     *work
	part  *board.Part
	sheet *catalog.Sheet
	unit  int
}

// get returns a figure in SI units; NaN where neither sheet nor kind knows it.
func (f figures) get(name string) float64 {
	fig, stated := f.sheet.Figure(name)
	if !fig.Value.Given() {
		return fig.Value.Typ // NaN
	}
	if !stated && !f.sheet.Generic {
		f.w.assume(name + " of sheet " + f.sheet.Name)
	}
	return f.pick(name, fig.Value)
}

// or is get with a stand-in for what is not known.
func (f figures) or(name string, def float64) float64 {
	if v := f.get(name); v == v {
		return v
	}
	return def
}

func (f figures) pick(name string, q quantity.Quantity) float64 {
	which := Which{Ref: f.part.Ref, Unit: f.unit, Figure: name, Spread: catalog.Spread{Part: 1}}
	if f.sheet != nil {
		which.Sheet, which.Spread = f.sheet.Name, f.sheet.Spread
	}
	return f.w.opt.Choice.Pick(which, q)
}

// rule returns a choice of behaviour and records one that nobody made.
func (f figures) rule(name string) string {
	word, stated := f.sheet.Rule(name)
	if !stated && !f.sheet.Generic {
		f.w.assume(name + " of sheet " + f.sheet.Name)
	}
	return word
}
