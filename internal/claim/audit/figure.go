package audit

import (
	"math"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// figure is one stated figure, of the table or of what stands beside it.
type figure struct {
	name  string
	q     quantity.Quantity
	place finding.Place
	cell  int     // 0: of every cell
	at    float64 // K
	stage string
	named bool // a temperature is named
}

func ofClaim(c claim.Claim) figure {
	return figure{
		name: c.Name(), q: c.Value, place: c.Place, cell: c.Cell, at: c.Temperature(), stage: c.Stage,
		named: !math.IsNaN(c.At),
	}
}

func ofFact(name string, f claim.Fact) figure {
	return figure{name: name, q: f.Value, place: f.Place}
}

// low is the least that the figure allows: its minimum, or the figure itself
// where it has no limits. It is not stated for "max 10 mΩ".
func (f figure) low() number {
	if math.IsNaN(f.q.Min) {
		return f.number(f.q.Typ, "")
	}
	return f.number(f.q.Min, "minimum")
}

// high is the most that the figure allows.
func (f figure) high() number {
	if math.IsNaN(f.q.Max) {
		return f.number(f.q.Typ, "")
	}
	return f.number(f.q.Max, "maximum")
}

// nominal is the typical value, the middle of the limits, or the one limit.
func (f figure) nominal() number {
	which := ""
	switch v := f.q.Nominal(); {
	case f.limited() && v == f.q.Max:
		which = "maximum"
	case f.limited() && v == f.q.Min:
		which = "minimum"
	case f.limited():
		which = "typical"
	}
	return f.number(f.q.Nominal(), which)
}

// limited reports whether the figure has a limit on any side.
func (f figure) limited() bool {
	return !bare(f.q)
}

// bare reports whether q is one figure without any limit.
func bare(q quantity.Quantity) bool {
	return math.IsNaN(q.Min) && math.IsNaN(q.Max) || q.Min == q.Max
}

// both reports whether the figure has both limits.
func (f figure) both() bool {
	return f.limited() && !math.IsNaN(f.q.Min) && !math.IsNaN(f.q.Max)
}

// crossed reports whether minimum and maximum are exchanged: then nothing can
// be reckoned from them.
func (f figure) crossed() bool { return f.q.Min > f.q.Max }

// half is half the width of the limits.
func (f figure) half() float64 { return (f.q.Max - f.q.Min) / 2 }

func (f figure) number(v float64, which string) number {
	n := number{v: v, name: f.name, dim: f.q.Dim}
	if which != "" {
		n.name += ", " + which
	}
	n.text, n.from = write(f.q, v)
	return n
}

// alike reports whether two figures speak of the same cell at the same
// temperature, so that they can be held against each other.
func alike(a, b figure) bool {
	return (a.cell == 0 || b.cell == 0 || a.cell == b.cell) && math.Abs(a.at-b.at) < 0.5
}

// table is one sheet under audit.
type table struct {
	sheet *claim.Sheet
	facts Facts
	list  *finding.List
}

// of lists the stated figures of one quantity. Those that state no figure, and
// those with minimum and maximum exchanged, are left out.
func (t *table) of(p protection.Trial, q protection.Quantity) []figure {
	return t.kind(claim.Stated, p, q)
}

// required lists what the user requires of one quantity.
func (t *table) required(p protection.Trial, q protection.Quantity) []figure {
	return t.kind(claim.Requirement, p, q)
}

func (t *table) kind(k claim.Kind, p protection.Trial, q protection.Quantity) []figure {
	var out []figure
	for _, c := range t.sheet.Claims {
		if c.Kind == k && c.Protection == p && c.Quantity == q && !c.None {
			if f := ofClaim(c); !f.crossed() {
				out = append(out, f)
			}
		}
	}
	return out
}

// stage keeps the figures of one stage; the first is the one without a word.
func stage(fs []figure, word string) []figure {
	var out []figure
	for _, f := range fs {
		if f.stage == word || word == "1" && f.stage == "" {
			out = append(out, f)
		}
	}
	return out
}

// first is the first figure of a list, if there is one.
func first(fs []figure) (figure, bool) {
	if len(fs) == 0 {
		return figure{}, false
	}
	return fs[0], true
}

// cells is how many cells are in series; 0 is not known.
func (t *table) cells() int {
	if t.facts.Cells > 0 {
		return t.facts.Cells
	}
	return t.sheet.About.Cells.N
}
