package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
	"cupel/internal/trial/tolerance"
	"cupel/internal/uncertainty"
)

// figureRange is the range of one figure over tolerances, ready to be published.
type figureRange struct {
	low, high  float64 // NaN: no corners
	sample     *uncertainty.Sample
	values     []float64 // of the samples that have one, in order of their numbers
	outcomes   []counted
	samples    int
	causes     []tolerance.Cause
	r2         float64
	notes      []string
	inconstant bool // not every board comes to the nominal outcome
}

// counted is an outcome and how many samples had it.
type counted struct {
	outcome protection.Outcome
	n       int
}

// figureRanges are the ranges of one job's results, by their indexes; nil for
// results without. It may be called with a spread put together from shards.
func (p *spread) ranges(nominal []float64, outcomes []protection.Outcome, seed int64) map[int]*figureRange {
	out := map[int]*figureRange{}
	for k, i := range p.Again {
		out[i] = p.figure(k, nominal[i], outcomes[i], seed)
	}
	return out
}

// figure is the range of figure k, of which the nominal board has the value
// typ, or ended in outcome.
func (p *spread) figure(k int, typ float64, outcome protection.Outcome, seed int64) *figureRange {
	r := &figureRange{low: math.NaN(), high: math.NaN()}
	var numbers []uint64
	for i, done := range p.Done {
		if !done {
			continue
		}
		r.samples++
		r.count(p.Outcomes[k][i])
		if v := p.Values[k][i]; !math.IsNaN(v) {
			r.values, numbers = append(r.values, v), append(numbers, uint64(p.From+i))
		}
	}
	slices.SortFunc(r.outcomes, func(a, b counted) int { return strings.Compare(string(a.outcome), string(b.outcome)) })
	if len(r.values) > 0 {
		s := uncertainty.Describe(r.values)
		r.sample = &s
	}
	if p.Extents != nil {
		r.extent(&p.Extents[k], typ, outcome)
		r.explain(&p.Extents[k], seed, numbers)
	}
	r.tell(outcome, func(o protection.Outcome) string {
		for _, w := range p.Reasons {
			if w.Figure == k && w.Outcome == o {
				return fmt.Sprintf(", in sample %d because %s", w.Number, w.Text)
			}
		}
		return ""
	})
	return r
}

func (r *figureRange) count(o protection.Outcome) {
	for i := range r.outcomes {
		if r.outcomes[i].outcome == o {
			r.outcomes[i].n++
			return
		}
	}
	r.outcomes = append(r.outcomes, counted{o, 1})
}

// extent takes the corners, and widens them to the samples and to the nominal
// board: no board that was seen may lie outside.
func (r *figureRange) extent(e *tolerance.Extent, typ float64, outcome protection.Outcome) {
	r.low, r.high = e.Low, e.High
	if math.IsNaN(e.Low) {
		return
	}
	if outcome == protection.Found {
		r.low, r.high = math.Min(r.low, typ), math.Max(r.high, typ)
	}
	if s := r.sample; s != nil {
		if past := math.Max(r.low-e.LowDoubt-s.Min, s.Max-r.high-e.HighDoubt); past > noiseOf(e) {
			r.notes = append(r.notes, "a sample lies beyond the corners found")
		}
		r.low, r.high = math.Min(r.low, s.Min), math.Max(r.high, s.Max)
	}
	for _, v := range e.Odd {
		r.notes = append(r.notes, "not monotone in "+v.Part())
	}
	if e.Beyond && len(e.Odd) == 0 {
		r.notes = append(r.notes, "not monotone: boards lay beyond the corners first found")
	}
	r.inconstant = len(e.Others) > 0
}

// noiseOf is how far beyond an extent a figure must lie to be there.
func noiseOf(e *tolerance.Extent) float64 {
	return 1e-5 * math.Max(math.Abs(e.Low), math.Abs(e.High))
}

// explain names causes: the shares of a line where that explains enough, total
// effects where it does not.
func (r *figureRange) explain(e *tolerance.Extent, seed int64, numbers []uint64) {
	causes, r2, ok := tolerance.Regress(uint64(seed), e.Effects, numbers, r.values)
	if !ok {
		return
	}
	r.causes, r.r2 = causes, r2
	if r2 >= tolerance.Linear {
		return
	}
	r.notes = append(r.notes, fmt.Sprintf("interacting: a line over the parts explains %.0f %% of the variance", 100*r2))
	r.causes = nil
	for _, t := range e.Totals {
		r.causes = append(r.causes, tolerance.Cause(t))
	}
	if len(r.causes) > 0 {
		r.notes = append(r.notes, "causes are total effects, which may add up to more than one")
	}
}

// outcomeConfidence is the confidence of the bounds of an outcome's share.
const outcomeConfidence = 0.95

// tell says in words what no number says.
func (r *figureRange) tell(nominal protection.Outcome, why func(protection.Outcome) string) {
	for _, c := range r.outcomes {
		if c.outcome == nominal {
			continue
		}
		r.inconstant = true
		low, high := uncertainty.ClopperPearson(c.n, r.samples, outcomeConfidence)
		r.notes = append(r.notes, fmt.Sprintf("%s in %d of %d samples: %s to %s %% of boards (95 %%)%s",
			c.outcome, c.n, r.samples, percent(low), percent(high), why(c.outcome)))
	}
	if r.inconstant && r.sample != nil && r.sample.N < r.samples {
		r.notes = append(r.notes, fmt.Sprintf("mean and percentiles are of the %d samples that have the figure", r.sample.N))
	}
}

func percent(share float64) string { return fmt.Sprintf("%.3g", 100*share) }

// publish completes a result.
func (r *figureRange) publish(a *answer.Result) {
	a.Low, a.High = number(r.low), number(r.high)
	if s := r.sample; s != nil {
		a.Mean, a.SD = number(s.Mean), number(s.SD)
		a.PLow, a.PMid, a.PHigh = number(s.Low), number(s.Mid), number(s.High)
		if s.Bounded {
			a.Confidence = &answer.Confidence{PLow: bounds(s.LowBounds), PHigh: bounds(s.HighBounds)}
		}
	}
	for _, c := range r.outcomes {
		low, high := uncertainty.ClopperPearson(c.n, r.samples, outcomeConfidence)
		a.Outcomes = append(a.Outcomes, answer.OutcomeShare{
			Outcome: string(c.outcome), Samples: c.n, Share: number(float64(c.n) / float64(r.samples)), Low: number(low), High: number(high),
		})
	}
	a.Causes = publishCauses(r.causes, r.interacting())
	a.Histogram = histogram(r.values)
	if r.causes != nil || r.r2 > 0 {
		a.RSquared = number(r.r2)
	}
	a.Note = answer.Text(strings.Join(append(nonEmpty(string(a.Note)), r.notes...), "; "))
}

// Bins of a histogram: enough to tell even from pointed and from two heaps, fewer
// where there are few values, none where they are too few to show a shape.
const (
	mostBins   = 24
	fewestBins = 4
	inBin      = 3 // values, on average
)

// histogram counts values.
func histogram(values []float64) *answer.Histogram {
	bins := min(mostBins, len(values)/inBin)
	if bins < fewestBins {
		return nil
	}
	low, high := slices.Min(values), slices.Max(values)
	if !(low < high) {
		return nil
	}
	h := &answer.Histogram{From: number(low), To: number(high), Counts: make([]int, bins)}
	for _, v := range values {
		h.Counts[min(bins-1, int(float64(bins)*(v-low)/(high-low)))]++
	}
	return h
}

func (r *figureRange) interacting() bool { return r.r2 < tolerance.Linear }

func nonEmpty(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

func bounds(b [2]float64) [2]float64 { return [2]float64{*number(b[0]), *number(b[1])} }

// mostCauses is how many causes are named.
const mostCauses = 3

// publishCauses names the greatest causes and adds what is left.
func publishCauses(causes []tolerance.Cause, interacting bool) answer.List[answer.Cause] {
	var out answer.List[answer.Cause]
	rest := 1.0
	for _, c := range causes[:min(len(causes), mostCauses)] {
		out = append(out, answer.Cause{Part: answer.Text(c.Variable.Part()), Quantity: answer.Text(c.Variable.Figure), Share: *number(c.Share)})
		rest -= c.Share
	}
	if len(out) > 0 && !interacting {
		out = append(out, answer.Cause{Share: *number(math.Max(0, rest))})
	}
	return out
}

// attach gives the runs their ranges, and says how many of the samples asked for
// there are.
func attach(runs []run, all []*spread, s Sampling) (samples int) {
	samples = s.Samples
	for _, p := range all {
		r := &runs[p.Job]
		nominal, outcomes := make([]float64, len(r.results)), make([]protection.Outcome, len(r.results))
		for i, res := range r.results {
			nominal[i], outcomes[i] = res.Value, res.Outcome
		}
		r.ranges = p.ranges(nominal, outcomes, s.Seed)
		done := 0
		for _, d := range p.Done {
			if d {
				done++
			}
		}
		samples = min(samples, done)
	}
	return samples
}
