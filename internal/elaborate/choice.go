package elaborate

import (
	"cupel/internal/catalog"
	"cupel/internal/quantity"
)

// Which names one figure of one part: what a corner or a sample moves.
type Which struct {
	Ref    string
	Unit   int    // of a part of count n: 1 … n; 0 is all of them at once
	Sheet  string // empty for a bare part
	Figure string // "r_ds_on"; of a bare part "value" or "tempco"
	Spread catalog.Spread
}

// Choice decides which value of a quantity a circuit takes. It is asked in a
// fixed order. An answer depends on w and q alone: a delay capacitor's value is
// asked for twice, as a part and for the delay that it sets.
type Choice interface {
	Pick(w Which, q quantity.Quantity) float64
}

// Nominal takes the typical value of everything.
type Nominal struct{}

// Pick returns q's nominal value.
func (Nominal) Pick(_ Which, q quantity.Quantity) float64 { return q.Nominal() }
