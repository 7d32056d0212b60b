package circuittest

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// Known is a circuit whose state of rest is known from outside.
type Known struct {
	Name      string
	Reference string // where the values come from
	Kelvin    float64
	Nodes     []string
	Elements  []circuit.Element
	Volts     map[string]float64 // by node
	Amps      map[string]float64 // by source, from its plus through the source
	// Within is set by the digits the value was published with.
	Within Tolerance
}

const byHand = "modified nodal analysis after Ho, Ruehli and Brennan 1975; values recomputed by hand"

// KnownAtRest returns circuits with known answers at rest.
func KnownAtRest() []Known {
	tenDigits := Tolerance{Relative: 1e-9}
	all := []Known{divider(), bridge(), pack(), transconductanceLoop()}
	for i := range all {
		all[i].Reference, all[i].Kelvin, all[i].Within = byHand, circuit.RoomKelvin, tenDigits
	}
	return append(all, diodeBehindResistor(), saturated(), triode(), saturatedFET())
}

func ohms(name string, a, b circuit.Node, r float64) *device.Resistor {
	return device.NewResistor(name, a, b, device.ResistorParams{Ohms: r})
}

func volts(name string, a, b circuit.Node, v float64) *device.Voltage {
	return device.NewVoltage(name, a, b, device.VoltageParams{Volts: v})
}

func divider() Known {
	return Known{
		Name: "divider", Nodes: []string{"0", "in", "mid"},
		Elements: []circuit.Element{volts("e", 1, 0, 12), ohms("r1", 1, 2, 1e3), ohms("r2", 2, 0, 2e3)},
		Volts:    map[string]float64{"mid": 8}, Amps: map[string]float64{"e": -4e-3},
	}
}

func bridge() Known {
	return Known{
		Name: "bridge", Nodes: []string{"0", "in", "left", "right"},
		Elements: []circuit.Element{
			volts("e", 1, 0, 10),
			ohms("r1", 1, 2, 1e3), ohms("r2", 2, 0, 2e3), ohms("r3", 1, 3, 2e3), ohms("r4", 3, 0, 1e3), ohms("r5", 2, 3, 5e3),
		},
		Volts: map[string]float64{"left": 120. / 19, "right": 70. / 19}, // 6.3157894737, 3.6842105263
		Amps:  map[string]float64{"e": -0.13 / 19},                      // −6.8421052632 mA
	}
}

// pack is four cells of 4.0 V and 20 mΩ, 40 mΩ of wire and a load of 0.32 Ω.
func pack() Known {
	k := Known{
		Name: "pack", Nodes: []string{"0", "e1", "t1", "e2", "t2", "e3", "t3", "e4", "t4", "load"},
		Volts: map[string]float64{"t4": 144. / 11, "t1": 36. / 11}, // 13.09090909, 3.27272727
		Amps:  map[string]float64{"cell1": -400. / 11},             // 36.36363636
	}
	below := circuit.Node(0)
	for i, name := range []string{"1", "2", "3", "4"} {
		inner, top := circuit.Node(2*i+1), circuit.Node(2*i+2)
		k.Elements = append(k.Elements, volts("cell"+name, inner, below, 4), ohms("r"+name, inner, top, 0.02))
		below = top
	}
	k.Elements = append(k.Elements, ohms("wire", 8, 9, 0.04), ohms("load", 9, 0, 0.32))
	return k
}

// transconductanceLoop has 1 mA into 1 kΩ, 500 Ω on to 1 kΩ, and 50 mS drawn there.
func transconductanceLoop() Known {
	return Known{
		Name: "transconductance", Nodes: []string{"0", "a", "b"},
		Elements: []circuit.Element{
			device.NewCurrent("i", 0, 1, device.CurrentParams{Amps: 1e-3}),
			ohms("r1", 1, 0, 1e3), ohms("r2", 1, 2, 500), ohms("r3", 2, 0, 1e3),
			device.NewTransconductance("g", 2, 0, 1, 0, 0.05),
		},
		Volts: map[string]float64{"a": 0.2 / 7, "b": -3.2 / 7}, // 28.571429 mV, −457.142857 mV
	}
}

func diodeBehindResistor() Known {
	d := device.DiodeParams{Sat: 1e-14, Nominal: device.SpiceKelvin}
	return Known{
		Name: "diode", Kelvin: device.SpiceKelvin, Nodes: []string{"0", "in", "a"},
		Reference: "Shockley's equation with k and q of the SI of 2019: 5 V, 1 kΩ, Is 1e-14 A, 27 °C",
		Elements:  []circuit.Element{volts("e", 1, 0, 5), ohms("r", 1, 2, 1e3), device.NewDiode("d", 2, 0, d)},
		Volts:     map[string]float64{"a": 0.692887832}, Amps: map[string]float64{"e": -4.307112168e-3},
		Within: Tolerance{Relative: 2e-9},
	}
}

// saturated is a transistor with 1 mA into its base and 10 mA into its collector.
func saturated() Known {
	p := device.BJTParams{Sat: 1e-14, Forward: 100, Reverse: 2, Nominal: device.SpiceKelvin}
	return Known{
		Name: "saturation", Kelvin: device.SpiceKelvin, Nodes: []string{"0", "b", "c"},
		Reference: "Ebers and Moll 1954: vce = Vt·ln((1 + 1/βr + (ic/ib)/βr)/(1 − (ic/ib)/βf)), 27 °C",
		Elements: []circuit.Element{
			device.NewCurrent("ib", 0, 1, device.CurrentParams{Amps: 1e-3}),
			device.NewCurrent("ic", 0, 2, device.CurrentParams{Amps: 10e-3}),
			device.NewBJT("q", 2, 1, 0, p),
		},
		Volts: map[string]float64{"c": 51.139166e-3, "b": 0.720696}, Within: Tolerance{Relative: 1e-6},
	}
}

// squareLaw is a MOSFET without series resistance far above its threshold, where
// its channel must be the square law; its leakage and body diode are too
// small to show.
func squareLaw(name string, vds, amps float64) Known {
	p := device.MOSFETParams{Threshold: 1, K: 20, BodySat: 1e-14}
	return Known{
		Name: name, Kelvin: circuit.RoomKelvin, Nodes: []string{"0", "g", "d"},
		Reference: "level 1 of SPICE (Nagel 1975): K((Vgs−Vt)Vds − Vds²/2), saturated K/2(Vgs−Vt)², K 20, Vgs 4, Vt 1",
		Elements:  []circuit.Element{volts("g", 1, 0, 4), volts("d", 2, 0, vds), device.NewMOSFET("m", 2, 1, 0, p)},
		Amps:      map[string]float64{"d": -amps}, Within: Tolerance{Relative: 1e-6},
	}
}

func triode() Known       { return squareLaw("triode", 0.05, 2.975) }
func saturatedFET() Known { return squareLaw("saturated-fet", 8, 90) }
