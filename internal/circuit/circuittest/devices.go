package circuittest

import (
	"fmt"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// The temperatures of the sweeps: cold, where parts are stated, hot.
var kelvins = []float64{253.15, 298.15, 333.15}

// Both simulators solve the same closed forms. What differs is k/q in the
// seventh digit, as an exponent taken up to forty times; a gmin more, across
// the diode that stands for a breakdown in the deck: 1 pS at up to 100 V, and
// through 1 MΩ up to 10 µV at a base, 3e-4 of a current at 26 mV a factor e.
var sameEquations = Limits{
	Volts: Tolerance{Relative: 1e-4, Absolute: 10e-6},
	Amps:  Tolerance{Relative: 4e-4, Absolute: 1e-10},
}

// Devices returns every device alone, at three temperatures. The parameters
// are of no particular part.
func Devices() []Sweep {
	var all []Sweep
	for _, kelvin := range kelvins {
		for _, s := range []Sweep{
			resistor(), inductor(), switchOn(), sink(), transconductance(),
			diodeForward(), diodeReverse(), zener(),
			npn(), pnp(), emitterBreakdown(),
			nfetTransfer(), nfetOutput(), nfetAvalanche(), pfetTransfer(), pfetOutput(),
		} {
			s.Name = fmt.Sprintf("%s-%+.0f", s.Name, kelvin-273.15)
			s.Kelvin, s.Within = kelvin, sameEquations
			all = append(all, s)
		}
	}
	return all
}

// driven is a part on a source "in", its current watched.
func driven(name, about string, from, to float64, steps int, part circuit.Element) Sweep {
	in := device.NewVoltage("in", 1, 0, device.VoltageParams{})
	return Sweep{
		Name: name, About: about, Nodes: []string{"0", "a"}, Elements: []circuit.Element{in, part},
		Source: in, From: from, To: to, Steps: steps, Watch: []Watch{{Column: "i_in_A", Source: in}},
	}
}

func resistor() Sweep {
	r := device.NewResistor("r", 1, 0, device.ResistorParams{Ohms: 4700, Tempco: 200e-6})
	return driven("resistor", "4.7 kΩ, 200 ppm/K", -5, 5, 4, r)
}

func inductor() Sweep {
	l := device.NewInductor("l", 1, 0, device.InductorParams{Henry: 1e-6, Ohms: 0.05})
	return driven("inductor", "1 µH with 50 mΩ, at rest", 0, 1, 2, l)
}

func switchOn() Sweep {
	w := device.NewSwitch("w", 1, 0, device.SwitchParams{OnOhms: 3000})
	w.Set(true)
	return driven("switch", "an output stage of 3 kΩ, closed", 0, 5, 2, w)
}

func sink() Sweep {
	return driven("sink", "3 µA as long as there is a voltage", -0.5, 2, 50,
		device.NewSink("k", 1, 0, device.SinkParams{Amps: 3e-6}))
}

func transconductance() Sweep {
	in := device.NewVoltage("in", 1, 0, device.VoltageParams{})
	g := device.NewTransconductance("g", 2, 0, 1, 0, 0.05)
	r := device.NewResistor("r", 2, 0, device.ResistorParams{Ohms: 1000})
	return Sweep{
		Name: "transconductance", About: "50 mS into 1 kΩ", Nodes: []string{"0", "a", "b"},
		Elements: []circuit.Element{in, g, r}, Source: in, From: 0, To: 0.1, Steps: 2,
		Watch: []Watch{{Column: "v_b_V", Node: "b"}},
	}
}

var smallDiode = device.DiodeParams{
	Sat: 2.5e-9, N: 1.8, Ohms: 0.6, Leak: 25e-9, LeakVolts: 20, Breakdown: 100, BreakdownAmps: 5e-6,
	Farads: 2e-12, Grading: 0.33, Transit: 6e-9,
}

func diodeForward() Sweep {
	return driven("diode-forward", "a small signal diode", 0, 1.2, 48, device.NewDiode("d", 1, 0, smallDiode))
}

func diodeReverse() Sweep {
	return driven("diode-reverse", "the same, reversed up to three quarters of its breakdown", 0, -75, 30,
		device.NewDiode("d", 1, 0, smallDiode))
}

func zener() Sweep {
	in := device.NewVoltage("in", 1, 0, device.VoltageParams{})
	r := device.NewResistor("r", 1, 2, device.ResistorParams{Ohms: 1000})
	z := device.NewDiode("z", 0, 2, device.DiodeParams{
		Sat: 1e-13, N: 1.1, Ohms: 0.5, Breakdown: 15, BreakdownAmps: 5e-3, BreakdownSlope: 0.1, BreakdownOhms: 10,
		BreakdownTempco: 10e-3, Leak: 50e-9, LeakVolts: 5,
	})
	return Sweep{
		Name: "zener", About: "15 V at 5 mA, behind 1 kΩ", Nodes: []string{"0", "in", "k"},
		Elements: []circuit.Element{in, r, z}, Source: in, From: -5, To: 40, Steps: 45,
		Watch: []Watch{{Column: "v_k_V", Node: "k"}, {Column: "i_in_A", Source: in}},
	}
}
