// Package tolerance asks how far a board's figures go when its parts are not
// nominal: at the worst corners of their tolerances, and over random boards.
//
// A [Variable] is what moves: one figure of one part, or the part of it that all
// parts of a lot have in common. Each has a level between −1 and 1, the lower
// and the upper limit of what its sheet allows. A [Point] is a level for every
// variable: one board. Boards are never stored, they are drawn again from seed
// and number wherever they are needed; a level depends on seed, number and the
// name of its variable alone, so that a part more on the board moves no other.
//
// # Worst corners
//
// [Study] finds them in rounds, each a list of boards that may be computed side
// by side: the nominal board; every part moved at random, to see which figures
// answer to it at all; every variable of those parts alone to either limit; the
// corners that this points to; random corners and boards inside, none of which
// may lie beyond. One that does shows that a figure is not monotone: the range
// widens to it and the search goes on from there.
package tolerance
