package schematic

// Grid is the distance between neighbouring places for pins and wires.
const Grid = 10

// Point is a place on the sheet.
type Point struct{ X, Y int }

// Add returns p moved by d.
func (p Point) Add(d Point) Point { return Point{p.X + d.X, p.Y + d.Y} }

// Sub returns the way from d to p.
func (p Point) Sub(d Point) Point { return Point{p.X - d.X, p.Y - d.Y} }

// Rect is an upright rectangle; Max is outside it, as in image.Rectangle.
type Rect struct{ Min, Max Point }

// R returns the rectangle with these sides.
func R(x0, y0, x1, y1 int) Rect {
	return Rect{Point{min(x0, x1), min(y0, y1)}, Point{max(x0, x1), max(y0, y1)}}
}

// Add returns r moved by d.
func (r Rect) Add(d Point) Rect { return Rect{r.Min.Add(d), r.Max.Add(d)} }

// Grow returns r with each side moved outwards by d.
func (r Rect) Grow(d int) Rect {
	return Rect{Point{r.Min.X - d, r.Min.Y - d}, Point{r.Max.X + d, r.Max.Y + d}}
}

// Empty reports whether r holds no point.
func (r Rect) Empty() bool { return r.Min.X >= r.Max.X || r.Min.Y >= r.Max.Y }

// Overlaps reports whether r and s have an area in common.
func (r Rect) Overlaps(s Rect) bool {
	return !r.Empty() && !s.Empty() &&
		r.Min.X < s.Max.X && s.Min.X < r.Max.X && r.Min.Y < s.Max.Y && s.Min.Y < r.Max.Y
}

// Union returns the smallest rectangle around both.
func (r Rect) Union(s Rect) Rect {
	if r.Empty() {
		return s
	}
	if s.Empty() {
		return r
	}
	return R(min(r.Min.X, s.Min.X), min(r.Min.Y, s.Min.Y), max(r.Max.X, s.Max.X), max(r.Max.Y, s.Max.Y))
}

// Cut reports whether the upright or level line from a to b enters the inside
// of r.
func (r Rect) Cut(a, b Point) bool {
	return max(a.X, b.X) > r.Min.X && min(a.X, b.X) < r.Max.X &&
		max(a.Y, b.Y) > r.Min.Y && min(a.Y, b.Y) < r.Max.Y
}

// Turn is how a symbol lies: quarter turns clockwise, after an optional
// mirroring left to right.
type Turn struct {
	Quarters int // 0 to 3
	Mirror   bool
}

// Point turns a point about the origin.
func (t Turn) Point(p Point) Point {
	if t.Mirror {
		p.X = -p.X
	}
	for range t.Quarters & 3 {
		p.X, p.Y = -p.Y, p.X
	}
	return p
}

// Rect turns a rectangle about the origin.
func (t Turn) Rect(r Rect) Rect {
	a, b := t.Point(r.Min), t.Point(r.Max)
	return R(a.X, a.Y, b.X, b.Y)
}
