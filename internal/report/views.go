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
	v := tableView{Title: t.title, Note: t.note}
	grouped := false
	for i, h := range t.heads {
		v.Heads = append(v.Heads, headView{h.name, h.unit, !h.mark})
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
			c := cellView{Text: p, Number: !t.heads[i].mark}
			if i == 0 && t.heads[0].mark {
				c.Head = true
			}
			row = append(row, c)
		}
		v.Rows = append(v.Rows, row)
	}
	return v
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

// unknown lists what has no figure: one line a quantity and reason, with the
// cells it holds for.
func unknown(a answer.Predict) []phrase {
	type gap struct {
		what, outcome, why string
		searched           phrase
		cells              []int
	}
	var gaps []*gap
	for _, r := range a.Results {
		if r.Outcome == string(protection.Found) || r.Step != "" {
			continue
		}
		g := &gap{what: name(r), outcome: r.Outcome, why: string(r.Note), searched: searched(r)}
		i := slices.IndexFunc(gaps, func(h *gap) bool {
			return h.what == g.what && h.outcome == g.outcome && h.why == g.why
		})
		if i < 0 {
			gaps = append(gaps, g)
			i = len(gaps) - 1
		}
		if r.Cell != nil {
			gaps[i].cells = append(gaps[i].cells, *r.Cell)
		}
	}
	var out []phrase
	for _, g := range gaps {
		p := join(say(g.what), cellList(g.cells), say(": "+g.outcome), g.searched)
		if g.why != "" {
			p = append(p, word{text: ": " + g.why})
		}
		out = append(out, p)
	}
	return out
}

// name is what a result is of: "discharge overcurrent delay, stage 2".
func name(r answer.Result) string {
	s := protection.Name(protection.Trial(r.Trial), protection.Quantity(r.Quantity))
	if r.Stage != "" {
		s += ", stage " + string(r.Stage)
	}
	if r.State != "" && r.State != "idle" {
		s += ", " + string(r.State)
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
	cells = slices.Compact(cells)
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
