package catalog

import "cupel/internal/quantity"

// secondaryTraits are those of a second-level detector: it watches the cells
// apart from the first protection and fires a heater fuse.
var secondaryTraits = Traits{
	Kind: SecondaryProtector, Title: "second-level detector",
	Pins:   secondaryPins(),
	Limits: []Term{usual("v_dd", quantity.Voltage, 30, "vdd over vss"), usual("v_cell", quantity.Voltage, 8, "between neighbouring sense inputs")},
	Figures: []Term{
		needed("v_ov", quantity.Voltage, "overcharge at which it fires"),
		optional("v_ovr", quantity.Voltage, "overcharge release; needed where it does not latch"),
		needed("t_ov", quantity.Time, "delay before it fires"),
		ranged("t_ovr", quantity.Time, 1e-3, 2e-3, 5e-3, "release delay"),
		usual("v_ov_tempco", quantity.TempcoVoltage, 0, "change of v_ov with temperature"),
		ranged("v_min", quantity.Voltage, 2, 3, 3.5, "least supply"),
		usual("h", quantity.Voltage, 0.1, "hysteresis of v_min"),
		ranged("t_bo", quantity.Time, 1e-6, 2e-6, 10e-6, "brown-out time"),
		ranged("t_start", quantity.Time, 0.2e-3, 1e-3, 20e-3, "start time"),
		ranged("r_oh", quantity.Resistance, 1e3, 3e3, 10e3, "output to vdd"),
		ranged("r_ol", quantity.Resistance, 1e3, 3e3, 10e3, "output to vss"),
		ranged("i_dd", quantity.Current, 1e-6, 2e-6, 4e-6, "supply current"),
	},
	Rules: []Rule{
		{"latch", []string{"yes", "no"}, "yes", "once fired the output stays high until a brown-out"},
		{"timer", []string{"reset", "decay"}, "reset", "what a delay does when its cause lapses"},
	},
}

func secondaryPins() []PinTrait {
	var pins []PinTrait
	for _, p := range stackPins() {
		if p.Name == "vdd" || p.Name == "vss" || isSenseInput(p.Name) {
			p.Needed = p.Needed && p.Name != SenseInput(2)
			pins = append(pins, p)
		}
	}
	return append(pins, PinTrait{"out", true, "fires the fuse, high once a cell is overcharged"})
}

func isSenseInput(name string) bool {
	for k := 1; k <= MaxCells; k++ {
		if name == SenseInput(k) {
			return true
		}
	}
	return false
}
