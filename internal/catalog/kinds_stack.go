package catalog

import (
	"fmt"
	"slices"
	"strconv"

	"cupel/internal/quantity"
)

var stackProtectorTraits = Traits{
	Kind: StackProtector, Title: "stack protector",
	Pins: stackPins(),
	Limits: []Term{
		usual("v_dd", quantity.Voltage, 30, "vdd over vss"),
		usual("v_cell", quantity.Voltage, 8, "between neighbouring sense inputs"),
		usual("v_cs", quantity.Voltage, 28, "vm and co under vdd"),
	},
	Figures: slices.Concat(voltageTerms, currentTerms, powerTerms, []Term{
		optional("t_ov", quantity.Time, "overcharge delay where it is fixed"),
		optional("t_uv", quantity.Time, "overdischarge delay where it is fixed"),
		optional("t_oc1", quantity.Time, "delay of the first stage where it is fixed"),
		optional("k_ov", quantity.Resistance, "overcharge delay per capacitance at tov: 10 s/µF is 10 MΩ"),
		optional("k_uv", quantity.Resistance, "overdischarge delay per capacitance at tuv: 1 s/µF is 1 MΩ"),
		optional("k_oc1", quantity.Resistance, "delay of the first stage per capacitance at toc: 0.1 s/µF is 100 kΩ"),
		usual("t_open", quantity.Time, 1e-3, "delay with the capacitor's pin open"),
		optional("k_oc2", quantity.Resistance, "delay of the second stage per capacitance at toc"),
		usual("v_vmr", quantity.Voltage, 1, "vm under which the load counts as removed"),
		usual("r_ctl", quantity.Resistance, 1e6, "cascade input to vss"),
		usual("t_ctl", quantity.Time, 1e-3, "delay of the cascade inputs"),
		usual("ts_cc", quantity.Ratio, 0.73, "ts/tr above which it is too cold to charge"),
		usual("ts_ch", quantity.Ratio, 0.33, "ts/tr below which it is too hot to charge"),
		usual("ts_dh", quantity.Ratio, 0.205, "ts/tr below which it is too hot to discharge"),
		usual("ts_h", quantity.Ratio, 0.03, "hysteresis of these ratios"),
		usual("t_ts", quantity.Time, 1, "period of the looks at ts"),
		usual("t_look", quantity.Time, 1e-3, "length of a look"),
		usual("r_tr", quantity.Resistance, 1e3, "tr to vdd during a look"),
		ranged("i_s", quantity.Current, 0.1e-6, 0.3e-6, 1e-6, "into a sense input"),
		optional("i_ow", quantity.Current, "open-wire test current"),
		optional("t_ow", quantity.Time, "period of the open-wire test"),
		usual("v_ow", quantity.Voltage, 0.5, "cell voltage in a test under which a wire is open"),
		optional("v_bal", quantity.Voltage, "balance start, where the part balances too"),
		usual("v_bal_h", quantity.Voltage, 30e-3, "how far below v_bal it stops"),
		usual("t_b", quantity.Time, 0.1, "balance start delay"),
		usual("t_br", quantity.Time, 2e-3, "balance stop delay"),
		optional("v_bal_delta", quantity.Voltage, "start only so far above the lowest cell"),
		usual("r_bal", quantity.Resistance, 10, "balance switch"),
		optional("t_sample", quantity.Time, "period of the looks without bleed current"),
		ranged("v_min", quantity.Voltage, 2, 3, 3.5, "least supply"),
		ranged("i_dd", quantity.Current, 8e-6, 12e-6, 20e-6, "supply current"),
		ranged("i_pd", quantity.Current, 0.1e-6, 0.5e-6, 2e-6, "supply current in power-down"),
		usual("i_cs", quantity.Current, 5e-9, "current into cs", at("t_j", room)),
	}),
	Rules: slices.Concat(protectorRules, []Rule{
		{"ctl", []string{"pulled up", "open"}, "open", "state of ctl_d and ctl_c that forces the outputs off"},
		{"bal_on_charge", []string{"no", "yes"}, "no", "balancing starts only while a charger is seen"},
	}),
}

// stackPins lists the pins of a stack protector, all cells downwards.
func stackPins() []PinTrait {
	pins := []PinTrait{{"vdd", true, "supply"}}
	for k := MaxCells; k >= 1; k-- {
		pins = append(pins, PinTrait{SenseInput(k), k <= 2, fmt.Sprintf("top of cell %d", k)})
	}
	for k := MaxCells; k >= 1; k-- {
		pins = append(pins, PinTrait{"bal" + strconv.Itoa(k), false, fmt.Sprintf("balance switch, top of cell %d", k)})
	}
	return append(pins,
		PinTrait{"vss", true, "bottom of cell 1"},
		PinTrait{"cs", true, "current sense"},
		PinTrait{"vm", false, "load and charger detection; cs does it where there is none"},
		PinTrait{"do", true, "discharge output"},
		PinTrait{"co", true, "charge output"},
		PinTrait{"tov", false, "capacitor of the overcharge delay"},
		PinTrait{"tuv", false, "capacitor of the overdischarge delay"},
		PinTrait{"toc", false, "capacitor of the overcurrent delay"},
		PinTrait{"tr", false, "supply of the thermistor's divider"},
		PinTrait{"ts", false, "thermistor"},
		PinTrait{"ctl_d", false, "cascade input, discharge"},
		PinTrait{"ctl_c", false, "cascade input, charge"},
		PinTrait{"do_out", false, "open-drain output to the lower part, discharge"},
		PinTrait{"co_out", false, "open-drain output to the lower part, charge"},
		PinTrait{"cells", false, "strap that sets how many cells there are"},
	)
}
