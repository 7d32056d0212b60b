package pages

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/report"
	"cupel/internal/report/plot"
	"cupel/internal/study"
)

func limitsPage() *page {
	return &page{
		name: "limits", place: 60, module: true, styles: true, links: limitsLinks, show: showLimits,
		keys: []keyText{{"a b", "keys.marks"}, {"← →", "keys.cursor"}, {"+ − 0", "keys.zoom"}},
		actions: map[string]action{
			"run":     run(startRanges),
			"typical": run(func(v *visit, d *dossier.Dossier) error { v.s.startPredict(d, study.Question{}); return nil }),
		},
		files: map[string]func(*visit) error{"wave": waveFile},
	}
}

// limitsLinks are the predictions: computed from sheets, they are implied at
// best.
func limitsLinks(v *visit) []link {
	p := v.predict()
	if !p.Have {
		return nil
	}
	s := p.Answer.Summary
	l := link{Text: v.T("chain.predictions", "n", s.Found), Assumed: part(s.Found, s.Results)}
	if p.Ranges {
		l.Implied, l.Assumed = l.Assumed, 0
	}
	return []link{l}
}

// limits is what the page's template shows.
type limits struct {
	Panels    []panel
	More      []panel // of figures that nobody states anything of
	Predicted predicted
	Samples   int
	Heat      heated
	HeatLine  string
	Ambient   string
	Waves     []answer.Figure
	Wave      int // the waveform that is open
	Audit     []answer.Finding
	Computed  []answer.Finding // what could not be computed
	Parts     []answer.HeatPart
}

func showLimits(v *visit) (string, any, error) {
	d := v.dossier()
	if d == nil || len(d.Board.Parts) == 0 {
		x := limits{}
		if d != nil {
			x.Audit = v.facts().audit.Findings
		}
		return v.T("limits.first.empty"), x, nil
	}
	ambient := v.ambient()
	p := v.predict()
	main, more := v.sorted(report.Strips(p.Answer))
	x := limits{
		Predicted: p, Samples: p.Answer.Samples, Heat: v.heat(ambient), Ambient: strconv.FormatFloat(ambient, 'g', -1, 64),
		Audit: v.facts().audit.Findings, Panels: v.panels(main), More: v.panels(more), Waves: p.Answer.Figures, Wave: max(atoi(v.field("wave")), 0),
		Computed: slices.Concat(p.Wrong, uncomputed(p.Answer.Findings)),
	}
	x.HeatLine = v.heatSentence(x.Heat)
	x.Parts = warmest(x.Heat.Parts)
	return x.HeatLine, x, nil
}

// uncomputed are the findings that say that a run gave no figures.
func uncomputed(all []answer.Finding) []answer.Finding {
	return slices.DeleteFunc(slices.Clone(all), func(f answer.Finding) bool { return f.Code != study.NotComputed })
}

// Ends of what the air around a board may be, °C, as the command line has them.
const (
	coldest = -60
	hottest = 175
)

// ambient is the air that the address asks for.
func (v *visit) ambient() float64 {
	t, err := strconv.ParseFloat(strings.Replace(v.field("ambient"), ",", ".", 1), 64)
	if err != nil || !(t >= coldest && t <= hottest) {
		return usualAmbient
	}
	return t
}

// heatSentence is the page's first line: what current is honest, and what stands
// in the way of more.
func (v *visit) heatSentence(h heated) string {
	switch {
	case len(h.Wrong) > 0:
		return v.T("limits.first.wrong", "why", h.Wrong[0].Text)
	case !h.Have:
		return v.T("limits.first.begun")
	case h.Honest == nil:
		return v.T("limits.first.unknown")
	case *h.Honest == 0:
		return v.T("limits.first.none", "ambient", plain(report.Degrees(h.Ambient)))
	}
	limit := v.T("limits.nothing")
	if len(h.Limits) > 0 {
		limit = v.Number2(report.Limit(h.Limits[0]))
	}
	return v.T("limits.first", "current", plain(report.Amount(h.Honest, "A", 0)), "ambient", plain(report.Degrees(h.Ambient)), "limit", limit)
}

// plain is a piece of a page as text.
func plain(piece template.HTML) string { return tag.ReplaceAllString(string(piece), "") }

// mostParts is how many parts the table of heat shows.
const mostParts = 8

// warmest are the parts nearest to their limits.
func warmest(parts []answer.HeatPart) []answer.HeatPart {
	parts = slices.DeleteFunc(slices.Clone(parts), func(p answer.HeatPart) bool { return p.Temperature == nil || p.Limit == nil })
	slices.SortStableFunc(parts, func(a, b answer.HeatPart) int {
		return cmp.Compare(*a.Limit-*a.Temperature, *b.Limit-*b.Temperature)
	})
	return parts[:min(len(parts), mostParts)]
}

// Amount prints a number with its unit.
func (v *visit) Amount(x *float64, unit string) template.HTML {
	return v.Number(report.Amount(x, unit, 0))
}

// Degrees prints a temperature in whole degrees.
func (v *visit) Degrees(c *float64) string {
	if c == nil {
		return ""
	}
	return strings.Replace(strconv.FormatFloat(*c, 'f', 0, 64), "-", "−", 1) + "\u2009°C"
}

// sampleSteps are how many random boards can be asked for.
var sampleSteps = []int{200, 1000, 5000}

// SampleSteps lists them for the form.
func (v *visit) SampleSteps() []int { return sampleSteps }

// startRanges predicts over tolerances, and at three temperatures if asked.
func startRanges(v *visit, d *dossier.Dossier) error {
	q := study.Question{}
	if n := atoi(v.field("samples")); slices.Contains(sampleSteps, n) {
		q.Sampling = study.Sampling{Samples: n, Seed: 1}
	} else if n != 0 {
		return v.sorry("limits.samples")
	}
	if v.field("temperatures") != "" {
		q.Kelvins = []float64{253.15, 298.15, 333.15} // −20, 25, 60 °C
		for _, c := range d.Claims.Claims {
			if k := c.Temperature(); !slices.Contains(q.Kelvins, k) {
				q.Kelvins = append(q.Kelvins, k)
			}
		}
		slices.Sort(q.Kelvins)
	}
	v.s.startPredict(d, q)
	return nil
}

// spread is what opening a strip shows.
type spread struct {
	Histogram template.HTML
	Causes    []answer.Cause
	Row       answer.Result
	Notes     []string
	RSquared  string
}

// spread of the line that spreads most.
func (v *visit) spread(s report.Strip) spread {
	x := spread{}
	for _, l := range s.Lines {
		x.Notes = append(x.Notes, l.Notes...)
		w := l.Widest
		if w.Histogram == nil || x.Row.Histogram != nil && *w.High-*w.Low <= *x.Row.High-*x.Row.Low {
			if x.Row.Trial == "" {
				x.Row = w
			}
			continue
		}
		x.Row = w
	}
	slices.Sort(x.Notes)
	x.Notes = slices.Compact(x.Notes)
	for _, c := range x.Row.Causes {
		if c.Share >= 0.005 {
			x.Causes = append(x.Causes, c)
		}
	}
	if x.Row.RSquared != nil {
		x.RSquared = report.Percent(*x.Row.RSquared)
	}
	if h := x.Row.Histogram; h != nil && h.From != nil && h.To != nil {
		draw := plot.Histogram{
			From: *h.From, To: *h.To, Counts: h.Counts, Low: x.Row.Low, High: x.Row.High, Unit: s.Unit,
			Title: v.T("limits.histogram", "figure", plain(s.Name), "n", total(h.Counts)),
		}
		if s.Stated != nil {
			draw.Min, draw.Max = s.Stated.Stated.Min, s.Stated.Stated.Max
		}
		x.Histogram = template.HTML(draw.SVG())
	}
	return x
}

func total(counts []int) int {
	n := 0
	for _, c := range counts {
		n += c
	}
	return n
}

// Percent prints a share.
func (v *visit) Percent(share float64) string { return report.Percent(share) }

// The words of templates.

// Limit names a limit of the current.
func (v *visit) Limit(l answer.HeatLimit) string { return v.Number2(report.Limit(l)) }

// Stamp is the class of a verdict's frame.
func (v *visit) Stamp(verdict string) string { return report.Class(verdict) }

// Hundred is a share as a number of hundredths, for a picture.
func (v *visit) Hundred(share float64) string {
	return strconv.FormatFloat(100*bounded(share), 'f', 1, 64)
}

// ClaimID is the id of a claim's note on the overview.
func (v *visit) ClaimID(c *answer.Claim) string { return "claim-" + slug(string(c.Place)) }

// Plain is a piece of a page as text.
func (v *visit) Plain(piece template.HTML) string { return plain(piece) }
