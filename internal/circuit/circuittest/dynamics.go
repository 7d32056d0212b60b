package circuittest

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/device"
)

// Both take the same equations through time, each with its own method, steps and
// error control: Cupel allows 1 mV of local error a step, the deck asks for 1e-4.
// A scripted switch takes a nanosecond in the deck. Measured differences were
// up to 6e-4 of voltages and currents and 1.7e-3 of times.
var sameWaveforms = Limits{
	Volts:   Tolerance{Relative: 1e-3, Absolute: 1e-4},
	Amps:    Tolerance{Relative: 1e-3, Absolute: 1e-5},
	Seconds: Tolerance{Relative: 2e-3, Absolute: 1e-9},
}

// Runs returns circuits through time that show what devices store: the charge
// of capacitors that lose capacitance, gates, junctions, wires.
func Runs() []Run {
	all := []Run{filter(), bankOpensSlowly(), bankOpensHard(), diodeRecovers(), transistorSaturates(), hotPlug()}
	for i := range all {
		all[i].Kelvin, all[i].Within = circuit.RoomKelvin, sameWaveforms
	}
	return all
}

// step rises from one voltage to another within a nanosecond at 1 µs.
func step(from, to float64) deck.Script {
	return deck.Script{{Seconds: 0, Value: from}, {Seconds: 1e-6, Value: from}, {Seconds: 1.001e-6, Value: to}}
}

func filter() Run {
	script := step(0, 15)
	in := driver("in", 1, 0, script)
	return Run{
		Name: "ceramic-filter", About: "330 Ω into 1 µF that loses half of itself at 16 V",
		Nodes: []string{"0", "in", "out"},
		Elements: []circuit.Element{
			in, ohms("r", 1, 2, 330),
			device.NewCeramic("c", 2, 0, device.CeramicParams{Farads: 1e-6, Loss: 0.5, Rated: 16}),
		},
		Sources: map[*device.Voltage]deck.Script{in: script}, Seconds: 2e-3, Step: 1e-6,
		Figures: []Figure{
			{Column: "t_5V_s", Of: Watch{Node: "out"}, Kind: Rising, Level: 5},
			{Column: "t_12V_s", Of: Watch{Node: "out"}, Kind: Rising, Level: 12},
			{Column: "v_300us_V", Of: Watch{Node: "out"}, At: 300e-6},
		},
	}
}

// bankOpens is two power FETs that carry 40 A out of 18.5 V through 1 µH and are
// turned off: the gate falls along its plateau, the wire lifts the drain.
func bankOpens(name, about string, gateOhms, seconds float64) Run {
	supply, gate := volts("supply", 1, 0, 18.5), volts("gate", 5, 0, 11)
	on := device.NewSwitch("on", 5, 4, device.SwitchParams{OnOhms: gateOhms})
	off := device.NewSwitch("off", 4, 0, device.SwitchParams{OnOhms: gateOhms})
	return Run{
		Name: name, About: about,
		Nodes: []string{"0", "supply", "load", "drain", "gate", "high"},
		Elements: []circuit.Element{
			supply, gate, on, off,
			device.NewWire("wire", 1, 2, 0.01, 1e-6), ohms("load", 2, 3, 0.45),
			device.NewMOSFET("m", 3, 4, 0, powerFET),
		},
		Switches: map[*device.Switch]deck.Script{
			on:  {{Seconds: 0, Value: 1}, {Seconds: 10e-6, Value: 0}},
			off: {{Seconds: 0, Value: 0}, {Seconds: 10e-6, Value: 1}},
		},
		Seconds: seconds, Step: 20e-9,
		Figures: []Figure{
			{Column: "i_before_A", Of: Watch{Source: supply}, At: 9e-6},
			{Column: "t_gate_3V_s", Of: Watch{Node: "gate"}, Kind: Falling, Level: 3},
			{Column: "t_half_s", Of: Watch{Source: supply}, Kind: Rising, Level: -20},
			{Column: "v_peak_V", Of: Watch{Node: "drain"}, Kind: Highest},
		},
	}
}

func bankOpensSlowly() Run {
	return bankOpens("bank-opens-slowly", "40 A through 1 µH, the gate let go through 3 kΩ", 3000, 150e-6)
}

func bankOpensHard() Run {
	return bankOpens("bank-opens-hard", "the same through 20 Ω: the wire drives the drain into avalanche", 20, 14e-6)
}

func diodeRecovers() Run {
	script := step(5, -5)
	in := driver("in", 1, 0, script)
	p := smallDiode
	p.Transit = 100e-9
	return Run{
		Name: "diode-recovers", About: "5 mA forward turned round: the stored charge of 100 ns comes out first",
		Nodes:    []string{"0", "in", "a"},
		Elements: []circuit.Element{in, ohms("r", 1, 2, 1e3), device.NewDiode("d", 2, 0, p)},
		Sources:  map[*device.Voltage]deck.Script{in: script}, Seconds: 3e-6, Step: 1e-9,
		Figures: []Figure{
			{Column: "i_reverse_A", Of: Watch{Source: in}, At: 1.02e-6},
			{Column: "t_off_s", Of: Watch{Node: "a"}, Kind: Falling, Level: -1},
		},
	}
}

func transistorSaturates() Run {
	script := step(5, 0)
	in := driver("in", 1, 0, script)
	return Run{
		Name: "transistor-saturates", About: "a shifter let go out of deep saturation, 100 kΩ at the base, 100 kΩ to 12 V",
		Nodes: []string{"0", "in", "b", "c", "high"},
		Elements: []circuit.Element{
			in, volts("high", 4, 0, 12), ohms("rb", 1, 2, 100e3), ohms("rc", 4, 3, 100e3),
			device.NewBJT("q", 3, 2, 0, smallBJT),
		},
		Sources: map[*device.Voltage]deck.Script{in: script}, Seconds: 40e-6, Step: 10e-9,
		Figures: []Figure{
			{Column: "v_on_V", Of: Watch{Node: "c"}, At: 0.9e-6},
			{Column: "t_6V_s", Of: Watch{Node: "c"}, Kind: Rising, Level: 6},
		},
	}
}

// hotPlug is 16.8 V joined to 10 µF through 1 µH and 50 mΩ. Its peak is known
// in closed form too: V·(1 + e^(−πζ/√(1−ζ²))) = 29.89505 V.
func hotPlug() Run {
	script := step(0, 16.8)
	in := driver("in", 1, 0, script)
	return Run{
		Name: "hot-plug", About: "16.8 V joined to 10 µF through 1 µH and 50 mΩ",
		Nodes: []string{"0", "in", "out"},
		Elements: []circuit.Element{
			in, device.NewWire("lead", 1, 2, 0.05, 1e-6),
			device.NewCapacitor("c", 2, 0, device.CapacitorParams{Farads: 10e-6}),
		},
		Sources: map[*device.Voltage]deck.Script{in: script}, Seconds: 60e-6, Step: 20e-9,
		Figures: []Figure{
			{Column: "v_peak_V", Of: Watch{Node: "out"}, Kind: Highest},
			{Column: "i_lead_A", Of: Watch{Source: in}, At: 5e-6},
		},
	}
}
