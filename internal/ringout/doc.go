// Package ringout turns the readings of a continuity meter on a stripped board
// into nets, and keeps for every net the readings that prove it.
//
// # The nouns
//
// A [Sample] is the stripped board as the bench sees it: pads, and the parts that
// sat on them. It holds no net. An [Entry] is one line of the log: a pair
// probed, a sweep, a probe against bridged pads, or the undoing of an earlier
// line. [Copper] is what all entries together say: which pads are one net, which
// are apart, why, and where the readings contradict each other.
//
// # The order of calls
//
//	log, findings := ringout.ReadLog("ringout.csv", src)
//	copper := ringout.NewCopper(sample, ringout.Rules{})
//	for _, e := range log.Active() {
//		err := copper.Add(e)
//	}
//	copper.Nets(); copper.Contradictions(); copper.Coverage()
//
// What to probe next is for package planner to say.
//
// # What a reading is worth
//
// A beep on a stripped board is copper. A beep in circuit is not: it may be a
// small resistor or a junction, so it counts for nothing but a bound. An open
// reading is credible in both: copper would have shown. A measured resistance is
// copper up to [Rules.CopperOhms], open well above what makes the meter beep, and
// in between it is neither: bad contact, flux, a part left on.
//
// # Trade-offs
//
// Pads that were read more than once go by majority: a tie is a contradiction.
// Majority of one pair, and not the most probable partition of all pads, because
// a person can follow it and because the way out of a contradiction is always the
// same: repeat the readings it names.
package ringout
