package claimfile

// The codes of the findings about what a text of claims says. A code never
// changes its meaning; [Codes] says what each means.
const (
	OtherVersion = "C101"
	NoStages     = "C102"
	StatedTwice  = "C103"
	NotTwoSides  = "C104"
)

// Code is a code of finding and its meaning.
type Code struct{ Code, Meaning string }

// Codes lists every code that this package gives, in order.
func Codes() []Code {
	return []Code{
		{OtherVersion, "the file is of a version that is not read"},
		{NoStages, "a stage of a protection that has none"},
		{StatedTwice, "a figure that is stated twice"},
		{NotTwoSides, "the size of a board that is not length and width"},
	}
}
