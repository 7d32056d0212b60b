package heat

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/conductor"
	"cupel/internal/evidence"
	"cupel/internal/quantity"
)

// The kinds of limit, as they are spoken of.
const (
	Junction = "junction"
	Resistor = "resistor"
	CopperIn = "copper"
	WireIn   = "wire"
	StripIn  = "strip"
	Rating   = "rating"
	Trip     = "trip"
	Runaway  = "runaway"
)

const zeroCelsius = 273.15 // K

// What parts and conductors stand; common practice, no source, unless said.
const (
	fairJunction   = zeroCelsius + 100 // a limit for a junction that is to last
	belowMost      = 25.               // K, that a junction stays under its sheet's most
	chipMost       = zeroCelsius + 155 // of a chip resistor: where its derating ends (data sheets)
	laminateMost   = zeroCelsius + 105 // of copper on glass epoxy
	insulationMost = zeroCelsius + 105 // of a wire
	stripMost      = zeroCelsius + 80  // of a strip on a cell
	fuseShare      = 0.75              // of a fuse's rating, that it carries for ever
)

// heater is an element that turns current into heat.
type heater interface {
	circuit.Element
	Current(x []float64) float64
	Power(x []float64) float64
	SetRise(kelvin float64)
}

// spot is one place of the thermal network: an element of the circuit in the
// path of the current, or a piece of conductor beside the circuit.
type spot struct {
	name  string // "Q5.1", "load leads"
	ref   string // part, empty of a conductor
	kind  string // which limit its temperature is of
	part  heater // nil of a conductor
	piece conductor.Piece
	share float64 // of the load's current, of a conductor
	rise  func(amps float64) float64
	newer func(amps float64) float64 // the same by newer data

	width float64 // m, of a track
	own   float64 // K/W over the board's mean; of a wire over the air
	off   bool    // beside the board
	limit float64 // K; +Inf: none
	most  float64 // A; +Inf: none
	basis evidence.Basis
}

// kelvinPerWatt is what a sheet says of a way to the surroundings or the case, in
// a view: figures without limits are known to 30 % (typical of the class, no
// source).
func kelvinPerWatt(s *catalog.Sheet, name string, v view) float64 {
	if s == nil {
		return 0
	}
	f, _ := s.Figure(name)
	q := f.Value
	if !q.Given() {
		return 0
	}
	if q.Low() == q.High() {
		q = quantity.Quantity{Dim: q.Dim, Min: q.Nominal() / thermalFactor, Typ: q.Nominal(), Max: q.Nominal() * thermalFactor}
	}
	return v.worse(q)
}

const thermalFactor = 1.3

// Thermal resistances where a sheet is silent, K/W to the surroundings; typical
// of the class, no source.
const (
	silentJunction = 60.
	silentOther    = 40.
)

// maker makes the spots of one board in one view.
type maker struct {
	board   *board.Board
	sheets  sheets
	view    view
	cooling cooling
	assumed []string
}

func (m *maker) assume(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(m.assumed, s) {
		m.assumed = append(m.assumed, s)
	}
}

// spot describes an element of a part.
func (m *maker) spot(p *board.Part, e heater) spot {
	var s *catalog.Sheet
	if p.Sheet != "" {
		s, _ = m.sheets(p.Sheet)
	}
	out := spot{
		name: e.Name(), ref: p.Ref, part: e, limit: math.Inf(1), most: math.Inf(1), basis: evidence.Sheet, kind: Rating,
	}
	switch e := e.(type) {
	case *device.MOSFET, *device.Diode, *device.BJT:
		m.junction(&out, p, s)
	case *device.Resistor:
		if kindOf(p, s) == catalog.Resistor {
			m.resistor(&out, p, s)
		} else {
			m.other(&out, p, s)
		}
	case *device.Fuse:
		m.other(&out, p, s)
		out.most = fuseShare * e.Params().RatedAmps
	default:
		m.other(&out, p, s)
	}
	return out
}

// trust lets the sheet of a part in the path bound the estimate of the board.
func (m *maker) trust(p *board.Part) {
	if s, ok := m.sheets(p.Sheet); ok && p.Sheet != "" {
		m.cooling.trust(p.Ref, kelvinPerWatt(s, "r_th", m.view))
	}
}

func kindOf(p *board.Part, s *catalog.Sheet) catalog.Kind {
	if s != nil {
		return s.Kind
	}
	return catalog.Kind(p.Kind)
}

func (m *maker) junction(out *spot, p *board.Part, s *catalog.Sheet) {
	out.kind = Junction
	total := kelvinPerWatt(s, "r_th", m.view)
	basis := evidence.Sheet
	if total == 0 {
		total, basis = m.view.worse(guessed(quantity.ThermalResistance, silentJunction, thermalFactor)), evidence.AssumedHere
		m.assume("%s: %.3g K/W to the surroundings, its sheet is silent", p.Ref, silentJunction)
	}
	land := footprint(nameOfCase(*p, m.sheets))
	out.own, out.basis = m.cooling.own(total, kelvinPerWatt(s, "r_th_jc", m.view), land, basis)
	most := s.Limit("t_j").Nominal()
	out.limit = math.Min(fairJunction, most-belowMost)
	out.most = rated(s, "i_d", "i_f", "i_c")
}

// rated is the first of the limits that a sheet gives.
func rated(s *catalog.Sheet, names ...string) float64 {
	for _, n := range names {
		if q := s.Limit(n); q.Given() {
			return q.Nominal()
		}
	}
	return math.Inf(1)
}

// resistor takes the derating of a chip resistor for what it is: a thermal
// resistance. Full loss at 70 °C and none at 155 °C means that its element is
// at 155 °C all along that line.
func (m *maker) resistor(out *spot, p *board.Part, s *catalog.Sheet) {
	out.kind, out.limit = Resistor, chipMost
	watts, grade := ratedWatts(p, s)
	own := (chipMost - deratedFrom) / watts
	if grade != "" {
		m.assume("%s: %s", p.Ref, grade)
		out.basis = evidence.AssumedHere
	}
	if r := kelvinPerWatt(s, "r_th", m.view); r > 0 {
		own = math.Max(r-m.cooling.ohms, own/2)
	}
	if !m.cooling.stated {
		out.basis = evidence.AssumedHere
	}
	out.own = own
}

// other is a part of which only a rating is known: a link, a coil, a fuse.
func (m *maker) other(out *spot, p *board.Part, s *catalog.Sheet) {
	total := m.view.worse(guessed(quantity.ThermalResistance, silentOther, thermalFactor))
	out.own, _ = m.cooling.own(total, 0, footprint(nameOfCase(*p, m.sheets)), evidence.AssumedHere)
	out.basis = evidence.AssumedHere
	m.assume("%s: %.3g K/W to the surroundings, its sheet is silent", p.Ref, silentOther)
	if s != nil {
		out.most = rated(s, "i")
	}
}
