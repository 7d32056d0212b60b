package role

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/board/pattern"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/potential"
	"cupel/internal/quantity"
)

// sentence says what a part does, what is missed without it, what its other
// faults do, and its number.
func (w work) sentence(i int, p Part, c *claim) string {
	s := w.name(i) + " " + w.does(p, c)
	if open, ok := w.result(i, fault.Open); ok {
		s += "; without it " + w.misses(open, c)
	}
	s += "."
	for _, o := range w.others(i) {
		s += " " + o
	}
	if t, ok := w.stress[i]; ok {
		s += " It sees " + in(t) + "."
	}
	return s
}

// name is a part with its value: "R405 (1 MΩ)".
func (w work) name(i int) string {
	p := &w.Board.Parts[i]
	what := p.Sheet
	if p.Value.Given() {
		what = quantity.Quantity{Dim: p.Value.Dim, Min: math.NaN(), Typ: p.Value.Nominal(), Max: math.NaN()}.String()
	}
	if p.Count > 1 {
		what = fmt.Sprintf("%d × %s", p.Count, what)
	}
	if what == "" {
		return p.Ref
	}
	return fmt.Sprintf("%s (%s)", p.Ref, what)
}

// does is what the part does, by its pattern or by experiment.
func (w work) does(p Part, c *claim) string {
	switch {
	case c != nil:
		return w.fill(c)
	case p.Role == SignalPath:
		return "is drawn as no pattern is; by experiment it carries a protection's signal"
	case p.Role == EnablePath:
		return "is drawn as no pattern is; by experiment it carries what keeps the " + p.Block + " on"
	}
	return "is not understood: no pattern draws it so"
}

// fill puts parts, nets and the cell into a claim's text.
func (w work) fill(c *claim) string {
	pairs := []string{"{k}", strconv.Itoa(c.match.Cell)}
	for name, parts := range c.match.Parts {
		ref := "a part that is missing"
		if len(parts) > 0 {
			ref = w.Board.Parts[parts[0]].Ref
		}
		pairs = append(pairs, "{"+name+"}", ref)
	}
	for name, n := range c.match.Nets {
		pairs = append(pairs, "{"+name+"}", w.place(n))
	}
	text := strings.NewReplacer(pairs...).Replace(c.Text)
	if c.match.Pattern.Signal != "" && c.Piece == "transistor" {
		text += " (signal means " + c.match.Pattern.Signal + ")"
	}
	return text
}

// place is a net by its tap, else by its name.
func (w work) place(n board.NetID) string {
	if t := w.graph.Tap(n); t >= 0 {
		return fmt.Sprintf("tap %d", t)
	}
	return w.Board.Nets[n].Name
}

// misses says what an open part costs.
func (w work) misses(r fault.Result, c *claim) string {
	if !r.None() {
		return Phrase(r)
	}
	return Phrase(r) + ": " + w.missing(c)
}

// missing says which stimulus was not there to show an effect.
func (w work) missing(c *claim) string {
	if c != nil && c.Stimulus != "" {
		return "what would show it is " + w.stimulus(c)
	}
	return "what might show it was not tried (heat, tolerances, ripple, spikes)"
}

// Phrases gives the words for any fault of a board. Of one that leaves every
// trial as it was they say which stimulus was missing: no effect found is not no
// effect.
func Phrases(in Input) func(fault.Row) string {
	g := pattern.NewGraph(in.Board, in.Sheets)
	matches, _ := pattern.Recognise(g, pattern.Library())
	claims := claimsOf(g, matches)
	w := work{Input: in, graph: g, rows: rowsOf(in)}
	return func(r fault.Row) string {
		if !r.Result.None() {
			return Phrase(r.Result)
		}
		var c *claim
		if i := r.Fault.Part; i >= 0 && r.Fault.Kind == fault.Open {
			c, _ = w.choose(i, claims[i])
		}
		return Phrase(r.Result) + ": " + w.missing(c)
	}
}

func (w work) stimulus(c *claim) string {
	d := *c
	d.Text, d.Piece = c.Stimulus, ""
	return w.fill(&d)
}

// others says what the faults other than open do, those alike together.
func (w work) others(i int) []string {
	var phrases []string
	kinds := map[string][]string{}
	for _, r := range w.rows[i] {
		if r.Fault.Kind == fault.Open {
			continue
		}
		s := Phrase(r.Result)
		if kinds[s] == nil {
			phrases = append(phrases, s)
		}
		kinds[s] = append(kinds[s], faultWord(r.Fault))
	}
	var out []string
	for _, s := range phrases {
		out = append(out, fmt.Sprintf("%s: %s.", capital(strings.Join(kinds[s], " or ")), s))
	}
	return out
}

// faultWord is a fault as a sentence has it.
func faultWord(f fault.Fault) string {
	switch f.Kind {
	case fault.Short:
		return "shorted"
	case fault.OneOpen:
		return "with one of them open"
	}
	return f.Name()
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// in prints a stress: "17.2 V of 60 V after overcharge of cell 5".
func in(s potential.Stress) string {
	unit := map[string]quantity.Dimension{"V": quantity.Voltage, "W": quantity.Power}[s.Unit]
	where := s.State
	if s.Cell > 0 {
		where += fmt.Sprintf(" of cell %d", s.Cell)
	}
	return fmt.Sprintf("%s of %s %s", amount(unit, s.Value), amount(unit, s.Limit), when(where))
}

func when(state string) string {
	if strings.HasPrefix(state, "after ") {
		return state
	}
	return "while " + state
}

// amount prints a value with three digits.
func amount(d quantity.Dimension, v float64) string {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return quantity.Quantity{Dim: d, Min: math.NaN(), Typ: r, Max: math.NaN()}.String()
}
