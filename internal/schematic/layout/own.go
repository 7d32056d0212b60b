package layout

import (
	"slices"

	"cupel/internal/board"
)

// own gives nets and parts to the slices they serve.
//
// A slice grows from the ICs between its two taps, and from the sense inputs
// of stack protectors. A net belongs to the slice that is nearer to it than
// any other, counted in parts; a net that leads straight to several slices
// belongs to none: it is a line that they share. What is only reached through
// such lines serves the whole board.
func (w *work) own() {
	w.standBeside()
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

// standBeside chooses the stack protectors that stand beside the slices of
// their cells: those that drive switches. One that fires a fuse stands alone.
func (w *work) standBeside() {
	w.beside = map[int]bool{}
	taken := make([]bool, w.b.Cells+1)
	for i := range w.parts {
		p := &w.parts[i]
		if !p.ic() || !p.stack() || !p.hasPin("do") {
			continue
		}
		low, n := w.bottom(p), p.senses()
		if low+n > w.b.Cells || slices.Contains(taken[low+1:low+n+1], true) {
			continue
		}
		for k := low + 1; k <= low+n; k++ {
			taken[k] = true
		}
		w.beside[i] = true
	}
}

// ownICs gives the ICs that see one cell to their slices.
func (w *work) ownICs() {
	for i := range w.parts {
		p := &w.parts[i]
		if !p.ic() || p.stack() {
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
		if !p.ic() || p.stack() && !w.beside[i] {
			continue
		}
		for k, n := range p.nets {
			if !w.grows(n) {
				continue
			}
			cell := p.cell
			if c := max(p.cellAt(k), numbered(p.Pins[k].Name, "bal")); c > 0 && cell == 0 {
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
