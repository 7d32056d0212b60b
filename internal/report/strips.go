package report

import (
	"html/template"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
)

// Strip is one figure of a protection over all cells: what is stated of it,
// and what is predicted at each temperature.
type Strip struct {
	Trial, Quantity, Unit string
	Stage, State          string
	Key                   string // names the figure in addresses
	Name                  template.HTML
	Stated                *answer.Claim // the worst claim on it at room temperature, if one is stated
	Lines                 []StripLine
}

// StripLine is a figure at one temperature, in its unit. What is absent is nil.
type StripLine struct {
	Degrees         *float64
	TypLow, TypHigh *float64      // over the cells
	Low, High       *float64      // worst corners
	PLow, PHigh     *float64      // 0.135 and 99.865 %
	Widest          answer.Result // the row that spreads most, or the first
	Notes           []string
}

// Strips gathers the figures that were found, in the order of the trials. The
// steps of sweeps are left to the JSON.
func Strips(a answer.Predict) []Strip {
	at := map[string]int{}
	var out []Strip
	for _, r := range a.Results {
		if r.Value == nil || r.Unit == "" || !ofTheWhole(r) || r.Trial == string(protection.Release) {
			continue
		}
		bare := r
		bare.Temperature = nil
		name := spreadName(bare)
		i, ok := at[name.String()]
		if !ok {
			i = len(out)
			at[name.String()] = i
			out = append(out, Strip{Trial: r.Trial, Quantity: r.Quantity, Unit: string(r.Unit), Stage: string(r.Stage), State: string(r.State), Key: address(name.String()), Name: name.HTML()})
		}
		out[i].add(r)
	}
	for i := range out {
		out[i].Stated = statedOf(out[i], a.Claims)
	}
	slices.SortStableFunc(out, func(a, b Strip) int { return trialOrder(a.Trial) - trialOrder(b.Trial) })
	return out
}

func (s *Strip) add(r answer.Result) {
	i := slices.IndexFunc(s.Lines, func(l StripLine) bool { return equal(l.Degrees, r.Temperature) })
	if i < 0 {
		i = len(s.Lines)
		s.Lines = append(s.Lines, StripLine{Degrees: r.Temperature, Widest: r})
	}
	l := &s.Lines[i]
	l.TypLow, l.TypHigh = lesser(l.TypLow, r.Value), greater(l.TypHigh, r.Value)
	l.Low, l.High = lesser(l.Low, r.Low), greater(l.High, r.High)
	l.PLow, l.PHigh = lesser(l.PLow, r.PLow), greater(l.PHigh, r.PHigh)
	if w := l.Widest; r.Low != nil && r.High != nil && (w.Low == nil || *r.High-*r.Low > *w.High-*w.Low) {
		l.Widest = r
	}
	if r.Note != "" && !slices.Contains(l.Notes, string(r.Note)) {
		l.Notes = append(l.Notes, string(r.Note))
	}
}

func equal(a, b *float64) bool { return a == b || a != nil && b != nil && *a == *b }

func trialOrder(word string) int {
	return slices.Index(protection.Trials, protection.Trial(word))
}

// statedOf is the worst claim on a figure at the temperature that is left unsaid.
func statedOf(s Strip, cs []answer.Claim) *answer.Claim {
	for _, c := range worstFirst(cs) {
		same := c.Quantity == s.Quantity || c.Quantity == string(protection.Detect) && protection.Answers(protection.Trial(s.Trial), protection.Detect, protection.Quantity(s.Quantity))
		if c.Trial == s.Trial && same && s.meant(c) && string(c.Unit) == s.Unit && (c.Temperature == nil || *c.Temperature == usual) &&
			(c.Stated.Min != nil || c.Stated.Max != nil || c.Stated.Typ != nil) {
			return &c
		}
	}
	return nil
}

// meant reports whether a claim speaks of the figure's stage and state: its name
// says of which, where it is not of the first stage of a board at rest.
func (s Strip) meant(c answer.Claim) bool {
	_, of, said := strings.Cut(c.Name, ", ")
	switch {
	case s.Stage != "" && s.Stage != "1":
		return said && strings.Contains(of, s.Stage)
	case said && strings.Contains(of, "stage"):
		return false
	case said && strings.Contains(of, "after "):
		return strings.Contains(of, s.State) && s.State != ""
	}
	return true
}

// address makes a name into a word of an address.
func address(name string) string {
	var b []rune
	for _, r := range name {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b = append(b, r)
		case len(b) > 0 && b[len(b)-1] != '-':
			b = append(b, '-')
		}
	}
	return string(b)
}
