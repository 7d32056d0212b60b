package audit

// The codes. A code never changes its meaning. Each example is a change of the
// sound table that the tests hold: a line replaces that of the same figure or
// the same key, or is added; "- x" takes x out.
const (
	// LimitsOutOfOrder: minimum ≤ typical ≤ maximum does not hold.
	//
	// Example:
	//  {protection: balance, quantity: start, stated: 4.17/4.12/4.19 V}
	LimitsOutOfOrder = "A101"

	// SpreadAbsurd: a tolerance so wide that the figure says nothing; mostly a
	// decimal slipped.
	//
	// Example:
	//  {protection: overdischarge, quantity: release, stated: 3.40 V ±0.50 V}
	SpreadAbsurd = "A102"

	// TripBySense: the sense voltage across the stated resistance is another
	// current than the stated trip.
	//
	// Example:
	//  sensed: 3 mΩ
	TripBySense = "A103"

	// SpreadsOfTrip: the sense voltage spreads more than the trip current, but
	// one resistance carries the spread of the one over to the other.
	//
	// Example:
	//  {protection: discharge-overcurrent, quantity: detect, stated: 50 A ±6 A}
	SpreadsOfTrip = "A104"

	// LoosePath: the path's maximum is many times what the trip implies.
	//
	// Example:
	//  {protection: path, quantity: resistance, stated: max 20 mΩ}
	//  - size
	LoosePath = "A105"

	// TooHot: I²R would heat a board of that size above what it stands. An
	// estimate, with its assumption printed.
	//
	// Example:
	//  size: 40 × 35 mm
	TooHot = "A106"

	// ChargerAboveOvercharge: the charger's voltage per cell is above where
	// overcharge may act.
	//
	// Example:
	//  {protection: continuous, quantity: charge_voltage, stated: 21.2 V}
	ChargerAboveOvercharge = "A107"

	// ChargerAgainstFull: the charger's voltage per cell is not that of a full
	// cell.
	//
	// Example:
	//  {protection: continuous, quantity: charge_voltage, stated: 19.5 V}
	//  - protection: balance, quantity: start
	ChargerAgainstFull = "A108"

	// BalanceAboveOvercharge: balancing may start where overcharge has already
	// acted.
	//
	// Example:
	//  {protection: balance, quantity: start, stated: 4.18 V ±0.05 V}
	BalanceAboveOvercharge = "A109"

	// ReleaseNotApart: a protection may release where it acts.
	//
	// Example:
	//  {protection: overcharge, quantity: release, stated: 4.15 V ±0.08 V}
	ReleaseNotApart = "A110"

	// BalanceOutOfReach: the charger's voltage does not bring all cells to
	// where they are balanced.
	//
	// Example:
	//  charge_drop: 0.6 V
	BalanceOutOfReach = "A111"

	// TripAgainstRating: the trip current is too near the continuous current,
	// or too far above it.
	//
	// Example:
	//  {protection: continuous, quantity: current, stated: 15 A, at: 40 °C}
	TripAgainstRating = "A112"

	// BleedCurrent: the balance current is not V ÷ R.
	//
	// Example:
	//  {protection: balance, quantity: current, stated: 42 mA ±6 mA}
	BleedCurrent = "A113"

	// BleedPower: a bleed resistor burns too much of its rating.
	//
	// Example:
	//  bleed_rating: 0.4 W
	BleedPower = "A114"

	// DrainsInStorage: the board's own current empties the cells sooner than
	// the stated time of storage.
	//
	// Example:
	//  {protection: supply-current, quantity: current, stated: max 200 µA}
	DrainsInStorage = "A115"

	// BelowCell: overdischarge may act below what a cell stands.
	//
	// Example:
	//  cell: {highest: 4.30 V, lowest: 2.75 V, discharge: 80 A, charge: 10 A}
	BelowCell = "A116"

	// AboveCell: overcharge may act above what a cell stands.
	//
	// Example:
	//  cell: {highest: 4.26 V, lowest: 2.50 V, discharge: 80 A, charge: 10 A}
	AboveCell = "A117"

	// DelaysOutOfOrder: short < second < first stage < overdischarge <
	// overcharge does not hold.
	//
	// Example:
	//  {protection: load-short, quantity: delay, stated: max 8 ms}
	DelaysOutOfOrder = "A118"

	// MixedChemistry: thresholds of two chemistries, of none, or not of the
	// cells it is sold for.
	//
	// Example:
	//  chemistry: LFP
	MixedChemistry = "A119"

	// MagnitudeOff: a figure that no such board has: the wrong prefix, or the
	// pack's where a cell's is meant.
	//
	// Example:
	//  {protection: supply-current, quantity: current, stated: max 20 mA}
	//  - storage
	MagnitudeOff = "A120"

	// AboveCells: a current that cells or fuse do not stand.
	//
	// Example:
	//  cell: {highest: 4.30 V, lowest: 2.50 V, discharge: 50 A, charge: 10 A}
	AboveCells = "A121"

	// SenseBelowRating: the sense voltage, at its least, is reached by the
	// continuous current.
	//
	// Example:
	//  {protection: continuous, quantity: current, stated: 45 A, at: 40 °C}
	//  - size
	SenseBelowRating = "A122"

	// StagesOutOfOrder: a faster stage acts at no more than a slower one.
	//
	// Example:
	//  {protection: discharge-overcurrent, quantity: detect, stage: 2, stated: 50 A ±10 A}
	StagesOutOfOrder = "A123"

	// CellsDiffer: the table is of another number of cells than the board.
	//
	// Example:
	//  cells: 4
	CellsDiffer = "A124"

	// NothingStated: there is no figure at all.
	NothingStated = "A130"

	// RowsMissing: rows that a table should have.
	//
	// Example:
	//  - protection: load-short, quantity: delay
	RowsMissing = "A131"

	// ReleaseMissing: how a protection comes back.
	//
	// Example:
	//  - release
	ReleaseMissing = "A132"

	// TemperatureMissing: a figure means nothing without the temperature it
	// holds at.
	//
	// Example:
	//  {protection: continuous, quantity: current, stated: 25 A}
	TemperatureMissing = "A133"

	// LimitsMissing: a figure without limits.
	//
	// Example:
	//  {protection: overcharge, quantity: detect, stated: 4.25 V}
	LimitsMissing = "A134"

	// SamplesMissing: how many boards the figures were taken from.
	//
	// Example:
	//  - samples
	SamplesMissing = "A135"

	// CellLimitsMissing: what the cells themselves stand.
	//
	// Example:
	//  - cell
	CellLimitsMissing = "A136"
)
