// Package catalog holds part sheets: what is known of a part type, with the
// test condition and the source of every figure. The generic sheets that come
// with Cupel are embedded; a dossier adds its own.
package catalog

import (
	"cupel/internal/finding"
	"cupel/internal/quantity"
)

// Kind is the kind of part a sheet describes. It decides which pins, limits,
// figures and rules the sheet must and may have.
type Kind string

// The kinds.
const (
	Resistor       Kind = "resistor"
	Capacitor      Kind = "capacitor"
	Inductor       Kind = "inductor"
	Diode          Kind = "diode" // also Schottky, by its figures
	Zener          Kind = "zener"
	NPN            Kind = "bjt-npn"
	PNP            Kind = "bjt-pnp"
	NFET           Kind = "mosfet-n"
	PFET           Kind = "mosfet-p"
	CellProtector  Kind = "cell-protector"  // single-cell protector
	StackProtector Kind = "stack-protector" // one part for several cells
	Balancer       Kind = "balancer"
	Thermistor     Kind = "thermistor"
	Fuse           Kind = "fuse"
	Link           Kind = "link"
	// SecondaryProtector fires a heater fuse when the first protection failed.
	SecondaryProtector Kind = "secondary-protector"
)

// Sheet is one part sheet.
type Sheet struct {
	Name    string
	Kind    Kind
	Title   string
	Package Package
	Pins    []string // pin names in the order of a positional pin list
	Limits  map[string]quantity.Quantity
	Figures map[string]Figure
	Rules   map[string]string // named choices of a state machine, as "brownout": "high impedance"
	Spread  Spread
	Curve   Curve // of a thermistor
	Place   finding.Place
	// Generic is true for the sheets that come with Cupel: every figure is
	// typical of the class and the part on the board may differ.
	Generic bool
}

// Package is the housing: pin name to pad numbers.
type Package struct {
	Name string
	Pads map[string][]int
}

// Figure is one figure of a sheet.
type Figure struct {
	Value  quantity.Quantity
	At     []Condition
	Source string
	Place  finding.Place
}

// Condition is one test condition of a figure, as v_gs = 10 V.
type Condition struct {
	Name  string
	Value quantity.Quantity
}

// Spread says how the tolerance of a part splits between what all parts of a
// lot share and what differs part to part; the two shares add to 1.
type Spread struct{ Lot, Part float64 }
