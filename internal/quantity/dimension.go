package quantity

// dimension is what is known of a Dimension: one row of the table below.
type dimension struct {
	name    string // as messages use it: "expected a voltage"
	symbol  string // SI, "1" without unit
	example string
	units   []unit
	bare    bool   // a number without unit is accepted
	letters string // prefixes that stand for the unit, as in 4k7
	mega    bool   // M is mega here, and nobody means milli
	signed  bool   // may be below zero
}

// unit is one unit that people write, with all its spellings. The first
// spelling is the one that is printed.
type unit struct {
	names    []string
	exp      int   // 10^exp of the SI unit …
	factor   int64 // … times factor, 1 when 0
	celsius  bool  // counted from 273.15 K
	prefixed bool  // takes a prefix: mV, kV
	loose    bool  // too weak to tell the dimension by itself
}

// table holds the units of every dimension, and no other place does.
var table = [...]dimension{
	None: {name: "number", symbol: "1", example: "5", bare: true, signed: true},
	Voltage: {name: "voltage", symbol: "V", example: "4.25 V", signed: true, units: []unit{
		{names: []string{"V", "volt", "volts"}, prefixed: true},
	}},
	Current: {name: "current", symbol: "A", example: "20 A", signed: true, units: []unit{
		{names: []string{"A", "amp", "amps", "ampere", "amperes"}, prefixed: true},
	}},
	Resistance: {name: "resistance", symbol: "Ω", example: "4.7 kΩ", bare: true, letters: "mkKMG", mega: true, units: []unit{
		{names: []string{"Ω", "\u2126", "R", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS"}, prefixed: true},
	}},
	Capacitance: {name: "capacitance", symbol: "F", example: "100 nF", letters: "pnuµμ", units: []unit{
		{names: []string{"F", "farad", "farads"}, prefixed: true},
	}},
	Inductance: {name: "inductance", symbol: "H", example: "10 µH", letters: "nuµμm", units: []unit{
		{names: []string{"H", "henry", "henries"}, prefixed: true},
	}},
	Time: {name: "time", symbol: "s", example: "1.5 s", units: []unit{
		{names: []string{"s", "sec", "second", "seconds"}, prefixed: true},
		{names: []string{"min", "minute", "minutes"}, factor: 60},
		{names: []string{"h", "hour", "hours"}, factor: 3600},
		{names: []string{"d", "day", "days"}, factor: 86400},
		{names: []string{"month", "months"}, factor: 2629800}, // a twelfth of 365.25 days
		{names: []string{"year", "years"}, factor: 31557600},
	}},
	Temperature: {name: "temperature", symbol: "K", example: "25 °C", signed: true, units: []unit{
		{names: []string{"°C", "ºC", "\u2103", "degC"}, celsius: true},
		{names: []string{"C"}, celsius: true, loose: true},
		{names: []string{"K"}, loose: true},
	}},
	Power: {name: "power", symbol: "W", example: "1 W", signed: true, units: []unit{
		{names: []string{"W", "watt", "watts"}, prefixed: true},
	}},
	Energy: {name: "energy", symbol: "J", example: "36 J", signed: true, units: []unit{
		{names: []string{"J", "joule", "joules"}, prefixed: true},
		{names: []string{"W·h", "W⋅h", "W*h", "Wh"}, factor: 3600, prefixed: true},
	}},
	Frequency: {name: "frequency", symbol: "Hz", example: "1 kHz", mega: true, units: []unit{
		{names: []string{"Hz", "hertz"}, prefixed: true},
	}},
	Charge: {name: "charge", symbol: "C", example: "2.5 A·h", signed: true, units: []unit{
		{names: []string{"C", "coulomb", "coulombs"}, prefixed: true},
		{names: []string{"A·h", "A⋅h", "A*h", "Ah"}, factor: 3600, prefixed: true},
	}},
	Length: {name: "length", symbol: "m", example: "35 µm", units: []unit{
		{names: []string{"m", "metre", "metres", "meter", "meters"}, prefixed: true},
		{names: []string{"cm"}, exp: -2},
	}},
	Area: {name: "area", symbol: "m²", example: "2.5 mm²", units: []unit{
		{names: []string{"m²", "m^2", "m2"}},
		{names: []string{"cm²", "cm^2", "cm2"}, exp: -4},
		{names: []string{"mm²", "mm^2", "mm2"}, exp: -6},
		{names: []string{"µm²", "μm²", "um²", "um^2", "um2"}, exp: -12},
	}},
	Ratio: {name: "ratio", symbol: "1", example: "33 %", bare: true, signed: true, units: []unit{
		{names: []string{"%"}, exp: -2},
		{names: []string{"‰"}, exp: -3},
		{names: []string{"ppm"}, exp: -6},
	}},
	ThermalResistance: {name: "thermal resistance", symbol: "K/W", example: "40 K/W", units: []unit{
		{names: []string{"K/W", "°C/W", "ºC/W", "\u2103/W", "C/W"}},
		{names: []string{"mK/W"}, exp: -3},
	}},
	TempcoRelative: {name: "relative temperature coefficient", symbol: "1/K", example: "50 ppm/K", signed: true, units: []unit{
		{names: []string{"/K", "/°C", "/ºC"}},
		{names: []string{"%/K", "%/°C", "%/ºC"}, exp: -2},
		{names: []string{"ppm/K", "ppm/°C", "ppm/ºC"}, exp: -6},
	}},
	TempcoVoltage: {name: "temperature coefficient of a voltage", symbol: "V/K", example: "−2 mV/K", signed: true, units: []unit{
		{names: []string{"V/K", "V/°C", "V/ºC"}, prefixed: true},
	}},
	TemperatureDifference: {name: "temperature difference", symbol: "K", example: "10 K", signed: true, units: []unit{
		{names: []string{"K"}},
		{names: []string{"°C", "ºC", "\u2103", "degC"}, loose: true},
	}},
}

// row is the table's row of d; an unknown dimension is None.
func (d Dimension) row() *dimension {
	if d < 0 || int(d) >= len(table) {
		d = None
	}
	return &table[d]
}

// Unit is the symbol of the dimension's SI unit, "1" where it has none.
func (d Dimension) Unit() string { return d.row().symbol }

// Name is what the dimension is called: "voltage".
func (d Dimension) Name() string { return d.row().name }

func (d Dimension) String() string { return d.Name() }
