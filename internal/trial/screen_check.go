package trial

import (
	"fmt"

	"cupel/internal/protection"
)

// Check is one thing that a screening looks at.
type Check struct {
	Trial protection.Trial
	Cell  int    // 0: of no one cell
	Port  string // "discharge", "charge" or empty
	State string // of the board: "idle", "full", "hot"
	What  string // one of the words below
	// Normal is true for what everyday use does: charge to full, rest, discharge
	// to empty, rated load, balance.
	Normal bool
	Word   string
	Value  float64 // NaN where there is none
	Unit   string
}

// What a check looks at.
const (
	LooksDirection = "direction" // on, diode, open, undefined
	LooksCut       = "cut"       // how the direction answered a stimulus
	LooksRelease   = "release"   // whether it came back
	LooksBleed     = "bleed"     // whether a cell is bled
	LooksDrop      = "drop"      // of the path
	LooksDrain     = "drain"     // of a cell at rest
	LooksWake      = "wake"      // whether a charger had to wake the board
)

// The words of a cut, beside the states of a direction.
const (
	CutDone     = "cut"
	CutEarly    = "early"     // before its threshold
	CutLate     = "late"      // only far beyond it
	CutNot      = "not cut"   // not even there
	CutChatters = "chatters"  //
	CutNotReady = "not ready" // the direction was open before the stimulus
	Released    = "released"
	Stays       = "stays"
	Bleeds      = "bleeds"
	Quiet       = "quiet"
)

// Key says which check this is: what it has in common on two boards.
func (c Check) Key() string {
	return fmt.Sprintf("%s/%d/%s/%s/%s", c.Trial, c.Cell, c.Port, c.State, c.What)
}
