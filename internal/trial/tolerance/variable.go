package tolerance

import (
	"fmt"
	"math"

	"cupel/internal/elaborate"
	"cupel/internal/quantity"
)

// Variable names one thing that differs between boards of one kind.
type Variable struct {
	Lot    bool   // common to all parts of a sheet
	Name   string // the sheet's if Lot, else the part's reference
	Unit   int    // of parts in parallel, 1 … n; 0 where there is one
	Figure string // "value", "v_ov"
}

// Part is the variable's part as a person reads it: "R7", "Q5.2", "lot of
// nfet-40v-6m".
func (v Variable) Part() string {
	switch {
	case v.Lot:
		return "lot of " + v.Name
	case v.Unit > 0:
		return fmt.Sprintf("%s.%d", v.Name, v.Unit)
	}
	return v.Name
}

func (v Variable) String() string { return v.Part() + " " + v.Figure }

// variablesOf are the variables behind a figure: the lot's and the part's own.
func variablesOf(w elaborate.Which) (lot, part Variable) {
	return Variable{Lot: true, Name: w.Sheet, Figure: w.Figure}, Variable{Name: w.Ref, Unit: w.Unit, Figure: w.Figure}
}

// moves reports whether a quantity has limits to move between.
func moves(q quantity.Quantity) bool {
	low, high := q.Low(), q.High()
	return low < high && !math.IsInf(low, 0) && !math.IsInf(high, 0)
}

// finder lists the variables it is asked for.
type finder struct {
	seen map[Variable]bool
	list []Variable
}

// Pick takes the nominal value, and notes what could be another.
func (f *finder) Pick(w elaborate.Which, q quantity.Quantity) float64 {
	if moves(q) {
		lot, part := variablesOf(w)
		f.add(lot, w.Spread.Lot)
		f.add(part, w.Spread.Part)
	}
	return q.Nominal()
}

func (f *finder) add(v Variable, share float64) {
	if share > 0 && !f.seen[v] {
		f.seen[v] = true
		f.list = append(f.list, v)
	}
}

// Variables lists what moves on a board, in the order its circuit is made;
// elaborate makes it with a choice.
func Variables(elaborate func(elaborate.Choice) error) ([]Variable, error) {
	f := &finder{seen: map[Variable]bool{}}
	err := elaborate(f)
	return f.list, err
}
