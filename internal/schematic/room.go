package schematic

// Room knows where a sheet is empty, for what is written on it later.
type Room struct {
	sheet  *Sheet
	things []Rect
	wires  []segment
}

// Room returns the room that a sheet leaves.
func (s *Sheet) Room() *Room {
	r := &Room{sheet: s, wires: s.segments(true)}
	for _, t := range s.things() {
		r.things = append(r.things, t.r)
	}
	return r
}

// Free reports whether nothing lies in a rectangle.
func (r *Room) Free(b Rect) bool {
	if b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > r.sheet.Size.X || b.Max.Y > r.sheet.Size.Y {
		return false
	}
	for _, t := range r.things {
		if t.Overlaps(b) {
			return false
		}
	}
	for _, w := range r.wires {
		if b.Cut(w.a, w.b) {
			return false
		}
	}
	return true
}

// Take fills a rectangle.
func (r *Room) Take(b Rect) { r.things = append(r.things, b) }

// BesideNet finds room for a text at a net: behind its name, else along its
// wires, over or under them if they are level, at either side if upright.
func (r *Room) BesideNet(net int, text string, k TextKind) (Line, bool) {
	for _, n := range r.sheet.Names {
		if int(n.Net) != net {
			continue
		}
		x, y := n.Box.Max.X+3, n.Line.At.Y
		if l, ok := r.try(text, k, Point{x, y}, Start); ok {
			return l, true
		}
		if l, ok := r.try(text, k, Point{n.Box.Min.X - 3, y}, End); ok {
			return l, true
		}
	}
	for _, w := range r.wires {
		if int(w.net) != net || w.lead {
			continue
		}
		if l, ok := r.along(w, text, k); ok {
			return l, true
		}
	}
	return Line{}, false
}

func (r *Room) along(w segment, text string, k TextKind) (Line, bool) {
	size := SizeOf(k)
	if w.level() {
		for x := w.a.X + 2; x < w.b.X; x += Grid {
			for _, y := range []int{w.a.Y - 4, w.a.Y + size + 1} {
				if l, ok := r.try(text, k, Point{x, y}, Start); ok {
					return l, true
				}
			}
		}
		return Line{}, false
	}
	for y := w.a.Y + size; y <= w.b.Y; y += Grid {
		if l, ok := r.try(text, k, Point{w.a.X + 3, y}, Start); ok {
			return l, true
		}
		if l, ok := r.try(text, k, Point{w.a.X - 3, y}, End); ok {
			return l, true
		}
	}
	return Line{}, false
}

// BesideSymbol finds room for a text at a symbol: under its own texts, then
// around its body.
func (r *Room) BesideSymbol(i int, text string, k TextKind) (Line, bool) {
	s := &r.sheet.Symbols[i]
	type place struct {
		at Point
		a  Anchor
	}
	var places []place
	if n := len(s.Label); n > 0 {
		last := s.Label[n-1]
		places = append(places, place{Point{last.At.X, last.At.Y + LineHeight}, last.Anchor}, place{Point{s.Label[0].At.X, s.Label[0].At.Y - LineHeight}, last.Anchor})
	}
	b := s.Body
	mid := Point{(b.Min.X + b.Max.X) / 2, (b.Min.Y + b.Max.Y) / 2}
	places = append(places,
		place{Point{b.Min.X - 4, mid.Y + 3}, End}, place{Point{b.Max.X + 4, mid.Y + 3}, Start},
		place{Point{mid.X, b.Max.Y + 11}, Middle}, place{Point{mid.X, b.Min.Y - 4}, Middle},
		place{Point{b.Min.X - 4, b.Max.Y + 8}, End}, place{Point{b.Min.X - 4, b.Min.Y}, End},
		place{Point{b.Max.X + 4, b.Max.Y + 8}, Start}, place{Point{b.Max.X + 4, b.Min.Y}, Start},
	)
	for _, p := range places {
		if l, ok := r.try(text, k, p.at, p.a); ok {
			return l, true
		}
	}
	return Line{}, false
}

// try takes the room for a line of text if it is free.
func (r *Room) try(text string, k TextKind, at Point, a Anchor) (Line, bool) {
	l := NewLine(text, k, at, a)
	if !r.Free(l.Box) {
		return Line{}, false
	}
	r.Take(l.Box)
	return l, true
}

// Disc finds room for a disc of a radius near a point, searched in growing
// distance.
func (r *Room) Disc(near Point, radius, most int) (Point, bool) {
	for d := 0; d <= most; d += 4 {
		for _, by := range []Point{{-d, -d}, {d, -d}, {-d, d}, {d, d}, {0, -d}, {-d, 0}, {d, 0}, {0, d}} {
			c := near.Add(by)
			if b := R(c.X-radius, c.Y-radius, c.X+radius, c.Y+radius); r.Free(b) {
				r.Take(b)
				return c, true
			}
		}
	}
	return Point{}, false
}
