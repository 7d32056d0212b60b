package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// line is a power path: from a tap, or from a net of another line, to a port.
type line struct {
	pad  string // the port it leads to
	high bool   // in the positive side
	nets []board.NetID
	hops [][]int // the parts between each two nets, in parallel
}

// ports are the pads that current leaves or enters by, besides the cells'.
var ports = []struct {
	pad  string
	high bool
}{{"P-", false}, {"C-", false}, {"P+", true}, {"C+", true}}

// lowOhms is the most resistance of a part that carries the pack's current.
// Common practice, no source: 1 Ω would take a volt at an ampere.
const lowOhms = 1. // Ω

// powerPaths finds the lines and marks their nets and parts.
func (w *work) powerPaths() {
	for _, port := range ports {
		pad, ok := w.b.Pad(port.pad)
		if !ok || pad.Net == board.NoNet {
			continue
		}
		if l, ok := w.line(pad.Net, port.high); ok {
			l.pad = port.pad
			w.mark(l)
			w.lines = append(w.lines, l)
		}
		w.markNet(pad.Net, port.high)
	}
}

// line finds the shortest way to a port's net from the tap at its side, or
// from a line that already leads there.
func (w *work) line(to board.NetID, high bool) (line, bool) {
	end := w.taps[0]
	if high {
		end = w.taps[len(w.taps)-1]
	}
	if end == board.NoNet {
		return line{}, false
	}
	from := []board.NetID{end}
	for _, l := range w.lines {
		if l.high == high {
			from = append(from, l.nets...)
		}
	}
	if slices.Contains(from, to) {
		return line{high: high, nets: []board.NetID{to}}, true
	}
	return w.shortest(from, to, high)
}

func (w *work) shortest(from []board.NetID, to board.NetID, high bool) (line, bool) {
	before := map[board.NetID]board.NetID{}
	for _, n := range from {
		before[n] = board.NoNet
	}
	todo := slices.Clone(from)
	for len(todo) > 0 {
		n := todo[0]
		todo = todo[1:]
		if n == to {
			break
		}
		w.each(n, func(p *part, _ int) {
			m, ok := w.carries(p, n)
			if _, seen := before[m]; !ok || seen || m != to && w.nets[m].tap >= 0 {
				return
			}
			before[m] = n
			todo = append(todo, m)
		})
	}
	if _, ok := before[to]; !ok {
		return line{}, false
	}
	l := line{high: high, nets: []board.NetID{to}}
	for n := to; before[n] != board.NoNet; n = before[n] {
		l.nets = append(l.nets, before[n])
		l.hops = append(l.hops, w.between(before[n], n))
	}
	slices.Reverse(l.nets)
	slices.Reverse(l.hops)
	return l, true
}

// carries returns the net behind a part that can carry the pack's current.
func (w *work) carries(p *part, n board.NetID) (board.NetID, bool) {
	var a, b board.NetID
	switch {
	case p.fet():
		a, b = p.head(), p.foot()
	case p.passive() && p.ohms() < lowOhms:
		a, b = p.ends()
	case p.shape == schematic.HeaterFuse && !p.apart:
		a, b = p.net("1"), p.net("2")
	default:
		return board.NoNet, false
	}
	switch {
	case a == b || a == board.NoNet || b == board.NoNet:
		return board.NoNet, false
	case a == n:
		return b, true
	case b == n:
		return a, true
	}
	return board.NoNet, false
}

// between lists the parts in parallel between two nets of a power path.
func (w *work) between(a, b board.NetID) []int {
	var out []int
	w.each(a, func(p *part, _ int) {
		if m, ok := w.carries(p, a); ok && m == b && !slices.Contains(out, p.index) {
			out = append(out, p.index)
		}
	})
	return out
}

func (w *work) mark(l line) {
	for _, n := range l.nets {
		w.markNet(n, l.high)
	}
	for _, hop := range l.hops {
		for _, i := range hop {
			w.parts[i].power = true
		}
	}
}

func (w *work) markNet(n board.NetID, high bool) {
	if w.nets[n].tap >= 0 {
		return
	}
	w.nets[n].power, w.nets[n].level = true, 0
	if high {
		w.nets[n].level = w.b.Cells
	}
}
