package elaborate

import (
	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/protector"
)

// Circuit is a board as a circuit, without what the outside connects to it.
// Node 0, the reference, is the net of pad B−. Whoever adds cells, loads and
// leads appends nodes and elements of its own.
type Circuit struct {
	Nodes    []string                     // names by circuit.Node
	NodeOf   map[board.NetID]circuit.Node // every net of the board that a part touches
	Elements []circuit.Element
	Units    []Unit
	Banks    []Bank // at most one that switches discharge, one that switches charge
	Bleeds   []Bleed
	Sensors  []*device.Thermistor // of temperature inputs
	Fuses    []*device.Fuse
	Parts    map[string][]circuit.Element // elements of each part, by its reference
	// Middle is the node between the banks; 0 when there is none.
	Middle circuit.Node
	// Shunts are the resistors in the path of the load's or the charger's
	// current.
	Shunts []*device.Resistor
	// Floating are the nodes whose level nothing but gmin sets: their voltages
	// mean nothing. A resistor of FloatOhms holds each.
	Floating []circuit.Node
	Assumed  []string // what was assumed: generic sheets, defaults, nets
}

// Unit is a protection IC or balancer and the elements that carry out what its
// machine decides, in the order of the machine's links and sinks.
type Unit struct {
	Part    string
	Machine protector.Machine
	Nodes   []circuit.Node // of the machine's pins
	Links   []*device.Switch
	Sinks   []*device.Sink
	// Cells are the cells the part watches, by the taps its supply or sense
	// pins reach through small resistors; empty when they reach none.
	Cells []int
	// CellSpec, StackSpec, BalancerSpec or SecondarySpec is what Machine was
	// made from; the others are nil.
	CellSpec      *protector.CellSpec
	StackSpec     *protector.StackSpec
	BalancerSpec  *protector.BalancerSpec
	SecondarySpec *protector.SecondarySpec
	// Filter is the longest R·C before a supply or sense pin, in s.
	Filter float64

	Sheet  *catalog.Sheet
	Clamps []*device.Diode // of the machine's clamps
	Limits []PinLimit
	// At makes the machine anew for another temperature: the same pins,
	// comparators and links in the same order, other thresholds.
	At func(kelvin float64) (protector.Machine, error)
}

// PinLimit is what a pin stands, as a voltage over another pin.
type PinLimit struct {
	Pin, Over string
	Min, Max  float64 // V
}

// Bank is FETs in parallel that switch one direction.
type Bank struct {
	Name   string // "discharge" or "charge"
	FETs   []*device.MOSFET
	Gate   circuit.Node
	Source circuit.Node
	Drain  circuit.Node
	High   bool // in the positive line
	// Drift is how long the gates take to follow what pulls them while nothing
	// drives them hard, s: as the cells sag, or as an open-drain output lets go.
	Drift float64
}

// Bleed is what takes charge out of one cell while it is balanced.
type Bleed struct {
	Cell     int
	Part     string // of the resistor
	Resistor *device.Resistor
	Switch   string // the part that switches it
}
