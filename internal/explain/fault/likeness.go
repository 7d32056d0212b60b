package fault

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// points are the whole board's nets that something hangs on.
func points(b *board.Board) (nets []board.NetID, out []rig.Point) {
	for n := range b.Nets {
		if len(b.Nets[n].Pins) > 0 {
			nets = append(nets, board.NetID(n))
			out = append(out, rig.Point{Kind: rig.NetVolts, Part: b.Nets[n].Name})
		}
	}
	return nets, out
}

// likeness tells how a board with a fault lies beside the whole one. A broken
// lead moves a tap: there is nothing to compare with.
func (t Bench) likeness(whole trial.Whole, faulted *board.Board, f Fault) trial.Likeness {
	if f.Kind == LeadOpen || t.Plain {
		return trial.Likeness{}
	}
	nets, pts := points(t.Board)
	for i, n := range nets {
		pts[i].Part = faulted.Nets[nowOf(t.Board, faulted, f, n)].Name
	}
	return trial.Likeness{Whole: whole, Points: pts, Joined: func(odd []int) (trial.Joints, bool) {
		j := joints{sheets: t.Sheets, nets: nets, odd: map[board.NetID]bool{}}
		for _, i := range odd {
			j.odd[nets[i]] = true
		}
		return j.all(t.Board, faulted, f)
	}}
}

// nowOf is where a net of the whole board is in the faulted one. What hung on the
// faulted part alone is gone; B− stands in for it, since the part's other nets
// are looked at in any case.
func nowOf(whole, faulted *board.Board, f Fault, n board.NetID) board.NetID {
	if len(faulted.Nets[n].Pins) > 0 {
		return n
	}
	if f.Kind == Short || f.Kind == Bridge {
		return whole.Parts[f.Part].Pin(f.Pins[0])
	}
	return whole.Tap(0)
}

// joints finds which nets the odd parts join: those that hang on odd nets, and
// the one that the fault is in.
type joints struct {
	sheets func(string) (*catalog.Sheet, bool)
	nets   []board.NetID
	odd    map[board.NetID]bool
	sets   [][]board.NetID // nets joined by odd parts, odd nets among them
	off    []trial.Off
}

// all lists the nets joined to each other by odd parts, without the odd ones. It
// is false where cells hang on an odd net: they are odd parts then.
func (j *joints) all(whole, faulted *board.Board, f Fault) (trial.Joints, bool) {
	j.part(&whole.Parts[f.Part])
	if f.Kind == Short || f.Kind == Bridge {
		p := &whole.Parts[f.Part]
		j.join(p.Pin(f.Pins[0]), p.Pin(f.Pins[1]))
	}
	for _, b := range []*board.Board{whole, faulted} {
		for n := range j.odd {
			if len(b.Nets[n].Pads) > 0 {
				return trial.Joints{}, false
			}
			for _, ref := range b.Nets[n].Pins {
				j.part(&b.Parts[ref.Part])
			}
		}
	}
	out := trial.Joints{Off: j.off}
	for _, set := range j.sets {
		var g []int
		for i, n := range j.nets {
			if slices.Contains(set, n) && !j.odd[n] {
				g = append(g, i)
			}
		}
		if len(g) > 1 {
			out.Groups = append(out.Groups, g)
		}
	}
	return out, true
}

// forward are what turns a transistor on, as pins of which the first stands above
// the second.
var forward = map[catalog.Kind][][2]string{
	catalog.NPN: {{"b", "e"}, {"b", "c"}}, catalog.PNP: {{"e", "b"}, {"c", "b"}},
	catalog.NFET: {{"g", "s"}, {"s", "d"}}, catalog.PFET: {{"s", "g"}, {"d", "s"}},
}

// part joins what a part joins: all its nets, or none if it is a transistor that
// is off.
func (j *joints) part(p *board.Part) {
	kind, _ := kindOf(p, j.sheets)
	if o, ok := j.transistor(p, forward[kind]); ok {
		j.off = append(j.off, o)
		return
	}
	var nets []board.NetID
	for _, pin := range p.Pins {
		nets = append(nets, pin.Net)
	}
	j.join(nets...)
}

// transistor is a part as one that must stay off; false where it is none, or an
// odd net decides whether it does.
func (j *joints) transistor(p *board.Part, junctions [][2]string) (trial.Off, bool) {
	var out trial.Off
	for _, x := range junctions {
		a, b := j.at(p, x[0]), j.at(p, x[1])
		if a < 0 || b < 0 {
			return out, false
		}
		out.Junctions = append(out.Junctions, [2]int{a, b})
	}
	return out, len(junctions) > 0
}

// at is the index of the net that a pin lies on; −1 for an odd one or none.
func (j *joints) at(p *board.Part, pin string) int {
	n := p.Pin(pin)
	if n == board.NoNet || j.odd[n] {
		return -1
	}
	return slices.Index(j.nets, n)
}

// join makes one set of some nets, and of the sets these are in.
func (j *joints) join(nets ...board.NetID) {
	one := slices.DeleteFunc(nets, func(n board.NetID) bool { return n == board.NoNet })
	j.sets = slices.DeleteFunc(j.sets, func(s []board.NetID) bool {
		touches := slices.ContainsFunc(s, func(n board.NetID) bool { return slices.Contains(one, n) })
		if touches {
			one = append(one, s...)
		}
		return touches
	})
	j.sets = append(j.sets, one)
}
