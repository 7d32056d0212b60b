package study

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/dossier"
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
)

// The codes of the findings about writing the nets into board.yaml. A code never
// changes its meaning.
const (
	SplitPin    = "L301" // the pads of one pin are on different nets
	NotParallel = "L302" // parts that board.yaml has as several in parallel do not lie so
	NotWritten  = "L303" // the text could not be edited in place
)

// RingoutApply puts the nets that the readings show into the text of board.yaml,
// in place, and returns it. The text is nil while an error finding stands: then
// nothing may be written.
func RingoutApply(d *dossier.Dossier, s *session.Session) (answer.RingoutApply, []byte) {
	c := s.Copper()
	named := c.Netlist(byHand(d, s.Sample()))
	netOf := netOfPads(named, len(s.Sample().Pads))
	a := answer.RingoutApply{
		Head:        answer.NewHead("ringout apply", d.Board.Name, d.Hash),
		Differences: netlistDifferences(d, s, named),
	}
	for _, n := range named {
		a.Nets = append(a.Nets, rungNet(c, n))
	}
	if l := unwritable(d, s.Sample(), netOf); l.Has(finding.Error) {
		a.Findings = Findings(l)
		return a, nil
	}
	old := d.Texts[boardfile.Name]
	now, err := rewrite(old, rung(d, s.Sample(), netOf, named))
	if err != nil {
		a.Findings = Findings(finding.List{{
			Code: NotWritten, Level: finding.Error, Place: finding.Place{File: boardfile.Name}, Text: err.Error(),
			Do: "write the entry that it names as one plain line, then apply again",
		}})
		return a, nil
	}
	a.Changed = !bytes.Equal(old, now)
	after := reread(d, now)
	a.Findings = Findings(append(slices.Clone(after.Findings), after.Review()...))
	return a, now
}

func reread(d *dossier.Dossier, boardText []byte) *dossier.Dossier {
	texts := maps.Clone(d.Texts)
	texts[boardfile.Name] = boardText
	return dossier.OfTexts(texts)
}

// unwritable lists what the readings show and board.yaml has no words for.
func unwritable(d *dossier.Dossier, s *ringout.Sample, netOf []string) finding.List {
	var list finding.List
	pads := padsOfPins(s)
	for i := range d.Board.Parts {
		p := &d.Board.Parts[i]
		for k := range max(1, p.Count) {
			for _, pin := range p.Pins {
				own, first := pads[pinOf{unit(p, k), pin.Name}], pads[pinOf{unit(p, 0), pin.Name}]
				if len(own) == 0 || len(first) == 0 {
					continue
				}
				if j := otherNet(netOf, own, netOf[own[0]]); j >= 0 {
					list.Add(splitPin(p, s, own[0], j, netOf))
				} else if netOf[own[0]] != netOf[first[0]] {
					list.Add(notParallel(p, s, first[0], own[0], netOf))
				}
			}
		}
	}
	return list
}

// otherNet is the first of the pads that is not on a net, −1 if all are.
func otherNet(netOf []string, pads []int, net string) int {
	for _, x := range pads {
		if netOf[x] != net {
			return x
		}
	}
	return -1
}

func splitPin(p *board.Part, s *ringout.Sample, a, b int, netOf []string) finding.Finding {
	return finding.Finding{
		Code: SplitPin, Level: finding.Error, Place: p.Place,
		Text: fmt.Sprintf("%s is on %s and %s on %s, but both are pin %s of %s", s.Pads[a].Name, orNothing(netOf[a]),
			s.Pads[b].Name, orNothing(netOf[b]), s.Pads[a].Pin, p.Ref),
		Do: fmt.Sprintf("probe %s against %s again; if they are apart, the sheet's package is not that of this part", s.Pads[a].Name, s.Pads[b].Name),
	}
}

func notParallel(p *board.Part, s *ringout.Sample, a, b int, netOf []string) finding.Finding {
	return finding.Finding{
		Code: NotParallel, Level: finding.Error, Place: p.Place,
		Text: fmt.Sprintf("the %d parts of %s do not lie in parallel: %s is on %s, %s on %s", p.Count, p.Ref,
			s.Pads[a].Name, orNothing(netOf[a]), s.Pads[b].Name, orNothing(netOf[b])),
		Do: fmt.Sprintf("probe %s against %s again; if they are apart, write the parts one a line", s.Pads[a].Name, s.Pads[b].Name),
	}
}

func orNothing(net string) string {
	if net == "" {
		return "nothing"
	}
	return "net " + net
}

// rewrite puts the nets of b into the text of the board: pins, pads, grades.
func rewrite(src []byte, b *board.Board) ([]byte, error) {
	var list finding.List
	root := text.Parse(boardfile.Name, src, &list).Root()
	w := writer{board: b, pads: root.Get("pads").Map(), parts: root.Get("parts").Map(), nets: root.Get("nets")}
	w.writePads()
	for i := range b.Parts {
		w.writePart(&b.Parts[i])
	}
	w.writeGrades()
	return w.apply(src)
}

// writer collects the edits of one text.
type writer struct {
	board       *board.Board
	pads, parts text.Map
	nets        text.Value

	set    []text.Edit
	insert []text.Edit
	pinned []text.Edit // insertions of pins, one a part
	remove [][]string
	grades []string // lines of a section of nets that is not there yet
}

func (w *writer) net(n board.NetID) string {
	if n == board.NoNet {
		return boardfile.Nothing
	}
	return w.board.Nets[n].Name
}

// change sets a value that is another now.
func (w *writer) change(v text.Value, path []string, now string) {
	if was := strings.TrimSpace(v.Text()); was != now && !(was == "" && now == boardfile.Nothing) {
		w.set = append(w.set, text.Edit{Path: path, Value: now})
	}
}

func (w *writer) writePads() {
	written := map[string]bool{}
	w.pads.Each(func(key, net text.Value) {
		name := strings.ReplaceAll(key.Text(), "−", "-")
		if p, ok := w.board.Pad(name); ok {
			written[name] = true
			w.change(net, []string{"pads", key.Text()}, w.net(p.Net))
		}
	})
	for _, p := range w.board.Pads {
		if !written[p.Name] && p.Net != board.NoNet {
			w.insert = append(w.insert, text.Edit{Path: []string{"pads", p.Name}, Value: text.Scalar(w.net(p.Net))})
		}
	}
}

func (w *writer) writePart(p *board.Part) {
	part := w.parts.Get(p.Ref).Map()
	path := []string{"parts", p.Ref, "pins"}
	if !part.Has("pins") {
		if pins := w.pins(p); pins != "" {
			w.pinned = append(w.pinned, text.Edit{Path: path, Value: pins})
		}
		return
	}
	pins := part.Get("pins")
	for i := range p.Pins {
		pin := &p.Pins[i]
		if pins.IsList() {
			w.change(pins.List()[i], append(slices.Clone(path), strconv.Itoa(i)), w.net(pin.Net))
		} else {
			w.change(pins.Map().Get(pin.Name), append(slices.Clone(path), pin.Name), w.net(pin.Net))
		}
	}
}

// pins writes all pins of a part that has none in the text; empty while none of
// them is on a net.
func (w *writer) pins(p *board.Part) string {
	var words []string
	wired := false
	for _, pin := range p.Pins {
		wired = wired || pin.Net != board.NoNet
		s := text.Scalar(w.net(pin.Net))
		if p.Sheet != "" {
			s = text.Scalar(pin.Name) + ": " + s
		}
		words = append(words, s)
	}
	switch {
	case !wired:
		return ""
	case p.Sheet != "":
		return "{" + strings.Join(words, ", ") + "}"
	}
	return "[" + strings.Join(words, ", ") + "]"
}

// writeGrades writes how far each net is known. What is assumed and has no note
// need not be said.
func (w *writer) writeGrades() {
	kept := map[string]bool{}
	section := w.nets.Map()
	for i := range w.board.Nets {
		n := &w.board.Nets[i]
		if n.Grade == evidence.Assumed && n.Note == "" && !section.Has(n.Name) {
			continue
		}
		kept[n.Name] = true
		value := "{grade: " + string(n.Grade)
		if n.Note != "" {
			value += ", note: " + text.Scalar(n.Note)
		}
		w.grade(section, n, value+"}")
	}
	for _, name := range section.Keys() {
		if !kept[name] {
			w.remove = append(w.remove, []string{"nets", name})
		}
	}
}

func (w *writer) grade(section text.Map, n *board.Net, line string) {
	path := []string{"nets", n.Name}
	switch {
	case !w.nets.Given():
		w.grades = append(w.grades, "  "+text.Scalar(n.Name)+": "+line)
	case !section.Has(n.Name):
		w.insert = append(w.insert, text.Edit{Path: path, Value: line})
	default:
		m := section.Get(n.Name).Map()
		w.change(m.Get("grade"), append(slices.Clone(path), "grade"), string(n.Grade))
		switch note := append(slices.Clone(path), "note"); {
		case m.Has("note") && !strings.HasPrefix(m.Get("note").Text(), noteOfRingout): // somebody's own words
		case m.Has("note") && n.Note != "":
			w.change(m.Get("note"), note, n.Note)
		case m.Has("note"):
			w.remove = append(w.remove, note)
		case n.Note != "":
			w.insert = append(w.insert, text.Edit{Path: note, Value: text.Scalar(n.Note)})
		}
	}
}

func (w *writer) apply(src []byte) ([]byte, error) {
	src, err := text.SetAll(src, w.set)
	if err != nil {
		return nil, err
	}
	for _, path := range w.remove {
		if src, err = text.Delete(src, path); err != nil {
			return nil, err
		}
	}
	if src, err = text.InsertAll(src, w.pinned); err != nil {
		return nil, err
	}
	for _, e := range w.insert {
		if src, err = text.Insert(src, e.Path, e.Value); err != nil {
			return nil, err
		}
	}
	if len(w.grades) > 0 {
		src = addSection(src, "nets:", w.grades)
	}
	return src, nil
}

// addSection adds a section with its lines to the end of a text.
func addSection(src []byte, head string, lines []string) []byte {
	end := "\n"
	if bytes.Contains(src, []byte("\r\n")) {
		end = "\r\n"
	}
	out := bytes.Clone(src)
	if len(out) > 0 && out[len(out)-1] != '\n' {
		out = append(out, end...)
	}
	return append(out, end+head+end+strings.Join(lines, end)+end...)
}
