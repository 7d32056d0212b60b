package simulated

import "cupel/internal/elaborate"

// What is below opens the circuit to whoever must know the parts one by one:
// their losses, and how much warmer than the board each is.

// Circuit is the circuit as it stands; another one after SetTemperature,
// Disconnect or a first Connect. Who changes an element says so with Changed.
func (r *Rig) Circuit() *elaborate.Circuit { return r.circuit }

// Changed says that an element's value or temperature was changed. A mark does
// not hold it: it stays through a Rewind.
func (r *Rig) Changed() { r.dirty = true }

// Unknowns returns the voltages and branch currents now, by node; valid until
// the rig moves on.
func (r *Rig) Unknowns() ([]float64, error) {
	if err := r.settle(); err != nil {
		return nil, err
	}
	return r.run.X(), nil
}

// Rest brings circuit and ICs to where they would be after long with cells, load
// and charger as they are. A protection that acts then has acted.
func (r *Rig) Rest() error {
	r.dirty = false
	return wrap(r.run.Operate())
}

// Iterations is how often the present circuit's equations were solved so far, since
// New or SetTemperature made it: the rig's work, the same on every machine.
func (r *Rig) Iterations() int { return r.run.Solver().Iterations }
