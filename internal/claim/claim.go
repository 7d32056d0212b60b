// Package claim holds what is stated of a board, by its print, its table or
// the requirements of its user, with the rules that judge a prediction or a
// reading against it.
package claim

import (
	"fmt"
	"math"

	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// Kind tells what others say of the board from what its user asks of it.
type Kind string

// The kinds.
const (
	Stated      Kind = "claim"
	Requirement Kind = "requirement"
)

// Kinds lists both kinds.
var Kinds = []Kind{Stated, Requirement}

// Claim is one stated figure.
type Claim struct {
	Protection protection.Trial
	Quantity   protection.Quantity
	// Stage is which of several: "1", "2" or "short". Empty speaks of the
	// first.
	Stage string
	Cell  int    // 0: of every cell
	State string // "idle", "after overdischarge"; empty speaks of the resting board
	Port  string // "discharge" or "charge"; empty speaks of both
	// Value holds what is stated; it is not Given when None is set.
	Value quantity.Quantity
	None  bool    // stated: none
	At    float64 // K; NaN when not stated
	Kind  Kind
	Note  string
	Place finding.Place
}

// Name is how the claim reads: "overcharge detect", "discharge overcurrent
// delay, stage 2".
func (c Claim) Name() string {
	s := protection.Name(c.Protection, c.Quantity)
	if c.Stage != "" {
		s += ", stage " + c.Stage
	}
	if c.State != "" {
		s += ", " + c.State
	}
	if c.Port != "" {
		s += ", " + c.Port + " port"
	}
	if c.Cell != 0 {
		s += fmt.Sprintf(", cell %d", c.Cell)
	}
	return s
}

// Unit is the SI symbol of the claim's figure.
func (c Claim) Unit() string { return protection.UnitOf(c.Protection, c.Quantity) }

// usual is the temperature a figure is taken to speak of when it names none:
// 25 °C (common practice, no source).
const usual = 298.15 // K

// Temperature is the temperature in K the claim is judged at.
func (c Claim) Temperature() float64 {
	if math.IsNaN(c.At) {
		return usual
	}
	return c.At
}

// Sheet is everything stated of one board, in the order of the text.
type Sheet struct {
	Source Source
	Claims []Claim
	About  About
	Place  finding.Place
}

// Source says where the figures stand.
type Source struct {
	Kind  string // one of SourceKinds
	Where string // "white legend on the top side"
}

// SourceKinds lists where figures come from.
var SourceKinds = []string{"print", "table", "label", "letter", "own"} // own: what its user asks of it
