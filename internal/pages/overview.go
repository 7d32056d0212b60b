package pages

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/desk"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/evidence"
	"cupel/internal/report"
)

func overviewPage() *page {
	return &page{
		name: "overview", place: 80, styles: true, links: overviewLinks, show: showOverview,
		actions: map[string]action{
			"begin": {do: begin}, "demo": {do: beginDemo},
			"faults": run(func(v *visit, d *dossier.Dossier) error { v.s.startFaults(d); return nil }),
		},
	}
}

// overviewLinks are the verdicts.
func overviewLinks(v *visit) []link {
	p := v.predict()
	if !p.Have {
		return nil
	}
	s := p.Answer.Summary
	all := s.Meets + s.Fails + s.CannotTell + s.NotTested
	return []link{{Text: v.T("chain.verdicts", "known", s.Meets+s.Fails, "all", all), Implied: part(s.Meets+s.Fails, all)}}
}

// overview is what its template shows.
type overview struct {
	Rows     []claimRow
	Before   bool
	Unknown  []gap
	Wrong    []answer.Finding
	Mistakes []answer.Finding // of the texts as they are
	Demos    []demo.Info
	Silent   []answer.Fault
	Tried    int
	CanTry   bool // the faults were not tried yet
	Nothing  bool // no dossier was begun
}

// claimRow is a claim beside what is known of it.
type claimRow struct {
	report.Row
	Claim   answer.Claim
	ID      string
	Pending bool
	Source  string // file:line of the statement
	Line    int
}

// gap is something that is not known, with the next step.
type gap struct {
	Text       template.HTML
	Next, Link string
	weight     int // consequence; the heaviest first
}

func showOverview(v *visit) (string, any, error) {
	if v.State.Empty() {
		demos, err := demo.List()
		return v.T("overview.first.empty"), overview{Demos: demos, Nothing: true}, err
	}
	x := overview{}
	if v.mistakes() != nil {
		x.Mistakes = findings(v.State.Dossier)
	}
	d := v.dossier()
	if d == nil {
		return v.T("overview.first.mistakes", "n", len(x.Mistakes)), x, nil
	}
	p := v.predict()
	x.Before, x.Wrong = p.Before, p.Wrong
	x.Rows = v.claimRows(p)
	faults, have, w := v.faults()
	x.CanTry = !have && !w.Running && len(d.Board.Parts) > 0 && len(p.Wrong) == 0
	if have {
		x.Tried = faults.Tried
		for _, f := range faults.Faults {
			if f.Silent {
				x.Silent = append(x.Silent, f)
			}
		}
	}
	x.Unknown = v.gaps(p)
	return v.overviewFirst(p, d, x), x, nil
}

// claimRows are the claims, worst first; those of steady current are judged by
// the study of heat where that was made.
func (v *visit) claimRows(p predicted) []claimRow {
	claims := slices.Clone(p.Answer.Claims)
	if h, ok := v.s.desk.Work(workHeat).Result.(answer.Heat); ok && strings.HasPrefix(v.s.desk.Work(workHeat).Key, p.hash) && h.Ambient != nil {
		for i, c := range claims {
			for _, judged := range h.Claims {
				if c.Place == judged.Place && c.Place != "" {
					claims[i] = judged
				}
			}
		}
	}
	claims = report.WorstFirst(claims)
	rows := report.Rows(claims)
	var out []claimRow
	for i, r := range rows {
		c := claims[i]
		row := claimRow{Row: r, Claim: c, ID: "claim-" + slug(string(c.Place)), Source: string(c.Place)}
		for _, t := range p.Pending {
			row.Pending = row.Pending || string(t) == c.Trial
		}
		out = append(out, row)
	}
	slices.SortStableFunc(out, func(a, b claimRow) int { return cmp.Compare(order(a.Pending), order(b.Pending)) })
	return out
}

func order(last bool) int {
	if last {
		return 1
	}
	return 0
}

// slug makes a text into an id.
func slug(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(text))
}

// overviewFirst is the page's one sentence.
func (v *visit) overviewFirst(p predicted, d *dossier.Dossier, x overview) string {
	switch {
	case len(d.Board.Parts) == 0:
		return v.T("overview.first.noparts", "pads", len(d.Board.Pads))
	case len(p.Wrong) > 0:
		return v.T("overview.first.wrong", "why", p.Wrong[0].Text)
	case !p.Have:
		return v.T("overview.first.begun")
	case len(x.Rows) == 0:
		return v.T("overview.first.nothing")
	}
	var fails, cannot, untested, holds, pending int
	for _, r := range x.Rows {
		switch {
		case r.Pending:
			pending++
		case r.Claim.Verdict == "fails":
			fails++
		case r.Claim.Verdict == "cannot tell":
			cannot++
		case r.Claim.Verdict == "meets":
			holds++
		default:
			untested++
		}
	}
	var said []string
	for _, c := range []struct {
		key string
		n   int
	}{{"fail", fails}, {"cannot", cannot}, {"untested", untested}, {"pending", pending}} {
		if c.n > 0 {
			said = append(said, v.T("overview.say."+c.key, "n", c.n))
		}
	}
	if len(said) == 0 {
		said = append(said, v.T("overview.say.hold", "n", holds))
	}
	text := v.Sentence(v.List(said)) + "."
	if n := len(x.Silent); n > 0 {
		text += " " + v.T("overview.say.silent", "n", n)
	} else if n := v.errorsOfAudit(); n > 0 {
		text += " " + v.T("overview.say.audit", "n", n)
	}
	return text
}

// errorsOfAudit is how many stated figures cannot be true together.
func (v *visit) errorsOfAudit() int {
	n := 0
	for _, f := range v.facts().audit.Findings {
		if f.Level == "error" {
			n++
		}
	}
	return n
}

// gaps are what is not known, longest consequence first.
func (v *visit) gaps(p predicted) []gap {
	f, d := v.facts(), v.dossier()
	var out []gap
	add := func(weight int, text template.HTML, next, link string) {
		out = append(out, gap{Text: v.Number(text), Next: next, Link: link, weight: weight})
	}
	plainly := func(key string, args ...any) template.HTML {
		return template.HTML(template.HTMLEscapeString(v.T(key, args...)))
	}
	if len(d.Board.Parts) == 0 {
		add(100, plainly("gap.parts"), v.T("gap.parts.next"), "/texts?file=board.yaml#import")
	}
	unwired := 0
	for _, part := range d.Board.Parts {
		for _, pin := range part.Pins {
			if pin.Net < 0 {
				unwired++
			}
		}
	}
	if unwired > 0 {
		add(90, plainly("gap.unwired", "n", unwired), v.T("gap.ringout.next"), "/ringout")
	}
	if n := f.grades[evidence.Contradicted]; n > 0 {
		add(80, plainly("gap.contradicted", "n", n), v.T("gap.ringout.next"), "/ringout")
	}
	if n := f.grades[evidence.Assumed] + f.grades[evidence.Unknown]; n > 0 {
		add(50, plainly("gap.assumed", "n", n, "all", len(d.Board.Nets)), v.T("gap.ringout.next"), "/ringout")
	}
	if len(d.Claims.Claims) == 0 {
		add(60, plainly("gap.claims"), v.T("gap.claims.next"), "/texts?file=claims.yaml")
	}
	if p.Have && !p.Ranges {
		add(40, plainly("gap.typical"), v.T("gap.typical.next"), "/limits")
	}
	for _, u := range report.Unknown(p.Answer) {
		add(20, u, v.T("gap.limits.next"), "/limits")
	}
	for _, found := range f.check.Findings {
		if found.Level != "note" {
			add(30, template.HTML(template.HTMLEscapeString(v.Sentence(found.Text))), string(found.Do), textLink(found))
		}
	}
	if n := len(p.Answer.Results); n > 0 {
		add(10, plainly("gap.readings"), "", "")
	}
	slices.SortStableFunc(out, func(a, b gap) int { return b.weight - a.weight })
	return out
}

// textLink leads to the line a finding speaks of.
func textLink(f answer.Finding) string {
	if f.File == "" {
		return ""
	}
	return "/texts?file=" + template.URLQueryEscaper(string(f.File))
}

// begin begins a dossier in the empty folder.
func begin(v *visit) error {
	if !v.State.Empty() {
		return v.sorry("overview.notempty")
	}
	name, cells := v.field("name"), atoi(v.field("cells"))
	if cells < 1 || cells > mostCells {
		return v.sorry("overview.cells", "most", mostCells)
	}
	if !named(name) {
		return v.sorry("overview.name")
	}
	if err := v.edit(labelled("label.begin", name), files(dossier.New(name, cells))...); err != nil {
		return err
	}
	to := "/texts?file=claims.yaml"
	if v.field("way") == "parts" {
		to = "/texts?file=board.yaml#import"
	}
	return v.done(to, map[string]string{"to": to})
}

// mostCells is the most cells in series that a board may have.
const mostCells = 32

// named reports whether a word can name a board: small letters, digits, dashes.
func named(name string) bool {
	if name == "" || len(name) > 60 || name[0] < 'a' || name[0] > 'z' {
		return false
	}
	return name == slug(name)
}

// beginDemo writes the texts of a demo board into the empty folder.
func beginDemo(v *visit) error {
	if !v.State.Empty() {
		return v.sorry("overview.notempty")
	}
	texts, ok := demo.Texts(v.field("board"))
	if !ok {
		return v.sorry("overview.nodemo")
	}
	if err := v.edit(labelled("label.begin", v.field("board")), files(texts)...); err != nil {
		return err
	}
	return v.done("/overview", map[string]string{"to": "/overview"})
}

// files are new texts as files of an edit, in order.
func files(texts map[string][]byte) []desk.File {
	var out []desk.File
	for name, text := range texts {
		out = append(out, desk.File{Name: name, Text: text})
	}
	slices.SortFunc(out, func(a, b desk.File) int { return cmp.Compare(a.Name, b.Name) })
	return out
}
