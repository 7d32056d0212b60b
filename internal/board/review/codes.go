package review

// The codes. Each example is a change of the sound one-cell board that the
// tests hold: a line replaces that of the same name or is added, "- R1" takes
// the part out.
const (
	// NoParts: the board has no parts.
	NoParts = "R100"

	// PartShorted: all pins of a part are on one net. It does nothing there;
	// mostly a net was written twice or two nets were merged by mistake.
	//
	// Example:
	//  C1: {value: 100 nF, pins: [supply, supply]}
	PartShorted = "R101"

	// TapsJoined: two taps are on one net, or a link or a resistor of milliohms
	// joins them. The cell between them would be shorted.
	//
	// Example:
	//  pads: {B-: bminus, B+: bminus, P+: tap1, P-: pminus}
	TapsJoined = "R102"

	// SupplyAway: the supply pins of a protector or balancer do not reach, through
	// small resistors or a diode, the two taps between which its cells lie.
	//
	// Example:
	//  R1: {value: 330 kΩ, pins: [tap1, supply]}
	SupplyAway = "R103"

	// SupplyReversed: a protector or balancer has vdd on the lower and vss on
	// the upper end of its cell.
	//
	// Example:
	//  U1: {sheet: cell-protector-4v25, pins: {vdd: bminus, vss: supply, cs: sense, do: gate-discharge, co: gate-charge}}
	SupplyReversed = "R104"

	// SenseOrder: a sense input of a stack protector does not reach the tap
	// that its place in the row asks for.
	//
	// Example:
	//  cells: 3
	//  pads: {B-: bminus, T1: tap1, T2: tap2, B+: tap3, P+: tap3, P-: pminus}
	//  R1: {value: 330 Ω, pins: [tap3, supply]}
	//  U1: {sheet: stack-protector-3c-4v25, pins: {vdd: supply, v3: tap3, v2: tap1, v1: tap2, vss: bminus, cs: sense, vm: sense, do: gate-discharge, co: gate-charge, tov: none, tuv: none, toc: none, tr: none, ts: none}}
	SenseOrder = "R105"

	// CellUnwatched: no protector watches a cell.
	//
	// Example:
	//  cells: 2
	//  pads: {B-: bminus, T1: tap1, B+: tap2, P+: tap2, P-: pminus}
	CellUnwatched = "R106"

	// NoPath: no way through switches, shunts, fuses or copper leads from the
	// cells to a port.
	//
	// Example:
	//  Q2: {sheet: nfet-30v-4m, pins: {d: elsewhere, g: gate-charge, s: pminus}}
	NoPath = "R107"

	// NoSwitch: a port hangs on the cells without a switch between.
	//
	// Example:
	//  W1: {sheet: link-copper, pins: [bminus, pminus]}
	NoSwitch = "R108"

	// BanksUnequal: the banks that one current flows through differ in type or
	// number of FETs. It may be meant: a charge port seldom carries the load.
	//
	// Example:
	//  Q1: {sheet: nfet-30v-4m, count: 3, pins: {d: middle, g: gate-discharge, s: bminus}}
	BanksUnequal = "R109"

	// FETReversed: of the FETs between two nets some have drain and source the
	// other way round. Their body diodes conduct where the bank should block.
	//
	// Example:
	//  Q3: {sheet: nfet-30v-4m, pins: {d: bminus, g: gate-discharge, s: middle}}
	FETReversed = "R110"

	// BanksAlike: both banks of a path block the same direction, so that
	// nothing stops the other.
	//
	// Example:
	//  Q2: {sheet: nfet-30v-4m, count: 2, pins: {d: pminus, g: gate-charge, s: middle}}
	//  R4: {value: 1 MΩ, pins: [gate-charge, middle]}
	BanksAlike = "R111"

	// ControlFloating: a pin that must be driven is connected to nothing.
	//
	// Example:
	//  Q1: {sheet: nfet-30v-4m, pins: {d: middle, g: none, s: bminus}}
	ControlFloating = "R112"

	// GateUnheld: nothing but its driver holds the gate of a FET: no resistor
	// leads from it to its source or to any pad. It floats while the driver
	// has no supply.
	//
	// Example:
	//  - R3
	GateUnheld = "R113"

	// DiodeForward: a diode lies forward across one cell or more.
	//
	// Example:
	//  D1: {sheet: zener-15v-350mw, pins: {a: tap1, k: bminus}}
	DiodeForward = "R114"

	// SenseAstray: the pin that judges the current sees nothing of it, because
	// no resistor and no FET leads from it to the path of the current.
	//
	// Example:
	//  R2: {value: 2 kΩ, pins: [supply, sense]}
	SenseAstray = "R115"

	// OutputsCrossed: do drives the gates that block charging, and co those that
	// block discharging.
	//
	// Example:
	//  U1: {sheet: cell-protector-4v25, pins: {vdd: supply, vss: bminus, cs: sense, do: gate-charge, co: gate-discharge}}
	OutputsCrossed = "R116"

	// NoSense: no protector of the board sees the current.
	//
	// Example:
	//  U1: {sheet: cell-protector-4v25, pins: {vdd: supply, vss: bminus, cs: bminus, do: gate-discharge, co: gate-charge}}
	//  R2: {value: 2 kΩ, pins: [pminus, bminus]}
	NoSense = "R117"

	// PadsCrossed: two pads of taps are exchanged.
	//
	// Example:
	//  cells: 3
	//  pads: {B-: bminus, T1: tap2, T2: tap1, B+: tap3, P+: tap3, P-: pminus}
	//  R5: {value: 330 Ω, pins: [tap2, supply2]}
	//  U2: {sheet: cell-protector-4v25, pins: {vdd: supply2, vss: tap1, cs: tap1, do: none, co: none}}
	//  R6: {value: 330 Ω, pins: [tap3, supply3]}
	//  U3: {sheet: cell-protector-4v25, pins: {vdd: supply3, vss: tap2, cs: tap2, do: none, co: none}}
	PadsCrossed = "R118"

	// DiodeIdle: a diode can never pass current, though it stands in the way to a
	// base or a gate: what drives its cathode can only push, or what drives its
	// anode can only pull. Or it lies forward between gate and source of a FET and
	// keeps it off.
	//
	// Example:
	//  Q3: {sheet: pnp-60v-100ma, pins: {e: tap1, b: supply, c: drive}}
	//  R5: {value: 10 kΩ, pins: [drive, far]}
	//  D1: {sheet: diode-75v-small, pins: {k: far, a: base}}
	//  Q4: {sheet: npn-60v-100ma, pins: {b: base, e: bminus, c: gate-discharge}}
	//  R6: {value: 1 MΩ, pins: [base, bminus]}
	DiodeIdle = "R120"

	// CountDiffers: the text has more or fewer parts than were counted on the
	// board before it was stripped. One was forgotten, or stands twice under two
	// references.
	//
	// Example:
	//  counted: {R: 5, C: 1, U: 1, Q: 4}
	CountDiffers = "R119"
)
