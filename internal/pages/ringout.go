package pages

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/evidence"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
	"cupel/internal/study"
)

func ringoutPage() *page {
	return &page{
		name: "ringout", place: 10, module: true, styles: true, links: ringoutLinks, show: showRingout,
		keys: []keyText{
			{"c · o", "keys.beep"},
			{"0…9 > OL", "keys.value"},
			{"Enter", "keys.enter"},
			{"s · b", "keys.many"},
			{"r · n", "keys.again"},
			{"← ↑ → ↓", "keys.photo"},
		},
		actions: map[string]action{
			"enter": {do: ringEnter}, "strike": {do: ringStrike}, "later": {do: ringLater}, "apply": {do: ringApply},
			"photo": {do: photoTake, limit: photoLimit}, "place": {do: photoPlace}, "remove": {do: photoRemove},
		},
		files: map[string]func(*visit) error{"tile": photoTile, "ground": photoGround, "pads": ringPads},
	}
}

func ringoutLinks(v *visit) []link {
	f, d := v.facts(), v.dossier()
	out := []link{{Text: v.T("chain.photos", "n", len(v.State.Photos)), Proven: part(min(len(v.State.Photos), 2), 2)}}
	if d == nil {
		return out
	}
	pads, placed := f.pads, f.placed
	nets := len(d.Board.Nets)
	return append(out,
		link{Text: v.T("chain.pads", "n", pads), Proven: part(placed, pads)},
		link{Text: v.T("chain.beeps", "n", f.beeps), Proven: part(f.grades[evidence.Proven], nets)},
	)
}

// ringBench is what the template of the ring-out shows.
type ringBench struct {
	Empty    bool
	Parts    int // of the board
	Unhoused []string
	Question question
	Clash    *answer.Contradiction
	Nets     []answer.RungNet // of the pads that are asked for
	Last     []entryRow
	Done     coverage
	Pads     string // tells apart which pads there are to type by name
	Wrong    []answer.Finding
	Photos   photoView
	Now      string
}

// question is what to touch next.
type question struct {
	Kind    string // pair, sweep, bridge, none
	A, B    string
	Pads    []string // all but A
	Because string
	Settles int
	Chance  string
	Asked   bool // by the person, not by the plan
}

// entryRow is one entry of the strip.
type entryRow struct {
	Number  int
	Text    string
	Undone  bool
	Restore int // the entry that undid it, to be undone in turn
}

// coverage says how far the ring-out is.
type coverage struct {
	Pads, Nets, Entries, Touches           int
	Pairs, Proven, Implied, Assumed, Open_ int
	Contradictions                         int
	ByHand                                 int // pins where readings differ from board.yaml
}

// lastShown is how many entries the strip has.
const lastShown = 8

func showRingout(v *visit) (string, any, error) {
	d := v.ringDossier()
	if d == nil {
		return v.T("ringout.first.none"), ringBench{Empty: true}, nil
	}
	var x ringBench
	err := v.s.rings.with(d, func(s *session.Session) error {
		x = v.benchOf(d, s)
		return nil
	})
	x.Photos = v.photoView(d)
	if err != nil {
		x = ringBench{Empty: true, Parts: len(d.Board.Parts), Photos: x.Photos}
		x.Wrong = wrong(err)
		return v.T("ringout.first.empty"), x, nil
	}
	return v.ringFirst(x), x, nil
}

// ringFirst is the question, in the words of the bench.
func (v *visit) ringFirst(x ringBench) string {
	q := x.Question
	switch {
	case x.Clash != nil:
		return v.clash(x.Clash)
	case q.Kind == string(ringout.Pair):
		return v.T("ringout.ask.pair", "a", q.A, "b", q.B)
	case q.Kind == string(ringout.Sweep):
		return v.T("ringout.ask.sweep", "a", q.A, "b", v.List(q.Pads))
	case q.Kind == string(ringout.Bridge):
		return v.T("ringout.ask.bridge", "a", q.A, "b", v.List(q.Pads))
	}
	return v.T("ringout.ask.none", "nets", x.Done.Nets)
}

// clash is a contradiction with what to repeat.
func (v *visit) clash(c *answer.Contradiction) string {
	var all []string
	for _, n := range c.Readings {
		all = append(all, v.T("number", "n", n))
	}
	first := ""
	if len(c.Repeat) > 0 {
		first = v.T("number", "n", c.Repeat[0])
	}
	return v.T("ringout.clash", "all", v.List(all), "first", first)
}

// ringPads hands out the names of the pads, which are many and seldom others.
func ringPads(v *visit) error {
	d := v.ringDossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	names := []string{}
	err := v.s.rings.with(d, func(s *session.Session) error {
		for i := range s.Sample().Pads {
			names = append(names, s.Sample().Pads[i].Name)
		}
		return nil
	})
	if err != nil {
		return v.refusal(err)
	}
	return v.json(http.StatusOK, names)
}

func (v *visit) benchOf(d *dossier.Dossier, s *session.Session) ringBench {
	next := study.RingoutNext(d, s)
	x := ringBench{Clash: next.Contradiction, Nets: next.Nets, Parts: len(d.Board.Parts)}
	x.Question = question{
		Kind: next.Ask, A: string(next.A), Pads: next.Pads, B: string(next.B), Because: string(next.Because),
	}
	if next.WouldSettle != nil {
		x.Question.Settles = *next.WouldSettle
	}
	v.repeat(&x, s)
	v.asked(&x, s)
	if x.Question.Asked || x.Clash != nil {
		x.Nets = study.NetsOf(d, s, append([]string{x.Question.A}, x.Question.Pads...)...)
	}
	x.Last = v.strip(s)
	c := s.Copper().Coverage()
	x.Done = coverage{
		Pads: len(s.Sample().Pads), Nets: len(s.Copper().Roots()), Entries: next.Entries, Touches: next.Touches,
		Pairs: c.Pairs, Proven: c.Proven, Implied: c.Implied, Assumed: c.Assumed, Open_: c.Open, Contradictions: len(s.Copper().Contradictions()),
	}
	x.Pads = touched(d)
	for i := range d.Board.Parts {
		p := &d.Board.Parts[i]
		if sheet, ok := d.Sheets.Sheet(p.Sheet); ok && len(p.Pins) > 2 && len(sheet.Package.Pads) == 0 {
			x.Unhoused = append(x.Unhoused, p.Ref)
		}
	}
	return x
}

// repeat makes the reading that a contradiction hangs on the question.
func (v *visit) repeat(x *ringBench, s *session.Session) {
	if x.Clash == nil || len(x.Clash.Repeat) == 0 {
		return
	}
	for _, e := range s.Log().Entries {
		if e.Number == x.Clash.Repeat[0] {
			x.Question = question{Kind: string(e.Kind), A: e.A, Pads: e.B, Because: x.Clash.Text}
			if e.Kind == ringout.Pair {
				x.Question.B = e.B[0]
			}
		}
	}
}

// asked makes a pair that the person named the question.
func (v *visit) asked(x *ringBench, s *session.Session) {
	a, b := v.field("a"), v.field("b")
	if a == "" || b == "" || a == b || s.Sample().Known(a) != nil || s.Sample().Known(b) != nil {
		return
	}
	x.Clash = nil
	x.Question = question{Kind: string(ringout.Pair), A: a, B: b, Pads: []string{b}, Because: v.T("ringout.asked"), Asked: true}
}

// strip are the last entries, the newest first; what was undone stays, struck
// out.
func (v *visit) strip(s *session.Session) []entryRow {
	log := s.Log()
	undoneBy := map[int]int{}
	gone := log.Undone()
	for _, e := range log.Entries {
		if e.Kind == ringout.Undo && !gone[e.Number] {
			undoneBy[e.Undoes] = e.Number
		}
	}
	var out []entryRow
	for _, e := range slices.Backward(log.Entries) {
		if e.Kind == ringout.Undo {
			continue
		}
		if out = append(out, entryRow{Number: e.Number, Text: v.entryText(e), Undone: gone[e.Number], Restore: undoneBy[e.Number]}); len(out) == lastShown {
			break
		}
	}
	return out
}

// entryText is an entry on one line: "U3.2 – R11.1 connected".
func (v *visit) entryText(e ringout.Entry) string {
	result := v.T("result." + string(e.Result))
	switch e.Result {
	case ringout.Ohms:
		result = v.ohms(e.Value)
	case ringout.Drop:
		result = v.volts(e.Value)
	}
	return v.T("ringout.entry."+string(e.Kind), "a", e.A, "b", strings.Join(e.B, " "), "result", result)
}

// ShareOf is n of all in percent, rounded.
func (l *language) ShareOf(n, all int) string {
	return l.T("percent", "n", int(100*part(n, cmp.Or(all, 1))+0.5))
}
