// Package protection is the one table of words for what a protection board
// does: the trials, their quantities with units, and how a search can end.
// Claims, trials, readings, JSON and labels all take their words from here.
package protection

// A Trial is one protection experiment.
type Trial string

// The trials, in the order they are run and printed.
const (
	FirstConnection      Trial = "first-connection"
	SupplyCurrent        Trial = "supply-current"
	Path                 Trial = "path"
	Overcharge           Trial = "overcharge"
	Overdischarge        Trial = "overdischarge"
	DischargeOvercurrent Trial = "discharge-overcurrent"
	ChargeOvercurrent    Trial = "charge-overcurrent"
	LoadShort            Trial = "load-short"
	Balance              Trial = "balance"
	Temperature          Trial = "temperature"
	Release              Trial = "release"
)

// Trials lists every trial in order.
var Trials = []Trial{
	FirstConnection, SupplyCurrent, Path, Overcharge, Overdischarge, DischargeOvercurrent,
	ChargeOvercurrent, LoadShort, Balance, Temperature, Release,
}

// Continuous is the subject of claims about steady current; no trial of this
// package judges it.
const Continuous Trial = "continuous"

// A Quantity is one figure a trial extracts.
type Quantity string

// The quantities.
const (
	Detect             Quantity = "detect"
	ReleaseAt          Quantity = "release"
	Delay              Quantity = "delay"
	ReleaseDelay       Quantity = "release_delay"
	Start              Quantity = "start"
	Stop               Quantity = "stop"
	Current            Quantity = "current"
	PeakCurrent        Quantity = "peak_current"
	TimeToOff          Quantity = "time_to_off"
	Energy             Quantity = "energy"
	PeakVoltage        Quantity = "peak_voltage"
	Resistance         Quantity = "resistance"
	BankResistance     Quantity = "bank_resistance"
	GateVoltage        Quantity = "gate_voltage"
	TapCurrent         Quantity = "tap_current"
	CellCurrent        Quantity = "cell_current"
	SumError           Quantity = "sum_error"
	PowerDown          Quantity = "power_down"
	SensedVoltage      Quantity = "sensed_voltage"
	ResidualLoad       Quantity = "residual_load"
	SupplyMinimum      Quantity = "supply_minimum"
	DeadZoneFrom       Quantity = "dead_zone_from"
	DeadZoneTo         Quantity = "dead_zone_to"
	Stage              Quantity = "stage"
	ResistorPower      Quantity = "resistor_power"
	NeighbourShift     Quantity = "neighbour_shift"
	ChatterRate        Quantity = "chatter_rate"
	CutResistance      Quantity = "cut_resistance"
	CutTemperature     Quantity = "cut_temperature"
	ReleaseResistance  Quantity = "release_resistance"
	ReleaseTemperature Quantity = "release_temperature"
	PeakPinVoltage     Quantity = "peak_pin_voltage"
	StateAfter         Quantity = "state_after"
	WakeNeeded         Quantity = "wake_needed"
	Reclose            Quantity = "reclose"
)

// An Outcome says how the search of a trial ended. Only Found carries a value.
type Outcome string

// The outcomes.
const (
	Found         Outcome = "found"
	NoneFound     Outcome = "none found"
	NotReached    Outcome = "not reached"
	NotCut        Outcome = "not cut"
	NeverReleases Outcome = "never releases"
	Chatters      Outcome = "chatters"
	Undefined     Outcome = "undefined"
	NotApplicable Outcome = "not applicable"
	NotComputed   Outcome = "not computed"
)
