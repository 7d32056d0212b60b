// Package heat tells how warm the parts of a board get at a current, and how much
// current the board honestly carries.
//
// # The coupled solution
//
// The whole circuit is simulated at its operating point under a constant load,
// every part at a temperature of its own. Its losses warm the places of a
// network of thermal resistances, the temperatures change on-resistances, gate
// thresholds and shares, and these the losses: the two are solved in turn until
// they agree, or are seen to have no solution, which is thermal runaway.
//
// A place of the network is a part that the load's current passes (each FET of a
// bank for itself), a stretch of copper, a wire or a strip. What lies on the
// board warms all else there through the board's mean temperature; what is worth
// knowing of it is in cooling.go. Parts beside the path are as warm as the board.
//
// # The honest current
//
// It is the largest at which the coupled solution exists and every limit holds:
// junctions, resistors by their derating, copper, wire and strip by what they
// lie on or in, ratings of fuses, links and FETs, and the board's own trip, which
// comes down as the sensed resistance warms. A board is settled after some four
// minutes whatever its size, so that half an hour is as good as for ever: see
// [TimeConstant].
//
// Each limit has the current at which it alone would bind, so that the second
// one and its distance are known. The whole is computed three times: with typical
// parts and the assumptions as they stand, and with all of them at their adverse
// and at their favourable ends together.
package heat
