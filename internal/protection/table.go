package protection

import (
	"slices"

	"cupel/internal/quantity"
)

// figure is one row of the table of what can be said of a trial: the quantity
// and its dimension there. quantity.None marks a quantity that is a word.
type figure struct {
	quantity Quantity
	dim      quantity.Dimension
}

// table holds every quantity that a trial extracts or that the printed table
// of a board states of it, most important first: the first row is what a
// statement without a quantity speaks of.
var table = map[Trial][]figure{
	FirstConnection: {
		{PeakPinVoltage, quantity.Voltage},
		{StateAfter, quantity.None},
		{WakeNeeded, quantity.None},
	},
	SupplyCurrent: {
		{Current, quantity.Current},
		{CellCurrent, quantity.Current},
		{TapCurrent, quantity.Current},
		{SumError, quantity.Current},
		{PowerDown, quantity.None},
	},
	Path: {
		{Resistance, quantity.Resistance},
		{BankResistance, quantity.Resistance},
		{GateVoltage, quantity.Voltage},
	},
	Overcharge: {
		{Detect, quantity.Voltage},
		{Delay, quantity.Time},
		{ReleaseAt, quantity.Voltage},
		{ReleaseDelay, quantity.Time},
	},
	Overdischarge: {
		{Detect, quantity.Voltage},
		{Delay, quantity.Time},
		{ReleaseAt, quantity.Voltage},
		{ReleaseDelay, quantity.Time},
		{PowerDown, quantity.None},
	},
	DischargeOvercurrent: {
		{Detect, quantity.Current},
		{Delay, quantity.Time},
		{SensedVoltage, quantity.Voltage},
		{ReleaseDelay, quantity.Time},
		{ResidualLoad, quantity.Resistance},
		{Current, quantity.Current},
		{ReleaseAt, quantity.None},
	},
	ChargeOvercurrent: {
		{Detect, quantity.Current},
		{Delay, quantity.Time},
		{SensedVoltage, quantity.Voltage},
		{ReleaseDelay, quantity.Time},
		{Current, quantity.Current},
		{ReleaseAt, quantity.None},
	},
	LoadShort: {
		{Delay, quantity.Time},
		{TimeToOff, quantity.Time},
		{PeakCurrent, quantity.Current},
		{Energy, quantity.Energy},
		{PeakVoltage, quantity.Voltage},
		{SupplyMinimum, quantity.Voltage},
		{Detect, quantity.Current},
		{SensedVoltage, quantity.Voltage},
		{DeadZoneFrom, quantity.Current},
		{DeadZoneTo, quantity.Current},
		{Stage, quantity.None},
		{Reclose, quantity.None},
	},
	Balance: {
		{Start, quantity.Voltage},
		{Stop, quantity.Voltage},
		{Current, quantity.Current},
		{ResistorPower, quantity.Power},
		{NeighbourShift, quantity.Voltage},
		{ChatterRate, quantity.Frequency},
	},
	Temperature: {
		{CutTemperature, quantity.Temperature},
		{ReleaseTemperature, quantity.Temperature},
		{CutResistance, quantity.Resistance},
		{ReleaseResistance, quantity.Resistance},
	},
	Release: {
		{ReleaseDelay, quantity.Time},
		{Reclose, quantity.None},
	},
	Continuous: {
		{Current, quantity.Current},
		{ChargeCurrent, quantity.Current},
		{ChargeVoltage, quantity.Voltage},
	},
}

// Figures a printed table states beside the protections.
const (
	ChargeCurrent Quantity = "charge_current"
	ChargeVoltage Quantity = "charge_voltage"
)

// Claimable lists what a figure can be stated of: every trial, and Continuous.
func Claimable() []Trial { return append(slices.Clone(Trials), Continuous) }

// Quantities lists the quantities of t, most important first; it is empty for
// an unknown trial.
func Quantities(t Trial) []Quantity {
	rows := table[t]
	out := make([]Quantity, len(rows))
	for i, r := range rows {
		out[i] = r.quantity
	}
	return out
}

// Numbers lists the quantities of t that are numbers and so can be stated with
// a unit.
func Numbers(t Trial) []Quantity {
	var out []Quantity
	for _, r := range table[t] {
		if r.dim != quantity.None {
			out = append(out, r.quantity)
		}
	}
	return out
}

// Main is the quantity that a statement of t without a quantity speaks of.
func Main(t Trial) Quantity {
	if rows := table[t]; len(rows) > 0 {
		return rows[0].quantity
	}
	return ""
}

// Dimension says what kind of value q is in t. A quantity that is a word has
// dimension quantity.None; ok is false when t has no such quantity.
func Dimension(t Trial, q Quantity) (dim quantity.Dimension, ok bool) {
	for _, r := range table[t] {
		if r.quantity == q {
			return r.dim, true
		}
	}
	return quantity.None, false
}

// UnitOf is the SI symbol of q in t; empty for a word or an unknown quantity.
func UnitOf(t Trial, q Quantity) string {
	dim, _ := Dimension(t, q)
	return units[dim]
}

// units names the dimensions that occur in the table; a test keeps it whole.
var units = map[quantity.Dimension]string{
	quantity.Voltage:     "V",
	quantity.Current:     "A",
	quantity.Resistance:  "Ω",
	quantity.Time:        "s",
	quantity.Temperature: "K",
	quantity.Power:       "W",
	quantity.Energy:      "J",
	quantity.Frequency:   "Hz",
}

// Answers reports whether a result of quantity got answers a statement about
// quantity asked of the same trial: the printed tables call by one word what
// the trials keep apart.
func Answers(t Trial, asked, got Quantity) bool {
	return asked == got || slices.Contains(answers[t][asked], got)
}

// AnsweredBy lists the quantities whose results answer a statement about quantity
// asked of the same trial.
func AnsweredBy(t Trial, asked Quantity) []Quantity {
	return append([]Quantity{asked}, answers[t][asked]...)
}

var answers = map[Trial]map[Quantity][]Quantity{
	// "self-consumption" is what each cell gives.
	SupplyCurrent:        {Current: {CellCurrent}},
	DischargeOvercurrent: {Detect: {Current}, Current: {Detect}},
	ChargeOvercurrent:    {Detect: {Current}, Current: {Detect}},
	// The short's delay in a table is the time until its current is off.
	LoadShort: {Delay: {TimeToOff}},
}

// SameSearch reports whether asked and got come out of one search of t, so that
// a search for got that found nothing says as much of asked.
func SameSearch(t Trial, asked, got Quantity) bool {
	return t == Temperature &&
		(asked == CutTemperature && got == CutResistance || asked == ReleaseTemperature && got == ReleaseResistance)
}
