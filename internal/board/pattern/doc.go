// Package pattern looks at a board as a graph: it finds the places where
// parts are wired as a pattern says, and the slices in which a board repeats
// itself.
//
// # Patterns
//
// A pattern is a text, not code. It names parts by their kind, their value and
// the nets their pins share, and conditions on these nets:
//
//	pattern supply-filter
//	role supply filter
//	block cell protection
//
//	part U cell-protector vdd=supply vss=low
//	part R resistor 10Ω..4.7kΩ top supply
//	maybe C capacitor supply low
//	tap low k-1
//	tap top k
//
//	is R resistor: keeps ripple off {U}
//	is C capacitor: keeps {U} alive while a short drags its cell down
//
// Parts and nets are variables: one part variable stands for one part, one net
// variable for one net, two net variables for two nets. A part under "maybe"
// may be missing, or be several in parallel. See [Parse] for every line.
//
// A pattern may mark a net with a label, and ask for the labels that others
// left. Patterns are tried until no new label appears; no condition forbids a
// label, so the order in which they are tried does not matter.
//
// # Slices
//
// A board for several cells repeats itself. [Slices] finds what repeats by
// shifting the board up by one cell: tap 1 falls on tap 2, and what hangs there
// alike falls on each other. It knows no pattern.
//
// # Trade-offs
//
// Matching is by plain backtracking, starting at the rarest kind and going on
// along nets that are known. The general problem takes exponential time; on
// boards it does not, because most nets join few pins. A pattern cannot say
// "any number of these in a row": a chain is a pattern of one link whose label
// the next link asks for.
package pattern
