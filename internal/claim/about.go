package claim

import (
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// About is what a table states beside the figures that a trial can judge: of
// the board as a thing, and of the cells it is meant for. The audit reads it;
// nothing in it gets a verdict.
type About struct {
	Cells     Count
	Chemistry Word // one of Chemistries
	Size      Size
	// Sensed is the resistance between B− and the sense input: a shunt, or the
	// part of the path that cs looks at.
	Sensed        Fact // Ω
	FETs          Count
	Fuse          Fact // A
	BleedResistor Fact // Ω
	BleedRating   Fact // W
	Storage       Fact // s
	Reserve       Fact // C, what the cells may lose in that time
	ChargeDrop    Fact // V, lost between charger and cells
	Samples       Count
	Cell          CellLimits
	// Release is how a protection comes back, in words of [Releases].
	Release map[protection.Trial]Word
}

// CellLimits are the limits that the maker of the cells sets, for all cells in
// parallel together. They stand above every usual band.
type CellLimits struct {
	Highest, Lowest   Fact // V
	Discharge, Charge Fact // A
}

// Fact is one stated quantity. Its zero value is not given.
type Fact struct {
	Value quantity.Quantity
	Place finding.Place
}

// Given reports whether the fact is stated.
func (f Fact) Given() bool { return f.Place.File != "" && f.Value.Given() }

// Count is one stated number of things; 0 is not given.
type Count struct {
	N     int
	Place finding.Place
}

// Word is one stated word; empty is not given.
type Word struct {
	Text  string
	Place finding.Place
}

// Size is the length and width of the board; not given when Width is 0.
type Size struct {
	Length, Width float64 // m
	Text          string  // as written
	Place         finding.Place
}

// Given reports whether the size is stated.
func (s Size) Given() bool { return s.Width > 0 }

// The chemistries whose usual thresholds the audit knows.
const (
	NMC = "NMC"
	LCO = "LCO"
	LFP = "LFP"
	LTO = "LTO"
)

// Chemistries lists them.
var Chemistries = []string{NMC, LCO, LFP, LTO}

// Releases lists how a protection can come back.
var Releases = []string{"voltage", "load removed", "charger attached", "charger removed", "automatic", "never"}

// Released lists the protections of which a table should say how they come
// back: a cell voltage has a release voltage, a current has not.
var Released = []protection.Trial{
	protection.Overcharge, protection.Overdischarge,
	protection.DischargeOvercurrent, protection.ChargeOvercurrent, protection.LoadShort,
}
