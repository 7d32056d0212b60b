package photofile

// The codes of the findings about what a photos text says. A code never changes
// its meaning; [Codes] says what each means.
const (
	OtherVersion = "B201"
	BadFile      = "B202"
	NotAPlace    = "B203"
	OffThePhoto  = "B204"
	NoSide       = "B205"
	NoPhoto      = "B206"
	NoLength     = "B207"
	NoFootprint  = "B208"
	NotHeld      = "B209"
)

// Code is a code of finding and its meaning.
type Code struct{ Code, Meaning string }

// Codes lists every code that this package gives, in order.
func Codes() []Code {
	return []Code{
		{OtherVersion, "the file is of a version that is not read"},
		{BadFile, "a file of a photo that does not lie in the dossier's photos"},
		{NotAPlace, "a place on a photo that is not two numbers"},
		{OffThePhoto, "a place outside its photo"},
		{NoSide, "an entry that names no side, or two where one is meant"},
		{NoPhoto, "a side of which there is no photo"},
		{NoLength, "a known distance that is zero, or between two equal places"},
		{NoFootprint, "a package whose pads are not known"},
		{NotHeld, "a photo's size that cannot be"},
	}
}
