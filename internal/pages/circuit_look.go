package pages

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/quantity"
	"cupel/internal/study"
)

// look is what a person chose to see on the sheet.
type look struct {
	Show  string // "" shows the circuit alone
	State string
	Trial string
	Cell  int
	// Styled is a picture that stands alone, for a browser without our module.
	Styled bool
}

// The states that can be chosen, and the trials whose course can be. A board that
// has no such state or is not tripped so says so.
var (
	restStates = []string{"idle", "charging", "discharging"}
	trips      = []protection.Trial{
		protection.Overcharge, protection.Overdischarge, protection.DischargeOvercurrent, protection.ChargeOvercurrent, protection.LoadShort,
	}
)

// after is the state that a trip leaves.
const after = "after "

// look reads what was chosen; whatever is none of the choices is the first.
func (v *visit) look(d *dossier.Dossier) look {
	l := look{Show: oneOf(v.field("show"), study.Shows()...), State: oneOf(v.field("state"), states()...), Trial: oneOf(v.field("trial"), trials()...)}
	l.State, l.Trial = cmp.Or(l.State, restStates[0]), cmp.Or(l.Trial, string(protection.Overdischarge))
	if k := atoi(v.field("cell")); k >= 1 && k <= d.Board.Cells {
		l.Cell = k
	}
	l.Styled = v.field("styled") != ""
	return l
}

func states() []string {
	out := slices.Clone(restStates)
	for _, t := range trips {
		out = append(out, after+string(t))
	}
	return out
}

func trials() []string {
	var out []string
	for _, t := range trips {
		out = append(out, string(t))
	}
	return out
}

// query is the look as an address has it: only what it hangs on.
func (l look) query() url.Values {
	q := url.Values{}
	switch l.Show {
	case study.ShowVoltages:
		q.Set("state", l.State)
	case study.ShowStory:
		q.Set("trial", l.Trial)
	}
	if l.Show != "" {
		q.Set("show", l.Show)
	}
	if l.Styled {
		q.Set("styled", "1")
	}
	if l.Cell > 0 && (q.Has("state") || q.Has("trial")) {
		q.Set("cell", strconv.Itoa(l.Cell))
	}
	return q
}

// view is the look as the study of drawings takes it.
func (l look) view() study.View {
	return study.View{Show: l.Show, State: l.State, Trial: protection.Trial(l.Trial), Cell: l.Cell, Unstyled: !l.Styled}
}

// choice is one entry of a list to choose from.
type choice struct {
	Value, Text string
	Chosen      bool
}

// lookForm is the line above the sheet.
type lookForm struct {
	Show, State, Trial, Cell []choice
	Chosen                   look
}

func (v *visit) lookForm(d *dossier.Dossier) lookForm {
	l := v.look(d)
	f := lookForm{Chosen: l}
	for _, s := range append([]string{""}, study.Shows()...) {
		f.Show = append(f.Show, choice{s, v.T("circuit.show." + cmp.Or(s, "plain")), s == l.Show})
	}
	for _, s := range restStates {
		f.State = append(f.State, choice{s, v.T("state." + s), s == l.State})
	}
	for _, t := range trips {
		f.State = append(f.State, choice{after + string(t), v.T("state.after", "what", v.T("trial."+string(t))), after+string(t) == l.State})
		f.Trial = append(f.Trial, choice{string(t), v.T("trial." + string(t)), string(t) == l.Trial})
	}
	f.Cell = append(f.Cell, choice{"", v.T("circuit.cell.any"), l.Cell == 0})
	for k := 1; k <= d.Board.Cells; k++ {
		f.Cell = append(f.Cell, choice{strconv.Itoa(k), v.T("cell", "k", k), k == l.Cell})
	}
	return f
}

// levels are the voltages of the state that was chosen, or at rest where another
// thing is shown. Without compute they are there only if they were computed
// before.
func (v *visit) levels(l look, d *dossier.Dossier, compute bool) (answer.Voltages, error) {
	if l.Show != study.ShowVoltages {
		l.State, l.Cell = restStates[0], 0
	}
	name := fmt.Sprintf("levels %s %d", l.State, l.Cell)
	if !compute {
		return known[answer.Voltages](&v.s.memo, figures(d), name)
	}
	return recall(&v.s.memo, figures(d), name, func() (answer.Voltages, error) {
		return study.Voltages(context.WithoutCancel(v.r.Context()), d, l.State, l.Cell)
	})
}

// story is the course of the trip that was chosen, the same way.
func (v *visit) story(l look, d *dossier.Dossier, compute bool) (answer.Story, error) {
	name := fmt.Sprintf("story %s %d", l.Trial, l.Cell)
	if !compute {
		return known[answer.Story](&v.s.memo, figures(d), name)
	}
	return recall(&v.s.memo, figures(d), name, func() (answer.Story, error) {
		return study.Story(context.WithoutCancel(v.r.Context()), d, protection.Trial(l.Trial), l.Cell)
	})
}

// circuitCompute computes what the look needs beside the picture, and hands out
// nothing: the page then shows it.
func circuitCompute(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	l := v.look(d)
	switch l.Show {
	case study.ShowVoltages:
		v.levels(l, d, true)
	case study.ShowStory:
		v.story(l, d, true)
	}
	v.w.WriteHeader(http.StatusNoContent)
	return nil
}

// stateName is the state of a look, as it is read.
func (v *visit) stateName(l look) string {
	name := ""
	if trial, ok := strings.CutPrefix(l.State, after); ok {
		name = v.T("state.after", "what", v.T("trial."+trial))
	} else {
		name = v.T("state." + l.State)
	}
	if l.Cell > 0 {
		name += ", " + v.T("cell", "k", l.Cell)
	}
	return name
}

// level is what a meter shows on a net: "7.40 V (7.10 to 7.70)".
func (v *visit) level(l answer.NetLevel) string {
	switch {
	case l.Floating:
		return v.T("level.floats")
	case l.Value == nil:
		return v.T("level.unknown")
	case l.Low == nil || l.High == nil || dmm(*l.Low) == dmm(*l.High):
		return v.T("level.volts", "value", dmm(*l.Value))
	}
	return v.T("level.range", "value", dmm(*l.Value), "low", dmm(*l.Low), "high", dmm(*l.High))
}

// dmm prints volts as a bench meter of three and a half digits shows them.
func dmm(volts float64) string {
	s := strconv.FormatFloat(math.Abs(volts), 'f', 2, 64)
	if volts < 0 && s != "0.00" {
		return "−" + s
	}
	return s
}

// stepRow is one link of a trip.
type stepRow struct {
	Number               int
	Time, Who, What, Net string
	Part                 string // of the board, "" where the link is none
	Unneeded             bool
}

func (v *visit) stepRows(d *dossier.Dossier, s answer.Story) []stepRow {
	var out []stepRow
	for i, x := range s.Steps {
		r := stepRow{Number: i + 1, Who: v.own(string(x.At)), What: v.Number2(x.What), Net: string(x.Net), Unneeded: x.Needed != nil && !*x.Needed}
		if _, ok := d.Board.Part(x.At); ok {
			r.Part = x.At
		}
		for _, p := range v.rolesByDrawing(d) {
			if r.Part == "" && p.Role == x.At {
				r.Part = p.Ref
			}
		}
		if x.Time != nil {
			r.Time = v.number(strconv.FormatFloat(*x.Time*1e3, 'f', 3, 64)) // µs tell links apart
		}
		if x.Value != nil && x.Unit == "V" {
			r.What += " " + v.T("circuit.to", "value", v.Format(*x.Value, quantity.Voltage))
		}
		out = append(out, r)
	}
	return out
}

// Format prints a value with three digits and its unit, in the reader's decimals.
func (l *language) Format(x float64, d quantity.Dimension) string {
	return l.number(quantity.Format(x, d, 3))
}
