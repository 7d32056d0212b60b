package boardfile

// The codes of the findings about what a board's text says. A code never
// changes its meaning; [Codes] says what each means.
const (
	OtherVersion  = "B101"
	BadName       = "B102"
	SheetOrValue  = "B103"
	UnknownSheet  = "B104"
	UnknownPin    = "B105"
	MissingPin    = "B106"
	PinCount      = "B107"
	UnclearKind   = "B108"
	UnknownRating = "B109"
	NoTap         = "B110"
	PadAlone      = "B111"
	PinAlone      = "B112"
	NearNames     = "B113"
	UnknownNet    = "B114"
	TapTooHigh    = "B115"
	RefTwice      = "B116"
	PinTwice      = "B117"
	PadTwice      = "B118"
	NoSection     = "B119"
	NotPositive   = "B120"
	NotWired      = "B121"
)

// Code is a code of finding and its meaning.
type Code struct{ Code, Meaning string }

// Codes lists every code that this package gives, in order.
func Codes() []Code {
	return []Code{
		{OtherVersion, "the file is of a version that is not read"},
		{BadName, "a name with characters that it cannot have"},
		{SheetOrValue, "a part with both a sheet and a value of its own, or with neither"},
		{UnknownSheet, "a part sheet that nobody knows"},
		{UnknownPin, "a pin that the part does not have"},
		{MissingPin, "a pin of the part of which nothing is said"},
		{PinCount, "a list of nets that has more or fewer entries than the part has pins"},
		{UnclearKind, "a bare part whose kind its reference does not tell"},
		{UnknownRating, "a word behind a value that is no rating"},
		{NoTap, "an end of a cell that reaches no pad"},
		{PadAlone, "a pad on a net that nothing else is on"},
		{PinAlone, "a net with a single pin"},
		{NearNames, "two nets whose names differ in case only"},
		{UnknownNet, "a grade for a net that nothing is on"},
		{TapTooHigh, "a tap above the board's cells"},
		{RefTwice, "a part that stands twice"},
		{PinTwice, "a pin on two nets"},
		{PadTwice, "a pad that stands twice"},
		{NoSection, "a wire with neither a gauge nor a cross section, or with both"},
		{NotPositive, "a size that is not above zero, or a share above the whole"},
		{NotWired, "parts that are on no net yet"},
	}
}
