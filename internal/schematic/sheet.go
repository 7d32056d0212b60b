package schematic

import (
	"cupel/internal/board"
	"cupel/internal/evidence"
)

// Sheet is one drawn sheet.
type Sheet struct {
	Name, Title string
	Size        Point
	Symbols     []Symbol
	Wires       []Wire
	Junctions   []Junction
	Names       []Name
	Texts       []Text
	Boxes       []Box
	Nets        []Net // by board.NetID
	Cells       int
}

// Net is what the sheet says of a net besides its wires.
type Net struct {
	Name  string
	Grade evidence.Grade
}

// NoPart marks a symbol that is no part: a pad or a cell.
const NoPart = -1

// Symbol is one part, pad or cell at its place.
type Symbol struct {
	Ref   string // "R101", "T4", "cell 4"
	Title string // what it is, in words: "resistor 330 Ω ±5 %, 0603"
	Part  int    // index into board.Parts, or NoPart
	Cell  int    // the cell whose slice it stands in; 0 if none
	Role  string // what it is in its slice; equal parts of equal slices share it
	Shape Shape
	At    Point
	Turn  Turn
	Body  Rect // in sheet coordinates, without leads
	Pins  []Pin
	Label []Line
}

// Pin is one pin of a symbol.
type Pin struct {
	Name string
	Net  board.NetID
	At   Point // where a wire attaches
	Root Point // where its lead leaves the body
	Text Line  // its name inside an IC; empty elsewhere
}

// Line is one line of the text beside a symbol: the reference, then its value,
// both in one line where Tail is not empty.
type Line struct {
	Text, Tail string
	At         Point // of the base line
	Anchor     Anchor
	Kind       TextKind
	Box        Rect // what it takes at most
}

// Wire is a polyline of one net between two ends, junctions or pins.
type Wire struct {
	Net    board.NetID
	Points []Point
	Power  bool // carries the pack's current: drawn thick
}

// Junction is where three or more ends of wires meet.
type Junction struct {
	Net board.NetID
	At  Point
}

// NameKind is how a net's name stands on the sheet.
type NameKind string

// The kinds of names.
const (
	Flag NameKind = "flag" // a bar across the end of an upright wire: a rail, elsewhere
	Link NameKind = "link" // an arrow at the end of a level wire: a signal that goes on elsewhere
	Tag  NameKind = "tag"  // beside a wire that is drawn in one piece
)

// Name is the name of a net at a place where it is attached.
type Name struct {
	Net    board.NetID
	Kind   NameKind
	At     Point // on the wire
	Toward Point // unit step from the wire to the name
	Line   Line
	Box    Rect // with its bar or arrow
}

// TextKind says what a text is for.
type TextKind string

// The kinds of texts.
const (
	RefText     TextKind = "ref"
	ValueText   TextKind = "value"
	PinText     TextKind = "pin"
	NetText     TextKind = "net"
	HeadingText TextKind = "heading"
	NoteText    TextKind = "note"
	TitleText   TextKind = "title"
)

// Anchor is which point of a text its place means.
type Anchor string

// The anchors.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// Text is a text that belongs to no symbol and no net.
type Text struct{ Line }

// Box is a frame around symbols, with its heading.
type Box struct {
	Rect    Rect
	Heading string
}
