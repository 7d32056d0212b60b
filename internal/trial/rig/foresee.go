package rig

// Foreseer is a rig that sees how far the comparators of the board's ICs are
// from acting, as a simulation can. It only tells a search where to look: what
// the board does is still found by letting it do it.
type Foreseer interface {
	// Edges names the comparators, in an order that is the same for boards of
	// one kind.
	Edges() []Edge
	// Distances appends how far each of them is from its edge now, in V;
	// negative below.
	Distances(to []float64) ([]float64, error)
}

// Edge is where a comparator acts. Flag is what it sets: "OC1", as an Event has
// it; empty where it sets none.
type Edge struct{ Part, Flag string }
