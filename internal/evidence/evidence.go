// Package evidence holds the words for how far a fact is known: the grade of a
// fact and the basis of a number.
package evidence

// Grade says how well a fact is supported.
type Grade string

// The grades, from best to worst supported.
const (
	Proven       Grade = "proven"
	Implied      Grade = "implied"
	Assumed      Grade = "assumed"
	Contradicted Grade = "contradicted"
	Unknown      Grade = "unknown"
)

// Grades lists every grade in order of support.
var Grades = []Grade{Proven, Implied, Assumed, Contradicted, Unknown}

// Basis says why a number is believed.
type Basis string

// The bases a number can have.
const (
	Stated      Basis = "stated"   // printed on or with the board
	Sheet       Basis = "sheet"    // a figure of a part sheet
	Computed    Basis = "computed" // a run of the simulated board, or a formula
	Measured    Basis = "measured" // a reading
	AssumedHere Basis = "assumed"  // nobody said so; a default of ours
)
