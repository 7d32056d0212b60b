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
		if r.Low == nil || r.High == nil || !ofTheWhole(r) {
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
	if *r.Low < *s.low.Low {
		s.low = r
	}
	if *r.High > *s.high.High {
		s.high = r
	}
	if *r.High-*r.Low > *s.widest.High-*s.widest.Low {
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
		{head: "worst corners", width: 17},
		{head: "0.135 to 99.865 %", width: 17},
		{head: "most of it by", width: 21},
	}}
	for _, s := range rows {
		g.row(s.name.String(), ends(s.typLow, s.typHigh, s.unit).String(), ends(s.low.Low, s.high.High, s.unit).String(),
			ends(s.lowest, s.highest, s.unit).String(), causes(s.widest).String())
		for _, n := range s.notes {
			g.under(n)
		}
	}
	return g.String() + paragraph("", sampled(a).String())
}

// sampled says how the ranges were got, and what is missing.
func sampled(a answer.Predict) phrase {
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
		{name: "figure", mark: true}, {name: "typical"}, {name: "worst corners"}, {name: "0.135 to 99.865 %"}, {name: "most of it by", words: true},
	}}
	for _, r := range rows {
		t.rows = append(t.rows, []phrase{
			r.name, ends(r.typLow, r.typHigh, r.unit), ends(r.low.Low, r.high.High, r.unit), ends(r.lowest, r.highest, r.unit), causes(r.widest),
		})
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
		if r.Histogram == nil || !speaksOf(c, *r) || best != nil && *best.High-*best.Low >= *r.High-*r.Low {
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
	return r.Trial == c.Trial && r.Quantity == asked && ofTheWhole(r) && r.Low != nil &&
		(c.Cell == nil || r.Cell != nil && *r.Cell == *c.Cell) && (r.Stage == "" || r.Stage == "1") &&
		r.Temperature != nil && c.Temperature != nil && math.Abs(*r.Temperature-*c.Temperature) < 1
}
