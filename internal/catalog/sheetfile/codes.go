package sheetfile

// The codes of the findings about a part sheet. A code never changes its
// meaning.
const (
	BadName       = "S101" // a name that cannot stand in a board's text
	NameNotFile   = "S102" // sheet and file are named differently
	NotOfKind     = "S103" // a section that parts of this kind do not have
	MissingPin    = "S104" // a pin that parts of this kind need
	PadTwice      = "S105" // one pad for two pins
	MissingFigure = "S106" // a limit or figure that parts of this kind need
	NotPositive   = "S107" // a figure or limit with the wrong sign
	NoSource      = "S108" // a figure that nobody stands behind
	BadSpread     = "S109" // shares that do not add to 1
	BadCurve      = "S110" // points out of order
)
