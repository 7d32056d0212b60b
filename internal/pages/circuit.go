package pages

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/evidence"
	"cupel/internal/explain/role"
	"cupel/internal/schematic/svg"
	"cupel/internal/study"
)

func circuitPage() *page {
	return &page{
		name: "circuit", place: 40, module: true, styles: true, links: circuitLinks, show: showCircuit,
		keys: []keyText{{"← →", "keys.arrows.part"}, {"↑ ↓", "keys.arrows.net"}, {"+ − 0", "keys.zoom"}, {"Space", "keys.walk"}},
		actions: map[string]action{
			"explain": run(func(v *visit, d *dossier.Dossier) error { v.s.startExplain(d); return nil }),
			"faults":  run(func(v *visit, d *dossier.Dossier) error { v.s.startFaults(d); return nil }),
		},
		files: map[string]func(*visit) error{"sheet.svg": circuitSheet, "sheet.css": circuitStyle, "note": circuitNote, "compute": circuitCompute},
	}
}

func circuitLinks(v *visit) []link {
	d := v.dossier()
	if d == nil {
		return nil
	}
	f := v.facts()
	sure := f.grades[evidence.Proven] + f.grades[evidence.Implied] + f.grades[evidence.Assumed]
	nets := graded(v.T("chain.nets", "known", sure, "all", len(d.Board.Nets)), f.grades)
	parts := v.rolesByDrawing(d)
	roles := map[evidence.Grade]int{}
	for _, p := range parts {
		roles[p.Grade]++
	}
	told := len(parts) - roles[evidence.Unknown]
	return []link{nets, graded(v.T("chain.roles", "known", told, "all", len(parts)), roles)}
}

// rolesByDrawing are the roles that the drawing alone tells.
func (v *visit) rolesByDrawing(d *dossier.Dossier) []role.Part {
	parts, _ := recall(&v.s.memo, figures(d), "roles", func() ([]role.Part, error) {
		if len(d.Board.Parts) == 0 {
			return nil, nil
		}
		return role.Parts(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet}), nil
	})
	return parts
}

// circuit is what its template shows.
type circuit struct {
	Looks    lookForm
	Source   string // of the picture
	Parts    []partRow
	Nets     []netRow
	Steps    []stepRow
	Stimulus string
	Wrong    []answer.Finding // why what was chosen cannot be shown
	Note     *note            // of what is selected
	Pending  bool             // what was chosen is to be computed yet
	Explain  bool             // the faults can be tried
	Tried    bool             // there are worst faults to show
	Levels   bool             // there are levels of nets to show
	Empty    bool
}

// partRow is a part in the table below the sheet.
type partRow struct {
	Ref, What, Role, Grade, GradeWord, Worst string
	Cell                                     string
	Nets                                     string // of its pins, between spaces
	Unplaced                                 bool
}

// netRow is a net in the table below the sheet.
type netRow struct{ Name, Grade, GradeWord, Level, Touch, Pins string }

func showCircuit(v *visit) (string, any, error) {
	d := v.dossier()
	if d == nil || len(d.Board.Parts) == 0 {
		return v.emptyCircuit(d), circuit{Empty: true}, nil
	}
	x := circuit{Looks: v.lookForm(d)}
	look := v.look(d)
	x.Source = "/circuit/sheet.svg?" + look.query().Encode()
	a, have, w := v.explained()
	x.Explain = !have && !w.Running
	_, x.Tried, _ = v.faults()
	x.Parts = v.partRows(d, a)
	levels, err := v.levels(look, d, false)
	x.refused(look.Show == study.ShowVoltages, err)
	x.Nets = v.netRows(d, levels)
	x.Levels = slices.ContainsFunc(x.Nets, func(n netRow) bool { return n.Level != "" })
	if look.Show == study.ShowStory {
		s, err := v.story(look, d, false)
		x.Steps, x.Stimulus = v.stepRows(d, s), string(s.Stimulus)
		x.refused(true, err)
	}
	if at := v.field("at"); at != "" {
		n := v.note(d, at, false)
		x.Note = &n
	}
	return v.circuitFirst(x), x, nil
}

// refused takes down why what was chosen is not shown: it cannot be computed, or
// nobody asked for it yet.
func (x *circuit) refused(chosen bool, err error) {
	switch {
	case errors.Is(err, errUnknown):
		x.Pending = x.Pending || chosen
	case chosen:
		x.Wrong = append(x.Wrong, wrong(err)...)
	}
}

// emptyCircuit says what the sheet lacks.
func (v *visit) emptyCircuit(d *dossier.Dossier) string {
	if d == nil {
		return v.T("circuit.first.none")
	}
	return v.T("circuit.first.empty", "pads", len(d.Board.Pads))
}

// circuitFirst answers what the parts do and what fails unseen.
func (v *visit) circuitFirst(x circuit) string {
	if x.Note != nil && x.Note.Sentence != "" {
		first, _, more := strings.Cut(x.Note.Sentence, ". ")
		if more {
			first += "."
		}
		return first
	}
	told := 0
	for _, p := range x.Parts {
		if p.Role != "" {
			told++
		}
	}
	if f, have, _ := v.faults(); have {
		return v.T("circuit.first.tried", "n", f.Silent, "known", told, "all", len(x.Parts))
	}
	return v.T("circuit.first.drawing", "known", told, "all", len(x.Parts))
}

// partRows lists the parts, with what is known of them by now.
func (v *visit) partRows(d *dossier.Dossier, a answer.Explain) []partRow {
	told := map[string]answer.ExplainedPart{}
	for _, p := range a.Parts {
		told[p.Part] = p
	}
	drawn := map[string]role.Part{}
	for _, p := range v.rolesByDrawing(d) {
		drawn[p.Ref] = p
	}
	worst := v.worst()
	var out []partRow
	for i := range d.Board.Parts {
		p := &d.Board.Parts[i]
		r := partRow{Ref: p.Ref, What: v.Number2(what(d, p)), Nets: strings.Join(netsOf(d.Board, p), " "), Worst: worst[p.Ref]}
		by := drawn[p.Ref]
		r.Role, r.Grade = by.Role, string(by.Grade)
		if by.Cell > 0 {
			r.Cell = v.T("cell", "k", by.Cell)
		}
		if t, ok := told[p.Ref]; ok {
			r.Role, r.Grade = t.Role, t.Grade
		}
		if r.Role == role.Unknown {
			r.Role = ""
		}
		r.Role = v.own(r.Role)
		r.GradeWord = v.T("grade." + cmp.Or(r.Grade, string(evidence.Unknown)))
		out = append(out, r)
	}
	return out
}

// worst is the worst fault of each part, of those that were tried.
func (v *visit) worst() map[string]string {
	out := map[string]string{}
	f, have, _ := v.faults()
	if !have {
		return out
	}
	for _, x := range f.Faults { // the worst come first
		if _, ok := out[x.Part]; !ok && len(x.Lost) > 0 {
			out[x.Part] = v.Number2(x.Fault + ": " + string(x.Text))
		}
	}
	return out
}

// what says what a part is, in a few words.
func what(d *dossier.Dossier, p *board.Part) string {
	text := p.Sheet
	if s, ok := d.Sheets.Sheet(p.Sheet); ok && s.Title != "" {
		text = s.Title
	}
	if p.Sheet == "" || p.Value.Given() {
		text = strings.TrimSpace(string(p.Kind) + " " + p.Value.Text + " " + p.Size)
	}
	return text
}

// netsOf lists the nets of a part's pins, each once.
func netsOf(b *board.Board, p *board.Part) []string {
	var out []string
	for _, pin := range p.Pins {
		if pin.Net == board.NoNet || slices.Contains(out, b.Nets[pin.Net].Name) {
			continue
		}
		out = append(out, b.Nets[pin.Net].Name)
	}
	return out
}

// netRows lists the nets, with their voltages where those are shown.
func (v *visit) netRows(d *dossier.Dossier, levels answer.Voltages) []netRow {
	volts := map[string]answer.NetLevel{}
	for _, l := range levels.Nets {
		volts[l.Net] = l
	}
	var out []netRow
	for i := range d.Board.Nets {
		n := &d.Board.Nets[i]
		r := netRow{Name: n.Name, Grade: string(n.Grade), GradeWord: v.T("grade." + string(n.Grade))}
		if l, ok := volts[n.Name]; ok {
			r.Level, r.Touch = v.level(l), string(l.Touch)
		}
		var pins []string
		for _, x := range n.Pins {
			p := &d.Board.Parts[x.Part]
			pins = append(pins, p.Ref+"."+p.Pins[x.Pin].Name)
		}
		r.Pins = strings.Join(pins, " ")
		out = append(out, r)
	}
	return out
}

// circuitSheet hands out the picture. It has no style: that of the page holds.
func circuitSheet(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	look := v.look(d)
	text, err := recall(&v.s.memo, figures(d), "sheet "+look.query().Encode(), func() (string, error) {
		a, err := study.Draw(v.r.Context(), d, look.view())
		return string(a.SVG), err
	})
	if err != nil {
		for _, f := range wrong(err) {
			return &sorry{http.StatusUnprocessableEntity, v.Sentence(f.Text)}
		}
		return err
	}
	v.w.Header().Set("Content-Type", "image/svg+xml; charset=utf-8")
	_, err = v.w.Write([]byte(text))
	return err
}

// circuitStyle hands out how the picture's things look, in the page's colours.
func circuitStyle(v *visit) error {
	v.w.Header().Set("Content-Type", "text/css; charset=utf-8")
	_, err := v.w.Write([]byte(strings.ReplaceAll(svg.Rules(), ".sheet", "svg.sheet")))
	return err
}
