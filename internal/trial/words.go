package trial

import (
	"fmt"
	"math"

	"cupel/internal/trial/rig"
)

// Cautions of the work; common practice, no source.
const (
	cautionCells   = "never drive real cells beyond their maker's limits: put a source in the place of the cell under test"
	cautionFault   = "cells deliver fault currents of hundreds of amperes: fuse every lead, keep metal off the bench, wear eye protection"
	cautionShort   = "on a bench use an energy-limited capacitor bank, never a pack; a cell that was shorted may vent later"
	cautionScope   = "a scope's earth clip joins its point to mains earth and to every other clip: one clip only, or a differential probe"
	cautionPlug    = "plugging taps live can put the whole pack across one input: join B− first and follow the board's order"
	cautionHot     = "hold high currents only for the dwell and let the switches cool in between"
	cautionCharger = "the charger must not exceed what a full pack stands: limit voltage and current at the source"
	cautionHeat    = "a resistance in the thermistor's place tests the circuit, not how the thermistor sits on the cells"
)

// openMeans says what counts as open in a direction.
func openMeans(p port) string {
	if p == chargePort {
		return "charge direction not on (probe: charger at pack + 1.5 V limited to 5 mA)"
	}
	return "discharge direction not on (probe: 5 mA load)"
}

// timedOpen says when an edge counts as opening the path.
const timedOpen = "current through half of its highest value, staying below for 1 ms"

// ohms prints a resistance for a step's name.
func ohms(r float64) string {
	switch {
	case math.IsInf(r, 1):
		return "open"
	case r == 0:
		return "short"
	case r < 0.9995:
		return fmt.Sprintf("%.3g mΩ", r*1e3)
	case r < 999.5:
		return fmt.Sprintf("%.3g Ω", r)
	case r < 999.5e3:
		return fmt.Sprintf("%.3g kΩ", r/1e3)
	}
	return fmt.Sprintf("%.3g MΩ", r/1e6)
}

// cellCondition is the voltage the cells were at.
func cellCondition(v float64) Condition { return Condition{"cell voltage", v, "V"} }

// missingPort says which pad p wants, or nothing.
func missingPort(a rig.Abilities, p port) string {
	if p == dischargePort && a.Discharge || p == chargePort && a.Charge {
		return ""
	}
	if a.Missing != "" {
		return fmt.Sprintf("the board has no %s port: %s is missing", p, a.Missing)
	}
	return fmt.Sprintf("the board has no %s port", p)
}

// ohmsCondition is the resistance of a cell.
func ohmsCondition(a rig.Abilities) Condition { return Condition{"cell resistance", a.CellOhms, "Ω"} }

// join joins notes.
func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
