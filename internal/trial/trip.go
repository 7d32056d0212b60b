package trial

import (
	"fmt"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// trip is one way to trip a board: the start of a row of the release matrix.
type trip struct {
	word  protection.Trial
	cell  int    // 0: not of one cell
	stage string // "1", "short"; empty where there is one
	port  port   // the direction it opens
	// detect is the cell voltage found to trip, once found is called.
	detect float64
}

// String is the trip's name as a state: "after overcharge of cell 3".
func (t trip) String() string {
	s := string(t.word)
	if t.stage == "short" {
		s = string(protection.LoadShort)
	}
	if t.cell > 0 {
		s += fmt.Sprintf(" of cell %d", t.cell)
	}
	return s
}

// state is the word for a result's State.
func (t trip) state() string {
	if t.stage == "short" {
		return "after " + string(protection.LoadShort)
	}
	return "after " + string(t.word)
}

// threshold is how the cell voltage that trips is searched for.
func (t trip) threshold(a rig.Abilities) threshold {
	if t.word == protection.Overcharge {
		return overchargeThreshold(a)
	}
	return overdischargeThreshold(a)
}

// find finds what trips it, as far as that is needed: the cell voltage. It
// reports an ending other than found.
func (t *trip) find(s *stand) (ending, error) {
	if t.cell == 0 {
		return ending{outcome: protection.Found}, nil
	}
	e, err := t.threshold(s.a).detect(s, t.cell)
	t.detect = e.value()
	return e, err
}

// make trips the board and leaves what tripped it attached.
func (t trip) make(s *stand) error {
	if t.cell > 0 {
		return t.threshold(s.a).tripped(s, t.cell, t.detect)
	}
	return s.from("tripped "+t.String(), func() error { return t.strike(s) })
}

// The currents tried for a trip, as multiples of what is expected, and the
// resistances of a short, Ω.
var (
	tripFactors = []float64{1.2, 1.5, 2, 3}
	tripShorts  = []float64{10e-3, 1e-3, 30e-3, 100e-3}
)

// strike trips the board by current: the smallest of the tries that does.
func (t trip) strike(s *stand) error {
	if t.stage == "short" {
		return t.strikeShort(s)
	}
	e := edge{port: t.port, cells: s.a.CellMiddle, dwell: s.waitOvercurrent()}
	expected, _ := shortOnset(s.a)
	if t.port == chargePort {
		e.dwell = s.wait(s.a.Times.ChargeOvercurrent, fallbackOvercurrent)
		expected, _ = chargeRating(s.a)
		if h := s.a.Hints.ChargeAmps; h > 0 {
			expected = h
		}
	}
	amps := 0.0
	for _, f := range tripFactors {
		amps = f * expected
		c, err := e.strike(s, amps)
		if err != nil {
			return err
		}
		switch c.step().answer {
		case acted, chattered:
			return nil
		case beyond:
			return &notReadyError{text: fmt.Sprintf("%s does not trip: %s", t, c.step().note)}
		}
	}
	return &notReadyError{text: fmt.Sprintf("%s does not trip up to %.4g A", t, amps), searched: amps, unit: "A"}
}

func (t trip) strikeShort(s *stand) error {
	for _, r := range tripShorts {
		if err := s.ready(s.a.CellMiddle, dischargePort); err != nil {
			return err
		}
		load := rig.Load{Kind: rig.Short, Value: r, Lead: rig.Lead{Ohms: loopOhms, Henry: loopHenry}}
		sh, err := s.capture(dischargePort, rig.Capture{Cause: rig.Cause{Load: &load}, Seconds: shortSeconds}, s.judgeable())
		if err != nil {
			return err
		}
		if sh.opened() {
			return nil
		}
	}
	return &notReadyError{text: fmt.Sprintf("%s is not cut within %.3g ms", t, shortSeconds*1e3), searched: shortSeconds, unit: "s"}
}
