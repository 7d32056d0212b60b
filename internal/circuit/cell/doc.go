// Package cell models what feeds a board and what it feeds: cells, chargers
// and loads.
//
// Every element here is a two-terminal current: a conductance beside a current
// source. A Source is the settable cell of the trials, behind its resistance
// and nothing else. A Cell has a charge: its open-circuit voltage follows a
// Curve, its resistance is R0 and RC pairs, and it counts its coulombs.
//
// Signs: Current is positive out of the plus terminal for what feeds, and
// positive into the plus terminal for what is fed.
package cell
