package circuittest

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

var smallBJT = device.BJTParams{
	Sat: 8e-15, Forward: 200, Reverse: 4, XTB: 1.5, EmitterBreakdown: 6, Leak: 10e-9,
	EmitterFarads: 10e-12, CollectorFarads: 3e-12, ForwardTransit: 0.5e-9, ReverseTransit: 100e-9,
}

// shifter is a transistor as the level shifters of chain boards have them:
// megohms at the base, from blocking to saturation.
func shifter(name, about string, polarity device.Polarity, supply float64) Sweep {
	p := smallBJT
	p.Polarity = polarity
	in := device.NewVoltage("in", 1, 0, device.VoltageParams{})
	high := device.NewVoltage("high", 4, 0, device.VoltageParams{Volts: supply})
	return Sweep{
		Name: name, About: about, Nodes: []string{"0", "in", "b", "c", "high"},
		Elements: []circuit.Element{
			in, high,
			device.NewResistor("rb", 1, 2, device.ResistorParams{Ohms: 1e6}),
			device.NewResistor("rc", 4, 3, device.ResistorParams{Ohms: 10e3}),
			device.NewBJT("q", 3, 2, 0, p),
		},
		Source: in, From: -supply / 4, To: supply, Steps: 50,
		Watch: []Watch{
			{Column: "v_b_V", Node: "b"},
			{Column: "v_c_V", Node: "c"},
			{Column: "i_in_A", Source: in},
			{Column: "i_high_A", Source: high},
		},
	}
}

func npn() Sweep { return shifter("npn", "NPN, 1 MΩ to the base, 10 kΩ to 20 V", device.N, 20) }
func pnp() Sweep { return shifter("pnp", "PNP, 1 MΩ to the base, 10 kΩ to −20 V", device.P, -20) }

func emitterBreakdown() Sweep {
	in := device.NewVoltage("in", 1, 0, device.VoltageParams{})
	return Sweep{
		Name: "emitter-breakdown", About: "base pulled below the emitter through 10 kΩ, collector at 5 V",
		Nodes: []string{"0", "in", "b", "c"},
		Elements: []circuit.Element{
			in, device.NewVoltage("high", 3, 0, device.VoltageParams{Volts: 5}),
			device.NewResistor("rb", 1, 2, device.ResistorParams{Ohms: 10e3}),
			device.NewBJT("q", 3, 2, 0, smallBJT),
		},
		Source: in, From: 0, To: -12, Steps: 24,
		Watch: []Watch{{Column: "v_b_V", Node: "b"}, {Column: "i_in_A", Source: in}},
	}
}

var powerFET = device.MOSFETParams{
	Threshold: 1.9, ThresholdTempco: -4e-3, K: 60, SeriesOhms: 2.2e-3, ResistanceRise: 4.5e-3, Swing: 1.6,
	BodySat: 1e-11, BodyOhms: 2e-3, Breakdown: 44, BreakdownOhms: 5e-3, BreakdownTempco: 0.9e-3,
	Leak: 100e-9, LeakVolts: 20, GateOhms: 1e9, Parallel: 2,
	GateSource: 3e-9, DrainSource: 0.5e-9, Miller: 0.2e-9, MillerPeak: 1.5e-9,
}

// fet is a MOSFET with a source at drain and gate, the source grounded.
func fet(polarity device.Polarity, gateVolts, drainVolts float64) (gate, drain *device.Voltage, s Sweep) {
	p := powerFET
	p.Polarity = polarity
	gate = device.NewVoltage("gate", 1, 0, device.VoltageParams{Volts: gateVolts})
	drain = device.NewVoltage("drain", 2, 0, device.VoltageParams{Volts: drainVolts})
	s = Sweep{
		Nodes:    []string{"0", "g", "d"},
		Elements: []circuit.Element{gate, drain, device.NewMOSFET("m", 2, 1, 0, p)},
		Watch:    []Watch{{Column: "i_drain_A", Source: drain}, {Column: "i_gate_A", Source: gate}},
	}
	return gate, drain, s
}

func nfetTransfer() Sweep {
	gate, _, s := fet(device.N, 0, 0.05)
	s.Name, s.About = "nfet-transfer", "two power N-FETs in parallel, 50 mV at the drain"
	s.Source, s.From, s.To, s.Steps = gate, 0, 10, 50
	return s
}

func nfetOutput() Sweep {
	_, drain, s := fet(device.N, 2.5, 0)
	s.Name, s.About = "nfet-output", "the same at 2.5 V of gate, from its body diode to saturation"
	s.Source, s.From, s.To, s.Steps = drain, -1, 5, 48
	return s
}

func nfetAvalanche() Sweep {
	p := powerFET
	in := device.NewVoltage("in", 1, 0, device.VoltageParams{})
	return Sweep{
		Name: "nfet-avalanche", About: "the same, off, behind 100 Ω up to and over its breakdown",
		Nodes: []string{"0", "in", "d"},
		Elements: []circuit.Element{
			in, device.NewResistor("r", 1, 2, device.ResistorParams{Ohms: 100}), device.NewMOSFET("m", 2, 0, 0, p),
		},
		Source: in, From: 0, To: 80, Steps: 40,
		Watch: []Watch{{Column: "v_d_V", Node: "d"}, {Column: "i_in_A", Source: in}},
	}
}

func pfetTransfer() Sweep {
	gate, _, s := fet(device.P, 0, -0.05)
	s.Name, s.About = "pfet-transfer", "the same as P-FETs, −50 mV at the drain"
	s.Source, s.From, s.To, s.Steps = gate, 0, -10, 50
	return s
}

func pfetOutput() Sweep {
	_, drain, s := fet(device.P, -2.5, 0)
	s.Name, s.About = "pfet-output", "P-FETs at −2.5 V of gate, from body diode to saturation"
	s.Source, s.From, s.To, s.Steps = drain, 1, -5, 48
	return s
}
