package simulated

import (
	"fmt"

	"cupel/internal/circuit"
	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
)

// gauge reads one point off the unknowns. One whose power is set adds it up
// over time instead. node is the node it reads where it reads a single one.
type gauge struct {
	value func(x []float64) float64
	power func(x []float64) float64
	node  int
}

func (r *Rig) gauges(points []rig.Point) ([]gauge, error) {
	gs := make([]gauge, len(points))
	for i, p := range points {
		g, err := r.gauge(p)
		if err != nil {
			return nil, err
		}
		gs[i] = g
	}
	return gs, nil
}

// gauge makes what reads a point; an error says what the board has not got.
func (r *Rig) gauge(p rig.Point) (gauge, error) {
	switch p.Kind {
	case rig.CellVolts, rig.CellAmps, rig.BleedAmps, rig.BleedWatts:
		return r.cellGauge(p)
	case rig.TapAmps:
		return r.tapGauge(p.N)
	case rig.LoadVolts, rig.LoadAmps, rig.ChargeAmps, rig.MinusDrop, rig.ChargeDrop, rig.MiddleDrop:
		return r.portGauge(p)
	case rig.GateVolts, rig.BankVolts, rig.BankJoules:
		return r.bankGauge(p)
	case rig.NetVolts:
		n, ok := r.ports.node(r.board, p.Part)
		if !ok {
			return gauge{}, fmt.Errorf("no net %s on this board", p.Part)
		}
		return single(n), nil
	}
	return r.pinGauge(p)
}

// single reads one node.
func single(n circuit.Node) gauge {
	return gauge{value: func(x []float64) float64 { return x[n] }, node: int(n)}
}

// between reads one node over another.
func between(a, b circuit.Node) gauge {
	return gauge{value: func(x []float64) float64 { return x[a] - x[b] }}
}

func (r *Rig) cellGauge(p rig.Point) (gauge, error) {
	if p.N < 1 || p.N > r.board.Cells {
		return gauge{}, fmt.Errorf("no cell %d: the board has cells 1 to %d", p.N, r.board.Cells)
	}
	switch p.Kind {
	case rig.CellVolts:
		return between(r.ports.taps[p.N], r.ports.taps[p.N-1]), nil
	case rig.CellAmps:
		return gauge{value: r.ports.cells[p.N-1].Current}, nil
	}
	var bleeds []elaborate.Bleed
	for _, b := range r.circuit.Bleeds {
		if b.Cell == p.N {
			bleeds = append(bleeds, b)
		}
	}
	if len(r.circuit.Bleeds) == 0 {
		return gauge{}, fmt.Errorf("no cell of this board has a bleed resistor")
	}
	return gauge{value: func(x []float64) float64 {
		sum := 0.0
		for _, b := range bleeds {
			if p.Kind == rig.BleedWatts {
				sum += b.Resistor.Power(x)
			} else {
				sum += abs(b.Resistor.Current(x))
			}
		}
		return sum
	}}, nil
}

func abs(v float64) float64 { return max(v, -v) }

// tapGauge reads the current into the board through the lead of a tap: what the
// cell below delivers less what the cell above takes, and less what load and
// charger exchange with that pole directly.
func (r *Rig) tapGauge(k int) (gauge, error) {
	if k < 0 || k > r.board.Cells {
		return gauge{}, fmt.Errorf("no tap %d: the board has taps 0 to %d", k, r.board.Cells)
	}
	p := r.ports
	return gauge{value: func(x []float64) float64 {
		i := 0.0
		if k > 0 {
			i += p.cells[k-1].Current(x)
		}
		if k < len(p.cells) {
			i -= p.cells[k].Current(x)
		}
		return i - p.outside(p.taps[k], x)
	}}, nil
}

func (r *Rig) portGauge(p rig.Point) (gauge, error) {
	q := r.ports
	switch p.Kind {
	case rig.LoadVolts:
		return between(q.plus, q.minus), nil
	case rig.LoadAmps:
		return gauge{value: q.loadAmps}, nil
	case rig.ChargeAmps:
		return gauge{value: q.chargeAmps}, nil
	case rig.MinusDrop:
		return gauge{value: q.drop(q.plus, q.minus)}, nil
	case rig.ChargeDrop:
		return gauge{value: q.drop(q.chargePlus, q.chargeMinus)}, nil
	}
	if r.circuit.Middle == 0 {
		return gauge{}, fmt.Errorf("no net between two banks on this board")
	}
	return single(r.circuit.Middle), nil
}

func (r *Rig) bankGauge(p rig.Point) (gauge, error) {
	for _, b := range r.circuit.Banks {
		if b.Name != p.Part {
			continue
		}
		switch p.Kind {
		case rig.GateVolts:
			return between(b.Gate, b.Source), nil
		case rig.BankVolts:
			return between(b.Drain, b.Source), nil
		}
		return gauge{power: func(x []float64) float64 {
			sum := 0.0
			for _, f := range b.FETs {
				sum += f.Power(x)
			}
			return sum
		}}, nil
	}
	return gauge{}, fmt.Errorf("no %s bank on this board", p.Part)
}

// pinGauge reads a pin of a part, or an IC's supply or sense voltage.
func (r *Rig) pinGauge(p rig.Point) (gauge, error) {
	pin := func(name string) (circuit.Node, error) {
		if n, ok := r.pin(p.Part, name); ok {
			return n, nil
		}
		return 0, fmt.Errorf("no pin %s.%s on this board", p.Part, name)
	}
	names := map[rig.PointKind][2]string{
		rig.SupplyVolts: {"vdd", "vss"}, rig.SenseVolts: {"cs", "vss"}, rig.PinStress: {p.Pin, r.over(p.Part, p.Pin)},
	}
	if pair, ok := names[p.Kind]; ok {
		a, err := pin(pair[0])
		if err != nil {
			return gauge{}, err
		}
		b, err := pin(pair[1])
		return between(a, b), err
	}
	if p.Kind != rig.PinVolts {
		return gauge{}, fmt.Errorf("this rig cannot read point kind %d", p.Kind)
	}
	n, err := pin(p.Pin)
	return single(n), err
}

// over is the pin that the limits of a part's pin count from.
func (r *Rig) over(part, pin string) string {
	for _, u := range r.circuit.Units {
		for _, l := range u.Limits {
			if u.Part == part && l.Pin == pin {
				return l.Over
			}
		}
	}
	return "vss"
}

// pin finds the node of a part's pin.
func (r *Rig) pin(part, name string) (circuit.Node, bool) {
	p, ok := r.board.Part(part)
	if !ok {
		return 0, false
	}
	n, ok := r.circuit.NodeOf[p.Pin(name)]
	return n, ok
}
