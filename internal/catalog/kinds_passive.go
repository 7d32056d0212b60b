package catalog

import (
	"slices"

	"cupel/internal/quantity"
)

var twoPins = []PinTrait{{"1", true, "one end"}, {"2", true, "other end"}}

var resistorTraits = Traits{
	Kind: Resistor, Title: "resistor", Pins: twoPins,
	Limits: []Term{
		optional("p", quantity.Power, "loss at 70 °C"),
		optional("v", quantity.Voltage, "working voltage"),
	},
	Figures: []Term{
		needed("r", quantity.Resistance, "resistance"),
		usual("r_tempco", quantity.TempcoRelative, 0, "change of resistance with temperature"),
		optional("r_th", quantity.ThermalResistance, "element to ambient"),
	},
}

var capacitorTraits = Traits{
	Kind: Capacitor, Title: "capacitor", Pins: twoPins,
	Limits: []Term{optional("v", quantity.Voltage, "rated voltage")},
	Figures: []Term{
		needed("c", quantity.Capacitance, "capacitance without bias"),
		usual("c_loss", quantity.Ratio, 0, "share of the capacitance lost at rated voltage"),
		optional("r_s", quantity.Resistance, "series resistance"),
		optional("i_leak", quantity.Current, "leakage at rated voltage"),
	},
}

var inductorTraits = Traits{
	Kind: Inductor, Title: "inductor", Pins: twoPins,
	Limits: []Term{optional("i", quantity.Current, "rated current")},
	Figures: []Term{
		needed("l", quantity.Inductance, "inductance"),
		usual("r_s", quantity.Resistance, 1e-3, "series resistance"),
	},
}

var thermistorTraits = Traits{
	Kind: Thermistor, Title: "thermistor (NTC)", Pins: twoPins, Curve: true,
	Limits: []Term{optional("p", quantity.Power, "loss"), optional("t_j", quantity.Temperature, "temperature")},
	Figures: []Term{
		needed("r_25", quantity.Resistance, "resistance at 25 °C"),
		needed("b", quantity.TemperatureDifference, "B value between 25 and 85 °C"),
		usual("d_th", quantity.ThermalResistance, 500, "self-heating, a loss of 1 mW heats by 0.5 K"),
		optional("tau", quantity.Time, "thermal time constant"),
	},
}

var fuseTraits = Traits{
	Kind: Fuse, Title: "fuse", Pins: append(slices.Clone(twoPins), PinTrait{"h", false, "heater, to the middle of the element"}),
	Limits: []Term{
		optional("v", quantity.Voltage, "voltage it can part"),
		optional("i_break", quantity.Current, "current it can part"),
	},
	Figures: []Term{
		needed("i_rated", quantity.Current, "current carried for ever"),
		needed("r", quantity.Resistance, "cold resistance"),
		needed("t_blow", quantity.Time, "time to part at a multiple of the rated current; names its i"),
		usual("r_tempco", quantity.TempcoRelative, 0.004, "change of resistance with temperature"),
		optional("r_heater", quantity.Resistance, "heater"),
		optional("p_heater", quantity.Power, "loss in the heater alone that parts it"),
		optional("t_heater", quantity.Time, "after that time at that loss"),
	},
}

var linkTraits = Traits{
	Kind: Link, Title: "link (0 Ω)", Pins: twoPins,
	Limits:  []Term{optional("i", quantity.Current, "rated current")},
	Figures: []Term{usual("r", quantity.Resistance, 10e-3, "resistance")},
}
