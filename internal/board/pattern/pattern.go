package pattern

import "cupel/internal/catalog"

// Pattern is a drawing of a few parts, and what each of them does in it.
type Pattern struct {
	Name    string
	Variant string // which of the alternatives of its text, "" if it has none
	Role    string // of its parts, where a claim names none
	Block   string // the part of the board it belongs to
	Signal  string // of a level shifter: "fault" or "fine", what a signal means
	Parts   []PartVar
	Conds   []Cond
	Marks   []Mark
	Claims  []Claim
	Expects []Expect
	Yields  []string // names of patterns whose claims go before its own
	Cell    int      // of one cell, where no tap tells; 0: none
	nets    []string // names of the net variables
}

// PartVar is a part of a pattern.
type PartVar struct {
	Name      string
	Kind      catalog.Kind
	Low, High float64 // of its value, SI; 0 and +Inf where any will do
	Pins      []PinVar
	Optional  bool // may be missing, or be several
}

// PinVar says which net variable a pin lies on. The pins of a part whose ends
// can be exchanged have no name.
type PinVar struct {
	Pin string
	Net int
}

// Cond is a condition on a match.
type Cond struct {
	Kind CondKind
	Nets []int
	Word string       // label, or tap: "k", "k-1", "k+1", "top", "any", a number
	Pads []string     // of CondPad
	Part catalog.Kind // of CondAbsent; empty: any
}

// CondKind is what a condition asks for.
type CondKind string

// The conditions, as their lines begin.
const (
	CondTap    CondKind = "tap"    // the net is that tap
	CondPad    CondKind = "pad"    // it carries one of the pads
	CondLabel  CondKind = "label"  // some pattern marked it so
	CondInner  CondKind = "inner"  // it carries no pad
	CondLone   CondKind = "lone"   // nothing hangs on it but the parts of the match
	CondAbsent CondKind = "absent" // no part of that kind joins the two nets
)

// Mark puts a label on a net of a match.
type Mark struct {
	Net   int
	Label string
}

// Claim says what a part of a match does.
type Claim struct {
	Var   string
	Role  string
	Piece string
	Text  string // with {V} for the part V of the match and {k} for its cell
	// Stimulus is what no trial of the screening applies and the part is for;
	// empty where they all do.
	Stimulus string
}

// Expect is what a pattern says a fault of a part does: an experiment that can
// contradict it.
type Expect struct {
	Var    string
	Fault  string // "open", "short"
	Effect string // "loses", "stops", "nothing"
	Word   string // trial, or direction
}

// String names the pattern with its variant.
func (p *Pattern) String() string {
	if p.Variant == "" {
		return p.Name
	}
	return p.Name + " (" + p.Variant + ")"
}

// part returns the variable of that name.
func (p *Pattern) part(name string) *PartVar {
	for i := range p.Parts {
		if p.Parts[i].Name == name {
			return &p.Parts[i]
		}
	}
	return nil
}
