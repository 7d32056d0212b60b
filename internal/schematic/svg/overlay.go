package svg

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"cupel/internal/schematic"
)

// note is a line of the list under the sheet: what it speaks of, and what it says.
type note struct{ head, text string }

const (
	noteStep   = 14 // between lines of the list
	noteHeight = 44 // over and under it
	discRadius = 7
	hardUsed   = 0.8 // share of a limit from which a part is framed
)

// overlay writes what is shown on top of the sheet, where there is room for
// it, and returns what must be said under it.
func (p *picture) overlay() []note {
	var notes []note
	room := p.s.Room()
	notes = append(notes, p.steps(room)...)
	notes = append(notes, p.voltages(room)...)
	notes = append(notes, p.stress(room)...)
	notes = append(notes, p.roles()...)
	if p.o.Grades {
		notes = append(notes, p.grades()...)
	}
	return notes
}

// voltages writes the voltage of each net at its name or wire.
func (p *picture) voltages(room *schematic.Room) []note {
	var rest []note
	for i, n := range p.s.Nets {
		v, ok := p.o.Voltages[n.Name]
		if !ok {
			continue
		}
		l, ok := room.BesideNet(i, v, schematic.NoteText)
		if !ok {
			rest = append(rest, note{n.Name, v})
			continue
		}
		p.f(`<g class="net over" data-net="%s">`, p.ids.net(i))
		p.line(l, " voltage")
		p.f("</g>\n")
	}
	return rest
}

// stress writes how hard each part is used, and frames those near their limit.
func (p *picture) stress(room *schematic.Room) []note {
	var rest []note
	for i := range p.s.Symbols {
		s := &p.s.Symbols[i]
		x, ok := p.o.Stress[s.Ref]
		if !ok || s.Part == schematic.NoPart {
			continue
		}
		if x.Share >= hardUsed {
			b := s.Body.Grow(2)
			p.f(`<rect class="hard" x="%d" y="%d" width="%d" height="%d" rx="2"/>`+"\n", b.Min.X, b.Min.Y, b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
		}
		text := x.Text
		if x.Share > 0 {
			text = fmt.Sprintf("%.0f %%", 100*x.Share)
		}
		if l, ok := room.BesideSymbol(i, text, schematic.NoteText); ok {
			p.line(l, " over")
			p.f("\n")
			continue
		}
		rest = append(rest, note{s.Ref, x.Text})
	}
	return rest
}

// roles lists what the parts do, those of one role together.
func (p *picture) roles() []note {
	var order []string
	refs := map[string][]string{}
	for i := range p.s.Symbols {
		s := &p.s.Symbols[i]
		role, ok := p.o.Roles[s.Ref]
		if !ok || s.Part == schematic.NoPart {
			continue
		}
		if refs[role] == nil {
			order = append(order, role)
		}
		refs[role] = append(refs[role], s.Ref)
	}
	var notes []note
	for _, role := range order {
		slices.SortFunc(refs[role], byNumber)
		notes = append(notes, note{role, strings.Join(refs[role], " ")})
	}
	return notes
}

// byNumber orders references by letters, then by number.
func byNumber(a, b string) int {
	cut := func(s string) (string, string) {
		i := strings.IndexAny(s, "0123456789")
		if i < 0 {
			return s, ""
		}
		return s[:i], s[i:]
	}
	la, na := cut(a)
	lb, nb := cut(b)
	return cmp.Or(strings.Compare(la, lb), len(na)-len(nb), strings.Compare(na, nb))
}

// grades explains the underlines, and names the nets that carry none because
// their names stand nowhere.
func (p *picture) grades() []note {
	return []note{
		{"underlines", "proven solid, implied solid with a gap, assumed dashed, contradicted wavy, unknown dotted"},
	}
}

// steps numbers the parts and nets of the course of a trip.
func (p *picture) steps(room *schematic.Room) []note {
	var notes []note
	for k, st := range p.o.Steps {
		at, ok := p.where(st)
		if ok {
			if c, found := room.Disc(at, discRadius, 60); found {
				p.f(`<g class="step"><circle cx="%d" cy="%d" r="%d"/><text class="number" x="%d" y="%d" text-anchor="middle">%d</text></g>`+"\n",
					c.X, c.Y, discRadius, c.X, c.Y+3, k+1)
			}
		}
		head := fmt.Sprintf("%d  %s", k+1, st.Time)
		text := st.Text
		if !st.Needed {
			text += " (not needed for the trip)"
		}
		notes = append(notes, note{head, text})
	}
	return notes
}

// where is the place of a step on the sheet.
func (p *picture) where(st schematic.Step) (schematic.Point, bool) {
	for i := range p.s.Symbols {
		if s := &p.s.Symbols[i]; s.Ref == st.Part && st.Part != "" {
			return s.Body.Min, true
		}
	}
	for i, n := range p.s.Nets {
		if n.Name != st.Net || st.Net == "" {
			continue
		}
		for _, w := range p.s.Wires {
			if int(w.Net) == i {
				return w.Points[0], true
			}
		}
	}
	return schematic.Point{}, false
}

// walked reports whether a part or net is part of the course shown.
func (p *picture) walked(part, net string) bool {
	return slices.ContainsFunc(p.o.Steps, func(s schematic.Step) bool {
		return part != "" && s.Part == part || net != "" && s.Net == net
	})
}

// list writes the notes under the sheet, in columns.
func (p *picture) list(notes []note) {
	columns := p.noteColumns(notes)
	rows := (len(notes) + columns - 1) / columns
	width := (p.s.Size.X - 60) / columns
	wide := 0
	for _, n := range notes {
		wide = max(wide, schematic.WidthOf(n.head, schematic.RefText))
	}
	for i, n := range notes {
		x := 30 + i/rows*width
		y := p.s.Size.Y + 24 + i%rows*noteStep
		p.f(`<text class="ref" x="%d" y="%d">%s</text><text class="value" x="%d" y="%d">%s</text>`+"\n", x, y, esc(n.head), x+wide+12, y, esc(n.text))
	}
}

// noteColumns is how many columns of notes fit beside each other.
func (p *picture) noteColumns(notes []note) int {
	head, text := 1, 1
	for _, n := range notes {
		head = max(head, schematic.WidthOf(n.head, schematic.RefText))
		text = max(text, schematic.WidthOf(n.text, schematic.ValueText))
	}
	return min(max(1, (p.s.Size.X-60)/(head+text+40)), max(1, len(notes)))
}

// noteRoom is the height that the notes take.
func (p *picture) noteRoom(notes []note) int {
	if len(notes) == 0 {
		return 0
	}
	c := p.noteColumns(notes)
	return noteHeight + (len(notes)+c-1)/c*noteStep
}

// underline marks a name by the grade of its fact: a mark for each, without
// colour.
func (p *picture) underline(l schematic.Line, grade string) {
	x0, x1, y := l.Box.Min.X, l.Box.Max.X-2, l.At.Y+2
	switch grade {
	case "proven":
		p.f(`<path class="mark" d="M%d %dH%d"/>`, x0, y, x1)
	case "implied":
		m := (x0 + x1) / 2
		p.f(`<path class="mark" d="M%d %dH%dM%d %dH%d"/>`, x0, y, m-3, m+3, y, x1)
	case "assumed":
		p.f(`<path class="mark" stroke-dasharray="4 3" d="M%d %dH%d"/>`, x0, y, x1)
	case "contradicted":
		p.f(`<path class="mark" d="M%d %d`, x0, y)
		for x := x0; x+4 <= x1; x += 4 {
			p.f("q1 -2 2 0t2 0")
		}
		p.f(`"/>`)
	default:
		p.f(`<path class="mark" stroke-dasharray="0.1 3" d="M%d %dH%d"/>`, x0, y, x1)
	}
}
