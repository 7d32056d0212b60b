package layout

import (
	"slices"
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// alonePitch is the distance of the inputs of a protector that stands alone: a
// capacitor with the name of what it leads to fits between two.
const alonePitch = 80

// alone draws the stack protectors that do not stand beside slices, as one that
// fires a fuse: each in a lane of its own, with the names of the taps that it
// watches, and with the stages that it drives.
func (w *work) alone() []*lane {
	var all []*lane
	for i := range w.parts {
		if p := &w.parts[i]; p.ic() && p.stack() && !w.beside[i] {
			p.stage.done = true
			l := &lane{w: w, drives: board.NoNet}
			l.alone(p.stage, "alone"+strconv.Itoa(i))
			all = append(all, l)
		}
	}
	return all
}

// alone draws one: supply and sense inputs at the left, the highest on top, the
// rest at the right.
func (l *lane) alone(st *stage, key string) {
	t := l.w.tower(st)
	b := &t.box
	lefts := aloneLefts(st.p)
	y := 0
	for i, k := range lefts {
		if i > 0 {
			y += alonePitch
			if st.p.strap(lefts[i-1]) > 0 {
				y += strapPitch - alonePitch
			}
		}
		b.places[k] = y
	}
	rights := slices.Concat(t.pins, b.side(bottom))
	rights = slices.DeleteFunc(rights, func(k int) bool { return slices.Contains(lefts, k) })
	t.stand(l.w, lefts, rights, y)
	l.aloneInputs(st, lefts, b.places, key)
	l.add(column{key: key, symbols: []schematic.Symbol{l.w.boxSymbol(st.p, *b)}})
	for i := range t.rows {
		for _, c := range t.rows[i].cols {
			l.add(c.moved(schematic.Point{Y: b.places[t.pins[i]]}))
		}
	}
	for _, k := range rights {
		l.driven(st.p.nets[k], b.places[k], key+">"+strconv.Itoa(k))
	}
}

// stand gives the box of a protector alone its sides and size.
func (t *tower) stand(w *work, lefts, rights []int, bottom int) {
	b := &t.box
	shift := max(0, (bottom-t.height)/2/schematic.Grid*schematic.Grid)
	for i, k := range rights {
		b.sides[k] = right
		if i >= len(t.pins) {
			b.places[k] = t.height + (i-len(t.pins))*pinStep
		}
		b.places[k] += shift
	}
	for _, k := range lefts {
		b.sides[k] = left
	}
	b.text = wrapped(t.st.p.Sheet, 14)
	wide := 60
	for _, s := range b.text {
		wide = max(wide, schematic.WidthOf(s, schematic.ValueText))
	}
	low := bottom
	for _, k := range rights {
		low = max(low, b.places[k])
	}
	b.body = schematic.R(0, -30, up(wide+60), low+30)
}

// aloneLefts lists the pins at the left from above: supply, sense inputs,
// ground.
func aloneLefts(p *part) []int {
	var out []int
	for k := range p.Pins {
		if isSupplyPin(p.Pins[k].Name) {
			out = append(out, k)
		}
	}
	rank := func(k int) int {
		switch name := p.Pins[k].Name; name {
		case "vdd":
			return -100
		case "vss":
			return 0
		default:
			return -senseCell(name)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return rank(a) - rank(b) })
	return out
}

// aloneInputs draws what hangs on the inputs: lying what leads to the tap of an
// input, upright what leads to the input or tap below.
func (l *lane) aloneInputs(st *stage, lefts, places []int, key string) {
	series, across := column{key: key + "r"}, column{key: key + "c"}
	var more []column
	for i, k := range lefts {
		nd := st.pins[k].nodes[0]
		lain, stood := false, false
		for _, q := range slices.Concat(nd.ups, nd.downs) {
			p := &l.w.parts[q]
			m := p.other(nd.net)
			at := schematic.Point{Y: places[k]}
			switch {
			case p.shape != schematic.Resistor && !stood:
				stood = true
				s := l.w.upright(p, nd.net)
				across.symbols = append(across.symbols, moved(s, at.Add(schematic.Point{Y: schematic.Lead})))
				if i+1 == len(lefts) || m != st.p.nets[lefts[i+1]] {
					across.names = append(across.names, l.w.flag(m, at.Add(schematic.Point{Y: 2 * schematic.Lead}), false))
				}
			case !lain:
				lain = true
				series.symbols = append(series.symbols, moved(l.w.flat(p, m), at))
				series.names = append(series.names, l.w.link(m, at.Add(schematic.Point{X: -schematic.Lead}), false))
			default:
				c := column{key: key + strconv.Itoa(q)}
				c.symbols = append(c.symbols, moved(l.w.flat(p, m), at))
				c.names = append(c.names, l.w.link(m, at.Add(schematic.Point{X: -schematic.Lead}), false))
				more = append(more, c)
			}
		}
		if n := nd.net; !lain && n != board.NoNet && l.w.nets[n].tap >= 0 {
			series.names = append(series.names, l.w.link(n, schematic.Point{Y: places[k]}, false))
		}
	}
	for _, c := range append(more, series, across) {
		if len(c.symbols)+len(c.names) > 0 {
			l.add(c)
		}
	}
}

// driven draws the stages that a net drives, and those behind them, in a row
// with it.
func (l *lane) driven(n board.NetID, y int, key string) {
	if !l.w.signal(n) || l.w.nets[n].bus {
		return
	}
	for i := range l.w.parts {
		p := &l.w.parts[i]
		if p.cell != 0 || p.power || !p.transistor() || p.stage.done || !leadsFrom(p.stage, n) {
			continue
		}
		out := l.stage(p.stage, y, key, setting{})
		l.rowOut(*p.stage.driver(), out, key+">", setting{})
		l.driven(p.stage.driver().last(), out, key+"/")
		return
	}
}

// moved is a column moved by d.
func (c column) moved(d schematic.Point) column {
	out := column{key: c.key, room: c.room.Add(d)}
	for _, s := range c.symbols {
		out.symbols = append(out.symbols, moved(s, d))
	}
	for _, n := range c.names {
		out.names = append(out.names, movedName(n, d))
	}
	return out
}
