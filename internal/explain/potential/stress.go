package potential

import (
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// Stress is the most that a part sees of one quantity, beside what it stands.
type Stress struct {
	Part     int
	Quantity string  // "v_ce", "v_ds", "v_gs", "v", "p", …
	Value    float64 // V or W
	Limit    float64 // NaN where nobody says
	Unit     string
	State    string // where it is worst
	Cell     int    // the cell that had tripped there; 0: none
	// Assumed is true where the limit is what is usual for the housing, not
	// what the part's sheet or text says.
	Assumed bool
}

// gauge reads one quantity of a part off the voltages of the nets.
type gauge struct {
	part     int
	quantity string
	unit     string
	limit    float64
	assumed  bool
	power    bool // a loss: only what lasts counts
	read     func(v []float64) float64
}

// gauges lists what can be told of every part.
func (b Bench) gauges() []gauge {
	var out []gauge
	for i := range b.Board.Parts {
		p := &b.Board.Parts[i]
		var s *catalog.Sheet
		kind := catalog.Kind(p.Kind)
		if p.Sheet != "" {
			var ok bool
			if s, ok = b.Sheets(p.Sheet); !ok {
				continue
			}
			kind = s.Kind
		}
		out = append(out, ofKind(i, p, kind, s)...)
	}
	return out
}

func ofKind(i int, p *board.Part, kind catalog.Kind, s *catalog.Sheet) []gauge {
	limit := func(name string) float64 {
		if s == nil {
			return math.NaN()
		}
		return s.Limit(name).Nominal()
	}
	volts := func(quantity, a, b, name string, both bool) gauge {
		return gauge{part: i, quantity: quantity, unit: "V", limit: limit(name), read: across(p, a, b, both)}
	}
	switch kind {
	case catalog.NPN:
		return []gauge{volts("v_ce", "c", "e", "v_ceo", false), volts("v_eb", "e", "b", "v_ebo", false)}
	case catalog.PNP:
		return []gauge{volts("v_ce", "e", "c", "v_ceo", false), volts("v_eb", "b", "e", "v_ebo", false)}
	case catalog.NFET:
		return []gauge{volts("v_ds", "d", "s", "v_ds", false), volts("v_gs", "g", "s", "v_gs", true)}
	case catalog.PFET:
		return []gauge{volts("v_ds", "s", "d", "v_ds", false), volts("v_gs", "s", "g", "v_gs", true)}
	case catalog.Diode:
		return []gauge{volts("v_r", "k", "a", "v_r", false)}
	case catalog.CellProtector, catalog.StackProtector:
		return []gauge{volts("v_dd", "vdd", "vss", "v_dd", true), volts("v_cs", "vdd", "cs", "v_cs", false)}
	case catalog.Balancer:
		return []gauge{volts("v_dd", "vdd", "vss", "v_dd", true)}
	case catalog.Capacitor:
		g := volts("v", "1", "2", "v", true)
		if p.Rated.Voltage > 0 {
			g.limit = p.Rated.Voltage
		}
		return []gauge{g}
	case catalog.Resistor:
		return resistor(i, p, s)
	}
	return nil
}

// across reads the voltage between two pins: of either sign if both is true.
func across(p *board.Part, a, b string, both bool) func([]float64) float64 {
	m, n := p.Pin(a), p.Pin(b)
	if m == board.NoNet || n == board.NoNet {
		return func([]float64) float64 { return math.NaN() }
	}
	return func(v []float64) float64 {
		if both {
			return math.Abs(v[m] - v[n])
		}
		return v[m] - v[n]
	}
}

// usual are loss and working voltage of chip resistors by size: common practice
// of data sheets, no source.
var usual = map[string]struct{ watts, volts float64 }{
	"0402": {0.063, 50}, "0603": {0.1, 75}, "0805": {0.125, 150}, "1206": {0.25, 200}, "1210": {0.5, 200},
	"2010": {0.75, 200}, "2512": {1, 200},
}

func resistor(i int, p *board.Part, s *catalog.Sheet) []gauge {
	v := gauge{part: i, quantity: "v", unit: "V", limit: math.NaN(), read: across(p, "1", "2", true)}
	w := gauge{part: i, quantity: "p", unit: "W", limit: math.NaN(), power: true}
	ohms := p.Value.Nominal()
	if s != nil {
		v.limit, w.limit = s.Limit("v").Nominal(), s.Limit("p").Nominal()
		if f, ok := s.Figure("r"); ok && !p.Value.Given() {
			ohms = f.Value.Nominal()
		}
	}
	if p.Rated.Voltage > 0 {
		v.limit = p.Rated.Voltage
	}
	if p.Rated.Power > 0 {
		w.limit = p.Rated.Power
	}
	if u, ok := usual[p.Size]; ok {
		if math.IsNaN(v.limit) {
			v.limit, v.assumed = u.volts, true
		}
		if math.IsNaN(w.limit) {
			w.limit, w.assumed = u.watts, true
		}
	}
	read := v.read
	w.read = func(n []float64) float64 { return read(n) * read(n) / ohms }
	return []gauge{v, w}
}

// worst keeps the highest reading of each gauge.
type worst struct {
	gauges []gauge
	seen   []Stress
}

func newWorst(b *board.Board, gs []gauge) *worst {
	w := &worst{gauges: gs}
	for _, g := range gs {
		w.seen = append(w.seen, Stress{
			Part: g.part, Quantity: g.quantity, Unit: g.unit, Limit: g.limit, Assumed: g.assumed, Value: math.Inf(-1),
		})
	}
	return w
}

// lasting takes what lasts in a scene: the averages of a record whose points are
// the nets.
func (w *worst) lasting(c trial.Scene, rec rig.Record, nets []board.NetID, all int) {
	if len(rec.Times) == 0 {
		return
	}
	volts := make([]float64, all)
	for i := range volts {
		volts[i] = math.NaN()
	}
	read := make([][]float64, len(w.gauges))
	for j := range rec.Times {
		for i, n := range nets {
			volts[n] = rec.Values[i][j]
		}
		for i, g := range w.gauges {
			read[i] = append(read[i], g.read(volts))
		}
	}
	for i := range w.gauges {
		w.take(i, mean(rec.Times, read[i]), c)
	}
}

func (w *worst) take(i int, v float64, c trial.Scene) {
	if v > w.seen[i].Value {
		w.seen[i].Value, w.seen[i].State, w.seen[i].Cell = v, c.State, c.Cell
	}
}

// record takes every instant of a record whose last points are the nets.
func (w *worst) record(c trial.Scene, rec rig.Record, nets []board.NetID, all int) {
	if len(rec.Times) == 0 {
		return
	}
	from := len(rec.Points) - len(nets)
	volts := make([]float64, all)
	for i := range volts {
		volts[i] = math.NaN()
	}
	for j := range rec.Times {
		for i, n := range nets {
			volts[n] = rec.Values[from+i][j]
		}
		for i, g := range w.gauges {
			if !g.power {
				w.take(i, g.read(volts), c)
			}
		}
	}
}

// list gives what was seen, part by part.
func (w *worst) list() []Stress {
	var out []Stress
	for _, s := range w.seen {
		if !math.IsInf(s.Value, 0) && s.Value > 0 {
			out = append(out, s)
		}
	}
	return out
}
