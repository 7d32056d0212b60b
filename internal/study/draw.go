package study

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/explain/role"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
	"cupel/internal/schematic"
	"cupel/internal/schematic/layout"
	"cupel/internal/schematic/svg"
)

// The things that can be shown on top of a sheet.
const (
	ShowRoles    = "roles"
	ShowVoltages = "voltages"
	ShowGrades   = "grades"
	ShowStress   = "stress"
	ShowStory    = "story"
)

// Shows lists what can be shown on top of a sheet.
func Shows() []string { return []string{ShowRoles, ShowVoltages, ShowGrades, ShowStress, ShowStory} }

// View is what a drawing is asked to show. Its zero value is the sheet alone.
type View struct {
	Show  string
	State string           // of voltages; "idle" where empty
	Trial protection.Trial // of a story; overdischarge where empty
	Cell  int              // of a state after a trip, or a story; the lowest where 0
	// Unstyled leaves the picture's style to the page that shows it.
	Unstyled bool
}

// CodeShow is the code of the finding that there is nothing of that name to
// show.
const CodeShow = "S004"

// Draw draws the sheet of a board. The sheet alone needs only texts that can be
// read: a board in the making is drawn as far as it is known. Its error is
// *finding.Errors if the texts are wrong, or if what is to be shown is none.
func Draw(ctx context.Context, d *dossier.Dossier, v View) (answer.Draw, error) {
	if err := d.Findings.Err(); err != nil {
		return answer.Draw{}, err
	}
	over, err := overlay(ctx, d, v)
	if err != nil {
		return answer.Draw{}, err
	}
	sheet, n := layout.Lay(d.Board, d.Sheets.Sheet)
	var b bytes.Buffer
	if err := svg.Write(&b, sheet, over, svg.Options{Unstyled: v.Unstyled}); err != nil {
		return answer.Draw{}, err
	}
	a := answer.Draw{
		Head: answer.NewHead("draw", d.Board.Name, d.Hash), Show: answer.Text(v.Show), SVG: answer.Text(b.String()),
		Parts: n.Parts, Nets: n.Nets, Crossings: n.Crossings, Bends: n.Bends, Overlaps: n.Overlaps, Names: n.Names,
	}
	for _, ref := range sheet.Unplaced() {
		a.Unplaced = append(a.Unplaced, ref)
	}
	return a, nil
}

// overlay finds what is to be shown on top.
func overlay(ctx context.Context, d *dossier.Dossier, v View) (schematic.Overlay, error) {
	switch v.Show {
	case "":
		return schematic.Overlay{}, nil
	case ShowGrades:
		return schematic.Overlay{Heading: "grades of the nets", Grades: true}, nil
	case ShowRoles:
		return rolesOver(d)
	case ShowVoltages, ShowStress:
		a, err := voltages(ctx, d, cmp.Or(v.State, "idle"), v.Cell, 0)
		if err != nil {
			return schematic.Overlay{}, err
		}
		if v.Show == ShowStress {
			return stressOver(a), nil
		}
		return voltagesOver(a), nil
	case ShowStory:
		a, err := Story(ctx, d, cmp.Or(v.Trial, protection.Overdischarge), v.Cell)
		return storyOver(d, a), err
	}
	var l finding.List
	l.Add(finding.Finding{
		Code: CodeShow, Level: finding.Error, Text: fmt.Sprintf("a sheet cannot show %q", v.Show),
		Do: "one of: " + list(Shows()), Suggestion: finding.Nearest(v.Show, Shows()),
	})
	return schematic.Overlay{}, l.Err()
}

// rolesOver shows what the drawing alone says of the parts, and what a person
// says; cupel explain adds what the faults tell.
func rolesOver(d *dossier.Dossier) (schematic.Overlay, error) {
	said, err := understood(d)
	if err != nil {
		return schematic.Overlay{}, err
	}
	o := schematic.Overlay{Heading: "roles, by the drawing alone", Roles: map[string]string{}}
	for _, p := range role.Parts(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet, Said: said}) {
		o.Roles[p.Ref] = p.Role
	}
	return o, nil
}

func voltagesOver(a answer.Voltages) schematic.Overlay {
	o := schematic.Overlay{Heading: "voltages over B−, " + a.State + ofCell(a.Cell), Voltages: map[string]string{}}
	for _, n := range a.Nets {
		switch {
		case n.Floating:
			o.Voltages[n.Net] = "floats"
		case n.Value != nil:
			o.Voltages[n.Net] = volts(*n.Value) + " V"
		}
	}
	return o
}

func ofCell(k *int) string {
	if k == nil {
		return ""
	}
	return fmt.Sprintf(", cell %d", *k)
}

// volts prints what a bench meter of three and a half digits shows: 0.01 V.
func volts(v float64) string {
	s := fmt.Sprintf("%.2f", math.Abs(v))
	if v < 0 && s != "0.00" {
		return "−" + s
	}
	return s
}

// stressOver shows for each part what comes nearest to its limit.
func stressOver(a answer.Voltages) schematic.Overlay {
	o := schematic.Overlay{Heading: "stress, worst of all states", Stress: map[string]schematic.Stress{}}
	for _, s := range a.Stress {
		x := share(s)
		if have, ok := o.Stress[s.Part]; ok && have.Share >= x || s.Value == nil || s.Limit == nil {
			continue
		}
		text := fmt.Sprintf("%s %.3g of %.3g %s, %s%s", s.Quantity, *s.Value, *s.Limit, s.Unit, s.State, ofCell(s.Cell))
		o.Stress[s.Part] = schematic.Stress{Text: text, Share: x}
	}
	return o
}

// storyOver numbers the links of a trip.
func storyOver(d *dossier.Dossier, a answer.Story) schematic.Overlay {
	o := schematic.Overlay{Heading: strings.ReplaceAll(a.Trial, "-", " ") + ofCell(a.Cell)}
	roles := role.Parts(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet})
	for _, s := range a.Steps {
		step := schematic.Step{Net: string(s.Net), Text: told(s), Needed: s.Needed == nil || *s.Needed}
		_, isPart := d.Board.Part(s.At)
		bank := slices.IndexFunc(roles, func(p role.Part) bool { return p.Role == s.At })
		switch {
		case isPart, strings.HasPrefix(s.At, "cell "):
			step.Part = s.At
		case bank >= 0:
			step.Part = roles[bank].Ref
		}
		if s.Time != nil {
			step.Time = quantity.Format(*s.Time, quantity.Time, 3)
		}
		o.Steps = append(o.Steps, step)
	}
	return o
}

// told puts a link of a trip into words: "Q401 lifts out-do4 from 7 mV to 13.5 V".
func told(s answer.StoryStep) string {
	text := s.At + " " + s.What
	if s.Value == nil {
		return text
	}
	if strings.Contains(s.What, " from ") {
		text += " to"
	}
	value := fmt.Sprintf("%.3g %s", *s.Value, s.Unit)
	if s.Unit == "V" {
		value = quantity.Format(*s.Value, quantity.Voltage, 3)
	}
	return text + " " + value
}
