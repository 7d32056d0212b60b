// Package device holds the equations of the parts: what current flows at what
// voltage and temperature, and what charge is stored.
//
// # Form
//
// An element is made from its nodes and a Params in SI units, bound once, and
// loaded in each solve. A nonlinear one is linearised at its voltages v: a
// current i(v) of slope g adds g to the matrix and g·v − i to the right side;
// a charge q(v) of slope c adds the current Alpha·q + Hist and the slope
// Alpha·c. Voltages across junctions and gates are limited against the last
// iterate, so that an exponential is never followed further than its tangent
// tells the truth.
//
// # Every current is a closed form
//
// No element has inner nodes, and every current is an expression of terminal
// voltages that a reference simulator can be given too. A junction in series
// with a resistance is solved with Wright's ω function; the channel of a
// MOSFET is the smooth interpolation of mosfet.go.
//
// # Temperature
//
// An element sees the board's temperature plus its own rise. What depends on
// temperature is computed again when the temperature changes, not in each
// load. A linear element whose value, rise or temperature changed must be
// loaded again: the caller tells the solver so.
//
// # What is not modelled
//
// Base-width modulation, resistances of base, emitter and collector,
// self-heating within a run, second breakdown, and the recovery tail of a
// diode beyond its stored charge.
package device
