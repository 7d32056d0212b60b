// Package board is the board as an object: parts, pins, nets and pads, as they
// lie in copper. It knows nothing of files, part sheets or simulation.
package board

import (
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/quantity"
)

// NetID numbers the nets of one board from 0. NoNet marks a pin on no net.
type NetID int

// NoNet is the net of a pin that is connected to nothing.
const NoNet NetID = -1

// Board is one protection board. Parts, Pads and Nets keep the order of the
// text they came from.
type Board struct {
	Name  string // short name, as in "sluice-5s"
	Title string
	Cells int // cells in series
	Parts []Part
	Pads  []Pad
	Nets  []Net
	// Counted is how many parts were counted on the real board, by the letters of
	// their references; empty where nobody counted.
	Counted []Counted
	// Copper is nil where nothing is stated of it.
	Copper *Copper
	Place  finding.Place
}

// Counted is how many parts with the same letters were counted.
type Counted struct {
	Letters string // "R"
	Count   int
	Place   finding.Place
}

// Part is one part, or Count equal parts in parallel.
type Part struct {
	Ref   string // "R101"
	Sheet string // name of its part sheet; empty for a bare resistor, capacitor or inductor
	Kind  Kind   // of a bare part; empty when Sheet is set
	Value quantity.Quantity
	Rated Rated
	Size  string // "0603", as written; empty when not stated
	Count int    // parts in parallel, at least 1
	Pins  []Pin
	Place finding.Place
}

// Kind is the kind of a part described by value alone.
type Kind string

// The kinds a bare value can have.
const (
	Resistor  Kind = "resistor"
	Capacitor Kind = "capacitor"
	Inductor  Kind = "inductor"
)

// Rated holds what stands behind the value of a bare part ("16 V X7R", "1 W").
// Zero means not stated.
type Rated struct {
	Voltage    float64 // V
	Power      float64 // W
	Dielectric string  // "X7R"
	Tempco     float64 // 1/K
}

// Pin is one pin of a part.
type Pin struct {
	Name  string // as the part sheet names it; "1" and "2" for bare two-pin parts
	Net   NetID
	Place finding.Place
}

// Pad is a place where the outside connects or a probe can land.
type Pad struct {
	Name  string // "B-", "T1", "P-", "C-", "H1"
	Net   NetID
	Place finding.Place
}

// Net is one piece of copper.
type Net struct {
	Name  string
	Grade evidence.Grade
	Note  string // why it has that grade, as written
	Pins  []PinRef
	Pads  []int // indexes into Board.Pads
}

// PinRef names a pin by indexes into Board.Parts and Part.Pins.
type PinRef struct{ Part, Pin int }

// Pad returns the pad of that name.
func (b *Board) Pad(name string) (Pad, bool) {
	for _, p := range b.Pads {
		if p.Name == name {
			return p, true
		}
	}
	return Pad{}, false
}

// Net returns the number of the net of that name, or NoNet.
func (b *Board) Net(name string) NetID {
	for i := range b.Nets {
		if b.Nets[i].Name == name {
			return NetID(i)
		}
	}
	return NoNet
}

// Part returns the part with that reference.
func (b *Board) Part(ref string) (*Part, bool) {
	for i := range b.Parts {
		if b.Parts[i].Ref == ref {
			return &b.Parts[i], true
		}
	}
	return nil, false
}

// Pin returns the net of the named pin, or NoNet.
func (p *Part) Pin(name string) NetID {
	for i := range p.Pins {
		if p.Pins[i].Name == name {
			return p.Pins[i].Net
		}
	}
	return NoNet
}

// Tap returns the net of tap k: B− for 0, the top of cell k counted from the
// bottom otherwise, B+ for the last; NoNet when no pad reaches it.
func (b *Board) Tap(k int) NetID {
	for _, name := range tapNames(k, b.Cells) {
		if p, ok := b.Pad(name); ok {
			return p.Net
		}
	}
	return NoNet
}

func tapNames(k, cells int) []string {
	switch k {
	case 0:
		return []string{"B-", "T0"}
	case cells:
		return []string{"B+", tapName(k)}
	}
	return []string{tapName(k)}
}

func tapName(k int) string {
	if k < 10 {
		return "T" + string(rune('0'+k))
	}
	return "T" + string(rune('0'+k/10)) + string(rune('0'+k%10))
}
