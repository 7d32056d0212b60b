package dossier

// The codes of the findings about a dossier as a whole. A code never changes
// its meaning; [Codes] says what each means.
const (
	NoBoard     = "D101"
	SheetTwice  = "D102"
	OtherEnding = "D103"
	LogTooLong  = "D104"
	NotRungOut  = "D105"
)

// Code is a code of finding and its meaning.
type Code struct{ Code, Meaning string }

// Codes lists every code that this package gives, in order.
func Codes() []Code {
	return []Code{
		{NoBoard, "the folder holds no board"},
		{SheetTwice, "two part sheets of one name"},
		{OtherEnding, "a file beside the part sheets that is not read"},
		{LogTooLong, "a log of readings of a size that no board needs"},
		{NotRungOut, "a board most of whose parts are on no net"},
	}
}
