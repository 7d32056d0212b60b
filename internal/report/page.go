package report

import (
	_ "embed"
	"html/template"
	"io"

	"cupel/internal/answer"
)

//go:embed page.html
var pageText string

//go:embed page.css
var pageCSS string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// Page writes the report: one page that holds all it needs, without a script,
// for a browser and for paper. Waveforms are drawn; every number that is
// written is one of a.
func Page(w io.Writer, a answer.Predict, waves []answer.Waveform) error {
	return pageTemplate.Execute(w, page{
		Board: string(a.Board), Title: heading(a), Says: says(a), CSS: template.CSS(pageCSS),
		Chain: chain(a), Sections: sections(a, waves),
	})
}

// page is the page as its template sees it.
type page struct {
	Board, Title, Says string
	CSS                template.CSS
	Chain              []link
	Sections           []section
}

// link is one link of the chain of evidence, with the share of it that stands,
// in percent.
type link struct {
	Anchor string
	Text   phrase
	Share  int
}

// section is a sheet with its margin. What is empty is left out.
type section struct {
	Anchor, Title string
	Claims        []claimRow
	Figures       []figureView
	Tables        []tableView
	Items         []phrase
	Hash          string
	Notes         []phrase
	Legend        []legend
}

// empty reports whether the sheet has nothing on it.
func (s section) empty() bool {
	return len(s.Claims)+len(s.Figures)+len(s.Tables)+len(s.Items) == 0 && s.Hash == ""
}

// legend explains a word of a table.
type legend struct{ Word, Means string }

// claimRow is a claim as a row.
type claimRow struct {
	Name, Stated, Predicted, Cells, Margin phrase
	Strip                                  template.HTML
	Verdict, Class, Why                    string
}

// classes are the frames of the verdicts.
var classes = map[string]string{
	"meets": "meets", "fails": "fails", "cannot tell": "cannot", "not tested": "untested",
}

func heading(a answer.Predict) string {
	if a.Title == "" {
		return string(a.Board)
	}
	return string(a.Board) + " · " + string(a.Title)
}

// chain is the chain of evidence as far as a prediction reaches.
func chain(a answer.Predict) []link {
	s := a.Summary
	all := s.Meets + s.Fails + s.CannotTell + s.NotTested
	return []link{
		{"cells", join(say("cells "), count(a.Cells)), 100},
		{"board", join(say("predictions "), count(s.Found), say(" of "), count(s.Results)), share(s.Found, s.Results)},
		{"stated", say("readings none"), 0},
		{"stated", join(say("verdicts: "), count(s.Meets), say(" hold, "), count(s.Fails), say(" fail")), share(s.Meets+s.Fails, all)},
		{"made", say("how it was made"), 100},
	}
}

func share(part, of int) int {
	if of == 0 {
		return 0
	}
	return 100 * part / of
}

// sections lists what is on the page, in reading order.
func sections(a answer.Predict, waves []answer.Waveform) []section {
	all := []section{
		statedSection(a), rangesSection(a), unknownSection(a), cellSection(a), boardSection(a), shortSection(a), releaseSection(a),
		waveSection(waves), assumedSection(a), cautionSection(a), madeSection(a),
	}
	var out []section
	for _, s := range all {
		if !s.empty() {
			out = append(out, s)
		}
	}
	return out
}

func statedSection(a answer.Predict) section {
	s := section{Anchor: "stated", Title: "Stated and predicted"}
	for _, c := range worstFirst(a.Claims) {
		s.Claims = append(s.Claims, row(c))
	}
	for _, r := range rules(a.Claims) {
		s.Notes = append(s.Notes, say("Decision rule: "+r+"."))
	}
	switch {
	case cornered(a.Results):
	case a.Samples > 0:
		s.Notes = append(s.Notes, say("Judged by typical parts; how far boards of the same make may differ is under Over tolerances."))
	default:
		s.Notes = append(s.Notes, say("Typical parts only: no tolerances were computed, a board of the same make may differ."))
	}
	s.Notes = append(s.Notes, say("Where cells differ, the range goes from the lowest to the highest; the cells named are those at its ends."))
	s.Legend = []legend{
		{"meets", "inside the stated limits"},
		{"fails", "outside them"},
		{"cannot tell", "across a limit, no limit stated, or the search ended without a figure"},
		{"not tested", "nothing that was tried speaks of it"},
	}
	return s
}

func row(c answer.Claim) claimRow {
	r := claimRow{
		Name: claimName(c), Stated: statedPhrase(c), Predicted: predicted(c), Cells: cells(c.Predicted), Margin: margin(c),
		Strip: strip(c), Verdict: c.Verdict, Class: classes[c.Verdict],
	}
	if reasoned(c) {
		r.Why = because(c)
	}
	return r
}

// reasoned reports whether a verdict needs its reason beside it: "meets" and
// "not tested" say all there is.
func reasoned(c answer.Claim) bool {
	return c.Because != "" && (c.Verdict == "fails" || c.Verdict == "cannot tell")
}

// rules are the decision rules in use, each once.
func rules(cs []answer.Claim) []string {
	var out []string
	seen := map[answer.Text]bool{}
	for _, c := range cs {
		if c.Rule != "" && !seen[c.Rule] {
			seen[c.Rule] = true
			out = append(out, string(c.Rule))
		}
	}
	return out
}

func unknownSection(a answer.Predict) section {
	s := section{
		Anchor: "unknown", Title: "Still unknown", Items: unknown(a),
		Notes: []phrase{say("No figure is no proof of absence: each line says how the search ended and how far it went.")},
	}
	for _, f := range a.Findings {
		s.Items = append(s.Items, say(f.Text))
	}
	return s
}

func cellSection(a answer.Predict) section {
	s := section{Anchor: "cells", Title: "Cell by cell", Tables: views(cellTable(a.Results))}
	s.Notes = stimuli(a.Results, perCell)
	return s
}

func boardSection(a answer.Predict) section {
	s := section{Anchor: "board", Title: "The board", Tables: views(boardTables(a.Results)...)}
	s.Notes = stimuli(a.Results, wholeBoard)
	return s
}

func releaseSection(a answer.Predict) section {
	s := section{Anchor: "release", Title: "What lets it go again", Tables: views(releaseTable(a.Results)), Legend: releaseColumns}
	s.Notes = []phrase{say("Each place is a fresh trip, then what its column says. “auto” comes back by itself; “needs …” comes back for that reason; “stays” does not come back while it was watched.")}
	return s
}

func assumedSection(a answer.Predict) section {
	return section{
		Anchor: "assumed", Title: "Assumed", Items: texts(a.Assumed),
		Notes: []phrase{say("Nobody stated these for this board. A figure is as good as they are.")},
	}
}

func cautionSection(a answer.Predict) section {
	return section{
		Anchor: "cautions", Title: "Before anyone repeats this on a bench",
		Items: append(texts(a.Cautions), texts(standing)...),
		Notes: []phrase{
			say("Common practice, no source. The cell maker's limits, local codes and licensed practice stand above this page."),
			say("A protection is never bypassed to make a test go on."),
		},
	}
}

// standing are the hazards of every such bench; common practice, no source.
var standing = []string{
	"real cells deliver fault currents of hundreds of amperes: fuse at the cells, no metal jewellery, eye protection",
	"an earthed scope clip on P− while supply or load is earthed elsewhere shorts the switch out",
	"an ordinary supply cannot sink current: a source in a cell's place has to, or the reading is wrong and the supply may die",
	"taps are not plugged or pulled under load; capacitors stay charged after the cells are off",
	"overcharge trials on real cells are never left alone; ventilation, sand or a fit extinguisher stand ready",
	"a board that failed any trial is marked and kept apart",
}

func madeSection(a answer.Predict) section {
	s := section{
		Anchor: "made", Title: "How it was made",
		Items: []phrase{say("The whole circuit of the board was simulated, with cells, load and charger around it; each figure is the end of a search or a reading in such a run.")},
		Hash:  string(a.Inputs),
		Notes: []phrase{say("The line of digits is the SHA-256 of the dossier's texts: equal texts give this page again, letter for letter.")},
	}
	if !a.Complete {
		s.Items = append(s.Items, say("The work was stopped: what is missing was not tried."))
	}
	s.Items = append(s.Items, say("This page judges figures. It does not say that the board complies with any standard."))
	return s
}

func texts(ss []string) []phrase {
	var out []phrase
	for _, s := range ss {
		out = append(out, say(s))
	}
	return out
}
