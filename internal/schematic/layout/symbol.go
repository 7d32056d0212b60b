package layout

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/quantity"
	"cupel/internal/schematic"
)

// The turns of two-pin symbols, by where their first pin goes.
var (
	firstLeft  = schematic.Turn{}
	firstTop   = schematic.Turn{Quarters: 1}
	firstRight = schematic.Turn{Quarters: 2}
	firstBelow = schematic.Turn{Quarters: 3}
)

// symbol draws a part about the origin.
func (w *work) symbol(p *part, t schematic.Turn) schematic.Symbol {
	o, _ := schematic.OutlineOf(p.shape)
	s := schematic.Symbol{
		Ref: p.Ref, Title: w.title(p), Part: p.index, Cell: p.cell, Shape: p.shape, Turn: t, Body: t.Rect(o.Body),
	}
	for k := range p.Pins {
		at := t.Point(o.Pins[p.Pins[k].Name])
		s.Pins = append(s.Pins, schematic.Pin{Name: p.Pins[k].Name, Net: p.nets[k], At: at, Root: nearestIn(s.Body, at)})
	}
	return s
}

// nearestIn is the point of r that is nearest to p.
func nearestIn(r schematic.Rect, p schematic.Point) schematic.Point {
	return schematic.Point{X: min(max(p.X, r.Min.X), r.Max.X), Y: min(max(p.Y, r.Min.Y), r.Max.Y)}
}

// upright draws a passive standing, with the given net's pin at the top.
func (w *work) upright(p *part, top board.NetID) schematic.Symbol {
	t := firstTop
	if p.nets[0] != top {
		t = firstBelow
	}
	s := w.symbol(p, t)
	s.Label = beside(s.Body, p.Ref, w.value(p))
	return s
}

// level draws a passive lying, with the given net's pin at the left.
func (w *work) level(p *part, left board.NetID) schematic.Symbol {
	t := firstLeft
	if p.nets[0] != left {
		t = firstRight
	}
	s := w.symbol(p, t)
	at := schematic.Point{Y: s.Body.Min.Y - 4}
	s.Label = []schematic.Line{schematic.NewLine(p.Ref, schematic.RefText, at, schematic.Middle)}
	at.Y = s.Body.Max.Y + schematic.TextSize + 1
	for _, v := range w.value(p) {
		s.Label = append(s.Label, schematic.NewLine(v, schematic.ValueText, at, schematic.Middle))
		at.Y += schematic.LineHeight
	}
	return s
}

// flat draws a passive lying, its texts in one line over it, so that others
// can lie close under it.
func (w *work) flat(p *part, left board.NetID) schematic.Symbol {
	s := w.level(p, left)
	at := schematic.Point{Y: s.Body.Min.Y - 4}
	value := strings.Join(w.value(p), " ")
	s.Label = []schematic.Line{schematic.NewPair(p.Ref, value, schematic.RefText, at, schematic.Middle)}
	return s
}

// standing draws a transistor with its control pin at the left.
func (w *work) standing(p *part) schematic.Symbol {
	s := w.symbol(p, schematic.Turn{})
	s.Label = beside(s.Body, p.Ref, w.value(p))
	return s
}

// beside sets a reference and a value of up to two lines at the right of a body.
func beside(body schematic.Rect, ref string, value []string) []schematic.Line {
	at := schematic.Point{X: body.Max.X + 4, Y: (body.Min.Y+body.Max.Y)/2 + 3 - len(value)*schematic.LineHeight/2}
	return stack(at, schematic.Start, ref, value)
}

// below sets a reference and a value under a body.
func below(body schematic.Rect, ref string, value []string) []schematic.Line {
	at := schematic.Point{X: (body.Min.X + body.Max.X) / 2, Y: body.Max.Y + schematic.TextSize + 1}
	return stack(at, schematic.Middle, ref, value)
}

func stack(at schematic.Point, a schematic.Anchor, ref string, value []string) []schematic.Line {
	lines := []schematic.Line{schematic.NewLine(ref, schematic.RefText, at, a)}
	for _, v := range value {
		at.Y += schematic.LineHeight
		lines = append(lines, schematic.NewLine(v, schematic.ValueText, at, a))
	}
	return lines
}

// shown names the one or two facts of a sheet that stand beside its symbol:
// limits first, then figures.
var shown = map[catalog.Kind][2]string{
	catalog.Resistor: {"", "r"}, catalog.Capacitor: {"", "c"}, catalog.Inductor: {"", "l"},
	catalog.Diode: {"v_r", "i_f"}, catalog.Zener: {"", "v_z"},
	catalog.NPN: {"v_ceo", "i_c"}, catalog.PNP: {"v_ceo", "i_c"},
	catalog.NFET: {"v_ds", "r_ds_on"}, catalog.PFET: {"v_ds", "r_ds_on"},
	catalog.Thermistor: {"", "r_25"}, catalog.Fuse: {"", "i_rated"}, catalog.Link: {"", "r"},
}

// value is what stands beside a symbol, in up to two lines.
func (w *work) value(p *part) []string {
	var out []string
	facts, ok := shown[p.kind()]
	switch {
	case p.sheet != nil && ok:
		for _, name := range facts {
			if v := p.fact(name); v != "" {
				out = append(out, v)
			}
		}
	case p.Sheet != "":
		out = []string{p.Sheet}
	case p.Value.Given():
		out = []string{short(p.Value)}
	}
	if p.Count > 1 && len(out) > 0 {
		out[0] = fmt.Sprintf("%d × %s", p.Count, out[0])
	}
	return out
}

func (p *part) fact(name string) string {
	if name == "" {
		return ""
	}
	if q := p.sheet.Limit(name); q.Given() {
		return short(q)
	}
	f, _ := p.sheet.Figure(name)
	if !f.Value.Given() {
		return ""
	}
	return short(f.Value)
}

// short prints the nominal value alone.
func short(q quantity.Quantity) string {
	v := q.Nominal()
	if math.IsNaN(v) {
		return ""
	}
	return quantity.Quantity{Dim: q.Dim, Min: math.NaN(), Typ: v, Max: math.NaN()}.String()
}

// title says in words what a part is.
func (w *work) title(p *part) string {
	words := []string{p.Ref}
	if p.Count > 1 {
		words[0] += fmt.Sprintf(" (%d in parallel)", p.Count)
	}
	kind := string(p.kind())
	if t, ok := catalog.TraitsOf(p.kind()); ok {
		kind = t.Title
	}
	for _, s := range []string{kind, p.Sheet, valueText(p), p.Size} {
		if s != "" {
			words = append(words, s)
		}
	}
	return words[0] + ": " + strings.Join(words[1:], ", ")
}

func valueText(p *part) string {
	if p.Sheet != "" || !p.Value.Given() {
		return ""
	}
	return p.Value.String()
}

// moved returns a symbol moved by d.
func moved(s schematic.Symbol, d schematic.Point) schematic.Symbol {
	s.At, s.Body = s.At.Add(d), s.Body.Add(d)
	pins := make([]schematic.Pin, len(s.Pins))
	for i, p := range s.Pins {
		p.At, p.Root, p.Text = p.At.Add(d), p.Root.Add(d), p.Text.Moved(d)
		pins[i] = p
	}
	lines := make([]schematic.Line, len(s.Label))
	for i, l := range s.Label {
		lines[i] = l.Moved(d)
	}
	s.Pins, s.Label = pins, lines
	return s
}

// extent is all that a symbol takes: body, pins and text.
func extent(s *schematic.Symbol) schematic.Rect {
	r := s.Body
	for _, p := range s.Pins {
		r = r.Union(schematic.Rect{Min: p.At, Max: p.At.Add(schematic.Point{X: 1, Y: 1})})
	}
	for _, l := range s.Label {
		r = r.Union(l.Box)
	}
	return r
}
