package quantity

import "strconv"

// Reason is why a text could not be read as a quantity.
type Reason int

// The reasons.
const (
	Syntax       Reason = iota // not the notation of a quantity
	WrongUnit                  // a unit of another dimension, or no unit at all
	MissingUnit                // a number whose unit is not obvious
	Ambiguous                  // more than one reading, each plausible
	WrongOrder                 // limits that are not minimum ≤ typical ≤ maximum
	OutOfRange                 // a value that the dimension cannot have
	LeftoverText               // a quantity was read, and something follows it
)

// Error says why a text is not a quantity, where, and what would be right.
type Error struct {
	Text       string // the whole text that was to be read
	Offset     int    // byte offset in Text of what is wrong
	Reason     Reason
	Message    string // lower case, no full stop
	Do         string // what to do about it
	Suggestion string // the text that would be right, if one is likely
}

func (e *Error) Error() string {
	s := "cannot read " + strconv.Quote(e.Text) + ": " + e.Message
	if e.Do != "" {
		s += ": " + e.Do
	}
	return s
}
