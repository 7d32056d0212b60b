package simulated

import (
	"fmt"
	"math"

	"cupel/internal/board"
	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/device"
	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
)

// ports is everything around the board: cells, load, short and charger, and
// where they connect.
type ports struct {
	names    []string // of all nodes, the board's first
	elements []circuit.Element

	taps        []circuit.Node // tap 0 to N at the cells
	plus, minus circuit.Node   // load
	chargePlus  circuit.Node
	chargeMinus circuit.Node

	cells    []*cell.Source
	ohmic    *device.Resistor
	constant *device.Sink
	loop     *device.Inductor
	short    *device.Switch
	charger  *cell.Charger
	joints   []*device.Switch // one a tap, of a circuit with leads
	leads    []*device.Inductor
}

// Where a short is closed through a lead of its own, its defaults.
const (
	loopOhms  = 10e-3
	loopHenry = 1e-6
	// dampingOhms lies across the loop's inductance, for its losses at the
	// megahertz it would ring at with the switched-off bank; without them it rings
	// for a hundred periods that no real lead shows. While the loop carries
	// hundreds of amperes it takes about one. Assumed, no source.
	dampingOhms = 47
)

// chargerRise is the time a charger takes to raise its current. A step would
// lift every tap at once, the pull-ups of the level shifters would lag behind and
// the board cut for microseconds by the edge, not by the current: no charger or
// bench supply is so fast. Common practice, no source.
const chargerRise = 100e-6 // s

// openOhms stands for an open load port.
var openOhms = math.Inf(1)

// newPorts joins cells, load and charger to a board's circuit. With leads the
// cells reach the board through a switch and a lead at each tap.
func newPorts(b *board.Board, c *elaborate.Circuit, cellOhms float64, leads bool) *ports {
	p := &ports{names: append([]string(nil), c.Nodes...)}
	at := func(pad string, or circuit.Node) circuit.Node {
		if q, ok := b.Pad(pad); ok {
			return p.at(b, c, q.Net)
		}
		return or
	}
	boardTaps := make([]circuit.Node, b.Cells+1)
	for k := range boardTaps {
		if net := b.Tap(k); net != board.NoNet {
			boardTaps[k] = p.at(b, c, net)
		} else if k > 0 {
			boardTaps[k] = p.add(fmt.Sprintf("tap %d of the cells", k))
		}
	}
	p.taps = boardTaps
	top := boardTaps[b.Cells]
	p.plus, p.minus = at("P+", top), at("P-", 0)
	p.chargePlus, p.chargeMinus = at("C+", p.plus), at("C-", p.minus)
	if leads {
		p.join(boardTaps)
	}
	p.addCells(cellOhms)
	p.addLoad()
	p.charger = cell.NewCharger("charger", p.chargePlus, p.chargeMinus, cell.ChargerParams{Rise: chargerRise})
	p.elements = append(p.elements, p.charger)
	return p
}

// at returns the node of a net, adding one for a net no part touches.
func (p *ports) at(b *board.Board, c *elaborate.Circuit, net board.NetID) circuit.Node {
	n, ok := c.NodeOf[net]
	if !ok {
		n = p.add(b.Nets[net].Name)
		c.NodeOf[net] = n
	}
	return n
}

func (p *ports) add(name string) circuit.Node {
	p.names = append(p.names, name)
	return circuit.Node(len(p.names) - 1)
}

// join puts a switch and a lead between each tap and the cells; the taps are
// then those of the cells.
func (p *ports) join(boardTaps []circuit.Node) {
	p.taps = make([]circuit.Node, len(boardTaps))
	for k, n := range boardTaps {
		p.taps[k] = p.add(fmt.Sprintf("cell end of tap %d", k))
		bend := p.add(fmt.Sprintf("lead of tap %d", k))
		j := device.NewSwitch(fmt.Sprintf("joint %d", k), p.taps[k], bend, device.SwitchParams{OnOhms: 1e-3, OffOhms: 1e12})
		l := device.NewInductor(fmt.Sprintf("lead %d", k), bend, n, device.InductorParams{Ohms: 50e-3, Henry: 1e-6})
		p.joints, p.leads = append(p.joints, j), append(p.leads, l)
		p.elements = append(p.elements, j, l)
	}
}

func (p *ports) addCells(ohms float64) {
	for k := 1; k < len(p.taps); k++ {
		s := cell.NewSource(fmt.Sprintf("cell %d", k), p.taps[k], p.taps[k-1], cell.SourceParams{Ohms: ohms})
		p.cells = append(p.cells, s)
		p.elements = append(p.elements, s)
	}
}

func (p *ports) addLoad() {
	end := p.add("loop of the short")
	p.ohmic = cell.NewResistance("load", p.plus, p.minus, openOhms)
	p.constant = cell.NewConstantCurrent("constant-current load", p.plus, p.minus, 0)
	p.loop = device.NewInductor("loop of the short", p.plus, end, device.InductorParams{Ohms: loopOhms, Henry: loopHenry})
	damping := device.NewResistor("damping of the loop", p.plus, end, device.ResistorParams{Ohms: dampingOhms})
	p.short = device.NewSwitch("short", end, p.minus, device.SwitchParams{OnOhms: 1})
	p.elements = append(p.elements, p.ohmic, p.constant, p.loop, damping, p.short)
}

// setLoad carries a load out.
func (p *ports) setLoad(l rig.Load) {
	p.ohmic.SetOhms(openOhms)
	p.constant.SetAmps(0)
	p.short.Set(false)
	switch l.Kind {
	case rig.Resistance:
		p.ohmic.SetOhms(l.Value)
	case rig.ConstantCurrent:
		p.constant.SetAmps(l.Value)
	case rig.Short:
		lead := l.Lead
		if lead == (rig.Lead{}) {
			lead = rig.Lead{Ohms: loopOhms, Henry: loopHenry}
		}
		p.loop.Set(device.InductorParams{Ohms: lead.Ohms, Henry: lead.Henry})
		p.short.SetParams(device.SwitchParams{OnOhms: l.Value})
		p.short.Set(true)
	}
}

// setCharger carries a charger out at a time, s.
func (p *ports) setCharger(now float64, c rig.Charger) { p.charger.Set(now, c.Volts, c.Amps) }

// loadAmps is the current through whatever hangs between P+ and P−.
func (p *ports) loadAmps(x []float64) float64 {
	return p.ohmic.Current(x) + p.constant.Current(x) + p.loop.Current(x)
}

// chargeAmps is the current the charger delivers.
func (p *ports) chargeAmps(x []float64) float64 { return p.charger.Current(x) }

// outside is the current that load and charger take from a node.
func (p *ports) outside(n circuit.Node, x []float64) float64 {
	i := 0.0
	if n == p.plus {
		i += p.loadAmps(x)
	}
	if n == p.minus {
		i -= p.loadAmps(x)
	}
	if n == p.chargePlus {
		i -= p.chargeAmps(x)
	}
	if n == p.chargeMinus {
		i += p.chargeAmps(x)
	}
	return i
}

// drop reads what is lost between the cells and a port: in the negative line,
// and in the positive where the banks are there.
func (p *ports) drop(plus, minus circuit.Node) func(x []float64) float64 {
	top := p.taps[len(p.taps)-1]
	return func(x []float64) float64 {
		return x[minus] - x[p.taps[0]] + x[top] - x[plus]
	}
}

// node finds the node of a net by name.
func (p *ports) node(b *board.Board, name string) (circuit.Node, bool) {
	for i, n := range p.names {
		if n == name {
			return circuit.Node(i), true
		}
	}
	return 0, false
}
