package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// column is a strip of a lane: symbols and names above each other, all placed
// about x = 0. Its key says what stands in it, so that equal columns of
// neighbouring slices can be brought into line.
type column struct {
	key     string
	symbols []schematic.Symbol
	names   []schematic.Name
	room    schematic.Rect // kept free besides
	net     board.NetID    // what a bank's first column is driven by, if after is set
	driven  bool
	after   int // no further left than this
}

// span is how far a column reaches to the left and the right of its middle.
func (c *column) span() (left, right int) {
	r := c.room
	for i := range c.symbols {
		r = r.Union(extent(&c.symbols[i]))
	}
	for i := range c.names {
		r = r.Union(c.names[i].Box)
	}
	return min(r.Min.X, 0), max(r.Max.X, 0)
}

// reach is how far a column reaches up and down.
func (c *column) reach() (top, bottom int) {
	r := c.room
	for i := range c.symbols {
		r = r.Union(extent(&c.symbols[i]))
	}
	for i := range c.names {
		r = r.Union(c.names[i].Box)
	}
	return r.Min.Y, r.Max.Y
}

// lane is a sequence of columns from left to right.
type lane struct {
	w      *work
	cols   []column
	drives board.NetID // what the last stage of a chain drives; NoNet for other lanes
}

// gap is the space between columns: one wire fits.
const gap = 14

func (l *lane) add(c column) *column {
	l.cols = append(l.cols, c)
	return &l.cols[len(l.cols)-1]
}

// pack gives the places of the columns' middles, one after the other from x,
// and the right end of the last.
func pack(cols []column, x int) (at []int, end int) {
	end = x
	for i := range cols {
		left, right := cols[i].span()
		m := max(up(end-left), up(cols[i].after-left))
		at = append(at, m)
		end = m + right + gap
	}
	return at, end
}

// up rounds up to the grid.
func up(x int) int {
	const s = schematic.Grid
	if x < 0 {
		return -(-x / s * s)
	}
	return (x + s - 1) / s * s
}

// reach is how far a lane reaches up and down.
func (l *lane) reach() (top, bottom int) {
	for i := range l.cols {
		t, b := l.cols[i].reach()
		top, bottom = min(top, t), max(bottom, b)
	}
	return top, bottom
}

// merged is one list of columns' keys that holds all lanes' lists in order.
func merged(lanes []*lane) []string {
	var keys []string
	for _, l := range lanes {
		at := 0
		for i := range l.cols {
			if k := slices.Index(keys[at:], l.cols[i].key); k >= 0 {
				at += k + 1
				continue
			}
			if k := slices.Index(keys, l.cols[i].key); k >= 0 {
				continue // in another order; it keeps its place
			}
			keys = slices.Insert(keys, at, l.cols[i].key)
			at++
		}
	}
	return keys
}

// align gives one place to each key, wide enough for the columns of all lanes.
func align(lanes []*lane, x int) (at map[string]int, end int) {
	keys := merged(lanes)
	cols := make([]column, len(keys))
	for i, key := range keys {
		cols[i].key = key
		for _, l := range lanes {
			for k := range l.cols {
				if l.cols[k].key == key {
					left, right := l.cols[k].span()
					cols[i].room = cols[i].room.Union(schematic.R(left, 0, right, 1))
				}
			}
		}
	}
	places, end := pack(cols, x)
	at = map[string]int{}
	for i, key := range keys {
		at[key] = places[i]
	}
	return at, end
}

// noName stands where a pin is on no net: it is never drawn.
var noName = schematic.Name{Net: board.NoNet}

// flag is the name of a rail at the end of an upright wire.
func (w *work) flag(n board.NetID, at schematic.Point, upward bool) schematic.Name {
	if n == board.NoNet {
		return noName
	}
	name := schematic.Name{Net: n, Kind: schematic.Flag, At: at, Toward: schematic.Point{Y: 1}}
	base := schematic.Point{X: at.X, Y: at.Y + flagStem + schematic.SmallSize + 1}
	if upward {
		name.Toward.Y = -1
		base.Y = at.Y - flagStem - 3
	}
	name.Line = schematic.NewLine(w.b.Nets[n].Name, schematic.NetText, base, schematic.Middle)
	bar := schematic.R(at.X-flagBar, at.Y+name.Toward.Y*(flagStem-1), at.X+flagBar, at.Y+name.Toward.Y*(flagStem+1))
	name.Box = name.Line.Box.Union(bar)
	return name
}

const (
	flagStem = 6 // from the wire's end to the bar
	flagBar  = 8 // half its width
)

// link is the name of a signal at the end of a level wire.
func (w *work) link(n board.NetID, at schematic.Point, right bool) schematic.Name {
	if n == board.NoNet {
		return noName
	}
	name := schematic.Name{Net: n, Kind: schematic.Link, At: at, Toward: schematic.Point{X: 1}}
	text := w.b.Nets[n].Name
	width := schematic.WidthOf(text, schematic.NetText)
	x, a := at.X+linkHead, schematic.Start
	if !right {
		name.Toward.X = -1
		x, a = at.X-linkHead, schematic.End
	}
	name.Line = schematic.NewLine(text, schematic.NetText, schematic.Point{X: x, Y: at.Y + 3}, a)
	name.Box = schematic.R(at.X+name.Toward.X*linkGap, at.Y-linkHalf, at.X+name.Toward.X*(linkHead+width+4), at.Y+linkHalf)
	return name
}

const (
	linkHead = 8 // from the wire's end to the text
	linkHalf = 6 // half the height of its outline
	linkGap  = 3 // from the wire's end to what wires must keep clear of
)

func movedName(n schematic.Name, d schematic.Point) schematic.Name {
	n.At, n.Line, n.Box = n.At.Add(d), n.Line.Moved(d), n.Box.Add(d)
	return n
}
