package layout

import (
	"slices"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
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
		case senseCell(name) > 0 && p.kind() == catalog.StackProtector:
			w.nets[n].level = min(low+senseCell(name), w.b.Cells)
		case name == "vdd" && p.sheet != nil && p.sheet.Cells() > 0:
			w.nets[n].level = min(low+p.sheet.Cells(), w.b.Cells)
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

// own gives nets and parts to the slices they serve.
//
// A slice grows from the ICs between its two taps, and from the sense inputs
// of stack protectors. A net belongs to the slice that is nearer to it than
// any other, counted in parts; a net that leads straight to several slices
// belongs to none: it is a line that they share. What is only reached through
// such lines serves the whole board.
func (w *work) own() {
	w.ownICs()
	for {
		owners := w.nearest()
		n := w.mostShared(owners)
		if n == board.NoNet {
			for n, k := range owners {
				w.nets[n].cell = k
			}
			break
		}
		w.nets[n].bus = true
	}
	w.senseLeads()
	w.gateDrivers()
	for i := range w.parts {
		if p := &w.parts[i]; p.cell == 0 && !p.power {
			p.cell = w.cellOf(p)
		}
	}
}

// ownICs gives the ICs that see one cell to their slices.
func (w *work) ownICs() {
	for i := range w.parts {
		p := &w.parts[i]
		if !p.ic() || p.kind() == catalog.StackProtector {
			continue
		}
		low, high := w.span(p)
		if s, ok := w.levelOf(p.net("vss")); ok && low < 0 {
			low, high = s, s
		}
		switch {
		case high == low+1 && high > 0:
			p.cell = high
		case high == low && low >= 0 && low < w.b.Cells && p.net("vss") != board.NoNet:
			p.cell = low + 1
		}
	}
}

// span is the lowest and highest tap that the supply pins of a part are near;
// −1 if none is.
func (w *work) span(p *part) (low, high int) {
	low, high = -1, -1
	for k, n := range p.nets {
		l, ok := w.levelOf(n)
		if !ok || w.nets[n].power || p.sheet != nil && !isSupplyPin(p.Pins[k].Name) {
			continue
		}
		if low < 0 || l < low {
			low = l
		}
		high = max(high, l)
	}
	return low, high
}

func (w *work) levelOf(n board.NetID) (int, bool) {
	if n == board.NoNet || w.nets[n].level < 0 {
		return -1, false
	}
	return w.nets[n].level, true
}

// own nets of slice k, from which it grows.
func (w *work) seeds() map[board.NetID]int {
	seeds := map[board.NetID]int{}
	for i := range w.parts {
		p := &w.parts[i]
		if !p.ic() {
			continue
		}
		for k, n := range p.nets {
			if !w.grows(n) {
				continue
			}
			cell := p.cell
			if c := max(senseCell(p.Pins[k].Name), numbered(p.Pins[k].Name, "bal")); c > 0 && cell == 0 {
				cell = c + w.bottom(p)
			}
			if _, have := seeds[n]; !have && cell > 0 && cell <= w.b.Cells {
				seeds[n] = cell
			}
		}
	}
	return seeds
}

// bottom is the tap on which a stack protector stands.
func (w *work) bottom(p *part) int {
	if l, ok := w.levelOf(p.net("vss")); ok {
		return l
	}
	return 0
}

// grows reports whether a slice may grow into a net.
func (w *work) grows(n board.NetID) bool { return w.signal(n) && !w.nets[n].bus && !w.gate(n) }

// gate reports whether a net drives FETs of a power path: those serve all.
func (w *work) gate(n board.NetID) bool {
	found := false
	w.each(n, func(p *part, _ int) { found = found || p.power && p.fet() && p.control() == n })
	return found
}

// nearest tells for each net the slice that is strictly nearer than all others.
func (w *work) nearest() []int {
	n := len(w.nets)
	best, second, owner := make([]int, n), make([]int, n), make([]int, n)
	for i := range best {
		best[i], second[i] = far, far
	}
	seeds := w.seeds()
	for k := 1; k <= w.b.Cells; k++ {
		for i, d := range w.distances(seeds, k) {
			switch {
			case d < best[i]:
				second[i], best[i], owner[i] = best[i], d, k
			case d < second[i]:
				second[i] = d
			}
		}
	}
	for i := range owner {
		if best[i] == far || second[i] <= best[i] {
			owner[i] = 0
		}
	}
	return owner
}

const far = 1 << 30

// distances counts the parts between the seeds of slice k and each net. ICs
// are where slices begin: no way leads through them.
func (w *work) distances(seeds map[board.NetID]int, k int) []int {
	d := make([]int, len(w.nets))
	var todo []board.NetID
	for i := range d {
		d[i] = far
		if seeds[board.NetID(i)] == k {
			d[i] = 0
			todo = append(todo, board.NetID(i))
		}
	}
	for len(todo) > 0 {
		n := todo[0]
		todo = todo[1:]
		w.each(n, func(p *part, _ int) {
			if p.ic() || p.power {
				return
			}
			for _, m := range p.nets {
				if w.grows(m) && d[m] == far {
					d[m] = d[n] + 1
					todo = append(todo, m)
				}
			}
		})
	}
	return d
}

// mostShared is the net whose parts lead to the most slices, if to more than
// one. A sense input is no such net: capacitors join it to its neighbours.
func (w *work) mostShared(owners []int) board.NetID {
	found, most := board.NoNet, 1
	for i := range w.nets {
		n := board.NetID(i)
		if !w.grows(n) || w.anchored(n) {
			continue
		}
		var cells []int
		w.each(n, func(p *part, _ int) {
			if p.power {
				return
			}
			if p.ic() {
				cells = include(cells, p.cell)
				return
			}
			for _, m := range p.nets {
				if m != n && w.grows(m) {
					cells = include(cells, owners[m])
				}
			}
		})
		if len(cells) > most {
			found, most = n, len(cells)
		}
	}
	return found
}

func include(cells []int, k int) []int {
	if k == 0 {
		return cells
	}
	for _, c := range cells {
		if c == k {
			return cells
		}
	}
	return append(cells, k)
}

// senseLeads takes what lies between a power path and the sense input of a
// slice's IC out of the slice: it belongs to the path it looks at.
func (w *work) senseLeads() {
	for i := range w.parts {
		p := &w.parts[i]
		if !p.passive() || p.power {
			continue
		}
		a, b := p.ends()
		for _, e := range [][2]board.NetID{{a, b}, {b, a}} {
			if e[0] != board.NoNet && w.nets[e[0]].power {
				w.leave(e[1])
			}
		}
	}
}

// leave takes a net out of its slice, and what is behind it up to ICs.
func (w *work) leave(n board.NetID) {
	if !w.signal(n) || w.anchored(n) || w.nets[n].cell == 0 {
		return
	}
	atIC := false
	w.each(n, func(p *part, _ int) { atIC = atIC || p.ic() })
	if atIC {
		return
	}
	w.nets[n].cell = 0
	w.each(n, func(p *part, _ int) {
		for _, m := range p.nets {
			if m != n {
				w.leave(m)
			}
		}
	})
}

// gateDrivers takes the stages that drive a power path's gates out of the slice
// they would grow into, back to where an IC of that slice drives them: where
// slices pass a signal down, the last one has the whole board's driver beside it.
func (w *work) gateDrivers() {
	if w.b.Cells < 2 {
		return
	}
	var todo []board.NetID
	for n := range w.nets {
		if w.gate(board.NetID(n)) {
			todo = append(todo, board.NetID(n))
		}
	}
	seen := map[board.NetID]bool{}
	for len(todo) > 0 {
		n := todo[0]
		todo = todo[1:]
		if seen[n] {
			continue
		}
		seen[n] = true
		inner, ends := w.joinedTo(n)
		for _, m := range append(inner, ends...) {
			w.each(m, func(p *part, k int) {
				if !p.transistor() || p.power || p.nets[k] == p.control() || w.fromIC(p.control()) {
					return
				}
				for _, q := range inner {
					w.nets[q].cell = 0
				}
				w.nets[m].cell = 0
				if c := p.control(); w.grows(c) {
					w.nets[c].cell = 0
				}
				todo = append(todo, p.control())
			})
		}
	}
}

// joinedTo follows passives from a net to others: inner nets that only passives
// touch, the net itself among them, and the ends where something else does.
func (w *work) joinedTo(n board.NetID) (inner, ends []board.NetID) {
	inner = []board.NetID{n}
	for i := 0; i < len(inner); i++ {
		w.each(inner[i], func(p *part, _ int) {
			if !p.passive() || p.power {
				return
			}
			m := p.other(inner[i])
			switch {
			case !w.signal(m) || w.anchored(m) || slices.Contains(inner, m) || slices.Contains(ends, m):
			case w.nets[m].bus || w.active(m):
				ends = append(ends, m)
			default:
				inner = append(inner, m)
			}
		})
	}
	return inner, ends
}

// active reports whether something besides passives touches a net.
func (w *work) active(n board.NetID) bool {
	found := false
	w.each(n, func(p *part, _ int) { found = found || !p.passive() })
	return found
}

// fromIC reports whether an IC of a slice drives a net through nothing but
// passives.
func (w *work) fromIC(n board.NetID) bool {
	if !w.signal(n) {
		return false
	}
	inner, ends := w.joinedTo(n)
	found := false
	for _, m := range append(inner, ends...) {
		w.each(m, func(p *part, k int) { found = found || p.ic() && p.cell > 0 && !isSupplyPin(p.Pins[k].Name) })
	}
	return found
}

// cellOf is the slice of a part: the one its nets belong to.
func (w *work) cellOf(p *part) int {
	if p.ic() {
		return 0
	}
	cell, low, high, shared := 0, far, -1, false
	for _, n := range p.nets {
		if n == board.NoNet {
			continue
		}
		k := w.nets[n].cell
		switch {
		case k > 0 && cell > 0 && k != cell && w.anchored(n):
			cell = max(cell, k) // between neighbouring sense inputs
		case k > 0 && cell > 0 && k != cell:
			return 0
		case k > 0:
			cell = k
		case w.nets[n].power:
			return 0
		case w.nets[n].tap >= 0:
			low, high = min(low, w.nets[n].tap), max(high, w.nets[n].tap)
		case !w.nets[n].bus:
			shared = true
		}
	}
	switch {
	case shared && !p.transistor():
		return 0
	case shared:
		return 0
	case cell == 0 && low >= 0 && high == low+1 && len(p.nets) == 2 && w.nets[p.nets[0]].tap >= 0 && w.nets[p.nets[1]].tap >= 0:
		return high // across one cell
	}
	return cell
}

// exports makes a shared line of each net by which a slice drives what serves
// the whole board.
func (w *work) exports() {
	for i := range w.nets {
		n := board.NetID(i)
		if w.anchored(n) {
			continue
		}
		drives, serves := false, false
		w.each(n, func(p *part, k int) {
			switch {
			case p.cell == 0:
				serves = serves || !p.transistor() || p.power || p.control() == n
			case p.ic():
				name := p.Pins[k].Name
				drives = drives || name == "do" || name == "co" || name == "out"
			case p.transistor():
				drives = drives || p.control() != n
			}
		})
		w.nets[n].bus = w.nets[n].bus || drives && serves
	}
}

// sensed reports whether a net is at a sense or balance pin of a stack
// protector: such nets go straight on from their slice to the protector.
func (w *work) sensed(n board.NetID) bool {
	found := false
	w.each(n, func(p *part, k int) {
		name := p.Pins[k].Name
		found = found || p.ic() && p.cell == 0 && (senseCell(name) > 0 || numbered(name, "bal") > 0)
	})
	return found
}
