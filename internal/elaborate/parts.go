package elaborate

import (
	"fmt"
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
)

// parts makes the elements and units of every part.
func (w *work) parts() {
	for i := range w.board.Parts {
		p := &w.board.Parts[i]
		if w.opt.Without[p.Ref] || p.Sheet != "" && w.sheet[i] == nil || !w.hasPins(i) {
			continue
		}
		w.part(i)
	}
}

// hasPins reports pins that a part's kind needs and the board leaves out.
func (w *work) hasPins(i int) bool {
	p, ok := &w.board.Parts[i], true
	for _, name := range w.neededPins(i) {
		if !hasPin(p, name) {
			w.fail(PinMissing, p.Place, "add the pin to the part's pins", "part %s has no pin %s", p.Ref, name)
			ok = false
		}
	}
	return ok
}

// neededPins are the pins without which there is no element. An IC may leave
// pins out: they then hang on nothing.
func (w *work) neededPins(i int) []string {
	s := w.sheet[i]
	if s == nil {
		return []string{"1", "2"}
	}
	switch s.Kind {
	case catalog.CellProtector, catalog.StackProtector, catalog.Balancer, catalog.SecondaryProtector:
		return []string{"vdd", "vss"}
	}
	t, _ := catalog.TraitsOf(s.Kind)
	return t.PinNames(true)
}

func hasPin(p *board.Part, name string) bool {
	for k := range p.Pins {
		if p.Pins[k].Name == name {
			return true
		}
	}
	return false
}

// piece is one element's worth of a part: all Count of it, or one of them.
type piece struct {
	w        *work
	index    int
	part     *board.Part
	fig      figures
	unit     int     // 0: all
	parallel float64 // how many stand in parallel
	name     string
}

// pieces calls make once for the whole part, or Count times. Parts that are
// scaled can be one element for all of their count.
func (w *work) pieces(i int, scaled bool, make func(piece)) {
	p := &w.board.Parts[i]
	n := max(p.Count, 1)
	if n == 1 || scaled && !w.opt.Apart {
		make(w.piece(i, 0, float64(n), p.Ref))
		return
	}
	for u := 1; u <= n; u++ {
		make(w.piece(i, u, 1, fmt.Sprintf("%s.%d", p.Ref, u)))
	}
}

func (w *work) piece(i, unit int, parallel float64, name string) piece {
	p := &w.board.Parts[i]
	return piece{w, i, p, figures{w, p, w.sheet[i], unit}, unit, parallel, name}
}

func (w *work) part(i int) {
	kind := w.kind(i)
	switch kind {
	case catalog.Resistor, catalog.Capacitor, catalog.Inductor, catalog.Link:
		w.pieces(i, true, passive(kind))
	case catalog.Thermistor:
		w.pieces(i, false, piece.thermistor)
	case catalog.Fuse:
		w.pieces(i, false, piece.fuse)
	case catalog.Diode:
		w.pieces(i, false, piece.diode)
	case catalog.Zener:
		w.pieces(i, false, piece.zener)
	case catalog.NPN, catalog.PNP:
		w.pieces(i, false, piece.bjt)
	case catalog.NFET, catalog.PFET:
		w.pieces(i, true, piece.fet)
	default:
		w.pieces(i, false, piece.ic)
	}
}

func passive(k catalog.Kind) func(piece) {
	switch k {
	case catalog.Capacitor:
		return piece.capacitor
	case catalog.Inductor:
		return piece.inductor
	case catalog.Link:
		return piece.link
	}
	return piece.resistor
}

// kind is the kind of part i, bare or by sheet.
func (w *work) kind(i int) catalog.Kind {
	if s := w.sheet[i]; s != nil {
		return s.Kind
	}
	return catalog.Kind(w.board.Parts[i].Kind)
}

// fit reports figures that no model can have.
func (q piece) fit(err error) bool {
	if err == nil {
		return true
	}
	sheet := "its value"
	if q.fig.sheet != nil {
		sheet = "sheet " + q.fig.sheet.Name
	}
	q.w.fail(BadFigures, q.part.Place, "correct "+sheet, "part %s: %v", q.part.Ref, err)
	return false
}

// value is the value beside a part, or its sheet's figure.
func (q piece) value(figure string) float64 {
	if q.part.Value.Given() {
		return q.fig.pick("value", q.part.Value)
	}
	if q.fig.sheet == nil {
		return math.NaN()
	}
	return q.fig.get(figure)
}

// given reports, as a finding, a value that is missing or not above 0.
func (q piece) given(v float64, what string) bool {
	if v > 0 {
		return true
	}
	q.w.fail(BadFigures, q.part.Place, "give a value above 0", "part %s: its %s is %g", q.part.Ref, what, v)
	return false
}
