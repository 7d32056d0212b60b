package pages

import (
	"slices"

	"cupel/internal/evidence"
)

// ruleWidth is the width of the rule under a link, in units of its picture.
const ruleWidth = 100

// chain is the line on top of every page: what there is of each link of the
// evidence, and where it is made.
func (v *visit) chain() []link {
	var out []link
	made := slices.Clone(v.s.pages)
	slices.SortStableFunc(made, func(a, b *page) int { return a.place - b.place })
	for _, p := range made {
		if p.links == nil {
			continue
		}
		for _, l := range p.links(v) {
			l.Page = p.name
			out = append(out, l)
		}
	}
	return out
}

// Solid, Thin and Dashed are where the parts of a rule begin and end.
func (l link) Solid() float64  { return ruleWidth * bounded(l.Proven) }
func (l link) Thin() float64   { return ruleWidth * bounded(l.Proven+l.Implied) }
func (l link) Dashed() float64 { return ruleWidth * bounded(l.Proven+l.Implied+l.Assumed) }

func bounded(share float64) float64 { return min(max(share, 0), 1) }

// part is n of all, 0 of none.
func part(n, all int) float64 {
	if all == 0 {
		return 0
	}
	return float64(n) / float64(all)
}

// graded is a link of things that have grades.
func graded(text string, grades map[evidence.Grade]int) link {
	all := 0
	for _, n := range grades {
		all += n
	}
	return link{
		Text:   text,
		Proven: part(grades[evidence.Proven], all), Implied: part(grades[evidence.Implied], all), Assumed: part(grades[evidence.Assumed], all),
	}
}
