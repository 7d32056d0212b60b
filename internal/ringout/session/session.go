// Package session is one ring-out as the person at the bench has it: readings go
// in one by one, what to probe next comes out.
//
// # The order of calls
//
//	s, findings := session.New(sample, log, session.Options{})
//	ask, ok := s.Next()
//	entry, err := s.Add(s.Answer(ask, ringout.Connected, 0), keep)
//	entry, err = s.Undo(0, keep)
//	s.Copper().Nets(); s.Copper().Contradictions(); s.Copper().Coverage()
//
// keep writes an entry to where it survives. It is called once an entry is found
// right and before the session takes it in, so that what the session knows is
// never more than what the log holds. A session is not safe for several
// goroutines at once.
package session

import (
	"fmt"
	"slices"

	"cupel/internal/finding"
	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
)

// Options are how a session judges and plans. The zero value is the usual.
type Options struct {
	Rules ringout.Rules
	Plan  planner.Options
}

// Keep makes an entry survive. A session in memory only passes [Forget].
type Keep func(ringout.Entry) error

// Forget keeps nothing.
func Forget(ringout.Entry) error { return nil }

// Session is a ring-out that goes on.
type Session struct {
	opt    Options
	sample *ringout.Sample
	log    ringout.Log
	copper *ringout.Copper
	plan   *planner.Planner
	later  []planner.Ask // questions put off
}

// NoSuchPad is the code of the finding that an entry of the log says nothing
// about this sample. The code never changes its meaning.
const NoSuchPad = "L104"

// New goes on from a log. Entries that say nothing about the sample are error
// findings, and what they say is left out.
func New(sample *ringout.Sample, log ringout.Log, opt Options) (*Session, finding.List) {
	s := &Session{opt: opt, sample: sample, log: log, plan: planner.New(sample, opt.Plan)}
	return s, s.again()
}

// again works out what the whole log says.
func (s *Session) again() finding.List {
	var list finding.List
	s.copper = ringout.NewCopper(s.sample, s.opt.Rules)
	for _, e := range s.log.Active() {
		if err := s.copper.Add(e); err != nil {
			list.Add(finding.Finding{
				Code: NoSuchPad, Level: finding.Error, Place: finding.Place{File: ringout.LogName},
				Text: err.Error(), Do: fmt.Sprintf("undo entry %d, or give the board the pad it names", e.Number),
			})
		}
	}
	return list
}

// Sample is what is rung out.
func (s *Session) Sample() *ringout.Sample { return s.sample }

// Log is the log so far.
func (s *Session) Log() ringout.Log { return s.log }

// Copper is what the readings say so far. It is only good until the next entry.
func (s *Session) Copper() *ringout.Copper { return s.copper }

// Rules are the limits by which its readings are judged.
func (s *Session) Rules() ringout.Rules { return s.opt.Rules }

// Touches counts how often a probe or a clip has landed for the readings that
// still stand.
func (s *Session) Touches() int { return ringout.Touches(s.log.Active()) }

// Next says what to probe next; false when nothing is left to ask, or all that
// is left was put off.
func (s *Session) Next() (planner.Ask, bool) {
	a, ok := s.plan.Next(s.copper)
	if !ok || !s.putOff(a) {
		return a, ok
	}
	a, ok = s.plan.Next(s.without())
	return a, ok && !s.putOff(a)
}

func (s *Session) putOff(a planner.Ask) bool {
	return slices.ContainsFunc(s.later, func(l planner.Ask) bool { return l.Kind == a.Kind && l.A == a.A && slices.Equal(l.B, a.B) })
}

// without is what would be known if the questions put off had been answered with
// open: the planner then asks something else.
func (s *Session) without() *ringout.Copper {
	c := ringout.NewCopper(s.sample, s.opt.Rules)
	n := s.log.Next()
	for _, e := range s.log.Active() {
		_ = c.Add(e) // what cannot be added was told when the session began
	}
	for _, a := range s.later {
		e := s.Answer(a, ringout.Open, 0)
		e.Number = n
		n++
		_ = c.Add(e)
	}
	return c
}

// PutOff leaves a question for later: it is not asked again in this session.
func (s *Session) PutOff(a planner.Ask) { s.later = append(s.later, a) }

// Answer makes the entry of a question and what the meter showed; value counts
// for ohms and drops only.
func (s *Session) Answer(a planner.Ask, r ringout.Result, value float64) ringout.Entry {
	e := ringout.Entry{Kind: a.Kind, A: s.sample.Pads[a.A].Name, Result: r, Value: value}
	for _, b := range a.B {
		e.B = append(e.B, s.sample.Pads[b].Name)
	}
	return e
}

// Add gives an entry its number, keeps it and takes it in. After an error
// nothing has changed.
func (s *Session) Add(e ringout.Entry, keep Keep) (ringout.Entry, error) {
	e.Number = s.log.Next()
	if e.Kind == ringout.Undo {
		return e, fmt.Errorf("entry %d: to undo, name the entry to take back", e.Number)
	}
	if err := s.copper.Holds(e); err != nil {
		return e, err
	}
	if err := keep(e); err != nil {
		return e, fmt.Errorf("entry %d is not kept: %w", e.Number, err)
	}
	s.log.Entries = append(s.log.Entries, e)
	return e, s.copper.Add(e)
}

// Undo takes an entry back by a later one: that with the number, or with 0 the
// last that still stands. by carries who, when and why. An undo can be undone.
func (s *Session) Undo(number int, by ringout.Entry, keep Keep) (ringout.Entry, error) {
	if number == 0 {
		last, ok := s.log.Last()
		if !ok {
			return ringout.Entry{}, fmt.Errorf("there is no entry to undo")
		}
		number = last.Number
	}
	e := ringout.Entry{
		Number: s.log.Next(), Kind: ringout.Undo, Undoes: number, By: by.By, When: by.When, Note: by.Note,
	}
	if !s.stands(number) {
		return e, fmt.Errorf("there is no entry %d that still stands", number)
	}
	if err := keep(e); err != nil {
		return e, fmt.Errorf("the undoing of entry %d is not kept: %w", number, err)
	}
	s.log.Entries = append(s.log.Entries, e)
	s.again() // what an entry says nothing of was told when the session began
	return e, nil
}

// stands reports whether an entry, a reading or an undo, is not undone.
func (s *Session) stands(number int) bool {
	gone, found := s.log.Undone(), false
	for _, e := range s.log.Entries {
		found = found || e.Number == number && !gone[number]
	}
	return found
}
