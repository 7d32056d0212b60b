// Package trial holds the protection experiments: each sets a board up, changes
// one thing, watches and extracts figures. A trial is written once and runs on
// any rig.
package trial

import (
	"context"
	"slices"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Result is one figure a trial extracted, or how its search ended without one.
type Result struct {
	Trial    protection.Trial
	Cell     int    // 0: not of one cell
	Tap      int    // -1: not of one tap
	State    string // "idle", "charging", "discharging", "after overcharge"
	Stage    string // which of several ("1", "2", "short"); empty if there is one
	Port     string // "discharge", "charge" or empty
	Step     string // which step of a sweep ("12 mΩ at 3.700 V"); empty: the figure of the whole
	Quantity protection.Quantity
	Outcome  protection.Outcome
	// Value is set when Outcome is Found; Low and High then bound it by the
	// resolution of the search alone.
	Value, Low, High float64
	Solved           bool   // Value was solved for between Low and High, and is no middle
	Unit             string // SI symbol
	SearchedTo       float64
	SearchedUnit     string
	Word             string      // a result that is a word: the stage of a short, a release cell
	Conditions       []Condition // what it was found at
	Stimulus         string
	OpenMeans        string
	Cautions         []string
	Assumed          []string
	Note             string
}

// Condition is one circumstance a figure was found at.
type Condition struct {
	Name  string
	Value float64
	Unit  string
}

// Trial is one experiment.
type Trial interface {
	Word() protection.Trial
	// Jobs splits the experiment into parts that may run apart on rigs of
	// their own: one a cell, mostly.
	Jobs(rig.Abilities) []Job
}

// Job is one independent part of a trial. Run leaves the rig safe.
type Job struct {
	Trial protection.Trial
	Cell  int // 0: of no one cell
	Name  string
	Run   func(ctx context.Context, r rig.Rig) ([]Result, []Figure, error)

	work *work // what Run carries out
}

// Only returns the job cut down to some of its quantities: it ends once it has
// found them, where it can. Nil asks for all.
func (j Job) Only(qs []protection.Quantity) Job {
	if j.work == nil || qs == nil {
		return j
	}
	w := *j.work
	w.only = qs
	w.after = slices.DeleteFunc(slices.Clone(w.after), func(q protection.Quantity) bool { return !slices.Contains(qs, q) })
	return w.job()
}

// Wants reports whether a quantity is asked of the job.
func (j Job) Wants(q protection.Quantity) bool {
	return j.work == nil || j.work.only == nil || slices.Contains(j.work.only, q)
}

// Figure is a waveform worth showing beside the results.
type Figure struct {
	Name   string // "load-short 12 mΩ"
	Title  string
	Record rig.Record
}
