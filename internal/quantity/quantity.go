// Package quantity reads, holds and prints values as people of the trade write
// them: with unit, tolerance and limits. Inside, everything is in SI units.
package quantity

import "math"

// Dimension is what kind of value a quantity is.
type Dimension int

// The dimensions.
const (
	None Dimension = iota // a bare number
	Voltage
	Current
	Resistance
	Capacitance
	Inductance
	Time
	Temperature // K inside, °C where a person types or reads
	Power
	Energy
	Frequency
	Charge                // C inside, also read as A·h
	Length                // m
	Area                  // m²
	Ratio                 // 1; also read in % and ppm
	ThermalResistance     // K/W
	TempcoRelative        // 1/K; also read in ppm/K, %/K
	TempcoVoltage         // V/K; also read in mV/K
	TemperatureDifference // K
)

// Quantity is a value with the limits its writer gave it, in SI units. A
// number that was not given is NaN.
type Quantity struct {
	Dim           Dimension
	Min, Typ, Max float64
	Text          string // as written; empty when made by a program
}

// Exact returns the quantity that is v without tolerance.
func Exact(d Dimension, v float64) Quantity {
	return Quantity{Dim: d, Min: v, Typ: v, Max: v}
}

// Given reports whether any number was given.
func (q Quantity) Given() bool {
	return !math.IsNaN(q.Min) || !math.IsNaN(q.Typ) || !math.IsNaN(q.Max)
}

// Nominal is the typical value, or the middle of the limits, or the one limit
// that was given. It is NaN when nothing was given.
func (q Quantity) Nominal() float64 {
	switch {
	case !math.IsNaN(q.Typ):
		return q.Typ
	case !math.IsNaN(q.Min) && !math.IsNaN(q.Max):
		return (q.Min + q.Max) / 2
	case !math.IsNaN(q.Min):
		return q.Min
	}
	return q.Max
}
