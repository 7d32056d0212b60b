package text

// The codes of the findings about a text's form. A code never changes its
// meaning; [Codes] says what each means.
const (
	NotYAML      = "T001"
	BadCharacter = "T002"
	TooLarge     = "T003"
	TooDeep      = "T004"
	ManyDocs     = "T005"
	Anchored     = "T006"
	Tagged       = "T007"
	BadKey       = "T008"
	NoContent    = "T009"

	UnknownKey   = "T101"
	DuplicateKey = "T102"
	MissingKey   = "T103"
	EmptyValue   = "T104"
	WrongKind    = "T105"
	NotWhole     = "T106"
	NotTrueFalse = "T107"
	UnknownWord  = "T108"
	NotInRange   = "T109"
	SplitComma   = "T110"

	NotQuantity   = "T201"
	WrongUnit     = "T202"
	MissingUnit   = "T203"
	Ambiguous     = "T204"
	WrongOrder    = "T205"
	NotPossible   = "T206"
	LeftoverWords = "T207"
)

// Code is a code of finding and its meaning.
type Code struct{ Code, Meaning string }

// Codes lists every code that this package gives, in order.
func Codes() []Code {
	return []Code{
		{NotYAML, "the text is not YAML"},
		{BadCharacter, "a character that is not UTF-8, or a control character"},
		{TooLarge, "the file is larger than what is read"},
		{TooDeep, "maps and lists are nested too deep"},
		{ManyDocs, "the file holds more than one document"},
		{Anchored, "an anchor, an alias or a merge key"},
		{Tagged, "a tag that would change how a value is read"},
		{BadKey, "a key that is not one plain word or text"},
		{NoContent, "the file holds no map, or nothing at all"},
		{UnknownKey, "a key that has no meaning at its place"},
		{DuplicateKey, "a key that stands twice in one map"},
		{MissingKey, "a key that its map needs"},
		{EmptyValue, "a key or list entry without a value"},
		{WrongKind, "a map, a list or a single value where another of the three belongs"},
		{NotWhole, "not a whole number"},
		{NotTrueFalse, "neither true nor false"},
		{UnknownWord, "a word that is not one of those possible at its place"},
		{NotInRange, "a number below or above what its place allows"},
		{SplitComma, "a decimal comma between braces or brackets, where it separates entries"},
		{NotQuantity, "not the notation of a quantity"},
		{WrongUnit, "a unit that does not belong to the quantity asked for"},
		{MissingUnit, "a number whose unit is not obvious"},
		{Ambiguous, "a quantity with two plausible readings"},
		{WrongOrder, "limits that are not minimum ≤ typical ≤ maximum"},
		{NotPossible, "a value that the quantity cannot have"},
		{LeftoverWords, "words after a quantity that have no meaning there"},
	}
}
