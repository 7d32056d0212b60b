package cell

import (
	"sort"
)

// Curve is an open-circuit voltage over state of charge, from 0 to 1. Beyond
// both ends it goes on, so that an overcharged cell still rises.
type Curve interface {
	// At returns voltage and slope per unit of charge.
	At(soc float64) (volts, slope float64)
	// Source cites where it comes from.
	Source() string
}

// Table is a curve by points, straight between them.
type Table struct {
	SOC, Volts []float64 // rising
	From       string
}

// Source cites the table.
func (t *Table) Source() string { return t.From }

// At interpolates.
func (t *Table) At(soc float64) (volts, slope float64) {
	i := sort.SearchFloat64s(t.SOC, soc)
	i = min(max(i, 1), len(t.SOC)-1)
	slope = (t.Volts[i] - t.Volts[i-1]) / (t.SOC[i] - t.SOC[i-1])
	return t.Volts[i-1] + slope*(soc-t.SOC[i-1]), slope
}

// formula is a curve by an equation that holds between 0 and 1 and goes on
// along its end tangents.
type formula struct {
	f    func(soc float64) (volts, slope float64)
	from string
}

func (f *formula) Source() string { return f.from }

func (f *formula) At(soc float64) (volts, slope float64) {
	at := max(0, min(1, soc))
	volts, slope = f.f(at)
	return volts + slope*(soc-at), slope
}

// SOCAt returns the state of charge between 0 and 1 at which a rising curve
// has that voltage.
func SOCAt(c Curve, volts float64) float64 {
	lo, hi := 0., 1.
	for range 60 {
		mid := (lo + hi) / 2
		if v, _ := c.At(mid); v < volts {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// tenths is the grid of the published tables.
func tenths() []float64 {
	s := make([]float64, 11)
	for i := range s {
		s[i] = float64(i) / 10
	}
	return s
}
