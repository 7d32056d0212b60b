package claim

import (
	"math"

	"cupel/internal/protection"
)

// Prediction is one figure that the trials gave, or how its search ended.
type Prediction struct {
	Trial       protection.Trial
	Cell        int // 0: not of one cell
	State       string
	Stage       string
	Port        string
	Quantity    protection.Quantity
	Temperature float64 // K
	Outcome     protection.Outcome
	// Value is the typical board's figure; Low and High are the ends of the
	// range over tolerances. They mean something when Outcome is Found. NaN in
	// Low and High says that no tolerances were computed.
	Value, Low, High float64
	SearchedTo       float64 // how far was searched; NaN when that is not a number
	SearchedUnit     string
	Condition        string // what else it was found at: "cells at 2.60 V"
	Note             string // why it is not applicable or not computed
}

// nominal reports whether only the typical board was computed.
func (p Prediction) nominal() bool { return math.IsNaN(p.Low) || math.IsNaN(p.High) }

// span is the range that the rule judges: over tolerances, or the typical
// value alone.
func (p Prediction) span() (low, high float64) {
	if p.nominal() {
		return p.Value, p.Value
	}
	return p.Low, p.High
}

// sameTemperature is how far apart two temperatures may be and still count as
// the same, in K: people write whole degrees.
const sameTemperature = 0.5

// relevant picks the predictions that c speaks of, at any temperature.
func relevant(c Claim, all []Prediction) []Prediction {
	var out []Prediction
	for _, p := range all {
		if p.Trial == c.Protection && speaksOf(c.Quantity, p) &&
			(c.Cell == 0 || p.Cell == c.Cell) && (c.Port == "" || p.Port == "" || p.Port == c.Port) {
			out = append(out, p)
		}
	}
	out = exactFirst(c, out)
	out = pick(out, func(p Prediction) string { return p.State }, c.State, "idle")
	return pick(out, func(p Prediction) string { return p.Stage }, c.Stage, "1")
}

// speaksOf reports whether p says something of the quantity asked for.
func speaksOf(asked protection.Quantity, p Prediction) bool {
	return protection.Answers(p.Trial, asked, p.Quantity) ||
		p.Outcome != protection.Found && protection.SameSearch(p.Trial, asked, p.Quantity)
}

// exactFirst drops what answers the claim in other words where the very
// quantity came out of the same run too.
func exactFirst(c Claim, ps []Prediction) []Prediction {
	type run struct {
		cell               int
		state, stage, port string
		kelvin             float64
	}
	of := func(p Prediction) run { return run{p.Cell, p.State, p.Stage, p.Port, p.Temperature} }
	exact := map[run]bool{}
	for _, p := range ps {
		if p.Quantity == c.Quantity {
			exact[of(p)] = true
		}
	}
	var out []Prediction
	for _, p := range ps {
		if p.Quantity == c.Quantity || !exact[of(p)] {
			out = append(out, p)
		}
	}
	return out
}

// pick keeps what has the wanted word. When the claim names none it keeps the
// usual word, and everything when nothing has that. No word counts as the
// usual one.
func pick(ps []Prediction, word func(Prediction) string, wanted, usual string) []Prediction {
	var out []Prediction
	for _, p := range ps {
		w := word(p)
		if w == "" {
			w = usual
		}
		if w == wanted || wanted == "" && w == usual {
			out = append(out, p)
		}
	}
	if len(out) == 0 && wanted == "" {
		return ps
	}
	return out
}

// at keeps the predictions made at temperature t.
func at(ps []Prediction, t float64) []Prediction {
	var out []Prediction
	for _, p := range ps {
		if math.Abs(p.Temperature-t) <= sameTemperature {
			out = append(out, p)
		}
	}
	return out
}
