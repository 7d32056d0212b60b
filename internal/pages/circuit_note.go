package pages

import (
	"context"
	"errors"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/evidence"
	"cupel/internal/explain/role"
	"cupel/internal/finding"
	"cupel/internal/study"
)

// note is what stands in the margin of what is selected: the sentence, because,
// doubt, next.
type note struct {
	Name, Head string
	Net        bool
	Grade      string
	GradeWord  string
	Sentence   string
	Because    []string
	Faults     []faultRow
	Tried      bool // its faults were tried
	Expect     []expected
	State      string // in which it is expected
	Doubt      []string
	Next       string
	Pins       []string // of a net
	Wrong      []answer.Finding
	Near       string // what was probably meant, where there is no such thing
	Missing    bool
}

// faultRow is one fault with what it does.
type faultRow struct {
	Fault, Text    string
	Silent, Unsafe bool
}

// expected is where to touch and what a meter shows there.
type expected struct{ Touch, Net, Level string }

// mostFaults is how many faults a note lists, the worst first.
const mostFaults = 3

// circuitNote hands out the note of a part or net. With try its faults are tried
// first, which takes a second or two.
func circuitNote(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	n := v.note(d, v.field("at"), v.field("try") != "")
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	return v.s.shown["circuit"].ExecuteTemplate(v.w, "circuit-note", view{visit: v, Name: "circuit", Token: v.s.token, Data: circuit{Note: &n}})
}

// note is what is known of a part, pad or net.
func (v *visit) note(d *dossier.Dossier, at string, try bool) note {
	if p, ok := d.Board.Part(at); ok {
		return v.partNote(d, p, try)
	}
	if ref, _, ok := strings.Cut(at, "."); ok { // a pin: "U3.2"
		if p, ok := d.Board.Part(ref); ok {
			return v.partNote(d, p, try)
		}
	}
	id := d.Board.Net(at)
	if p, ok := d.Board.Pad(at); ok {
		id = p.Net
	}
	if id != board.NoNet {
		return v.netNote(d, id, try)
	}
	return note{Name: at, Missing: true, Near: finding.Nearest(at, names(d.Board))}
}

// names lists what can be gone to.
func names(b *board.Board) []string {
	var out []string
	for i := range b.Parts {
		out = append(out, b.Parts[i].Ref)
	}
	for i := range b.Nets {
		out = append(out, b.Nets[i].Name)
	}
	for i := range b.Pads {
		out = append(out, b.Pads[i].Name)
	}
	return out
}

func (v *visit) partNote(d *dossier.Dossier, p *board.Part, try bool) note {
	n := note{Name: p.Ref, Head: what(d, p)}
	told, faults := v.partAnswers(d, p.Ref, try, &n)
	for _, x := range v.rolesByDrawing(d) {
		if x.Ref == p.Ref && told == nil {
			n.fromDrawing(v, x)
		}
	}
	if told != nil {
		n.fromAnswer(v, *told)
	}
	for _, f := range faults {
		if len(n.Faults) < mostFaults && (len(f.Lost) > 0 || len(f.Changed) > 0) {
			n.Faults = append(n.Faults, faultRow{Fault: f.Fault, Text: f.Text, Silent: f.Silent && len(f.Lost) > 0, Unsafe: !f.Safe})
		}
	}
	n.Expect = v.expectAt(d, netsOf(d.Board, p), try, &n)
	if s, ok := d.Sheets.Sheet(p.Sheet); ok && s.Generic {
		n.Doubt = append(n.Doubt, v.T("note.generic", "sheet", p.Sheet))
	}
	if weak := weakest(d.Board, p); weak != "" {
		n.Doubt = append(n.Doubt, v.T("note.nets."+weak))
	}
	return n
}

// partAnswers are the explanation and the faults of a part: of the whole board
// where those were computed, else of the part alone.
func (v *visit) partAnswers(d *dossier.Dossier, ref string, try bool, n *note) (*answer.ExplainedPart, []answer.Fault) {
	var told *answer.ExplainedPart
	a, have, _ := v.explained()
	if !have {
		a, have = v.explainOne(d, ref, try, n)
	}
	for i := range a.Parts {
		if have && a.Parts[i].Part == ref {
			told = &a.Parts[i]
		}
	}
	f, tried, _ := v.faults()
	if !tried {
		f, tried = v.faultsOfOne(d, ref, try, n)
	}
	n.Tried = tried
	var own []answer.Fault
	for _, x := range f.Faults {
		if x.Part == ref {
			own = append(own, x)
		}
	}
	return told, own
}

func (v *visit) explainOne(d *dossier.Dossier, ref string, try bool, n *note) (answer.Explain, bool) {
	if !try {
		a, err := known[answer.Explain](&v.s.memo, figures(d), "explain "+ref)
		return a, err == nil
	}
	a, err := recall(&v.s.memo, figures(d), "explain "+ref, func() (answer.Explain, error) {
		return study.Explain(context.WithoutCancel(v.r.Context()), d, ref, v.s.runner(nil), &v.s.outcomes)
	})
	n.Wrong = append(n.Wrong, wrong(err)...)
	return a, err == nil
}

func (v *visit) faultsOfOne(d *dossier.Dossier, ref string, try bool, n *note) (answer.Faults, bool) {
	if !try || len(n.Wrong) > 0 {
		a, err := known[answer.Faults](&v.s.memo, figures(d), "faults "+ref)
		return a, err == nil
	}
	a, err := recall(&v.s.memo, figures(d), "faults "+ref, func() (answer.Faults, error) {
		return study.Faults(context.WithoutCancel(v.r.Context()), d, ref, v.s.runner(nil), &v.s.outcomes)
	})
	n.Wrong = append(n.Wrong, wrong(err)...)
	return a, err == nil
}

// fromDrawing takes what the drawing alone says.
func (n *note) fromDrawing(v *visit, p role.Part) {
	n.Grade, n.GradeWord = string(p.Grade), v.T("grade."+string(p.Grade))
	n.Sentence, n.Next = p.Sentence, p.Ask
	if p.Role == role.Unknown {
		n.Grade, n.GradeWord = string(evidence.Unknown), v.T("grade.unknown")
	}
	for _, e := range p.Evidence {
		n.Because = append(n.Because, v.T("evidence."+e.Kind, "what", e.Ref))
	}
}

// fromAnswer takes what drawing and experiment say together.
func (n *note) fromAnswer(v *visit, p answer.ExplainedPart) {
	n.Grade, n.GradeWord = p.Grade, v.T("grade."+p.Grade)
	n.Sentence, n.Next = p.Sentence, string(p.Ask)
	for _, e := range p.Evidence {
		n.Because = append(n.Because, v.T("evidence."+e.Kind, "what", e.Ref))
	}
	if p.Reason != "" {
		n.Because = append(n.Because, v.T("evidence.reason", "what", string(p.Reason)))
	}
}

// netNote is the note of a net: how well it is known, what is on it, what a meter
// shows.
func (v *visit) netNote(d *dossier.Dossier, id board.NetID, try bool) note {
	net := &d.Board.Nets[id]
	n := note{Name: net.Name, Net: true, Grade: string(net.Grade), GradeWord: v.T("grade." + string(net.Grade))}
	for _, x := range net.Pins {
		p := &d.Board.Parts[x.Part]
		n.Pins = append(n.Pins, p.Ref+"."+p.Pins[x.Pin].Name)
	}
	for _, i := range net.Pads {
		n.Pins = append(n.Pins, d.Board.Pads[i].Name)
	}
	n.Sentence = v.T("note.net", "net", net.Name, "n", len(n.Pins))
	if net.Note != "" {
		n.Because = append(n.Because, net.Note)
	}
	if net.Grade != evidence.Proven {
		n.Doubt = append(n.Doubt, v.T("note.net."+string(net.Grade)))
		n.Next = v.T("note.net.next")
	}
	n.Expect = v.expectAt(d, []string{net.Name}, try, &n)
	n.Tried = len(n.Expect) > 0 || try
	return n
}

// expectAt is where to touch nets and what a meter shows in the state chosen.
// Without try it computes nothing.
func (v *visit) expectAt(d *dossier.Dossier, nets []string, try bool, n *note) []expected {
	l := v.look(d)
	if l.Show != study.ShowVoltages {
		l.State, l.Cell = restStates[0], 0
	}
	a, err := v.levels(l, d, try)
	if err != nil {
		if !errors.Is(err, errUnknown) {
			n.Wrong = wrong(err)
		}
		return nil
	}
	n.State = v.stateName(l)
	var out []expected
	for _, name := range nets {
		for _, x := range a.Nets {
			if x.Net == name {
				out = append(out, expected{string(x.Touch), name, v.level(x)})
			}
		}
	}
	return out
}

// weakest is the grade of the least known net of a part, empty where all are
// proven.
func weakest(b *board.Board, p *board.Part) string {
	order := []evidence.Grade{evidence.Contradicted, evidence.Unknown, evidence.Assumed, evidence.Implied}
	for _, g := range order {
		for _, pin := range p.Pins {
			if pin.Net != board.NoNet && b.Nets[pin.Net].Grade == g {
				return string(g)
			}
		}
	}
	return ""
}
