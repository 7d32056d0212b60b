package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
	"cupel/internal/report/plot"
)

// spreadRow is one figure over tolerances, of all cells together: the rows with
// the lowest and the highest end, and the one that spreads most.
type spreadRow struct {
	name              phrase
	low, high, widest answer.Result
	typLow, typHigh   *float64
	lowest, highest   *float64 // outer percentiles
	unit              string
	notes             []string
}

// spreadRows gathers the figures that have a range, by trial, quantity, stage,
// state and temperature. The steps of sweeps are left to the JSON.
func spreadRows(rs []answer.Result) []*spreadRow {
	byName := map[string]*spreadRow{}
	var order []*spreadRow
	for _, r := range rs {
		if low, _ := reach(r); low == nil || !ofTheWhole(r) {
			continue
		}
		name := spreadName(r)
		row := byName[name.String()]
		if row == nil {
			row = &spreadRow{name: name, low: r, high: r, widest: r, unit: string(r.Unit)}
			byName[name.String()] = row
			order = append(order, row)
		}
		row.add(r)
	}
	return order
}

// reach is how far a figure goes: to the worst corners, or where they were not
// searched to the furthest of the random boards; nil where neither is known.
func reach(r answer.Result) (low, high *float64) {
	switch {
	case r.Low != nil && r.High != nil:
		return r.Low, r.High
	case r.Histogram != nil:
		return r.Histogram.From, r.Histogram.To
	}
	return nil, nil
}

// width is how wide the reach of a figure that has one is.
func width(r answer.Result) float64 {
	low, high := reach(r)
	return *high - *low
}

// cornered reports whether worst corners were searched for any figure.
func cornered(rs []answer.Result) bool {
	return slices.ContainsFunc(rs, func(r answer.Result) bool { return r.Low != nil })
}

// ofTheWhole reports whether a figure is of the whole and no step of a sweep.
func ofTheWhole(r answer.Result) bool {
	switch protection.Trial(r.Trial) {
	case protection.SupplyCurrent:
		return r.State == "idle" && r.Quantity == string(protection.CellCurrent)
	case protection.Path:
		return r.Quantity == string(protection.Resistance)
	case protection.LoadShort:
		return r.Step == ""
	}
	return true
}

func spreadName(r answer.Result) phrase {
	parts := []string{protection.Trial(r.Trial).Label(), protection.Quantity(r.Quantity).Label()}
	if r.Stage != "" && r.Stage != "1" {
		parts = append(parts, string(r.Stage))
	}
	p := say(strings.Join(parts, " "))
	if r.State != "" && r.State != "idle" && r.Trial != string(protection.DischargeOvercurrent) && r.Trial != string(protection.LoadShort) {
		p = list(", ", p, say(string(r.State)))
	}
	if r.Step != "" && r.Trial == string(protection.DischargeOvercurrent) {
		p = list(", ", p, say(string(r.Step)))
	}
	if v := cellVolts(r); v != nil && (r.Trial == string(protection.DischargeOvercurrent) || r.Trial == string(protection.LoadShort)) {
		p = list(", cells ", p, figure(v, "V", 0))
	}
	if r.Temperature != nil && *r.Temperature != usual {
		p = list(" at ", p, degC(r.Temperature))
	}
	return p
}

// cellVolts is the cell voltage a figure was found at.
func cellVolts(r answer.Result) *float64 {
	for _, c := range r.Conditions {
		if c.Name == "cell voltage" {
			return c.Value
		}
	}
	return nil
}

func (s *spreadRow) add(r answer.Result) {
	low, high := reach(r)
	if least, _ := reach(s.low); *low < *least {
		s.low = r
	}
	if _, most := reach(s.high); *high > *most {
		s.high = r
	}
	if width(r) > width(s.widest) {
		s.widest = r
	}
	s.typLow, s.typHigh = lesser(s.typLow, r.Value), greater(s.typHigh, r.Value)
	s.lowest, s.highest = lesser(s.lowest, r.PLow), greater(s.highest, r.PHigh)
	for _, n := range strings.Split(string(r.Note), "; ") {
		if rangeNote(n) && !slices.Contains(s.notes, n) {
			s.notes = append(s.notes, n)
		}
	}
}

// ends prints the furthest ends of all cells; the typical board is one that was
// seen.
func (s *spreadRow) ends() phrase {
	low, _ := reach(s.low)
	_, high := reach(s.high)
	return ends(lesser(low, s.typLow), greater(high, s.typHigh), s.unit)
}

func lesser(a, b *float64) *float64 {
	if a == nil || b != nil && *b < *a {
		return b
	}
	return a
}

func greater(a, b *float64) *float64 {
	if a == nil || b != nil && *b > *a {
		return b
	}
	return a
}

// rangeNote reports whether a note speaks of the range.
func rangeNote(n string) bool {
	return strings.HasPrefix(n, "not monotone") || strings.HasPrefix(n, "interacting") || strings.Contains(n, " samples: ") ||
		strings.HasPrefix(n, "a sample lies")
}

// ends prints two ends, or one figure where they read the same.
func ends(low, high *float64, unit string) phrase {
	switch {
	case low == nil || high == nil:
		return nil
	case same(*low, *high):
		return figure(low, unit, 0)
	}
	return interval(low, high, unit)
}

// causes says what most of a spread comes from.
func causes(r answer.Result) phrase {
	var out phrase
	for _, c := range r.Causes {
		if c.Part != "" && c.Share >= 0.005 {
			out = list(", ", out, join(say(fmt.Sprintf("%s %s ", c.Part, c.Quantity)), percentOf(c.Share)))
		}
	}
	return out
}

func percentOf(share float64) phrase {
	return phrase{{fmt.Sprintf("%.0f", 100*share) + thin + "%", &share}}
}

// rangesText is the table of ranges.
func rangesText(a answer.Predict) string {
	rows := spreadRows(a.Results)
	if len(rows) == 0 {
		return ""
	}
	g := grid{columns: []column{
		{head: "over tolerances", width: 26},
		{head: "typical", width: 11},
		{head: reachHead(a), width: 17},
		{head: "0.135 to 99.865 %", width: 17},
		{head: "most of it by", width: 21},
	}}
	if !cornered(a.Results) {
		g.columns = g.columns[:3]
	}
	for _, s := range rows {
		row := []string{
			s.name.String(), ends(s.typLow, s.typHigh, s.unit).String(), s.ends().String(),
			ends(s.lowest, s.highest, s.unit).String(), causes(s.widest).String(),
		}
		g.row(row[:len(g.columns)]...)
		for _, n := range s.notes {
			g.under(n)
		}
	}
	return g.String() + paragraph("", sampled(a).String())
}

// reachHead names the column of how far figures go.
func reachHead(a answer.Predict) string {
	if cornered(a.Results) {
		return "worst corners"
	}
	return fmt.Sprintf("of %d boards", a.Samples)
}

// sampled says how the ranges were got, and what is missing.
func sampled(a answer.Predict) phrase {
	if !cornered(a.Results) {
		return join(say("The furthest of "), count(a.Samples),
			say(" random boards inside all parts' tolerances, of one cell where cells are alike: a first look. Worst corners were not searched; predict with --samples does."))
	}
	p := join(say("Worst corners of all parts' tolerances, and "), count(a.Samples), say(" random boards"))
	if a.Samples < leastOuter {
		p = join(p, say(fmt.Sprintf("; too few for percentiles this far out, which takes %d", leastOuter)))
	}
	return join(p, say(". Figures without a range are typical ones. Causes are shares of the variance."))
}

// leastOuter is the number of samples below which there is no 0.135 % percentile.
const leastOuter = 740

// rangesSection is the table of ranges and the histograms of stated figures.
func rangesSection(a answer.Predict) section {
	s := section{Anchor: "ranges", Title: "Over tolerances"}
	rows := spreadRows(a.Results)
	if len(rows) == 0 {
		return s
	}
	t := table{heads: []head{
		{name: "figure", mark: true}, {name: "typical"}, {name: reachHead(a)}, {name: "0.135 to 99.865 %"}, {name: "most of it by", words: true},
	}}
	if !cornered(a.Results) {
		t.heads = t.heads[:3]
	}
	for _, r := range rows {
		row := []phrase{r.name, ends(r.typLow, r.typHigh, r.unit), r.ends(), ends(r.lowest, r.highest, r.unit), causes(r.widest)}
		t.rows = append(t.rows, row[:len(t.heads)])
		for _, n := range r.notes {
			s.Items = append(s.Items, join(r.name, say(": "+n)))
		}
	}
	s.Tables = views(t)
	for _, c := range worstFirst(a.Claims) {
		if f, ok := histogram(c, a.Results); ok {
			s.Figures = append(s.Figures, f)
		}
	}
	s.Notes = []phrase{sampled(a), say("Hatched is what the stated limits exclude.")}
	return s
}

// histogram draws the samples of the figure that a claim speaks of, at the cell
// that spreads most.
func histogram(c answer.Claim, rs []answer.Result) (figureView, bool) {
	if c.Stated.Min == nil && c.Stated.Max == nil {
		return figureView{}, false
	}
	var best *answer.Result
	for i := range rs {
		r := &rs[i]
		if r.Histogram == nil || !speaksOf(c, *r) || best != nil && width(*best) >= width(*r) {
			continue
		}
		best = r
	}
	if best == nil {
		return figureView{}, false
	}
	h := plot.Histogram{
		From: *best.Histogram.From, To: *best.Histogram.To, Counts: best.Histogram.Counts,
		Min: c.Stated.Min, Max: c.Stated.Max, Low: best.Low, High: best.High, Unit: string(best.Unit), Title: claimName(c).String(),
	}
	caption := list(", ", claimName(c), join(say("stated "), statedPhrase(c)))
	if best.Cell != nil {
		caption = list(": ", join(say("cell "), count(*best.Cell)), caption)
	}
	return figureView{Title: sentenceCase(claimName(c).String()), Caption: caption, SVG: template.HTML(h.SVG())}, true
}

// speaksOf reports whether a row is of the very figure that a claim states.
func speaksOf(c answer.Claim, r answer.Result) bool {
	asked := c.Quantity
	if c.Trial == string(protection.DischargeOvercurrent) && asked == string(protection.Detect) {
		asked = string(protection.Current)
	}
	return r.Trial == c.Trial && r.Quantity == asked && ofTheWhole(r) &&
		(c.Cell == nil || r.Cell != nil && *r.Cell == *c.Cell) && (r.Stage == "" || r.Stage == "1") &&
		r.Temperature != nil && c.Temperature != nil && math.Abs(*r.Temperature-*c.Temperature) < 1
}
