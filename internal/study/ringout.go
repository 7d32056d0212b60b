package study

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/quantity"
	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
	"cupel/internal/ringout/session"
	"cupel/internal/ringout/strip"
)

// Ringout opens the ring-out of a dossier: its pads, and its log taken in. Its
// error is *finding.Errors if the texts are wrong or the board has no pads; what
// is wrong with single entries of the log is in the findings.
//
// A page keeps the session and asks the functions below after every entry; they
// change neither. The hash in their answers is that of the dossier's texts, so
// whoever adds entries keeps d.Texts as the log is, or reads the dossier anew.
func Ringout(d *dossier.Dossier, o session.Options) (*session.Session, finding.List, error) {
	if err := d.Findings.Err(); err != nil {
		return nil, nil, err
	}
	sample := Sample(d)
	if err := sample.Check(); err != nil {
		l := finding.List{{Code: BadSample, Level: finding.Error, Place: d.Board.Place, Text: err.Error(), Do: "correct it, then ring out"}}
		return nil, nil, l.Err()
	}
	s, list := session.New(sample, d.Log, o)
	return s, list, nil
}

// BadSample is the code of the finding that a board gives no pads to probe. The
// code never changes its meaning.
const BadSample = "L202"

// Sample is the board of a dossier as the bench sees it: the pads of its parts
// and terminals, where photos show them, and what pads.csv says of places and of
// further pads.
func Sample(d *dossier.Dossier) *ringout.Sample {
	s, _ := strip.Board(d.Board, d.Sheets.Sheet)
	s.Place(photographed(d, s))
	s.Place(d.Pads)
	return s
}

// byHand is the net that board.yaml has for each pad of a sample, empty for none.
func byHand(d *dossier.Dossier, s *ringout.Sample) []string {
	out := make([]string, len(s.Pads))
	_, nets := strip.Board(d.Board, d.Sheets.Sheet)
	for i, n := range nets {
		if n >= 0 {
			out[i] = d.Board.Nets[n].Name
		}
	}
	return out
}

// RingoutNext says what to probe next.
func RingoutNext(d *dossier.Dossier, s *session.Session) answer.RingoutNext {
	a := answer.RingoutNext{
		Head: answer.NewHead("ringout next", d.Board.Name, d.Hash), Ask: "none", Entries: len(s.Log().Active()), Touches: s.Touches(),
	}
	if all := contradictions(s); len(all) > 0 {
		a.Contradiction = &all[0]
	}
	if ask, ok := s.Next(); ok {
		question(&a, s, ask)
		a.Nets = netsOf(d, s, append([]int{ask.A}, ask.B...))
	}
	return a
}

func question(a *answer.RingoutNext, s *session.Session, ask planner.Ask) {
	pads := s.Sample().Pads
	a.Ask, a.A = string(ask.Kind), answer.Text(pads[ask.A].Name)
	for _, b := range ask.B {
		a.Pads = append(a.Pads, pads[b].Name)
	}
	if ask.Kind == ringout.Pair {
		a.B = answer.Text(a.Pads[0])
	}
	a.Stage, a.Because = answer.Text(ask.Stage), answer.Text(ask.Because)
	a.WouldSettle = answer.Whole(ask.Settles)
	if ask.Chance > 0 {
		a.Chance = number(ask.Chance)
	}
}

// netsOf are the nets that pads are on by readings alone, in the order of the pads.
func netsOf(d *dossier.Dossier, s *session.Session, pads []int) answer.List[answer.RungNet] {
	c := s.Copper()
	nets, names := c.Nets(), c.Netlist(byHand(d, s.Sample()))
	var out answer.List[answer.RungNet]
	for _, p := range pads {
		out = append(out, netOf(c, nets, names, p))
	}
	return out
}

// netOf is the net that a pad is on, under the name that it would have; a pad on
// none is called after itself.
func netOf(c *ringout.Copper, nets []ringout.Net, named []ringout.NamedNet, pad int) answer.RungNet {
	for _, n := range nets {
		if n.Root != c.Net(pad) {
			continue
		}
		name := c.Sample().Pads[pad].Name
		for _, x := range named {
			if slices.Contains(x.Roots, n.Root) {
				name = x.Name
			}
		}
		return rungNet(c, ringout.NamedNet{Name: name, Pads: n.Pads, Grade: n.Grade, Because: n.Because, Roots: []int{n.Root}})
	}
	return answer.RungNet{}
}

func rungNet(c *ringout.Copper, n ringout.NamedNet) answer.RungNet {
	out := answer.RungNet{Net: n.Name, Grade: string(n.Grade), Because: n.Because, Pads: padNames(c.Sample(), n.Pads)}
	for _, r := range c.Roots() {
		held := slices.Contains(n.Roots, r)
		for _, own := range n.Roots {
			held = held || c.Opens(own, r) > 0
		}
		if !held {
			out.Untried++
		}
	}
	return out
}

func padNames(s *ringout.Sample, pads []int) answer.List[string] {
	var out answer.List[string]
	for _, p := range pads {
		out = append(out, s.Pads[p].Name)
	}
	return out
}

// contradictions are those of a session, the smallest first: they are told with
// the least to repeat.
func contradictions(s *session.Session) answer.List[answer.Contradiction] {
	var out answer.List[answer.Contradiction]
	for _, x := range s.Copper().Contradictions() {
		out = append(out, answer.Contradiction{
			Readings: x.Readings, Repeat: x.Repeat, Pads: padNames(s.Sample(), x.Pads), Text: x.Text,
		})
	}
	slices.SortStableFunc(out, func(a, b answer.Contradiction) int { return len(a.Readings) - len(b.Readings) })
	return out
}

// How much of long lists a status shows.
const (
	lastEntries = 8
	topSuspects = 12
	plannedRate = 0.05 // of wrong pairs that the plan of re-probes would bound
)

// RingoutStatus says what is known and how well. seed picks the pairs that it
// proposes to probe again at random.
func RingoutStatus(d *dossier.Dossier, s *session.Session, seed uint64) answer.RingoutStatus {
	c := s.Copper()
	named := c.Netlist(byHand(d, s.Sample()))
	a := answer.RingoutStatus{
		Head: answer.NewHead("ringout status", d.Board.Name, d.Hash), Pads: len(s.Sample().Pads),
		Entries: len(s.Log().Active()), Undone: len(s.Log().Undone()), Touches: s.Touches(),
		Contradictions: contradictions(s), Apart: apartPairs(c.Coverage()), Risk: risk(s, seed),
		Differences: sliceDifferences(d, s), ByHand: netlistDifferences(d, s, named), Housing: housing(d, s.Sample()),
	}
	for _, n := range named {
		a.Nets = append(a.Nets, rungNet(c, n))
	}
	for _, p := range c.Suspects(topSuspects) {
		x := answer.Suspect{A: s.Sample().Pads[p.A].Name, B: s.Sample().Pads[p.B].Name}
		if _, ok := c.Distance(c.Net(p.A), c.Net(p.B)); ok {
			x.Distance = number(p.MM)
		}
		a.Suspects = append(a.Suspects, x)
	}
	log := s.Log().Entries
	a.Last = entries(s, log[max(0, len(log)-lastEntries):])
	a.Bounds = leastResistances(s)
	return a
}

func apartPairs(c ringout.Coverage) answer.ApartPairs {
	return answer.ApartPairs{
		Pairs: c.Pairs, Proven: c.Proven, Implied: c.Implied, Assumed: c.Assumed, Open: c.Open, Contradicted: c.Conflicted,
		NetPairs: c.NetPairs, Untried: c.Untried,
	}
}

func risk(s *session.Session, seed uint64) answer.RingoutRisk {
	c := s.Copper()
	k := ringout.Reprobes(plannedRate)
	a := answer.RingoutRisk{
		Words: c.Risk(), Reprobes: k, RateBound: number(ringout.RateBound(k)), Confidence: number(ringout.Confidence),
	}
	if a.Reprobed, a.Differed = c.Reprobed(); a.Reprobed > 0 {
		a.RateReached = number(c.RateReached())
	}
	for _, p := range c.ReprobePlan(k, rand.New(rand.NewPCG(seed, 0))) {
		a.Plan = append(a.Plan, answer.PadPair{A: s.Sample().Pads[p[0]].Name, B: s.Sample().Pads[p[1]].Name})
	}
	return a
}

// leastResistances lists what readings in circuit say of the resistance between two pads.
func leastResistances(s *session.Session) answer.List[answer.ResistanceAtLeast] {
	var out answer.List[answer.ResistanceAtLeast]
	for _, e := range s.Log().Active() {
		if r := s.Rules().Bound(e); e.InCircuit && e.Kind == ringout.Pair && e.Result == ringout.Ohms && r > 0 {
			out = append(out, answer.ResistanceAtLeast{A: e.A, B: e.B[0], AtLeast: number(r), Entry: e.Number})
		}
	}
	return out
}

// housing says where the pads come from.
func housing(d *dossier.Dossier, s *ringout.Sample) answer.RingoutHousing {
	a := answer.RingoutHousing{Parts: len(s.Parts)}
	for i := range d.Board.Parts {
		p := &d.Board.Parts[i]
		sheet, ok := d.Sheets.Sheet(p.Sheet)
		if ok && len(p.Pins) > 2 && len(sheet.Package.Pads) == 0 {
			a.Guessed = append(a.Guessed, p.Ref)
		}
	}
	for i := range s.Pads {
		if s.Pads[i].At != nil {
			a.Positions++
		}
	}
	return a
}

func entries(s *session.Session, log []ringout.Entry) answer.List[answer.RingoutEntry] {
	gone := s.Log().Undone()
	var out answer.List[answer.RingoutEntry]
	for _, e := range log {
		out = append(out, entry(e, gone[e.Number]))
	}
	return out
}

func entry(e ringout.Entry, undone bool) answer.RingoutEntry {
	a := answer.RingoutEntry{
		Number: e.Number, Entry: string(e.Kind), A: answer.Text(e.A), B: e.B, Result: answer.Text(e.Result), InCircuit: e.InCircuit,
		By: answer.Text(e.By), Note: answer.Text(e.Note), Undone: undone,
	}
	switch e.Result {
	case ringout.Ohms:
		a.Value, a.Unit = number(e.Value), "Ω"
	case ringout.Drop:
		a.Value, a.Unit = number(e.Value), "V"
	}
	switch {
	case e.Kind == ringout.Undo:
		a.Undoes = answer.Whole(e.Undoes)
	case e.Reversed:
		a.Red = "b"
	default:
		a.Red = "a"
	}
	return a
}

// RingoutAdded says what entries changed; nets is how many nets there were
// before.
func RingoutAdded(d *dossier.Dossier, s *session.Session, added []ringout.Entry, nets int) answer.RingoutAdd {
	now := len(s.Copper().Roots())
	return answer.RingoutAdd{
		Head: answer.NewHead("ringout add", d.Board.Name, d.Hash), Entries: entries(s, added), Pads: len(s.Sample().Pads),
		Nets: now, Settled: max(0, nets-now), Contradictions: contradictions(s),
	}
}

// RingoutLine is an entry on one line, as it is acknowledged.
func RingoutLine(e ringout.Entry) string {
	if e.Kind == ringout.Undo {
		return fmt.Sprintf("%d undoes %d", e.Number, e.Undoes)
	}
	what := string(e.Result)
	switch e.Result {
	case ringout.Ohms:
		what = quantity.Format(e.Value, quantity.Resistance, 3)
	case ringout.Drop:
		what = quantity.Format(e.Value, quantity.Voltage, 3)
	}
	head := fmt.Sprintf("%d %s", e.Number, e.A)
	if e.Kind != ringout.Pair {
		head = fmt.Sprintf("%d %s %s", e.Number, e.Kind, e.A)
	}
	return fmt.Sprintf("%s – %s %s", head, strings.Join(e.B, " "), what)
}
