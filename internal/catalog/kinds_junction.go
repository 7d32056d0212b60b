package catalog

import "cupel/internal/quantity"

const (
	celsius0 = 273.15 // K
	room     = celsius0 + 25
)

var diodeTraits = Traits{
	Kind: Diode, Title: "diode", Pins: []PinTrait{{"a", true, "anode"}, {"k", true, "cathode"}},
	Limits: []Term{
		needed("v_r", quantity.Voltage, "reverse voltage"),
		needed("i_f", quantity.Current, "forward current"),
		optional("i_fsm", quantity.Current, "single surge"),
		usual("t_j", quantity.Temperature, celsius0+150, "junction temperature"),
		optional("p", quantity.Power, "loss"),
	},
	Figures: []Term{
		needed("v_f", quantity.Voltage, "forward voltage", at("i_f", 1e-3), at("t_j", room)),
		optional("v_f_high", quantity.Voltage, "forward voltage at a higher current, for the series resistance", at("t_j", room)),
		usual("n", quantity.Ratio, 1.7, "emission coefficient"),
		needed("i_r", quantity.Current, "reverse current", at("t_j", room)),
		usual("i_r_double", quantity.TemperatureDifference, 10, "rise that doubles the reverse current"),
		usual("c_j", quantity.Capacitance, 2e-12, "capacitance at zero bias", at("v_r", 0)),
		optional("t_rr", quantity.Time, "reverse recovery"),
		optional("r_th", quantity.ThermalResistance, "junction to ambient"),
	},
}

var zenerTraits = Traits{
	Kind: Zener, Title: "zener or transient-voltage diode", Pins: diodeTraits.Pins,
	Limits: []Term{
		needed("p", quantity.Power, "loss"),
		optional("i_z", quantity.Current, "zener current"),
		optional("i_pp", quantity.Current, "single pulse"),
		usual("t_j", quantity.Temperature, celsius0+150, "junction temperature"),
	},
	Figures: []Term{
		needed("v_z", quantity.Voltage, "breakdown voltage", at("i_z", 5e-3), at("t_j", room)),
		needed("z_zt", quantity.Resistance, "slope at the test current", at("i_z", 5e-3)),
		usual("z_zk", quantity.Resistance, 200, "slope at the knee", at("i_z", 1e-3)),
		needed("i_zk", quantity.Current, "current at which the slope has grown to z_zk: the knee"),
		usual("i_r", quantity.Current, 50e-9, "reverse current below the knee", at("t_j", room)),
		usual("i_r_double", quantity.TemperatureDifference, 10, "rise that doubles the reverse current"),
		usual("v_z_tempco", quantity.TempcoVoltage, 0, "change of the breakdown voltage with temperature"),
		usual("v_f", quantity.Voltage, 0.75, "forward voltage", at("i_f", 10e-3), at("t_j", room)),
		usual("n", quantity.Ratio, 1.3, "emission coefficient"),
		usual("c_j", quantity.Capacitance, 80e-12, "capacitance at zero bias"),
		optional("r_th", quantity.ThermalResistance, "junction to ambient"),
	},
}

func bjtTraits(k Kind, title string) Traits {
	return Traits{
		Kind: k, Title: title,
		Pins: []PinTrait{{"c", true, "collector"}, {"b", true, "base"}, {"e", true, "emitter"}},
		Limits: []Term{
			needed("v_ceo", quantity.Voltage, "collector to emitter, base open"),
			optional("v_cbo", quantity.Voltage, "collector to base"),
			usual("v_ebo", quantity.Voltage, 5, "emitter to base, reversed"),
			needed("i_c", quantity.Current, "collector current"),
			optional("p", quantity.Power, "loss at 25 °C"),
			usual("t_j", quantity.Temperature, celsius0+150, "junction temperature"),
		},
		Figures: []Term{
			needed("h_fe", quantity.Ratio, "current gain", at("i_c", 2e-3), at("v_ce", 5), at("t_j", room)),
			usual("h_fe_reverse", quantity.Ratio, 4, "current gain with collector and emitter exchanged"),
			usual("h_fe_tempco", quantity.TempcoRelative, 0.005, "change of current gain with temperature"),
			needed("v_be", quantity.Voltage, "base to emitter", at("i_c", 2e-3), at("t_j", room)),
			needed("v_ce_sat", quantity.Voltage, "saturated", at("i_c", 10e-3), at("i_b", 0.5e-3)),
			needed("i_cbo", quantity.Current, "collector to base, emitter open", at("v_cb", 30), at("t_j", room)),
			usual("i_cbo_double", quantity.TemperatureDifference, 10, "rise that doubles i_cbo"),
			usual("c_je", quantity.Capacitance, 10e-12, "emitter to base at zero bias"),
			usual("c_jc", quantity.Capacitance, 5e-12, "collector to base at zero bias"),
			usual("f_t", quantity.Frequency, 100e6, "transition frequency"),
			usual("t_s", quantity.Time, 200e-9, "storage time"),
			optional("r_th", quantity.ThermalResistance, "junction to ambient"),
		},
	}
}
