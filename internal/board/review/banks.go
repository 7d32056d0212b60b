package review

import (
	"fmt"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// bank is FETs of one type between one drain and one source. Their gates may
// be apart: each often has a resistor of its own.
type bank struct {
	kind          catalog.Kind
	drain, source board.NetID
	parts         []int
	count         int
}

// banksIn lists the banks of heavy current: those with drain and source on the
// way from the cells to a port.
func (v *view) banksIn(p port) []bank {
	pad, _ := v.Pad(p.pad)
	from := v.Tap(p.tap)
	var out []bank
	if from == board.NoNet {
		return nil
	}
	for _, b := range v.allBanks() {
		if v.between(b, from, pad.Net) {
			out = append(out, b)
		}
	}
	return out
}

func (v *view) allBanks() []bank {
	var out []bank
	for i := range v.Parts {
		p := &v.Parts[i]
		if !v.is(i, catalog.NFET, catalog.PFET) {
			continue
		}
		b := bank{kind: v.sheets[i].Kind, drain: p.Pin("d"), source: p.Pin("s")}
		if b.drain == board.NoNet || b.source == board.NoNet || b.drain == b.source {
			continue
		}
		at := slices.IndexFunc(out, func(o bank) bool {
			return o.kind == b.kind && o.drain == b.drain && o.source == b.source
		})
		if at < 0 {
			at = len(out)
			out = append(out, b)
		}
		out[at].parts = append(out[at].parts, i)
		out[at].count += p.Count
	}
	return out
}

// between reports whether the bank lies on the way: one of its ends reaches the
// cells without it, the other the port.
func (v *view) between(b bank, from, to board.NetID) bool {
	reach := func(end, goal board.NetID) bool { return v.joinedWithout(end, goal, b) }
	return reach(b.drain, from) && reach(b.source, to) && !reach(b.drain, to) ||
		reach(b.source, from) && reach(b.drain, to) && !reach(b.source, to)
}

// joinedWithout is joined, with the bank's own parts taken out.
func (v *view) joinedWithout(a, c board.NetID, b bank) bool {
	w := *v
	w.sheets = slices.Clone(v.sheets)
	for i := range v.Parts {
		p := &v.Parts[i]
		ends := []board.NetID{p.Pin("d"), p.Pin("s")}
		if v.is(i, catalog.NFET, catalog.PFET) && slices.Contains(ends, b.drain) && slices.Contains(ends, b.source) {
			w.sheets[i] = nil
		}
	}
	return w.joined(a, c, true)
}

// banks is the rule of [BanksUnequal] and [BanksAlike].
func banks(v *view) {
	for _, p := range v.ports() {
		list := v.banksIn(p)
		if len(list) < 2 {
			continue
		}
		a, b := list[0], list[1]
		if v.outward(a, p) == v.outward(b, p) {
			v.report(BanksAlike, finding.Error, v.Parts[b.parts[0]].Place, "look whether drain and source of one bank are exchanged",
				"the banks %s and %s in the way to %s block the same direction", v.refs(a), v.refs(b), p.pad)
		}
		if x, y := v.made(a), v.made(b); x != y {
			v.report(BanksUnequal, finding.Warning, v.Parts[b.parts[0]].Place, "count the FETs again; if it is so, the smaller bank sets the current",
				"the banks in the way to %s differ: %s is %s, %s is %s", p.pad, v.refs(a), x, v.refs(b), y)
		}
	}
}

// outward reports whether the bank's body diodes point to the port: those of an
// N-channel FET lead from source to drain.
func (v *view) outward(b bank, p port) bool {
	pad, _ := v.Pad(p.pad)
	return v.joinedWithout(b.drain, pad.Net, b) == (b.kind == catalog.NFET)
}

// made says what a bank is made of: "2 × nfet-40v-6m".
func (v *view) made(b bank) string {
	s := ""
	for _, i := range b.parts {
		if name := v.Parts[i].Sheet; s == "" || s == name {
			s = name
		} else {
			s = "mixed FETs"
		}
	}
	return fmt.Sprintf("%d × %s", b.count, s)
}

func (v *view) refs(b bank) string {
	s := v.Parts[b.parts[0]].Ref
	if len(b.parts) > 1 {
		s += "…" + v.Parts[b.parts[len(b.parts)-1]].Ref
	}
	return s
}

// orientation is the rule of [FETReversed]: the larger group is taken to be
// right.
func orientation(v *view) {
	all := v.allBanks()
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.kind != b.kind || a.drain != b.source || a.source != b.drain {
				continue
			}
			wrong, right := b, a
			if a.count < b.count {
				wrong, right = a, b
			}
			v.report(FETReversed, finding.Error, v.Parts[wrong.parts[0]].Place, "exchange its nets of d and s, or ring them out again",
				"%s has drain and source the other way round than %s, which lies between the same nets", v.refs(wrong), v.refs(right))
		}
	}
}
