package rigtest

import (
	"fmt"
	"math"

	"cupel/internal/trial/rig"
)

// bodyDrop is an Ideal's body diode, V.
const bodyDrop = 0.6

const (
	discharge = 0
	charge    = 1
)

// off reports whether the bank of a direction is switched off.
func (r *Ideal) off(dir int) bool {
	for i, l := range r.latch {
		if r.now.latched[i] && l.opens[dir] && !r.chatterOn(i) {
			return true
		}
	}
	return false
}

// chatterOn reports whether latch i, though set, conducts just now: it turns
// over every half period of the chatter.
func (r *Ideal) chatterOn(i int) bool {
	if !r.latch[i].chatters {
		return false
	}
	return int(math.Floor((r.now.t-r.now.at[i])*2*r.board.ChatterHertz+1e-9))%2 == 1
}

// path is the drop of a direction beside its resistance, and whether it
// conducts at all. A bank that is off lets the other direction pass through
// its body diodes.
func (r *Ideal) path(dir int) (drop float64, conducts bool) {
	if r.off(dir) {
		return bodyDrop, dir == discharge && r.board.Diode
	}
	if !r.board.Separate && r.off(1-dir) {
		return bodyDrop, true
	}
	return 0, true
}

func (r *Ideal) pack() float64 {
	sum := 0.0
	for _, v := range r.now.cells {
		sum += v
	}
	return sum
}

func (r *Ideal) inner() float64 {
	return float64(r.board.Cells)*r.board.CellOhms + r.board.PathOhms
}

// loadAmps is the current through the load.
func (r *Ideal) loadAmps() float64 {
	drop, conducts := r.path(discharge)
	if !conducts {
		return 0
	}
	avail := math.Max(0, r.pack()-drop)
	switch l := r.now.load; l.Kind {
	case rig.Resistance:
		return avail / (r.inner() + l.Value)
	case rig.Short:
		return avail / (r.inner() + l.Value + l.Lead.Ohms)
	case rig.ConstantCurrent:
		return math.Min(l.Value, avail/math.Max(r.inner(), 1e-9))
	}
	return 0
}

// chargeAmps is the current through the charger.
func (r *Ideal) chargeAmps() float64 {
	c := r.now.charger
	drop, conducts := r.path(charge)
	if c.Amps <= 0 || !conducts {
		return 0
	}
	over := c.Volts - r.pack() - drop
	return math.Max(0, math.Min(c.Amps, over/math.Max(r.inner(), 1e-9)))
}

// terminal is the voltage of cell k at the board.
func (r *Ideal) terminal(k int) float64 {
	i := r.loadAmps() - r.chargeAmps() + r.bleedAmps(k)
	return r.now.cells[k-1] - i*r.board.CellOhms
}

// bleedAmps is what cell k's bleed resistor takes.
func (r *Ideal) bleedAmps(k int) float64 {
	if i, has := r.bleed[k]; has && r.now.latched[i] {
		return r.now.cells[k-1] / (r.board.BleedOhms + r.board.CellOhms)
	}
	return 0
}

// supply is what the electronics take from each cell.
func (r *Ideal) supply() float64 {
	for i, l := range r.latch {
		if l.name == "UV" && r.now.latched[i] && r.board.Asleep > 0 {
			return r.board.Asleep
		}
	}
	return r.board.Supply
}

// minusDrop is P− over B−.
func (r *Ideal) minusDrop() float64 {
	drop, conducts := r.path(discharge)
	if conducts {
		if r.loadAmps() == 0 {
			drop = 0
		}
		return drop + (r.loadAmps()-r.chargeAmpsShared())*r.board.PathOhms
	}
	if r.now.load.Kind == rig.Open {
		return 0
	}
	return r.pack()
}

func (r *Ideal) chargeAmpsShared() float64 {
	if r.board.Separate {
		return 0
	}
	return r.chargeAmps()
}

// chargeDrop is the charger's minus over B−.
func (r *Ideal) chargeDrop() float64 {
	if !r.charging() {
		return 0
	}
	if drop, conducts := r.path(charge); conducts {
		return -drop - r.chargeAmps()*r.board.PathOhms
	}
	return r.pack() - r.now.charger.Volts
}

// Read reads a point.
func (r *Ideal) Read(p rig.Point) (rig.Reading, error) {
	v, err := r.value(p)
	return rig.Reading{Value: v}, err
}

// perCell reads what belongs to one cell.
func (r *Ideal) perCell(p rig.Point) (float64, error) {
	if err := r.cellIndex(p.N); err != nil {
		return 0, fmt.Errorf("%s: %w", p, err)
	}
	switch p.Kind {
	case rig.CellVolts:
		return r.terminal(p.N), nil
	case rig.CellAmps:
		return r.loadAmps() - r.chargeAmps() + r.bleedAmps(p.N) + r.supply(), nil
	case rig.BleedWatts:
		i := r.bleedAmps(p.N)
		return i * i * r.board.BleedOhms, nil
	}
	return r.bleedAmps(p.N), nil
}

func (r *Ideal) value(p rig.Point) (float64, error) {
	i := r.loadAmps()
	switch p.Kind {
	case rig.CellVolts, rig.CellAmps, rig.BleedAmps, rig.BleedWatts:
		return r.perCell(p)
	case rig.TapAmps:
		return r.tap(p.N)
	case rig.LoadVolts:
		return r.pack() - i*float64(r.board.Cells)*r.board.CellOhms - r.minusDrop(), nil
	case rig.LoadAmps:
		return i, nil
	case rig.ChargeAmps:
		return r.chargeAmps(), nil
	case rig.MinusDrop, rig.SenseVolts:
		return r.minusDrop(), nil
	case rig.ChargeDrop:
		return r.chargeDrop(), nil
	case rig.MiddleDrop:
		return r.minusDrop() / 2, nil
	case rig.SupplyVolts:
		return r.terminal(1), nil
	case rig.GateVolts:
		return r.gate(p.Part)
	case rig.BankJoules:
		return r.now.joules[bank(p.Part)], nil
	case rig.BankVolts:
		return r.bankVolts(bank(p.Part)), nil
	case rig.PinStress, rig.PinVolts:
		return r.stress(p)
	}
	return 0, fmt.Errorf("%s: an ideal board has no such point", p)
}

func bank(name string) int {
	if name == "charge" {
		return charge
	}
	return discharge
}

func (r *Ideal) gate(name string) (float64, error) {
	if r.off(bank(name)) {
		return 0, nil
	}
	return 10, nil
}

// bankVolts is half of the drop while the path conducts, all of it otherwise.
func (r *Ideal) bankVolts(dir int) float64 {
	v := r.minusDrop()
	if dir == charge && r.charging() {
		v = -r.chargeDrop()
	}
	if !r.off(dir) {
		v /= 2
	}
	return v
}

// tap is the current through the lead of tap n into the board.
func (r *Ideal) tap(n int) (float64, error) {
	if n < 0 || n > r.board.Cells {
		return 0, fmt.Errorf("tap %d: the board has taps 0 to %d", n, r.board.Cells)
	}
	in := 0.0
	if n > 0 {
		in += r.supply() + r.bleedAmps(n)
	}
	if n < r.board.Cells {
		in -= r.supply() + r.bleedAmps(n+1)
	}
	return in, nil
}
