package planner

// The constants by which guesses are weighed. None is from a source: they were
// set so that made boards and the demo boards take few touches. A poor value
// costs touches, never a wrong net.
const (
	// Likelihoods of what is known of a pin, relative to a place that wants it where
	// it is: on another net, settled though the place leaves it free, and settled
	// though the part lies where nobody expects it.
	wrongNet = 0.03
	freePin  = 0.03
	strayPin = 0.05

	// elsewhere is the least chance that a part lies where nobody expects it.
	elsewhere = 0.04
	// leastLeft is the least chance that a pad goes with company and not with what
	// is expected.
	leastLeft = 0.12
	// ownKindOnly is how probably a net of pads of one type, as the drains of equal
	// switches, has no other pad.
	ownKindOnly = 0.3
	// lackWeight is what a pin weighs that a net lacks by the example of others,
	// against a net of which nothing is known.
	lackWeight = 8.0
	// padsANet is how many pads a net of a board has on average, firstLarger how much
	// likelier than others a net already found is the company of a pad: large nets are
	// found first. mostKnown is the most that all nets found are given together.
	padsANet    = 3.5
	firstLarger = 1.5
	mostKnown   = 0.5
	// learning is how many times more an example on the board weighs than all that
	// was thought before it.
	learning = 6.0

	// attention is the most weights of pads and nets, and of parts and places, to
	// work out for one question, for the sake of boards with thousands of pads; fewest
	// is how many pads or parts are weighed all the same.
	attention = 50_000
	fewest    = 24

	// faint is the weight below which a way to put a part into a place is left out: it
	// cannot win, and most ways are of this kind.
	faint = 1e-6

	// sure is the chance from which a pair is asked without weighing a bridge.
	sure = 0.3
	// broad is the most nets that one bridge takes: more are tedious to clip.
	broad = 32
	// worthwhile is how many times more a bridge must tell a touch than a pair.
	worthwhile = 1.0
	// clipCost is the share of a new clip's touch that one question bears: a clip
	// serves many.
	clipCost = 0.06
	// firstOfClass is what the first part of a class tells about the others, in bits.
	firstOfClass = 1.0
	// unclipped is how much less a net without a clip weighs when a bridge is chosen.
	unclipped = 0.6
	// nearTop is the share of the best rate from which a question is as good.
	nearTop = 0.9
)
