package report

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/answer"
)

// Voltages prints the map of one state, and the parts nearest to their limits.
func Voltages(a answer.Voltages) string {
	head := fmt.Sprintf("%s, %s: volts over B−\n", a.Board, stateText(a.State, a.Cell))
	if a.Stimulus != "" {
		head += paragraph("  ", string(a.Stimulus))
	}
	if a.Over != "" {
		head += paragraph("  ", "from and to: "+string(a.Over))
	}
	if a.Note != "" {
		head += paragraph("  ", "not computed: "+string(a.Note))
	}
	return plain(head, netText(a.Nets), stressText(a.Stress), listText("States that can be asked for", texts(a.States)), listText("Assumed", texts(a.Assumed)))
}

func stateText(state string, cell *int) string {
	if cell == nil {
		return state
	}
	return fmt.Sprintf("%s of cell %d", state, *cell)
}

func netText(ns []answer.NetLevel) string {
	if len(ns) == 0 {
		return ""
	}
	g := grid{columns: []column{{head: "touch"}, {head: "expect", right: true}, {head: "from", right: true}, {head: "to", right: true}, {head: "net"}}}
	for _, n := range ns {
		expect := metered(n.Value)
		if n.Floating {
			expect = "floats"
		}
		g.row(string(n.Touch), expect, metered(n.Low), metered(n.High), n.Net)
	}
	return g.String()
}

// metered prints a voltage as a bench meter shows it: to 1 mV, below 1 V as mV.
func metered(v *float64) string {
	switch {
	case v == nil:
		return ""
	case math.Abs(*v) < meterVolts/2:
		return "0" + thin + "V"
	}
	return figure(v, "V", meterVolts).String()
}

// meterVolts is the last digit of a meter of three and a half digits at 2 V.
const meterVolts = 1e-3

// shownStress is how many parts the text shows; the answer has all.
const shownStress = 15

func stressText(ss []answer.Stress) string {
	g := grid{columns: []column{
		{head: "part"}, {head: "quantity"}, {head: "worst", right: true}, {head: "stands", right: true}, {head: "share", right: true}, {head: "where", width: 36},
	}}
	for _, s := range ss {
		if s.Value == nil || s.Limit == nil || len(g.rows) == shownStress {
			continue
		}
		limit := figure(s.Limit, s.Unit, 0).String()
		if s.Basis == "assumed" {
			limit += " *"
		}
		g.row(s.Part, strings.ReplaceAll(s.Quantity, "_", " "), figure(s.Value, s.Unit, 0).String(), limit,
			fmt.Sprintf("%.0f %%", 100**s.Value / *s.Limit), stateText(s.State, s.Cell))
	}
	if len(g.rows) == 0 {
		return ""
	}
	return "Nearest to what they stand, over all states (* usual for the size, not stated)\n" + g.String()
}

// Story prints a trip, link by link.
func Story(a answer.Story) string {
	head := fmt.Sprintf("%s: how %s%s goes\n", a.Board, strings.ReplaceAll(a.Trial, "-", " "), ofCell(a.Cell))
	if a.Stimulus != "" {
		head += paragraph("  ", string(a.Stimulus))
	}
	g := grid{columns: []column{{head: "after", right: true}, {head: "who", width: 16}, {head: "what", width: 44}, {head: "to", right: true}, {head: "needed"}}}
	for _, s := range a.Steps {
		g.row(moment(s.Time), s.At, s.What, figure(s.Value, string(s.Unit), 0).String(), neededText(s.Needed))
	}
	note := ""
	if a.Note != "" {
		note = paragraph("", "The chain ends here: "+string(a.Note)+".")
	}
	return plain(head, g.String(), note, "needed: taken out, or held where it was, the board no longer cuts; ? neither could be tried\n", listText("Assumed", texts(a.Assumed)))
}

func ofCell(cell *int) string {
	if cell == nil {
		return ""
	}
	return fmt.Sprintf(" of cell %d", *cell)
}

// moment prints a time to the microsecond: links follow each other that fast.
func moment(s *float64) string {
	if s == nil {
		return ""
	}
	return fixed(*s*1e3, 3) + thin + "ms"
}

func neededText(n *bool) string {
	switch {
	case n == nil:
		return "?"
	case *n:
		return "yes"
	}
	return "no"
}
