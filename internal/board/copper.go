package board

import "cupel/internal/quantity"

// Copper is what is known of the copper that carries the pack's current and
// spreads heat. Each of it may be left unstated: a quantity is then not Given.
type Copper struct {
	Area      quantity.Quantity // of the board, one side
	Thickness quantity.Quantity // of the foil
	Cover     quantity.Quantity // share of the board that each layer's foil covers
	Layers    int               // of foil; 0: not stated
	Path      []Track
	Wires     []Wire
	Strips    []Strip
}

// Track is a stretch of foil in the path of the current.
type Track struct {
	Name          string
	Width, Length quantity.Quantity
	Thickness     quantity.Quantity // not Given: that of the board
	Inner         bool              // between two layers of laminate
	Parallel      int               // as many side by side, or on several layers; at least 1
}

// Wire is a copper wire in the path of the current.
type Wire struct {
	Name     string
	Area     quantity.Quantity // not Given: by AWG
	AWG      int
	Length   quantity.Quantity
	Limit    quantity.Quantity // what its insulation stands
	Parallel int
}

// Strip is a strip of metal in the path of the current.
type Strip struct {
	Name                     string
	Material                 Metal
	Width, Thickness, Length quantity.Quantity
	Parallel                 int
}

// Metal is what a strip is made of.
type Metal string

// The metals of strips. By a magnet the first two cannot be told apart.
const (
	Nickel      Metal = "nickel"
	PlatedSteel Metal = "plated steel"
	CopperMetal Metal = "copper"
)

// Metals lists the metals.
var Metals = []Metal{Nickel, PlatedSteel, CopperMetal}
