package layout

import (
	"slices"
	"strconv"
	"strings"

	"cupel/internal/board"
)

// filterOhms is the most resistance of a supply or sense filter. Common
// practice, no source.
const filterOhms = 22e3 // Ω

// supplies finds the nets that a tap feeds through one resistor: supplies of
// ICs and their sense inputs.
func (w *work) supplies() {
	for i := range w.parts {
		p := &w.parts[i]
		if !p.ic() {
			continue
		}
		for k := range p.Pins {
			if n := p.nets[k]; isSupplyPin(p.Pins[k].Name) && w.signal(n) && !w.anchored(n) {
				w.nets[n].level = w.fed(n)
			}
		}
	}
	for i := range w.parts {
		if p := &w.parts[i]; p.ic() {
			w.unfed(p)
		}
	}
}

// unfed places the supplies and sense inputs that nothing feeds, as with a
// resistor missing, where the part itself says that they belong.
func (w *work) unfed(p *part) {
	low, ok := w.levelOf(p.net("vss"))
	if !ok {
		return
	}
	for k := range p.Pins {
		n := p.nets[k]
		if !w.signal(n) || w.anchored(n) {
			continue
		}
		switch name := p.Pins[k].Name; {
		case p.stack() && p.cellAt(k) > 0:
			w.nets[n].level = min(low+p.cellAt(k), w.b.Cells)
		case name == "vdd":
			w.nets[n].level = min(low+max(1, p.senses()), w.b.Cells)
		}
	}
}

// isSupplyPin reports whether a pin of an IC takes the potential of a tap.
func isSupplyPin(name string) bool {
	return name == "vdd" || name == "vss" || senseCell(name) > 0
}

// senseCell is the cell on top of which a sense input lies; 0 for other pins.
func senseCell(name string) int { return numbered(name, "v") }

func numbered(name, prefix string) int {
	digits, ok := strings.CutPrefix(name, prefix)
	if !ok {
		return 0
	}
	k, err := strconv.Atoi(digits)
	if err != nil {
		return 0
	}
	return k
}

// fed is the tap that feeds a net through one resistor, the smallest first; −1
// if none does.
func (w *work) fed(n board.NetID) int {
	tap, least := -1, filterOhms
	w.each(n, func(p *part, _ int) {
		if !p.passive() || !(p.ohms() <= least) {
			return
		}
		if m := p.other(n); m != board.NoNet && w.nets[m].tap >= 0 {
			tap, least = w.nets[m].tap, p.ohms()
		}
	})
	return tap
}

// stack reports whether an IC watches several cells: it has sense inputs, also
// where its sheet is not known.
func (p *part) stack() bool { return p.hasPin("v1") && p.hasPin("v2") }

// hasPin reports whether a part has a pin of that name.
func (p *part) hasPin(name string) bool {
	return slices.ContainsFunc(p.Pins, func(q board.Pin) bool { return q.Name == name })
}

// senses is how many cells an IC's sense inputs reach.
func (p *part) senses() int {
	n := 0
	for k := range p.Pins {
		n = max(n, p.cellAt(k))
	}
	return n
}

// cellAt is the cell, counted from the IC's ground, on top of which the sense
// input k lies; 0 for other pins. Inputs that are not needed are strapped to
// their neighbour: they lie on the same cell.
func (p *part) cellAt(k int) int {
	want := senseCell(p.Pins[k].Name)
	first := map[board.NetID]int{p.net("vss"): 0}
	cell := 0
	for input := 1; input <= want; input++ {
		n, ok := p.pinNet("v" + strconv.Itoa(input))
		if !ok {
			continue
		}
		at, strapped := first[n]
		if !strapped || n == board.NoNet {
			cell++
			at = cell
			first[n] = at
		}
		if input == want {
			return at
		}
	}
	return 0
}

// pinNet is the net of a pin, and whether there is such a pin.
func (p *part) pinNet(name string) (board.NetID, bool) {
	for k := range p.Pins {
		if p.Pins[k].Name == name {
			return p.nets[k], true
		}
	}
	return board.NoNet, false
}
