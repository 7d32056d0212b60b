// Package rig is what a trial runs on: the simulated board, instruments on a
// bench, or a person with a meter. A trial knows this interface and nothing
// below it.
package rig

import (
	"context"
	"fmt"
)

// Rig is a board with everything a trial may set and read around it. Voltages
// are in V, currents in A, resistances in Ω, times in s, temperature in K.
//
// An error ends the trial: the board did not settle, an instrument did not
// answer, the person gave up. A *NotComputed error says so in particular of a
// simulation.
type Rig interface {
	// Can says what this rig can do; it never changes.
	Can() Abilities

	// SetCell sets the voltage behind cell k (1 is the lowest).
	SetCell(k int, volts float64) error
	// SetLoad sets what hangs between P+ and P−.
	SetLoad(Load) error
	// SetCharger sets the charger between its plus and minus pads.
	SetCharger(Charger) error
	// SetThermistor puts a resistance in the thermistor's place: +Inf is open,
	// 0 is shorted, NaN gives the thermistor back.
	SetThermistor(ohms float64) error
	// SetTemperature sets the temperature of board and surroundings.
	SetTemperature(kelvin float64) error

	// Dwell lets time pass.
	Dwell(ctx context.Context, seconds float64) error
	// Read reads one quantity now.
	Read(Point) (Reading, error)
	// Capture lets time pass, recording points. The record starts at the
	// present; the change that Cause makes is made at its start.
	Capture(ctx context.Context, c Capture) (Record, error)

	// MakeSafe opens load and charger and confirms it.
	MakeSafe() error
}

// Rewinder is a rig that can be put back exactly to where it was, as a
// simulation can. Trials use it to start each step from the same rest.
type Rewinder interface {
	Mark() Mark
	Rewind(Mark)
}

// Mark is a state of a rig to come back to.
type Mark any

// Connector is a rig that can put the board together tap by tap.
type Connector interface {
	// Disconnect takes all cells, load and charger off and empties every
	// capacitor.
	Disconnect() error
	// Connect joins tap k (0 is B−) through a lead. No time passes: what
	// follows is seen by the next Dwell or Capture.
	Connect(tap int, lead Lead) error
	// Pins lists the pins of ICs with their absolute limits.
	Pins() []PinLimit
}

// Lead is a wire.
type Lead struct{ Ohms, Henry float64 }

// PinLimit is what a pin stands, against the pin that counts as its ground.
type PinLimit struct {
	Part, Pin string
	Min, Max  float64 // V
}

// Abilities is what a rig can do.
type Abilities struct {
	Board      string
	Cells      int
	Discharge  bool   // there is a P− (or P+) to load
	Charge     bool   // there is a port to charge through
	Separate   bool   // charger port apart from the load port
	Missing    string // which pad or net is missing where Discharge or Charge is false
	Short      bool   // hard shorts allowed
	Balances   bool   // the board can bleed a cell
	Thermistor bool
	Ladder     bool // moving one tap moves its neighbours
	// ForcedPorts is true if ports keep what they were set to without help.
	ForcedPorts bool
	Times       Times
	RatedAmps   float64 // printed rating; 0 if none
	CellFull    float64 // V of a full cell
	CellMiddle  float64 // V half full
	CellOhms    float64 // resistance of a cell
	// CellLimit and CellFloor are how far a cell may be taken up and down;
	// 0: CellFull + 0.6 V, and 1.5 V.
	CellLimit, CellFloor float64
	// LoadLimit and ChargeLimit are the largest currents this rig can set;
	// 0: no limit of its own.
	LoadLimit, ChargeLimit float64
	Settle                 float64 // after which a direction may be read; 0: 3 ms
	Steps                  Steps
	Hints                  Hints
	NTC                    NTC
	Banks                  []string // banks whose GateVolts, BankVolts and BankJoules can be read
	Middle                 string   // the net between the banks; empty where there is none
	Supplies               []string // parts whose SupplyVolts can be read, of cell 1 first
	Sense                  string   // part whose SenseVolts judges the load current; empty where unknown
	Assumed                []string // what this rig assumes: sheets, values, nets
	Restless               string   // parts whose outputs keep changing each other at rest; empty where the board rests
}

// Hints say where the sheets expect a threshold; 0 or empty where they do not.
// They only place the first bracket of a search, they never decide.
type Hints struct {
	Overcharge, OverchargeRelease       float64   // V of a cell
	Overdischarge, OverdischargeRelease float64   // V of a cell
	BalanceStart, BalanceStop           float64   // V of a cell
	LoadAmps                            []float64 // per stage, growing; the last is the short stage where there is one
	ChargeAmps                          float64
}

// NTC is the thermistor: Ohms at Kelvin, and its B value. The zero value is
// unknown.
type NTC struct{ Ohms, Kelvin, Beta float64 }

// Times are the longest delays the part sheets name; 0 where they name none.
type Times struct {
	Overcharge, Overdischarge, Overcurrent, Short, Release, Balance float64
	ChargeOvercurrent, Temperature                                  float64 // Temperature with its sampling period
	Sampling                                                        float64 // longest turn in which an IC takes current: looks at a thermistor, at its cells; 0: none
	Filter                                                          float64 // longest τ = R·C before a sense pin, or of a gate that only resistors pull
}

// Steps are the smallest steps worth taking on this rig.
type Steps struct {
	Volts    float64 // of a cell
	Relative float64 // of a current
}

// LoadKind is how a load behaves.
type LoadKind int

// The kinds of load.
const (
	Open LoadKind = iota
	Resistance
	ConstantCurrent
	Short // resistance Value through Lead, closed within a microsecond
)

// Load is what hangs between P+ and P−.
type Load struct {
	Kind  LoadKind
	Value float64 // Ω or A
	Lead  Lead    // of a Short
}

// Charger is a source of at most Volts and Amps. The zero value is no charger;
// negative Volts are one with its leads exchanged.
type Charger struct{ Volts, Amps float64 }

// PointKind is what can be read.
type PointKind int

// What can be read. N is the cell or tap, Part and Pin name a part's pin.
const (
	CellVolts   PointKind = iota // across cell N at the board
	CellAmps                     // through cell N, positive out of it
	TapAmps                      // through the lead of tap N, positive into the board; without what load and charger exchange with the pole itself
	LoadVolts                    // P+ to P−
	LoadAmps                     // through the load
	ChargeAmps                   // through the charger
	MinusDrop                    // P− over B−: the drop of the discharge path
	ChargeDrop                   // charger minus over B−
	MiddleDrop                   // between the banks, over B−; the net is Part
	PinVolts                     // of Part.Pin over B−
	NetVolts                     // of net Part over B−
	BleedAmps                    // cell N's bleed current
	GateVolts                    // gate to source of the bank Part ("discharge", "charge")
	BankJoules                   // energy lost in the bank Part since the last Capture began
	BankVolts                    // drain to source of the bank Part, positive when it blocks
	BleedWatts                   // loss of cell N's bleed resistor
	SupplyVolts                  // supply of Part: its vdd over its vss
	SenseVolts                   // what Part judges the load current by: its cs over its vss
	PinStress                    // of Part.Pin over the pin its PinLimit counts from
)

// Point is one thing to read.
type Point struct {
	Kind      PointKind
	N         int
	Part, Pin string
}

// kindNames are for messages.
var kindNames = [...]string{
	"cell voltage", "cell current", "tap current", "load voltage", "load current", "charge current",
	"drop of P−", "drop of the charger's minus", "drop between the banks", "pin voltage", "net voltage",
	"bleed current", "gate voltage", "bank energy", "bank voltage", "bleed resistor loss", "supply", "sensed voltage", "pin stress",
}

func (k PointKind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return fmt.Sprintf("point kind %d", int(k))
}

// String names the point for messages: "cell voltage 3", "pin voltage U1.cs".
func (p Point) String() string {
	s := p.Kind.String()
	switch {
	case p.Pin != "":
		s += " " + p.Part + "." + p.Pin
	case p.Part != "":
		s += " " + p.Part
	case p.Kind == CellVolts || p.Kind == CellAmps || p.Kind == TapAmps || p.Kind == BleedAmps || p.Kind == BleedWatts:
		s += fmt.Sprintf(" %d", p.N)
	}
	return s
}

// Reading is one thing read.
type Reading struct {
	Value       float64
	Uncertainty float64 // standard; 0 when the rig computes exactly
	Floating    bool    // only gmin holds the node: Value means nothing
}

// Cause is what starts a capture: what is given of it changes at once,
// together.
type Cause struct {
	Load    *Load
	Charger *Charger
	Cell    int // 0: none
	Volts   float64
}

// Capture asks for a record.
type Capture struct {
	Cause   Cause
	Points  []Point
	Seconds float64
	// Until, when set, ends the record early; it is called with the values of
	// Points in order at growing times.
	Until func(t float64, values []float64) bool
}

// Record is a waveform: Values[i][j] is Points[i] at Times[j], Times[0] = 0,
// growing, as dense as the change asks for.
type Record struct {
	Points []Point
	Times  []float64
	Values [][]float64
	Events []Event
}

// Event is something the rig saw happen: an output that switched, a threshold
// that was crossed. Of a protector's flag What is Sets or Clears and the
// flag's name: "sets SC", "clears BO".
type Event struct {
	Time float64
	Part string
	What string
}

// How an Event of a flag begins, and one of a limit cycle with its rate in Hz;
// and what a fuse does.
const (
	Sets   = "sets "
	Clears = "clears "
	Cycles = "repeats at "
	Parts  = "parts"
)

// NotComputed is the error of a simulated rig that found no solution. Text
// names node, device, time and step.
type NotComputed struct{ Text string }

func (e *NotComputed) Error() string { return e.Text }
