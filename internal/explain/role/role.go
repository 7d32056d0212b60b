// Package role says what every part of a board is for: by how it is wired, and
// by what is missed when it is not there.
//
// The two are asked apart. A pattern recognises a drawing and says what a fault
// of each part should do; the fault table says what it does. Where both agree the
// role is proven; a drawing that no trial can show, or an effect without a known
// drawing, is implied; where they disagree the role is contradicted. A part that
// neither explains is unknown, with the measurement that would tell most. What a
// person says goes before all of it, with their reason.
//
// A sentence is made from the part's own match, its own faults and its own
// numbers. No sentence is written for a part by name, so renaming a board changes
// names in its sentences and nothing else.
package role

import (
	"cupel/internal/board"
	"cupel/internal/board/pattern"
	"cupel/internal/catalog"
	"cupel/internal/evidence"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/potential"
)

// Input is what is known of a board.
type Input struct {
	Board  *board.Board
	Sheets func(string) (*catalog.Sheet, bool)
	Faults []fault.Row        // of as many faults as were tried
	Stress []potential.Stress // of as many parts as were looked at
	Said   []Said             // what a person says
	// Ask finds the most informative measurement on a part that is not
	// understood; nil asks for none.
	Ask func(part int) string
}

// Part is a part, explained.
type Part struct {
	Ref      string
	Role     string // "level shifter"; Unknown where it is none
	Piece    string // of that role: "output resistor"; empty where experiment alone knows it
	Block    string // "overdischarge line"
	Cell     int    // 0: of no one cell
	Signal   string // of a level shifter: "fault" or "fine"
	Sentence string
	Grade    evidence.Grade
	Evidence []Evidence
	Also     []string // other roles that patterns see in it
	Ask      string   // of an unknown part
	Reason   string   // of a person who says so
}

// Evidence is what supports a role.
type Evidence struct {
	Kind string // one of the words below
	Ref  string
}

// What a role can rest on.
const (
	ByPattern = "pattern"
	ByFault   = "fault"
	ByStress  = "voltage"
	ByPerson  = "person"
)

// Roles that are not a pattern's.
const (
	Unknown    = "unknown"
	SignalPath = "signal path" // without it a protection is lost
	EnablePath = "enable path" // without it a direction stays off
)

// Parts explains every part, in the board's order.
func Parts(in Input) []Part {
	g := pattern.NewGraph(in.Board, in.Sheets)
	matches, _ := pattern.Recognise(g, pattern.Library())
	claims := claimsOf(g, matches)
	w := work{Input: in, graph: g, rows: rowsOf(in), stress: stressOf(in)}
	out := make([]Part, len(in.Board.Parts))
	for i := range out {
		out[i] = w.part(i, claims[i])
	}
	for _, s := range in.Said {
		s.over(out)
	}
	return out
}

// work is an explanation under way.
type work struct {
	Input
	graph  *pattern.Graph
	rows   map[int][]fault.Row // by part
	stress map[int]potential.Stress
}

func rowsOf(in Input) map[int][]fault.Row {
	out := map[int][]fault.Row{}
	for _, r := range in.Faults {
		if r.Fault.Part >= 0 && r.Done {
			out[r.Fault.Part] = append(out[r.Fault.Part], r)
		}
	}
	return out
}

// stressOf keeps for each part what comes nearest to its limit.
func stressOf(in Input) map[int]potential.Stress {
	out := map[int]potential.Stress{}
	for _, s := range in.Stress {
		if !(s.Limit > 0) {
			continue
		}
		if have, ok := out[s.Part]; !ok || s.Value/s.Limit > have.Value/have.Limit {
			out[s.Part] = s
		}
	}
	return out
}

// part explains one part by the claims that patterns have on it.
func (w work) part(i int, claims []claim) Part {
	p := Part{Ref: w.Board.Parts[i].Ref, Role: Unknown, Grade: evidence.Unknown}
	best, also := w.choose(i, claims)
	if best != nil {
		p.Role, p.Piece, p.Block, p.Cell = best.Role, best.Piece, best.match.Pattern.Block, best.match.Cell
		p.Signal = best.match.Pattern.Signal
		p.Grade = w.agreement(i, *best).grade()
		p.Evidence = append(p.Evidence, Evidence{ByPattern, best.match.Pattern.String()})
		p.Also = also
	} else {
		w.byExperiment(i, &p)
	}
	p.Evidence = append(p.Evidence, w.faultEvidence(i)...)
	if s, ok := w.stress[i]; ok {
		p.Evidence = append(p.Evidence, Evidence{ByStress, s.Quantity + " " + in(s)})
	}
	p.Sentence = w.sentence(i, p, best)
	if p.Role == Unknown && w.Ask != nil {
		p.Ask = w.Ask(i)
	}
	return p
}

// faultEvidence names the faults that have an effect.
func (w work) faultEvidence(i int) []Evidence {
	var out []Evidence
	for _, r := range w.rows[i] {
		if !r.Result.None() {
			out = append(out, Evidence{ByFault, w.Board.Parts[i].Ref + " " + r.Fault.Name()})
		}
	}
	return out
}
