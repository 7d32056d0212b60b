package story

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/board"
	"cupel/internal/board/pattern"
	"cupel/internal/catalog"
	"cupel/internal/quantity"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// trace is what the nets did in a trip.
type trace struct {
	b     Bench
	moves map[board.NetID]move
	first map[board.NetID]float64 // V of every net as the stimulus began
}

// move is how a net changed after the decision.
type move struct {
	from float64 // V when it was made
	to   float64 // V at its furthest from there
	time float64 // s at which it set out
}

// A net has moved when it is further from where it was than leastMove; it set
// out when it was that far, or half of its whole way if that is less. A
// base-emitter voltage is 0.6 V, what leaks through megohms a tenth of that.
const leastMove = 0.15 // V

func newTrace(b Bench, e trial.Entered, nets []board.NetID, since float64) trace {
	tr := trace{b: b, moves: map[board.NetID]move{}, first: map[board.NetID]float64{}}
	from := len(e.Record.Points) - len(nets)
	for i, n := range nets {
		m, ok := moved(e.Record.Times, e.Record.Values[from+i], since, e.Cut+behind)
		if ok {
			tr.moves[n] = m
		}
		if v := e.Record.Values[from+i]; len(v) > 0 {
			tr.first[n] = v[0]
		}
	}
	return tr
}

// tap is the tap that was, before a short drags at it, nearest to where a net was
// before it moved; NoNet if none was nearer than half of the net's way.
func (tr trace) tap(n board.NetID) board.NetID {
	best, m := board.NoNet, tr.moves[n]
	near := math.Abs(m.to-m.from) / 2
	for k := range tr.b.Board.Cells + 1 {
		t := tr.b.Board.Tap(k)
		if v, ok := tr.first[t]; ok && t != n && math.Abs(v-m.from) < near {
			best, near = t, math.Abs(v-m.from)
		}
	}
	return best
}

// behind is how long after the cut nets are still followed, s.
const behind = 20e-6

// moved finds the change of a signal between two times.
func moved(t, v []float64, since, until float64) (move, bool) {
	start := 0
	for start+1 < len(t) && t[start+1] < since {
		start++
	}
	m := move{from: v[start], to: v[start]}
	for j := start; j < len(v) && t[j] <= until; j++ {
		if math.Abs(v[j]-m.from) > math.Abs(m.to-m.from) {
			m.to = v[j]
		}
	}
	far := math.Abs(m.to - m.from)
	if far < leastMove {
		return m, false
	}
	for j := start + 1; j < len(v); j++ {
		if d := math.Abs(v[j] - m.from); d >= math.Min(leastMove, far/2) {
			m.time = t[j]
			return m, true
		}
	}
	return m, false
}

// decision is the flag that led to the cut.
type decision struct {
	part int
	time float64
	what string
}

// decided is the first flag of a protection set before the cut: later ones are
// what the cut itself brought about. The outputs' own switches are no decision.
func decided(b *board.Board, e trial.Entered) (decision, bool) {
	for _, ev := range e.Record.Events {
		flag, sets := strings.CutPrefix(ev.What, rig.Sets)
		if !sets || ev.Time > e.Cut || !protects(flag) {
			continue
		}
		for i := range b.Parts {
			if b.Parts[i].Ref == ev.Part {
				return decision{i, ev.Time, ev.What}, true
			}
		}
	}
	return decision{}, false
}

// protects reports whether a flag is that of a protection: "OV3", "UV", "SC".
func protects(flag string) bool {
	switch strings.TrimRight(flag, "0123456789") {
	case "OV", "UV", "OC", "SC", "COC", "BO":
		return true
	}
	return false
}

// gates are the nets that switch a direction: as the patterns know them, else
// the gates of FETs that moved.
func (tr trace) gates(g *pattern.Graph, labels pattern.Labels, port string) map[board.NetID]bool {
	out := map[board.NetID]bool{}
	for n, ls := range labels {
		for _, l := range ls {
			if l == port+" gate" {
				out[n] = true
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	for i := range g.Board.Parts {
		if k := g.Kind(i); k == catalog.NFET || k == catalog.PFET {
			out[g.Board.Parts[i].Pin("g")] = true
		}
	}
	return out
}

// hop is a part that carries the signal from one net on to another.
type hop struct {
	part     int
	from, to board.NetID
}

// early is by how much a net may set out before the one that moves it, s: a
// sharp edge moves both between two samples.
const early = 1e-6

// way is the shortest way from an output of the part that decided to one of the
// gates, along nets that moved one after the other.
func (tr trace) way(g *pattern.Graph, d decision, gates map[board.NetID]bool) []hop {
	came := map[board.NetID]hop{}
	var queue []board.NetID
	for _, pin := range g.Board.Parts[d.part].Pins {
		if _, ok := tr.moves[pin.Net]; ok && output(pin.Name) {
			came[pin.Net] = hop{d.part, board.NoNet, pin.Net}
			queue = append(queue, pin.Net)
		}
	}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		if gates[n] {
			return back(came, n)
		}
		for _, ref := range g.Pins(n) {
			for _, to := range tr.onward(g, ref.Part, n) {
				if _, ok := came[to]; !ok {
					came[to] = hop{ref.Part, n, to}
					queue = append(queue, to)
				}
			}
		}
	}
	return nil
}

func output(pin string) bool {
	return pin == "do" || pin == "co" || pin == "out" || strings.HasSuffix(pin, "_out")
}

// onward lists the nets that a part carries the signal of net n to: through a
// passive part to its other end, through a transistor to its collector or drain,
// never out of one backwards, through a protector from what it hears of another.
func (tr trace) onward(g *pattern.Graph, part int, n board.NetID) []board.NetID {
	var out []board.NetID
	p := &g.Board.Parts[part]
	for _, pin := range p.Pins {
		m, ok := tr.moves[pin.Net]
		if !ok || pin.Net == n || m.time < tr.moves[n].time-early {
			continue
		}
		switch g.Kind(part) {
		case catalog.StackProtector:
			if !heard(p, n, pin.Name) {
				continue
			}
		case catalog.CellProtector, catalog.Balancer, catalog.Capacitor:
			continue
		case catalog.NPN, catalog.PNP:
			if p.Pin("b") != n && p.Pin("e") != n || pin.Name == "b" {
				continue
			}
		case catalog.NFET, catalog.PFET:
			if pin.Name == "g" {
				continue
			}
		}
		out = append(out, pin.Net)
	}
	return out
}

// heard reports whether a protector says on an output what it hears on net n from
// the one above it.
func heard(p *board.Part, n board.NetID, out string) bool {
	return p.Pin("ctl_d") == n && (out == "do" || out == "do_out") || p.Pin("ctl_c") == n && (out == "co" || out == "co_out")
}

func back(came map[board.NetID]hop, n board.NetID) []hop {
	var out []hop
	for n != board.NoNet {
		h := came[n]
		out = append([]hop{h}, out...)
		n = h.from
	}
	return out
}

// step tells what a hop did.
func (tr trace) step(b Bench, g *pattern.Graph, h hop) Step {
	m := tr.moves[h.to]
	verb := map[bool]string{true: "lifts", false: "pulls down"}[m.to > m.from]
	switch g.Kind(h.part) {
	case catalog.NPN, catalog.PNP, catalog.NFET, catalog.PFET:
	case catalog.CellProtector, catalog.StackProtector, catalog.Balancer:
		verb = map[bool]string{true: "raises", false: "lowers"}[m.to > m.from]
	default:
		verb = "passes on"
	}
	net := b.Board.Nets[h.to].Name
	return Step{
		Time: m.time, At: b.Board.Parts[h.part].Ref, Net: net, Value: m.to, Unit: "V",
		What: fmt.Sprintf("%s %s from %s", verb, net, quantity.Format(m.from, quantity.Voltage, 3)),
	}
}
