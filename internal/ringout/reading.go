package ringout

import "slices"

// EntryKind says what a line of the log records.
type EntryKind string

// The kinds of entries.
const (
	// Pair is one pair of pads probed.
	Pair EntryKind = "pair"
	// Sweep is one lead on A and the other on each of B in turn, all with the
	// same result, as in "these gave nothing".
	Sweep EntryKind = "sweep"
	// Bridge is one lead on A and the other on all of B bridged together. Open
	// says that A is apart from each of them; connected, that it is joined with
	// one of them at least.
	Bridge EntryKind = "bridge"
	// Undo takes an earlier entry back.
	Undo EntryKind = "undo"
)

// Result is what the meter showed.
type Result string

// The results.
const (
	Connected Result = "connected" // it beeped
	Open      Result = "open"      // it did not, or showed overload
	Ohms      Result = "ohms"      // a resistance
	Drop      Result = "drop"      // the forward drop in the diode range
)

// Meter is what must be known of a meter to judge its beeps.
type Meter struct {
	BeepOhms float64 // it beeps below this; 0 when not known
	LeadOhms float64 // what it shows with its leads held together
}

// Entry is one line of the log.
type Entry struct {
	Number int // from 1, in the order of the log
	Kind   EntryKind
	A      string
	B      []string // one pad for a pair, at least one otherwise
	Result Result
	Value  float64 // Ω for Ohms, V for Drop
	// Reversed is true with the red lead on B. It tells junctions apart, copper
	// does not care.
	Reversed  bool
	InCircuit bool // the parts were on the board
	Meter     Meter
	By        string
	When      string // as written by who took the reading
	Note      string
	Undoes    int // the number of an earlier entry, for Undo
}

// Clips is how many clip leads a bench is taken to have. They end on a strip,
// where any of them are bridged or parted without touching the board again.
const Clips = 64

// Strip is the strip of clip leads as a list of entries leaves it: the pads that
// have one, the one used last at the end.
type Strip struct{ Pads []string }

// Use takes the pads of a bridge onto the strip and counts those that had to be
// clipped anew. With all clips in use those unused for the longest are moved.
func (s *Strip) Use(pads []string) int {
	fresh := 0
	for _, p := range pads {
		if i := slices.Index(s.Pads, p); i >= 0 {
			s.Pads = slices.Delete(s.Pads, i, i+1)
		} else {
			fresh++
		}
		s.Pads = append(s.Pads, p)
	}
	if over := len(s.Pads) - max(Clips, len(pads)); over > 0 {
		s.Pads = slices.Delete(s.Pads, 0, over)
	}
	return fresh
}

// Touches counts how often a probe or a clip has to land for the entries: a pair
// once, a sweep once a pad, a bridge once for the probe and once for every pad
// that has no clip yet.
func Touches(entries []Entry) int {
	n := 0
	var s Strip
	for _, e := range entries {
		switch e.Kind {
		case Pair, Sweep:
			n += len(e.B)
		case Bridge:
			n += 1 + s.Use(e.B)
		}
	}
	return n
}

// Rules holds the limits by which readings are judged. The zero value is usual
// bench practice.
type Rules struct {
	// CopperOhms is the most that copper shows once the leads are taken off; 0
	// means 1 Ω. Common practice is 0.5 to 1 Ω, no source.
	CopperOhms float64
	// OpenOhms is what a reading must exceed to hold two pads apart; 0 means 100 Ω
	// or twice the meter's beep threshold, whichever is more. Beepers in use stop
	// anywhere between 40 and 100 Ω.
	OpenOhms float64
	// ApartMM is the distance in mm beyond which two nets that nobody probed
	// against each other are assumed apart; 0 means never.
	ApartMM float64
}

// meaning is what a reading says about the copper between two pads.
type meaning int

const (
	nothing meaning = iota // neither: a low value, a beep in circuit
	joined
	apart
)

// dropIsCopper and dropIsJunction bound what the diode range shows: under the
// first is a short, over the second a junction or more. In V; common practice,
// no source.
const (
	dropIsCopper   = 0.005
	dropIsJunction = 0.1
)

// judge says what an entry's result means for the copper.
func (r Rules) judge(e Entry) meaning {
	m := r.stripped(e)
	if m == joined && e.InCircuit {
		return nothing
	}
	return m
}

// stripped judges a result as if no part were on the board.
func (r Rules) stripped(e Entry) meaning {
	switch e.Result {
	case Connected:
		return joined
	case Open:
		return apart
	case Ohms:
		return within(e.Value-e.Meter.LeadOhms, r.copper(), r.open(e.Meter))
	case Drop:
		return within(e.Value, dropIsCopper, dropIsJunction)
	}
	return nothing
}

func within(v, copper, open float64) meaning {
	switch {
	case v <= copper:
		return joined
	case v > open:
		return apart
	}
	return nothing
}

func (r Rules) copper() float64 {
	if r.CopperOhms > 0 {
		return r.CopperOhms
	}
	return 1
}

func (r Rules) open(m Meter) float64 {
	if r.OpenOhms > 0 {
		return r.OpenOhms
	}
	return max(100, 2*m.BeepOhms)
}

// Bound is the least resistance in Ω between the pads of an in-circuit reading:
// what lies beside them can only have lowered what the meter showed. It is 0
// for readings that bound nothing.
func (r Rules) Bound(e Entry) float64 {
	switch e.Result {
	case Ohms:
		return max(0, e.Value-e.Meter.LeadOhms)
	case Open:
		return r.open(e.Meter)
	}
	return 0
}
