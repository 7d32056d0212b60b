package simulated

import (
	"fmt"

	"cupel/internal/circuit/device"
	"cupel/internal/trial/rig"
)

// Disconnect makes the board anew with a lead at each tap, none of them joined,
// and every capacitor empty.
func (r *Rig) Disconnect() error {
	if r.apart.of == r.run { // the circuit with leads is there already
		r.Rewind(r.apart)
		return nil
	}
	if err := r.build(r.run.Solver().Sys.Kelvin, true); err != nil {
		return err
	}
	r.set.joined = make([]bool, r.board.Cells+1)
	if err := r.discharge(); err != nil {
		return err
	}
	r.apart = r.Mark().(mark)
	return nil
}

// discharge empties every capacitor: rest with cells of 0 V, to which their
// voltages come back at once. At rest with the cells as they are, the little that
// an open joint lets through would charge them.
func (r *Rig) discharge() error {
	for _, c := range r.ports.cells {
		c.SetVolts(0)
	}
	if err := wrap(r.run.Operate()); err != nil {
		return err
	}
	for k, c := range r.ports.cells {
		c.SetVolts(r.set.cells[k])
	}
	return wrap(r.run.Disturb())
}

// Connect joins a tap through a lead.
func (r *Rig) Connect(tap int, lead rig.Lead) error {
	if r.set.joined == nil {
		return fmt.Errorf("tap %d cannot be joined: disconnect the board first", tap)
	}
	if tap < 0 || tap >= len(r.set.joined) {
		return fmt.Errorf("no tap %d: the board has taps 0 to %d", tap, r.board.Cells)
	}
	r.ports.leads[tap].Set(device.InductorParams{Ohms: lead.Ohms, Henry: lead.Henry})
	r.ports.joints[tap].Set(true)
	r.set.joined[tap] = true
	r.dirty = true
	return nil
}

// Pins lists the pins of the ICs with what they stand.
func (r *Rig) Pins() []rig.PinLimit {
	var pins []rig.PinLimit
	for _, u := range r.circuit.Units {
		for _, l := range u.Limits {
			pins = append(pins, rig.PinLimit{Part: u.Part, Pin: l.Pin, Min: l.Min, Max: l.Max})
		}
	}
	return pins
}
