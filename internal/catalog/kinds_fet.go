package catalog

import "cupel/internal/quantity"

func fetTraits(k Kind, title string) Traits {
	return Traits{
		Kind: k, Title: title,
		Pins: []PinTrait{{"g", true, "gate"}, {"d", true, "drain"}, {"s", true, "source"}},
		// Every voltage and current of a P-channel part is given as a positive
		// number too, as between source and the pin named.
		Limits: []Term{
			needed("v_ds", quantity.Voltage, "drain to source; the body diode breaks down a little above"),
			needed("v_gs", quantity.Voltage, "gate to source, either way"),
			optional("i_d", quantity.Current, "drain current"),
			optional("p", quantity.Power, "loss at 25 °C"),
			usual("t_j", quantity.Temperature, celsius0+150, "junction temperature"),
		},
		Figures: []Term{
			needed("v_gs_th", quantity.Voltage, "threshold", at("i_d", 250e-6), at("t_j", room)),
			usual("v_gs_th_tempco", quantity.TempcoVoltage, -4e-3, "change of the threshold with temperature"),
			needed("r_ds_on", quantity.Resistance, "on resistance", at("v_gs", 10), at("t_j", room)),
			optional("r_ds_on_low", quantity.Resistance, "on resistance with less gate voltage", at("v_gs", 4.5), at("t_j", room)),
			ranged("r_ds_on_tempco", quantity.TempcoRelative, 0.004, 0.0045, 0.005, "change of on resistance with temperature"),
			needed("c_iss", quantity.Capacitance, "gate to source and drain", at("v_ds", 15)),
			needed("c_oss", quantity.Capacitance, "drain to source and gate", at("v_ds", 15)),
			needed("c_rss", quantity.Capacitance, "gate to drain", at("v_ds", 15)),
			usual("i_dss", quantity.Current, 50e-9, "drain current, gate at source", at("t_j", room)),
			usual("i_dss_double", quantity.TemperatureDifference, 10, "rise that doubles i_dss"),
			usual("i_gss", quantity.Current, 1e-9, "gate current", at("v_gs", 20)),
			needed("v_sd", quantity.Voltage, "body diode forward", at("i_s", 1), at("t_j", room)),
			usual("n", quantity.Ratio, 1.2, "emission coefficient of the body diode"),
			optional("t_rr", quantity.Time, "reverse recovery of the body diode"),
			optional("e_as", quantity.Energy, "single avalanche"),
			optional("r_th", quantity.ThermalResistance, "junction to ambient"),
			optional("r_th_jc", quantity.ThermalResistance, "junction to case"),
		},
	}
}
