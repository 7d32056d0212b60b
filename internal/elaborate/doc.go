// Package elaborate turns a board and its part sheets into a circuit.
//
// Every net becomes a node, the net of pad B− node 0. Every part becomes
// elements; a protection IC becomes a state machine, bound to nodes, and the
// switches, sinks and diodes that carry its answers out. What the circuit does
// not hold are cells, leads, load and charger: the rig adds them, behind the
// nodes that are here.
//
// The package also says what it recognised ([Roles]: the banks of FETs, shunts,
// bleeds) by following the low-ohm paths, what it had to assume, and what
// cannot be right: a node that floats, a cell that is shorted, a part that
// stands backwards. Those checks see only how the board is wired, so that the
// finding comes before a wrong number.
package elaborate
