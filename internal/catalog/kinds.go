package catalog

import (
	"cupel/internal/quantity"
)

// Traits says what a sheet of one kind holds: pins in the order of a
// positional pin list, limits, figures and rules.
type Traits struct {
	Kind    Kind
	Title   string
	Pins    []PinTrait
	Limits  []Term
	Figures []Term
	Rules   []Rule
	// Curve is true if the sheet may give resistance against temperature
	// point by point.
	Curve bool
}

// PinTrait is a pin a kind of part has or may have.
type PinTrait struct {
	Name   string
	Needed bool
	Means  string
}

// Term is a limit or figure that a kind knows.
type Term struct {
	Name   string
	Dim    quantity.Dimension
	Needed bool
	// Default stands in where a sheet is silent about an optional term; it
	// is then typical of the class, no source, and the result says that it was
	// assumed. Not Given: the effect is left out.
	Default quantity.Quantity
	At      []Condition // the test condition meant where the sheet names none
	Means   string
}

// Rule is a choice between named behaviours.
type Rule struct {
	Name    string
	Words   []string
	Default string
	Means   string
}

// conditions are the names that may stand behind "at", with their dimensions.
var conditions = map[string]quantity.Dimension{
	"t_j": quantity.Temperature, "t_a": quantity.Temperature,
	"v_gs": quantity.Voltage, "v_ds": quantity.Voltage, "i_d": quantity.Current, "i_s": quantity.Current,
	"i_f": quantity.Current, "v_r": quantity.Voltage, "i_z": quantity.Current, "i_pp": quantity.Current,
	"i_c": quantity.Current, "i_b": quantity.Current, "v_ce": quantity.Voltage, "v_cb": quantity.Voltage,
	"v_eb": quantity.Voltage, "v_dd": quantity.Voltage, "f": quantity.Frequency, "c": quantity.Capacitance,
	"i": quantity.Current,
}

// ConditionDimension is the dimension of a test condition, and whether there is
// one of that name.
func ConditionDimension(name string) (quantity.Dimension, bool) {
	d, ok := conditions[name]
	return d, ok
}

// Conditions lists the names of all test conditions.
func Conditions() []string { return sortedKeys(conditions) }

var kinds = []Traits{
	resistorTraits, capacitorTraits, inductorTraits,
	diodeTraits, zenerTraits, bjtTraits(NPN, "NPN transistor"), bjtTraits(PNP, "PNP transistor"),
	fetTraits(NFET, "N-channel FET"), fetTraits(PFET, "P-channel FET"),
	cellProtectorTraits, stackProtectorTraits, balancerTraits, secondaryTraits,
	thermistorTraits, fuseTraits, linkTraits,
}

// Kinds lists every kind's traits in a fixed order. It is shared: do not change
// it.
func Kinds() []Traits { return kinds }

// TraitsOf returns the traits of a kind.
func TraitsOf(k Kind) (Traits, bool) {
	for _, t := range kinds {
		if t.Kind == k {
			return t, true
		}
	}
	return Traits{}, false
}

// Figure returns the term of the figure of that name.
func (t Traits) Figure(name string) (Term, bool) { return find(t.Figures, name) }

// Limit returns the term of the limit of that name.
func (t Traits) Limit(name string) (Term, bool) { return find(t.Limits, name) }

// Rule returns the rule of that name.
func (t Traits) Rule(name string) (Rule, bool) {
	for _, r := range t.Rules {
		if r.Name == name {
			return r, true
		}
	}
	return Rule{}, false
}

func find(terms []Term, name string) (Term, bool) {
	for _, t := range terms {
		if t.Name == name {
			return t, true
		}
	}
	return Term{}, false
}

// PinNames lists the names of all pins, or of those needed.
func (t Traits) PinNames(neededOnly bool) []string {
	var out []string
	for _, p := range t.Pins {
		if p.Needed || !neededOnly {
			out = append(out, p.Name)
		}
	}
	return out
}

// The constructors below keep the tables of terms readable.

func needed(name string, d quantity.Dimension, means string, at ...Condition) Term {
	return Term{Name: name, Dim: d, Needed: true, Default: none(d), At: at, Means: means}
}

// optional is a term whose effect is left out where the sheet is silent.
func optional(name string, d quantity.Dimension, means string, at ...Condition) Term {
	return Term{Name: name, Dim: d, Default: none(d), At: at, Means: means}
}

// usual is a term with a default that is typical of the class, no source.
func usual(name string, d quantity.Dimension, v float64, means string, at ...Condition) Term {
	return Term{Name: name, Dim: d, Default: quantity.Exact(d, v), At: at, Means: means}
}

// ranged is usual with limits.
func ranged(name string, d quantity.Dimension, lo, v, hi float64, means string, at ...Condition) Term {
	return Term{Name: name, Dim: d, Default: quantity.Quantity{Dim: d, Min: lo, Typ: v, Max: hi}, At: at, Means: means}
}

func at(name string, v float64) Condition {
	return Condition{Name: name, Value: quantity.Exact(conditions[name], v)}
}
