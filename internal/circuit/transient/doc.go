// Package transient runs a circuit through time, together with the state
// machines that watch and switch it.
//
// # Words
//
// A Run is a circuit at a time. A Unit is a state machine (a protection IC, a
// balancer) joined to nodes of the circuit. A Segment is one accepted step: the
// unknowns at its start, at its inner point and at its end, and the parabola
// through them.
//
// # Order of work
//
// Operate finds the state of rest. Advance lets time pass: it takes steps whose
// local error is held below an absolute voltage at every node, looks on each
// step's parabola for comparators that change, tells their machines, and ends
// the step exactly where an output changes. At such an instant charges and
// fluxes stay, everything else is solved again (Disturb), comparators are read
// again, and so on until nothing changes any more at that instant.
//
// A threshold crossing that only starts a timer does not interrupt the step;
// the timer's end becomes a place where a later step must end. A condition that
// begins and lapses inside one step is seen as both.
//
// A fuse is watched by the margin of heat it has left: no step uses up more than
// a twentieth of it, one that would go past its end is taken again to end there, and
// at that instant the fuse is opened for good.
//
// # What it will not do
//
// It starts no goroutine and knows no clock. It does not follow a limit cycle for
// hours: a unit whose outputs repeat is reported with its rate in Chatter, one
// period more is averaged (Mean), and if the nodes come back to where they were
// the interval is passed over, up to the next thing that takes no part in it. The
// heat of fuses stays what it was meanwhile.
package transient
