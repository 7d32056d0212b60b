package trial

import (
	"context"
	"errors"
	"fmt"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// units are the units of the quantities.
var units = map[protection.Quantity]string{
	protection.Detect: "V", protection.ReleaseAt: "V", protection.Start: "V", protection.Stop: "V",
	protection.SensedVoltage: "V", protection.PeakVoltage: "V", protection.GateVoltage: "V",
	protection.SupplyMinimum: "V", protection.NeighbourShift: "V", protection.PeakPinVoltage: "V",
	protection.Delay: "s", protection.ReleaseDelay: "s", protection.TimeToOff: "s", protection.Reclose: "s",
	protection.Current: "A", protection.PeakCurrent: "A", protection.TapCurrent: "A", protection.CellCurrent: "A",
	protection.SumError: "A", protection.PowerDown: "A", protection.DeadZoneFrom: "A", protection.DeadZoneTo: "A",
	protection.Resistance: "Ω", protection.BankResistance: "Ω", protection.ResidualLoad: "Ω",
	protection.CutResistance: "Ω", protection.ReleaseResistance: "Ω",
	protection.CutTemperature: "K", protection.ReleaseTemperature: "K",
	protection.Energy: "J", protection.ResistorPower: "W", protection.ChatterRate: "Hz",
}

// logbook collects what a job found. base is what its results have in common.
type logbook struct {
	base    Result
	results []Result
	figures []Figure
}

// add adds a result of a quantity and hands it out to be completed. The
// pointer is good until the next add.
func (l *logbook) add(q protection.Quantity, o protection.Outcome) *Result {
	r := l.base
	r.Conditions = append([]Condition(nil), l.base.Conditions...)
	r.Quantity, r.Unit, r.Outcome = q, units[q], o
	l.results = append(l.results, r)
	return &l.results[len(l.results)-1]
}

// value adds a value between low and high.
func (l *logbook) value(q protection.Quantity, v, low, high float64) *Result {
	r := l.add(q, protection.Found)
	r.Value, r.Low, r.High = v, low, high
	return r
}

// reading adds a value that is as good as the instrument.
func (l *logbook) reading(q protection.Quantity, v float64) *Result { return l.value(q, v, v, v) }

// word adds a result that is a word.
func (l *logbook) word(q protection.Quantity, word string) *Result {
	r := l.add(q, protection.Undefined)
	r.Outcome, r.Word = protection.Found, word
	r.Unit = ""
	return r
}

// ending adds how a search for q ended.
func (l *logbook) ending(q protection.Quantity, e ending) *Result {
	if e.found() {
		r := l.value(q, e.value(), e.low(), e.high())
		r.Solved = e.solved != 0
		r.Note = join(r.Note, e.note)
		return r
	}
	r := l.add(q, e.outcome)
	r.SearchedTo, r.SearchedUnit, r.Note = e.searchedTo, units[q], join(r.Note, e.note)
	if e.outcome == protection.Undefined {
		r.SearchedTo, r.SearchedUnit = 0, ""
	}
	return r
}

// none adds a quantity that could not be had, and why.
func (l *logbook) none(q protection.Quantity, o protection.Outcome, why string) *Result {
	r := l.add(q, o)
	r.Note = join(r.Note, why)
	return r
}

// with adds conditions to all results from here on.
func (l *logbook) with(c ...Condition) {
	l.base.Conditions = append(append([]Condition(nil), l.base.Conditions...), c...)
}

// work is a job as a trial writes it: what it is after, and how it gets it.
type work struct {
	base Result
	name string
	// after are the quantities the job owes an answer for even when it fails.
	after []protection.Quantity
	// absent says which pad or part is missing, or is empty.
	absent string
	// only are the quantities asked for; nil: all.
	only []protection.Quantity
	run  func(s *stand, l *logbook) error
}

// job makes a Job of it: the rig is left safe however it goes, and a board
// that was not ready or a simulation that found no solution is a result.
func (w work) job() Job {
	return Job{Trial: w.base.Trial, Cell: w.base.Cell, Name: w.name, Run: w.do, work: &w}
}

func (w work) do(ctx context.Context, r rig.Rig) ([]Result, []Figure, error) {
	return w.on(newStand(ctx, r))
}

// on is do on a stand.
func (w work) on(s *stand) ([]Result, []Figure, error) {
	s.only = w.only
	l := &logbook{base: w.base}
	l.base.Assumed = append(l.base.Assumed, s.a.Assumed...)
	if w.absent != "" {
		l.missing(w.after, protection.NotApplicable, w.absent)
		return l.results, nil, nil
	}
	err := w.run(s, l)
	if safe := s.r.MakeSafe(); safe != nil {
		return l.results, l.figures, fmt.Errorf("%s: making safe: %w", w.name, safe)
	}
	if err = w.excuse(l, err); err != nil {
		return l.results, l.figures, fmt.Errorf("%s: %w", w.name, err)
	}
	if s.woke {
		l.sayWoke()
	}
	return l.results, l.figures, nil
}

// excuse turns the errors that are answers into results.
func (w work) excuse(l *logbook, err error) error {
	var notReady *notReadyError
	var notComputed *rig.NotComputed
	switch {
	case errors.As(err, &notReady):
		e := ending{outcome: protection.Undefined, note: notReady.text}
		if notReady.searched > 0 {
			e.outcome, e.searchedTo = protection.NoneFound, notReady.searched
		}
		l.absent(w.after, e, notReady.unit, "")
	case errors.As(err, &notComputed):
		l.missing(w.after, protection.NotComputed, notComputed.Text)
	default:
		return err
	}
	return nil
}

// missing answers for the quantities there is no result of yet.
func (l *logbook) missing(qs []protection.Quantity, o protection.Outcome, why string) {
	l.absent(qs, ending{outcome: o}, "", why)
}

// absent answers for the quantities there is no result of yet, because a search
// for something in unit ended the way it did.
func (l *logbook) absent(qs []protection.Quantity, e ending, unit, why string) {
	have := map[protection.Quantity]bool{}
	for _, r := range l.results {
		have[r.Quantity] = true
	}
	for _, q := range qs {
		if !have[q] {
			r := l.none(q, e.outcome, join(e.note, why))
			if unit != "" && e.outcome != protection.Undefined {
				r.SearchedTo, r.SearchedUnit = e.searchedTo, unit
			}
		}
	}
}

// sayWoke notes on every result that the board had to be woken.
func (l *logbook) sayWoke() {
	const woke = "the board had to be woken by a charger first"
	for i := range l.results {
		if n := &l.results[i].Note; *n == "" {
			*n = woke
		} else {
			*n += "; " + woke
		}
	}
}
