package elaborate

// The codes of the findings about a board as a circuit. A code never changes
// its meaning.
const (
	NoReference  = "E101" // no pad B−
	SheetMissing = "E102" // a part whose sheet is not there
	NetMissing   = "E103" // a pin on a net that the board does not have
	PinMissing   = "E104" // a part without a pin that its kind needs
	BadFigures   = "E105" // figures of a sheet that contradict each other
	FloatingNet  = "E106" // a node without any path for direct current
	NoSupply     = "E107" // an IC's supply pin that no cell reaches
	CellShorted  = "E108" // two taps joined by next to nothing
	Backwards    = "E109" // a part that stands the wrong way round
	WrongSpan    = "E110" // an IC across other than the cells it is made for
	NoTap        = "E111" // a cell whose top no pad reaches
	DelayShorted = "E113" // a delay pin on vss: the delay never ends
	DelayOpen    = "E114" // a delay pin without a capacitor
	NoPath       = "E115" // a load pad that nothing of low resistance leads to
	Unwatched    = "E112" // a cell that no protector watches
)
