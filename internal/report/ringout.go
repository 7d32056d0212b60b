package report

import (
	"fmt"
	"strconv"
	"strings"

	"cupel/internal/answer"
)

// RingoutNext prints what to probe next.
func RingoutNext(a answer.RingoutNext) string {
	var b strings.Builder
	if a.Contradiction != nil {
		b.WriteString(contradictionText(*a.Contradiction))
	}
	switch a.Ask {
	case "none":
		fmt.Fprintf(&b, "Nothing is left to ask: %s, %s.\n", howMany(a.Entries, "entry", "entries"), howMany(a.Touches, "touch", "touches"))
		return b.String()
	case "sweep":
		fmt.Fprintf(&b, "%s  sweep  %s\n", a.A, strings.Join(a.Pads, " "))
	case "bridge":
		fmt.Fprintf(&b, "%s  against, bridged,  %s\n", a.A, strings.Join(a.Pads, " "))
	default:
		fmt.Fprintf(&b, "%s  –  %s\n", a.A, a.B)
	}
	b.WriteString(paragraph("  ", askedFor(a)))
	for _, n := range a.Nets {
		if len(n.Pads) > 1 {
			b.WriteString(paragraph("  ", fmt.Sprintf("%s, %s: %s", n.Net, n.Grade, some(n.Pads, 8))))
		}
	}
	return b.String()
}

func askedFor(a answer.RingoutNext) string {
	s := sentenceCase(string(a.Because)) + "."
	if a.WouldSettle != nil && *a.WouldSettle > 1 {
		s += fmt.Sprintf(" Settles %d pairs.", *a.WouldSettle)
	}
	return s
}

func contradictionText(c answer.Contradiction) string {
	return paragraph("", fmt.Sprintf("Readings %s can't all be right: %s. Repeat %s first.", numbers(c.Readings), c.Text, numbers(c.Repeat[:min(1, len(c.Repeat))])))
}

// numbers lists numbers as a sentence does.
func numbers(n []int) string {
	var words []string
	for _, x := range n {
		words = append(words, strconv.Itoa(x))
	}
	if k := len(words); k > 1 {
		return strings.Join(words[:k-1], ", ") + " and " + words[k-1]
	}
	return strings.Join(words, "")
}

// some lists the first of many names.
func some(names []string, n int) string {
	if len(names) <= n+1 {
		return strings.Join(names, " ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:n], " "), len(names)-n)
}

func howMany(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// RingoutStatus prints what is known and how well.
func RingoutStatus(a answer.RingoutStatus) string {
	var b strings.Builder
	for _, c := range a.Contradictions {
		b.WriteString(contradictionText(c))
	}
	if len(a.Contradictions) > 0 {
		b.WriteString("\n")
	}
	p := a.Apart
	fmt.Fprintf(&b, "%s: %d pads, %s; %s, %s, %d undone.\n", a.Board, a.Pads, howMany(len(a.Nets), "net", "nets"),
		howMany(a.Entries, "entry", "entries"), howMany(a.Touches, "touch", "touches"), a.Undone)
	b.WriteString(paragraph("", fmt.Sprintf("Of %d pairs of pads %d are proven, %d implied, %d assumed, %d contradicted, %d open.",
		p.Pairs, p.Proven, p.Implied, p.Assumed, p.Contradicted, p.Open)))
	if len(a.Housing.Guessed) > 0 {
		b.WriteString(paragraph("", fmt.Sprintf("One pad a pin is taken for %s: no sheet says what package %s.",
			some(a.Housing.Guessed, 8), map[bool]string{true: "it has", false: "they have"}[len(a.Housing.Guessed) == 1])))
	}
	sections := []string{b.String(), rungNets(a.Nets), differencesText("Slices that differ", a.Differences), byHandText(a.ByHand), boundsText(a.Bounds), riskText(a)}
	return plain(append(sections, Findings(a.Findings))...)
}

func rungNets(nets []answer.RungNet) string {
	var b strings.Builder
	if len(nets) > 0 {
		b.WriteString("Nets\n")
	}
	for _, n := range nets {
		fmt.Fprintf(&b, "  %-20s %-12s %s\n", n.Net, n.Grade, some(n.Pads, 10))
	}
	return b.String()
}

func differencesText(title string, ds []answer.SliceDifference) string {
	var items []phrase
	for _, x := range ds {
		who := string(x.Part)
		if who == "" {
			who = "it"
		}
		items = append(items, say(fmt.Sprintf("cell %d: %s %s", x.Cell, who, x.Text)))
	}
	return listText(title, items)
}

func byHandText(ds []answer.NetlistDifference) string {
	var items []phrase
	for _, x := range ds {
		s := fmt.Sprintf("%s: by hand %s, by readings %s", x.At, onNet(x.ByHand), onNet(x.Readings))
		if len(x.Because) > 0 {
			s += fmt.Sprintf(" (%s)", numbers(x.Because))
		}
		items = append(items, say(s))
	}
	return listText("Other than in board.yaml", items)
}

func onNet(n answer.Text) string {
	if n == "" {
		return "on nothing"
	}
	return "on " + string(n)
}

func boundsText(bs []answer.ResistanceAtLeast) string {
	var items []phrase
	for _, x := range bs {
		if x.AtLeast != nil {
			items = append(items, say(fmt.Sprintf("%s – %s: at least %g Ω (entry %d, in circuit)", x.A, x.B, *x.AtLeast, x.Entry)))
		}
	}
	return listText("Resistances", items)
}

func riskText(a answer.RingoutStatus) string {
	s := listText("In doubt", texts(a.Risk.Words))
	var near []string
	for _, x := range a.Suspects[:min(5, len(a.Suspects))] {
		w := x.A + " – " + x.B
		if x.Distance != nil {
			w += fmt.Sprintf(" (%.1f mm)", *x.Distance)
		}
		near = append(near, w)
	}
	if len(near) > 0 {
		s += paragraph("  ", "Look at first, nobody held them apart: "+strings.Join(near, ", ")+".")
	}
	return s
}

// RingoutAdd prints what entries changed.
func RingoutAdd(a answer.RingoutAdd) string {
	var b strings.Builder
	for _, e := range a.Entries {
		b.WriteString(RingoutEntry(e) + "\n")
	}
	for _, c := range a.Contradictions {
		b.WriteString(contradictionText(c))
	}
	fmt.Fprintf(&b, "%d pads, %s.\n", a.Pads, howMany(a.Nets, "net", "nets"))
	return b.String() + Findings(a.Findings)
}

// RingoutEntry prints an entry on one line.
func RingoutEntry(e answer.RingoutEntry) string {
	if e.Undoes != nil {
		return fmt.Sprintf("%d  undoes %d", e.Number, *e.Undoes)
	}
	result := string(e.Result)
	if e.Value != nil {
		result = fmt.Sprintf("%g %s", *e.Value, e.Unit)
	}
	s := fmt.Sprintf("%d  %s – %s  %s", e.Number, e.A, strings.Join(e.B, " "), result)
	if e.Entry != "pair" {
		s = fmt.Sprintf("%d  %s %s – %s  %s", e.Number, e.Entry, e.A, strings.Join(e.B, " "), result)
	}
	if e.InCircuit {
		s += ", in circuit"
	}
	if e.Undone {
		s += ", undone"
	}
	return s
}

// RingoutApply prints what changed in board.yaml.
func RingoutApply(a answer.RingoutApply) string {
	head := "board.yaml has these nets already.\n"
	if a.Changed {
		head = fmt.Sprintf("%s: %s written into board.yaml.\n", a.Board, howMany(len(a.Nets), "net", "nets"))
	}
	return plain(head, byHandText(a.Differences), Findings(a.Findings))
}

// RingoutRehearse prints what a whole ring-out would take.
func RingoutRehearse(a answer.RingoutRehearse) string {
	var b strings.Builder
	perPad := 0.0
	if a.TouchesPerPad != nil {
		perPad = *a.TouchesPerPad
	}
	fmt.Fprintf(&b, "%s, %d pads on %d nets: all connections found with %d touches, %.2f a pad, %s at 4 s.\n",
		a.Board, a.Pads, a.Nets, a.Touches, perPad, minutes(a.Time))
	fmt.Fprintf(&b, "  floor, pads less nets          %6d\n", a.Floor)
	fmt.Fprintf(&b, "  one representative a net       %6d\n", a.Representative)
	fmt.Fprintf(&b, "  every pair                     %6d\n", a.NaivePairs)
	fmt.Fprintf(&b, "  to show that the rest is apart %6d more, %d with bridged pads\n", a.ClosingTouches, a.ClosingTouchesBridged)
	if e := a.Errors; e.FalseBeep+e.MissedBeep+e.LowValue > 0 {
		fmt.Fprintf(&b, "  the meter erred: %d connected for open, %d open for connected, %d low for copper\n", e.FalseBeep, e.MissedBeep, e.LowValue)
	}
	switch {
	case len(a.WrongNets) > 0:
		b.WriteString(paragraph("", "WRONG without a sign of it: "+strings.Join(a.WrongNets, ", ")+"."))
	case len(a.Flagged) > 0:
		b.WriteString(paragraph("", "Flagged as contradicted: "+strings.Join(a.Flagged, ", ")+". No net is silently wrong."))
	default:
		b.WriteString("Every net is right.\n")
	}
	return b.String() + Findings(a.Findings)
}

func minutes(s int) string {
	if s < 120 {
		return fmt.Sprintf("%d s", s)
	}
	return fmt.Sprintf("%d min", (s+30)/60)
}
