package elaborate

import (
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// ic makes the unit of a protection IC.
func (q piece) ic() {
	u := Unit{Part: q.name, Sheet: q.fig.sheet, Limits: q.pinLimits()}
	switch q.fig.sheet.Kind {
	case catalog.CellProtector:
		q.cellProtector(&u)
	case catalog.StackProtector:
		q.stackProtector(&u)
	case catalog.Balancer:
		q.balancer(&u)
	case catalog.SecondaryProtector:
		q.secondary(&u)
	default:
		return
	}
	m, err := u.At(q.w.opt.Kelvin)
	if !q.fit(err) {
		return
	}
	u.Machine = m
	for _, pin := range m.Pins() {
		u.Nodes = append(u.Nodes, q.icNode(pin))
	}
	q.wire(&u)
	q.w.c.Units = append(q.w.c.Units, u)
}

// icNode is the node of a machine's pin. A machine may have pins that the part
// has not: without vm, cs looks for load and charger; what else is missing
// touches nothing and may lie anywhere.
func (q piece) icNode(pin string) circuit.Node {
	switch {
	case q.fig.sheet.HasPin(pin):
		return q.node(pin)
	case pin == "vm":
		return q.node("cs")
	}
	return q.node("vss")
}

// wire makes the switches, sinks and diodes of a unit.
func (q piece) wire(u *Unit) {
	name := func(s string) string { return u.Part + " " + s }
	for _, l := range u.Machine.Links() {
		s := device.NewSwitch(name(l.Name), u.Nodes[l.From], u.Nodes[l.To], device.SwitchParams{OnOhms: l.Ohms})
		u.Links = append(u.Links, s)
		q.add(s)
	}
	for _, k := range u.Machine.Sinks() {
		s := device.NewSink(name(k.Name), u.Nodes[k.From], u.Nodes[k.To], device.SinkParams{})
		u.Sinks = append(u.Sinks, s)
		q.add(s)
	}
	for _, c := range u.Machine.Clamps() {
		p := clampParams
		if !math.IsInf(c.Breakdown, 1) {
			p.Breakdown = c.Breakdown
		}
		d := device.NewDiode(name(c.Name), u.Nodes[c.Anode], u.Nodes[c.Cathode], p)
		u.Clamps = append(u.Clamps, d)
		q.add(d)
	}
}

// clampParams is the diode inside an IC from a pin to its supply: 0.65 V at
// 1 mA and some tens of ohms, typical of the class, no source.
var clampParams = device.DiodeParams{
	Sat: 1e-14, N: 1, Ohms: 30, Farads: 5e-12, BreakdownOhms: 30, BreakdownAmps: 1e-3, BreakdownSlope: 0.1,
}

// belowGround is how far an IC's pin may go beyond its supply: common practice,
// no source.
const belowGround = 0.3 // V

// pinLimits are what the pins stand. Pins without a limit of their own stand
// what the supply does.
func (q piece) pinLimits() []PinLimit {
	s := q.fig.sheet
	supply := s.Limit("v_dd").Nominal()
	limits := []PinLimit{{"vdd", "vss", -belowGround, supply}}
	deep := s.Limit("v_cs").Nominal()
	lower := func(pin string) {
		if q.connected(pin) && !math.IsNaN(deep) {
			limits = append(limits, PinLimit{pin, "vdd", -deep, belowGround})
		}
	}
	switch s.Kind {
	case catalog.CellProtector:
		lower("cs")
		lower("co")
	case catalog.StackProtector, catalog.SecondaryProtector:
		lower("vm")
		lower("co")
		cell := s.Limit("v_cell").Nominal()
		for k, below := 1, "vss"; k <= s.Cells(); k++ {
			limits = append(limits, PinLimit{catalog.SenseInput(k), below, -belowGround, cell})
			below = catalog.SenseInput(k)
		}
	}
	return limits
}

func (q piece) connected(pin string) bool { return q.part.Pin(pin) != board.NoNet }
