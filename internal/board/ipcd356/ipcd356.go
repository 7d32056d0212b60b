// Package ipcd356 writes and reads the nets of a board in the records of
// IPC-D-356A, by which bare boards are tested.
//
// A record is a line of 80 columns, one a pad, cut by columns and not by words.
// The columns 1 to 71 were checked against public samples of the format; the
// rest, the units but for CUST 0, and the operation codes 307, 378, 379 and 389
// are from memory. What is written uses the checked part alone.
//
// # What the format has no room for
//
// A net name has 14 columns; a longer one, or one with other characters, goes
// into a parameter line and its record carries NNAME1, NNAME2 and so on. A
// reference has 6 columns and a pin 4: longer ones are shortened the same way,
// and a comment that any reader passes over keeps the whole.
//
// The format knows no pad without a place. Such pads stand at 0, 0, and a
// comment says so; read back, pads at exactly 0, 0 have no place then.
package ipcd356

import "math"

// File is a board's nets, pad by pad.
type File struct {
	Job, Title string
	Units      Units
	Comments   []string
	Pads       []Pad
	Skipped    int // records that were read past: conductors, outlines, continuations
}

// Op is the operation code: what kind of pad a record speaks of.
type Op int

// The operation codes of pads.
const (
	ThroughHole Op = 317
	Surface     Op = 327
	NoCopper    Op = 367 // a hole that is not plated
	Blind       Op = 307 // blind or buried, from memory
)

// Pad is one place where a probe can land.
type Pad struct {
	Op       Op
	Net      string // empty: connected to nothing
	Ref      string // of its part; its own name for a pad of the board itself
	Pin      string // empty for a pad of the board itself
	MidPoint bool
	Hole     *Hole
	Access   int    // 0 from both sides, 1 from the primary side, n from layer n
	At       *Point // nil: not known
	Width    float64
	Height   float64 // m; 0 for a round pad
	Rotation float64 // rad, counter-clockwise
}

// Hole is a drilled hole.
type Hole struct {
	Diameter float64 // m
	Plated   bool
}

// Point is a place on the board, seen from the primary side.
type Point struct{ X, Y float64 } // m

// Units is the unit of lengths and angles in a file.
type Units int

// The units. Only the first was checked against samples.
const (
	TenthMils        Units = iota // CUST 0: 0.0001 inch and degrees
	Microns                       // CUST 1: 0.001 mm and degrees
	TenthMilsRadians              // CUST 2: 0.0001 inch and radians
)

const inch = 25.4e-3 // m, exact

// step is the length of one count.
func (u Units) step() float64 {
	if u == Microns {
		return 1e-6
	}
	return inch * 1e-4
}

// turn is the angle of one count.
func (u Units) turn() float64 {
	if u == TenthMilsRadians {
		return 1
	}
	return math.Pi / 180
}

// unplaced is the comment that a file has pads whose place is not known.
const unplaced = "PADS WHOSE PLACE IS NOT KNOWN STAND AT X+000000Y+000000"

// whole begins the comment that gives a shortened reference or pin whole.
const whole = "WHOLE NAME"

// The columns of a record, counted from 1, first and last.
type columns struct{ from, to int }

var (
	colOp     = columns{1, 3}
	colNet    = columns{4, 17}
	colBlank  = columns{18, 20}
	colRef    = columns{21, 26}
	colDash   = columns{27, 27}
	colPin    = columns{28, 31}
	colMid    = columns{32, 32}
	colD      = columns{33, 33}
	colHole   = columns{34, 37}
	colPlated = columns{38, 38}
	colA      = columns{39, 39}
	colAccess = columns{40, 41}
	colX      = columns{42, 42}
	colXAt    = columns{43, 49}
	colY      = columns{50, 50}
	colYAt    = columns{51, 57}
	colW      = columns{58, 58}
	colWidth  = columns{59, 62}
	colH      = columns{63, 63}
	colHeight = columns{64, 67}
	colR      = columns{68, 68}
	colTurn   = columns{69, 71}
)

// width is the length of a record.
const width = 80
