package report

import (
	"html/template"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
	"cupel/internal/report/plot"
)

// tableView is a table as the page's template sees it.
type tableView struct {
	Title  string
	Note   phrase
	Class  string
	Groups []groupView
	Heads  []headView
	Rows   [][]cellView
}

type groupView struct {
	Name string
	Span int
}

type headView struct {
	Name, Unit string
	Number     bool
}

type cellView struct {
	Text         phrase
	Head, Number bool
	Words        bool // a few words that may stand on several lines
}

// views are the tables that have rows.
func views(ts ...table) []tableView {
	var out []tableView
	for _, t := range ts {
		if len(t.rows) > 0 {
			out = append(out, t.view())
		}
	}
	return out
}

func (t table) view() tableView {
	v := tableView{Title: t.title, Note: t.note, Class: t.class()}
	grouped := false
	for i, h := range t.heads {
		v.Heads = append(v.Heads, headView{h.name, h.unit, !h.mark && !h.words})
		grouped = grouped || h.group != ""
		if i > 0 && h.group == t.heads[i-1].group {
			v.Groups[len(v.Groups)-1].Span++
			continue
		}
		v.Groups = append(v.Groups, groupView{h.group, 1})
	}
	if !grouped {
		v.Groups = nil
	}
	for _, r := range t.rows {
		var row []cellView
		for i, p := range r {
			h := t.heads[i]
			c := cellView{Text: p, Number: !h.mark && !h.words, Words: h.words}
			if i == 0 && t.heads[0].mark {
				c.Head = true
			}
			row = append(row, c)
		}
		v.Rows = append(v.Rows, row)
	}
	return v
}

// Tables of more columns or rows than these are set closer.
const (
	manyColumns = 9
	manyRows    = 12
)

func (t table) class() string {
	if len(t.heads) > manyColumns || len(t.rows) > manyRows {
		return "close"
	}
	return ""
}

// strip draws a claim's stated limits against its prediction.
func strip(c answer.Claim) template.HTML {
	title := "stated " + statedPhrase(c).String() + ", predicted " + predicted(c).String()
	return template.HTML(plot.Strip{
		Min: c.Stated.Min, Typ: c.Stated.Typ, Max: c.Stated.Max,
		Low: c.Predicted.Low, High: c.Predicted.High, Title: title,
	}.SVG())
}

// stimuli says how the figures of some trials were got, each text once.
func stimuli(rs []answer.Result, trials []protection.Trial) []phrase {
	var out []phrase
	said := map[string]bool{}
	for _, t := range trials {
		var parts []string
		for _, r := range rs {
			if r.Trial != string(t) || r.Stimulus == "" || said[generic(r)] || len(parts) == 2 {
				continue
			}
			said[generic(r)] = true
			parts = append(parts, string(r.Stimulus))
		}
		if len(parts) > 0 {
			out = append(out, say(sentenceCase(t.Label())+": "+strings.Join(parts, "; ")+"."))
		}
	}
	return out
}

// generic is a stimulus without the numbers that differ from cell to cell.
func generic(r answer.Result) string {
	return r.Trial + strings.Map(func(c rune) rune {
		if c >= '0' && c <= '9' || c == '.' {
			return -1
		}
		return c
	}, string(r.Stimulus))
}

// gap is a reason why figures are missing, with the figures and cells it
// holds for.
type gap struct {
	of, outcome, why string
	searched         phrase
	quantities       []string
	cells            []int
}

// unknown lists what has no figure, one line a trial and reason.
func unknown(a answer.Predict) []phrase {
	var gaps []*gap
	for _, r := range a.Results {
		if r.Outcome == string(protection.Found) || r.Step != "" || r.Word != "" {
			continue
		}
		g := &gap{of: subject(r), outcome: r.Outcome, why: string(r.Note), searched: searched(r)}
		i := slices.IndexFunc(gaps, func(h *gap) bool {
			return h.of == g.of && h.outcome == g.outcome && h.why == g.why && h.searched.String() == g.searched.String()
		})
		if i < 0 {
			gaps = append(gaps, g)
			i = len(gaps) - 1
		}
		gaps[i].add(r)
	}
	var out []phrase
	for _, g := range gaps {
		out = append(out, g.phrase())
	}
	return out
}

func (g *gap) add(r answer.Result) {
	if q := protection.Quantity(r.Quantity).Label(); !slices.Contains(g.quantities, q) {
		g.quantities = append(g.quantities, q)
	}
	if r.Cell != nil && !slices.Contains(g.cells, *r.Cell) {
		g.cells = append(g.cells, *r.Cell)
	}
}

func (g *gap) phrase() phrase {
	p := join(say(g.of+": "+strings.Join(g.quantities, ", ")), cellList(g.cells), say(": "+g.outcome), g.searched)
	if g.why != "" {
		p = append(p, word{text: ": " + g.why})
	}
	return p
}

// subject is what a result is of, without its quantity: "discharge
// overcurrent, stage 2".
func subject(r answer.Result) string {
	s := protection.Trial(r.Trial).Label()
	if r.Stage != "" {
		s += ", stage " + string(r.Stage)
	}
	if strings.HasPrefix(string(r.State), "after ") {
		s += ", " + strings.ReplaceAll(string(r.State), "-", " ")
	}
	return s
}

func searched(r answer.Result) phrase {
	if r.SearchedTo == nil {
		return nil
	}
	return join(say(" up to "), figure(r.SearchedTo, string(r.SearchUnit), 0))
}

func cellList(cells []int) phrase {
	slices.Sort(cells)
	var ps []phrase
	for _, c := range cells {
		ps = append(ps, count(c))
	}
	switch len(ps) {
	case 0:
		return nil
	case 1:
		return join(say(", cell "), ps[0])
	}
	return join(say(", cells "), list(", ", ps...))
}
