package report

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
)

// Explain prints what the parts are for, block by block.
func Explain(a answer.Explain) string {
	var b strings.Builder
	if len(a.Parts) > 1 {
		fmt.Fprintf(&b, "%s: %d of %d parts explained, %d unknown.\n", a.Board, a.Explained, a.Explained+a.Unknown, a.Unknown)
	}
	for _, block := range blocksOf(a.Parts) {
		if len(a.Parts) > 1 {
			fmt.Fprintf(&b, "\n%s\n", sentenceCase(block))
		}
		for _, p := range a.Parts {
			if blockOf(p) == block {
				b.WriteString(explainedPart(p))
			}
		}
	}
	return plain(b.String(), differenceText(a.Differences), listText("Assumed", texts(a.Assumed)))
}

// blocksOf lists the blocks in the order in which their parts come; what is
// unknown comes first.
func blocksOf(ps []answer.ExplainedPart) []string {
	var out []string
	seen := map[string]bool{}
	for _, unknown := range []bool{true, false} {
		for _, p := range ps {
			if block := blockOf(p); !seen[block] && (block == unknownBlock) == unknown {
				seen[block] = true
				out = append(out, block)
			}
		}
	}
	return out
}

const unknownBlock = "unknown"

func blockOf(p answer.ExplainedPart) string {
	if p.Block == "" {
		return unknownBlock
	}
	return string(p.Block)
}

// explainedPart is a part with its sentence and what it rests on.
func explainedPart(p answer.ExplainedPart) string {
	head := fmt.Sprintf("  %s  %s", p.Part, p.Role)
	if p.Piece != "" {
		head += ", " + string(p.Piece)
	}
	if p.Cell != nil {
		head += fmt.Sprintf(", cell %d", *p.Cell)
	}
	if p.Signal != "" {
		head += fmt.Sprintf(", signal means %s", p.Signal)
	}
	s := fmt.Sprintf("%s  [%s]\n", head, p.Grade) + paragraph("      ", p.Sentence)
	if p.Ask != "" {
		s += paragraph("      ", "To find out: "+string(p.Ask)+".")
	}
	if len(p.Evidence) > 0 {
		s += paragraph("      ", "Rests on: "+evidenceText(p.Evidence)+".")
	}
	return s
}

func evidenceText(es []answer.RoleEvidence) string {
	words := make([]string, len(es))
	for i, e := range es {
		words[i] = e.Kind + " " + e.Ref
	}
	return strings.Join(words, "; ")
}

func differenceText(ds []answer.SliceDifference) string {
	if len(ds) == 0 {
		return ""
	}
	var items []phrase
	for _, d := range ds {
		part := string(d.Part)
		if part != "" {
			part += " "
		}
		items = append(items, say(fmt.Sprintf("cell %d: %s%s", d.Cell, part, d.Text)))
	}
	return listText("Where the cells' slices differ", items)
}

// Faults prints the table of faults: the silent losses in full, then the rest.
func Faults(a answer.Faults) string {
	head := fmt.Sprintf("%s: %d faults tried; losses that nothing shows in normal use: %d.\n", a.Board, a.Tried, a.Silent)
	return plain(
		head, faultText("Silent losses", a.Faults, func(f answer.Fault) bool { return len(f.Lost) > 0 && f.Silent }),
		faultText("Losses that show in normal use", a.Faults, func(f answer.Fault) bool { return len(f.Lost) > 0 && !f.Silent }),
		faultText("Not known to be safe", a.Faults, func(f answer.Fault) bool { return len(f.Lost) == 0 && !f.Safe }),
		faultText("Changed, and safe", a.Faults, func(f answer.Fault) bool { return f.Safe && len(f.Changed) > 0 }),
		harmless(a.Faults), listText("Normal use is", texts(a.Normal)), listText("Assumed", texts(a.Assumed)), listText("Caution", texts(a.Cautions)),
	)
}

func faultText(title string, fs []answer.Fault, keep func(answer.Fault) bool) string {
	g := grid{columns: []column{{head: "part"}, {head: "fault", width: 20}, {head: "what it does", width: 62}}}
	for _, f := range fs {
		if keep(f) {
			g.row(f.Part, f.Fault, f.Text)
		}
	}
	if len(g.rows) == 0 {
		return ""
	}
	return title + "\n" + g.String()
}

// harmless lists the faults without effect in a few lines, by the stimulus that
// was missing to show one.
func harmless(fs []answer.Fault) string {
	var whys []string
	words := map[string][]string{}
	n := 0
	for _, f := range fs {
		if !f.Safe || len(f.Lost)+len(f.Changed) > 0 {
			continue
		}
		_, why, _ := strings.Cut(f.Text, ": ")
		if words[why] == nil {
			whys = append(whys, why)
		}
		words[why] = append(words[why], f.Part+" "+f.Fault)
		n++
	}
	if n == 0 {
		return ""
	}
	text := fmt.Sprintf("No effect in any trial at 25 °C (%d)\n", n)
	for _, why := range whys {
		text += paragraph("  ", strings.Join(words[why], ", "))
		if why != "" {
			text += paragraph("    ", why)
		}
	}
	return text
}
