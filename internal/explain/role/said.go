package role

import (
	"cupel/internal/board"
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// Said is a person's word on a part: it overrules what was found, and keeps why.
type Said struct {
	Ref    string
	Role   string
	Block  string
	Cell   int
	Reason string
}

// Codes of the findings about such a file.
const (
	SaidVersion = "X101" // a version that this program does not read
	SaidNoPart  = "X102" // a part that the board has not
)

// ReadSaid reads src, the content of file:
//
//	cupel: 1
//	roles:
//	  R7: {role: level shifter, block: overcharge line, cell: 2, reason: followed under the microscope}
//
// Mistakes go to list.
func ReadSaid(file string, src []byte, b *board.Board, list *finding.List) []Said {
	doc := text.Parse(file, src, list)
	if !doc.OK() {
		return nil
	}
	root := doc.Root().Fields("cupel", "roles")
	if v := root.Need("cupel"); v.Text() != "1" {
		v.Fail(SaidVersion, "write cupel: 1", "the file is of version %q, this program reads version 1", v.Text())
	}
	var out []Said
	root.Need("roles").Map().Each(func(key, entry text.Value) {
		m := entry.Map().Fields("role", "block", "cell", "reason")
		s := Said{Ref: key.Text(), Role: m.Need("role").Text(), Reason: m.Need("reason").Text()}
		if v := m.Get("block"); v.Given() {
			s.Block = v.Text()
		}
		if v := m.Get("cell"); v.Given() {
			s.Cell = v.IntIn(1, max(b.Cells, 1))
		}
		if _, ok := b.Part(s.Ref); !ok {
			key.Report(finding.Finding{
				Code: SaidNoPart, Level: finding.Error, Text: "the board has no part " + s.Ref,
				Do: "correct the reference, or delete the entry", Suggestion: finding.Nearest(s.Ref, refs(b)),
			})
			return
		}
		out = append(out, s)
	})
	return out
}

func refs(b *board.Board) []string {
	out := make([]string, len(b.Parts))
	for i := range b.Parts {
		out[i] = b.Parts[i].Ref
	}
	return out
}

// over puts a person's word over what was found, which stays in the sentence.
func (s Said) over(parts []Part) {
	for i := range parts {
		p := &parts[i]
		if p.Ref != s.Ref {
			continue
		}
		p.Sentence = s.Ref + ": " + s.Role + ", says a person: " + s.Reason + ". Found was: " + p.Role + ". " + p.Sentence
		p.Role, p.Piece, p.Block, p.Cell, p.Signal = s.Role, "", s.Block, s.Cell, ""
		p.Grade, p.Reason, p.Ask = evidence.Assumed, s.Reason, ""
		p.Evidence = append([]Evidence{{ByPerson, s.Reason}}, p.Evidence...)
	}
}
