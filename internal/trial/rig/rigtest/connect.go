package rigtest

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"cupel/internal/trial/rig"
)

// Disconnect takes all cells off.
func (r *Ideal) Disconnect() error {
	r.now.joined = make([]bool, r.board.Cells+1)
	for i := range r.now.latched {
		r.now.latched[i] = r.latch[i].name == "asleep"
	}
	return r.MakeSafe()
}

// Connect joins a tap.
func (r *Ideal) Connect(tap int, _ rig.Lead) error {
	if r.now.joined == nil {
		return errors.New("connect: nothing was disconnected")
	}
	if tap < 0 || tap > r.board.Cells {
		return fmt.Errorf("tap %d: the board has taps 0 to %d", tap, r.board.Cells)
	}
	r.now.joined = append([]bool(nil), r.now.joined...) // marks share it
	r.now.joined[tap] = true
	return nil
}

// Pins lists one supply pin a cell.
func (r *Ideal) Pins() []rig.PinLimit {
	var pins []rig.PinLimit
	for k := 1; k <= r.board.Cells; k++ {
		pins = append(pins, rig.PinLimit{Part: fmt.Sprintf("U%d", k), Pin: "vdd", Min: -0.3, Max: 6})
	}
	return pins
}

// stress is the voltage of cell k's supply pin over the nearest tap joined
// below it: a tap that was skipped leaves several cells across one part.
func (r *Ideal) stress(p rig.Point) (float64, error) {
	k, err := strconv.Atoi(strings.TrimPrefix(p.Part, "U"))
	if err != nil || r.cellIndex(k) != nil {
		return 0, fmt.Errorf("%s: the board has no such part", p)
	}
	joined := func(tap int) bool { return r.now.joined == nil || r.now.joined[tap] }
	if !joined(k) {
		return 0, nil
	}
	sum := 0.0
	for t := k; t > 0; t-- {
		sum += r.now.cells[t-1]
		if joined(t - 1) {
			return sum, nil
		}
	}
	return 0, nil
}
