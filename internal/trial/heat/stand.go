package heat

import (
	"context"
	"fmt"
	"math"

	"cupel/internal/board"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/elaborate"
	"cupel/internal/thermal"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// Subject is a board whose heat is asked for.
type Subject struct {
	Board  *board.Board
	Sheets sheets
	Around simulated.Options // cells; Kelvin is set by the question
}

// stand is a board with its thermal network, in one view.
type stand struct {
	ctx     context.Context
	subject Subject
	rig     *simulated.Rig
	rest    rig.Mark // empty ports
	can     rig.Abilities
	view    view
	ambient float64

	spots   []spot
	others  []heater // parts beside the path
	network thermal.Network
	cooling cooling
	assumed []string

	base  settled // at the largest current that flowed so far
	cut   float64 // A, the least that the board cut so far
	leak  float64 // A, the least so far under which leakage runs away
	drawn *drawn  // what is beyond it
	seen  map[float64]settled
}

// newStand simulates the board at a temperature, in a view.
func newStand(ctx context.Context, s Subject, v view, ambient float64) (*stand, error) {
	pick := newChoice(s.Board, v)
	around := s.Around
	around.Kelvin = ambient
	r, err := simulated.New(s.Board, func(kelvin float64) (*elaborate.Circuit, error) {
		c, l := elaborate.Elaborate(s.Board, s.Sheets, elaborate.Options{Kelvin: kelvin, Apart: true, Choice: pick})
		return c, l.Err()
	}, around)
	if err != nil {
		return nil, err
	}
	st := &stand{ctx: ctx, subject: s, rig: r, view: v, ambient: ambient, can: r.Can(), cut: math.Inf(1), leak: math.Inf(1), seen: map[float64]settled{}}
	if !st.can.Discharge {
		return nil, &NoPath{Why: st.can.Missing}
	}
	st.rest = r.Mark()
	return st, st.place()
}

// NoPath says that a board has no way for a load's current to be looked at.
type NoPath struct {
	Why string
	// Cuts is true where there is a way and the board holds it off: at this
	// temperature, or at any.
	Cuts bool
}

func (e *NoPath) Error() string { return "no current to look at: " + e.Why }

// What marks a part as lying in the path: the share of the load's current that
// all of its count carry together.
const (
	probeAmps = 1.0
	pathShare = 0.02
)

// place finds the parts in the path and makes the network.
func (st *stand) place() error {
	x, flows, err := st.load(probeAmps)
	if err != nil {
		return err
	}
	if !flows {
		return &NoPath{
			Why: fmt.Sprintf("at %.0f °C the board does not pass %g A", st.ambient-zeroCelsius, probeAmps), Cuts: true,
		}
	}
	m := &maker{
		board: st.subject.Board, sheets: st.subject.Sheets, view: st.view,
		cooling: newCooling(st.subject.Board, st.subject.Sheets, st.view),
	}
	inPath := map[string]bool{}
	for i := range m.board.Parts {
		p := &m.board.Parts[i]
		if parts := heaters(st.rig.Circuit().Parts[p.Ref]); carried(parts, x) >= pathShare*probeAmps {
			inPath[p.Ref] = true
			m.trust(p)
		}
	}
	for i := range m.board.Parts {
		p := &m.board.Parts[i]
		for _, e := range heaters(st.rig.Circuit().Parts[p.Ref]) {
			if inPath[p.Ref] {
				st.spots = append(st.spots, m.spot(p, e))
			} else if _, ok := e.(*device.Thermistor); !ok { // its leads end at the cells
				st.others = append(st.others, e)
			}
		}
	}
	st.spots = append(st.spots, m.conductors()...)
	st.cooling, st.assumed = m.cooling, append(m.cooling.assumed, m.assumed...)
	if area := m.cooling.areaText(); area != "" {
		st.assumed = append([]string{area}, st.assumed...)
	}
	st.network = network(st.spots, m.cooling.ohms)
	return nil
}

func heaters(elements []circuit.Element) []heater {
	var out []heater
	for _, e := range elements {
		if h, ok := e.(heater); ok {
			out = append(out, h)
		}
	}
	return out
}

func carried(parts []heater, x []float64) float64 {
	sum := 0.0
	for _, e := range parts {
		sum += math.Abs(e.Current(x))
	}
	return sum
}

// network is the thermal network of the spots, its last place the board's mean.
func network(spots []spot, board float64) thermal.Network {
	n := len(spots) + 1
	k := make([][]float64, n)
	for i := range k {
		k[i] = make([]float64, n)
		for j := range k[i] {
			if on(spots, i) && on(spots, j) {
				k[i][j] = board
			}
		}
		if i < len(spots) {
			k[i][i] += spots[i].own
		}
	}
	return thermal.Network{K: k}
}

func on(spots []spot, i int) bool { return i == len(spots) || !spots[i].off }

// load takes the board from rest to where it settles under a load, parts as warm
// as they are, and reports whether the current flows.
func (st *stand) load(amps float64) (x []float64, flows bool, err error) {
	st.rig.Rewind(st.rest)
	if err := st.rig.SetLoad(rig.Load{Kind: rig.ConstantCurrent, Value: amps}); err != nil {
		return nil, false, err
	}
	if err := st.rig.Rest(); err != nil {
		return nil, false, err
	}
	return st.look(amps)
}

// look reads the unknowns, and whether the load's current flows.
func (st *stand) look(amps float64) (x []float64, flows bool, err error) {
	i, err := st.rig.Read(rig.Point{Kind: rig.LoadAmps})
	if err != nil {
		return nil, false, err
	}
	x, err = st.rig.Unknowns()
	return x, i.Value >= wholeShare*amps, err
}

// wholeShare is the share of a load's current that counts as all of it.
const wholeShare = 0.98

// warm sets how much warmer than the surroundings every part is.
func (st *stand) warm(rises []float64) {
	for i := range st.spots {
		if p := st.spots[i].part; p != nil {
			p.SetRise(math.Min(rises[i], sheetMost-st.ambient))
		}
	}
	mean := math.Min(rises[len(st.spots)], othersMost)
	for _, e := range st.others {
		e.SetRise(mean)
	}
	st.rig.Changed()
}

// othersMost bounds the rise of the parts beside the path: beyond what sheets
// speak of, the models' leakage is not worth following.
const othersMost = 120. // K
