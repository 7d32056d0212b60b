package elaborate

import (
	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// Options say how to elaborate. The zero value is the nominal circuit at 25 °C.
type Options struct {
	Choice Choice  // nil: Nominal
	Kelvin float64 // at which the thresholds of ICs are taken; 0: 25 °C
	// Apart makes of a part of count n the elements Q5.1 … Q5.n, each with
	// its own choice, instead of one element n times as strong.
	Apart bool
	// Without leaves parts out, by reference: what an open part would do.
	Without map[string]bool
}

// Elaborate builds the circuit of a board. The circuit can be used when the
// findings hold no error. sheets finds part sheets by name.
func Elaborate(b *board.Board, sheets func(name string) (*catalog.Sheet, bool), opt Options) (*Circuit, finding.List) {
	w := newWork(b, sheets, opt)
	w.parts()
	if w.list.Has(finding.Error) {
		return w.c, w.list
	}
	w.recognise()
	w.diagnose()
	return w.c, w.list
}
