package layout

import (
	"math"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/schematic"
)

// work is one board being laid out: what is known of its parts and nets.
type work struct {
	b      *board.Board
	parts  []part
	nets   []net
	taps   []board.NetID // by tap; NoNet where no pad reaches it
	lines  []line        // the power paths
	apart  []int         // parts that must go to the box
	beside map[int]bool  // stack protectors that stand beside the slices of their cells
}

// part is what layout knows of a part.
type part struct {
	*board.Part
	index int
	sheet *catalog.Sheet // nil for bare parts and unknown sheets
	shape schematic.Shape
	nets  []board.NetID // by pin
	cell  int           // the slice it belongs to; 0 if none
	power bool          // in a power path
	stage *stage        // of a transistor or IC
	used  bool          // has its place
	apart bool          // goes to the box whatever it does
}

// net is what layout knows of a net.
type net struct {
	pins  []board.PinRef
	tap   int  // which tap it is; −1 if none
	level int  // of a tap, a supply, a port or a line of the power path: the tap it is near; −1 if none
	power bool // on a power path, or a port's
	cell  int  // the slice it belongs to; 0 if none
	bus   bool // leads from slices to what they share
}

// newWork looks at a board.
func newWork(b *board.Board, sheet func(string) (*catalog.Sheet, bool), apart []int) *work {
	w := &work{b: b, apart: apart, parts: make([]part, len(b.Parts)), nets: make([]net, len(b.Nets))}
	for i := range w.nets {
		w.nets[i] = net{tap: -1, level: -1}
	}
	for i := range b.Parts {
		w.parts[i] = w.newPart(i, sheet)
	}
	for k := 0; k <= b.Cells; k++ {
		n := b.Tap(k)
		w.taps = append(w.taps, n)
		if n != board.NoNet && w.nets[n].tap < 0 {
			w.nets[n].tap, w.nets[n].level = k, k
		}
	}
	return w
}

func (w *work) newPart(i int, sheet func(string) (*catalog.Sheet, bool)) part {
	p := part{Part: &w.b.Parts[i], index: i}
	if p.Sheet != "" {
		p.sheet, _ = sheet(p.Sheet)
	}
	p.shape, p.apart = shapeOf(&p), slices.Contains(w.apart, i)
	p.used = p.apart
	for k := range p.Pins {
		n := p.Pins[k].Net
		p.nets = append(p.nets, n)
		if n != board.NoNet && !p.apart {
			w.nets[n].pins = append(w.nets[n].pins, board.PinRef{Part: i, Pin: k})
		}
	}
	return p
}

var shapes = map[catalog.Kind]schematic.Shape{
	catalog.Resistor: schematic.Resistor, catalog.Capacitor: schematic.Capacitor, catalog.Inductor: schematic.Inductor,
	catalog.Diode: schematic.Diode, catalog.Zener: schematic.Zener,
	catalog.NPN: schematic.NPN, catalog.PNP: schematic.PNP, catalog.NFET: schematic.NFET, catalog.PFET: schematic.PFET,
	catalog.Thermistor: schematic.Thermistor, catalog.Fuse: schematic.Fuse, catalog.Link: schematic.LinkShape,
}

// shapeOf is the symbol of a part: a box where its kind is not known or its
// pins are not those of the kind.
func shapeOf(p *part) schematic.Shape {
	s, ok := shapes[p.kind()]
	if !ok {
		return schematic.IC
	}
	if s == schematic.Fuse && p.hasPin("h") {
		s = schematic.HeaterFuse
	}
	if s == schematic.Diode && isSchottky(p.sheet) {
		s = schematic.Schottky
	}
	o, _ := schematic.OutlineOf(s)
	if len(o.Pins) != len(p.Pins) {
		return schematic.IC
	}
	for _, pin := range p.Pins {
		if _, ok := o.Pins[pin.Name]; !ok {
			return schematic.IC
		}
	}
	return s
}

// kind is the kind of a part, from its sheet or its value.
func (p *part) kind() catalog.Kind {
	if p.sheet != nil {
		return p.sheet.Kind
	}
	return catalog.Kind(p.Part.Kind)
}

// schottkyVolts is the forward voltage under which a diode is drawn as a
// Schottky diode: common practice, no source.
const schottkyVolts = 0.5

func isSchottky(s *catalog.Sheet) bool {
	if s == nil {
		return false
	}
	f, _ := s.Figure("v_f")
	return f.Value.Nominal() < schottkyVolts
}

func (p *part) passive() bool { return !p.apart && len(p.Pins) == 2 && p.shape != schematic.IC }

func (p *part) transistor() bool { return !p.apart && isTransistor(p.shape) }

func isTransistor(s schematic.Shape) bool {
	switch s {
	case schematic.NPN, schematic.PNP, schematic.NFET, schematic.PFET:
		return true
	}
	return false
}

func (p *part) fet() bool {
	return !p.apart && (p.shape == schematic.NFET || p.shape == schematic.PFET)
}

func (p *part) ic() bool { return !p.apart && p.shape == schematic.IC }

// upsideDown reports whether a transistor has its emitter or source at the top.
func (p *part) upsideDown() bool { return p.shape == schematic.PNP || p.shape == schematic.PFET }

// net returns the net of the pin of the first of those names that the part has.
func (p *part) net(names ...string) board.NetID {
	for _, n := range names {
		for k := range p.Pins {
			if p.Pins[k].Name == n {
				return p.nets[k]
			}
		}
	}
	return board.NoNet
}

func (p *part) control() board.NetID { return p.net("b", "g") }
func (p *part) head() board.NetID    { return p.net("c", "d") }
func (p *part) foot() board.NetID    { return p.net("e", "s") }

// ends are the two nets of a passive.
func (p *part) ends() (board.NetID, board.NetID) { return p.nets[0], p.nets[1] }

// other is the net at a passive's other end.
func (p *part) other(n board.NetID) board.NetID {
	if p.nets[0] == n {
		return p.nets[1]
	}
	return p.nets[0]
}

// ohms is the resistance that a part puts between its two pins; NaN where it is
// not that kind of part.
func (p *part) ohms() float64 {
	switch p.shape {
	case schematic.Resistor:
		if p.sheet != nil {
			f, _ := p.sheet.Figure("r")
			return f.Value.Nominal()
		}
		return p.Value.Nominal()
	case schematic.LinkShape, schematic.Fuse, schematic.Inductor:
		return 0
	}
	return math.NaN()
}

// signal reports whether a net is neither a tap nor part of a power path.
func (w *work) signal(n board.NetID) bool {
	return n != board.NoNet && w.nets[n].tap < 0 && !w.nets[n].power
}

// anchored reports whether a net has a potential of its own: a tap, a supply, a
// power path.
func (w *work) anchored(n board.NetID) bool { return n != board.NoNet && w.nets[n].level >= 0 }

// each calls do for every pin of a net, in the board's order.
func (w *work) each(n board.NetID, do func(p *part, pin int)) {
	if n == board.NoNet {
		return
	}
	for _, r := range w.nets[n].pins {
		do(&w.parts[r.Part], r.Pin)
	}
}
