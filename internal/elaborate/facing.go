package elaborate

import (
	"slices"
	"strings"

	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// directions reports a port whose FETs can block neither discharging nor
// charging as it should.
func (w *work) directions() {
	w.parallel()
	top, ok := w.c.NodeOf[w.board.Tap(w.board.Cells)]
	w.through("P-", 0)
	w.through("P+", top)
	for _, name := range []string{"discharge", "charge"} {
		if w.hasBank(name) {
			continue
		}
		pads := map[string][]string{"discharge": {"P-", "P+"}, "charge": {"C-", "C+"}}[name]
		w.facing(name, false, 0, pads[0], "P-")
		if ok {
			w.facing(name, true, top, pads[1], "P+")
		}
	}
}

// through reports a load pad that the current cannot reach.
func (w *work) through(pad string, from circuit.Node) {
	to, ok := w.padNode(pad)
	if ok && to != from && len(w.ways(from, to)) == 0 {
		p, _ := w.board.Pad(pad)
		w.warn(NoPath, p.Place, "look the net of the pad, and of the FETs between, up again",
			"nothing below %g Ω and no FET leads from net %s to pad %s on net %s", lowOhms, w.c.Nodes[from], pad, w.c.Nodes[to])
	}
}

// facing reports FETs on the ways to a port of which none can block the
// direction. Where they stand in series, or the port is for that direction
// alone, one of them must be backwards; else the board may do without.
func (w *work) facing(name string, high bool, from circuit.Node, own, shared string) {
	to, separate := w.padNode(own)
	if separate = separate && own != shared; !separate {
		var ok bool
		if to, ok = w.padNode(shared); !ok {
			return
		}
	}
	if other, ok := w.padNode(map[string]string{"P-": "C-", "P+": "C+"}[own]); ok && other != to {
		separate = true
	}
	refs, hops := w.fetsOnWays(from, to)
	if to == from || len(refs) == 0 {
		return
	}
	say := w.warn
	if hops > 1 || separate {
		say = w.fail
	}
	p, _ := w.board.Part(refs[0])
	say(Backwards, p.Place, "look at drain and source of these FETs again",
		"nothing can block %s: between nets %s and %s every FET faces the other way (%s)",
		doing[name], w.c.Nodes[from], w.c.Nodes[to], strings.Join(refs, ", "))
}

var doing = map[string]string{"discharge": "discharging", "charge": "charging"}

// fetsOnWays names the FETs on the ways between two nodes, and counts the
// pairs of nodes between which they lie.
func (w *work) fetsOnWays(from, to circuit.Node) (refs []string, hops int) {
	for _, way := range w.ways(from, to) {
		for h := range len(way) - 1 {
			fresh := false
			for _, i := range w.fetsBetween(way[h], way[h+1]) {
				if ref := w.board.Parts[i].Ref; !slices.Contains(refs, ref) {
					refs, fresh = append(refs, ref), true
				}
			}
			if fresh {
				hops++
			}
		}
	}
	return refs, hops
}

// parallel reports FETs side by side in a bank that face opposite ways.
func (w *work) parallel() {
	for _, b := range w.c.Banks {
		for _, i := range w.fetsBetween(b.Source, b.Drain) {
			if w.node(i, "s") != b.Source && w.kind(i) == w.kindOfBank(b) {
				w.fail(Backwards, w.board.Parts[i].Place, "exchange its drain and source, or look at the others again",
					"FET %s faces the other way than those beside it between nets %s and %s",
					w.board.Parts[i].Ref, w.c.Nodes[b.Source], w.c.Nodes[b.Drain])
			}
		}
	}
}

func (w *work) kindOfBank(b Bank) catalog.Kind {
	if len(b.FETs) > 0 && b.FETs[0].Params().Polarity == device.P {
		return catalog.PFET
	}
	return catalog.NFET
}
