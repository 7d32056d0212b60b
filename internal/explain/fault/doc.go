// Package fault finds what a single fault costs.
//
// Every fault is an edit of the board: a part taken out or bridged, a value ten
// times too large, a pin on nothing, two pins joined, a lead of the cells broken.
// The edited board is elaborated and screened (trial.Screening) exactly as the
// whole one, and the two are compared check by check: what is lost, what has
// changed, whether everyday use would show it, and whether the board is still
// safe.
//
// # Words
//
// A protection is lost where the whole board cuts, current still flows in the
// faulted one, and it does not cut however far the stimulus goes. Whatever else
// differs has changed. A fault is silent if it has an effect and every check of
// normal use (rest, charge to full, rated load, discharge to empty, balance)
// gives the same as on the whole board. It is safe if nothing is lost, no cell is
// shorted and nothing that controls something floats: what floats may go either
// way.
//
// # What is left out
//
// While the whole board is screened, what its nets do is kept. Where that record
// proves that an experiment on one cell, or with one current, comes out on a
// faulted board as on the whole one, it is not done again: trial.Whole says when.
// On the 5-cell demo board, all 559 faults came out alike with and without.
//
// # Trade-offs
//
// A screening takes the nominal board at 25 °C. What a fault does to leakage in
// the heat, to peaks of voltage or to life is not seen; a row without effect says
// no more than that these stimuli show none.
package fault
