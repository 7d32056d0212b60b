package answer

// Heat answers how warm a board gets and what current it honestly carries.
type Heat struct {
	Head
	Ambient  *float64       `json:"ambient_degC"`
	Current  *float64       `json:"current_A"` // as asked; null: parts stand under the honest current
	Honest   *float64       `json:"honest_current_A"`
	Limit    Text           `json:"limit"` // the first to bind
	Part     Text           `json:"limit_part"`
	LimitAt  *float64       `json:"limit_degC"`
	TripCold *float64       `json:"trip_cold_A"` // a pulse out of rest at cold_degC
	TripHot  *float64       `json:"trip_hot_A"`  // with the parts settled under the honest current
	Cold     *float64       `json:"cold_degC"`
	Hot      *float64       `json:"hot_degC"` // the warmest junction in the path then
	Runaway  *float64       `json:"runaway_current_A"`
	Parts    List[HeatPart] `json:"parts"`

	HonestLow  *float64        `json:"honest_low_A"` // everything unknown at its worst together
	HonestHigh *float64        `json:"honest_high_A"`
	TripLow    *float64        `json:"trip_low_A"`
	TripHigh   *float64        `json:"trip_high_A"`
	TripPart   Text            `json:"trip_part"`
	Limits     List[HeatLimit] `json:"limits"` // the first to bind first
	ShownAt    *float64        `json:"shown_at_A"`
	Settles    bool            `json:"settles"` // losses and temperatures agree under that current
	Holds      bool            `json:"holds"`   // no protection cuts it
	BoardAt    *float64        `json:"board_degC"`
	Settling   *float64        `json:"time_constant_s"`
	Bleeds     List[HeatBleed] `json:"bleeds"`
	Diodes     List[HeatDiode] `json:"diodes"`
	Shorts     List[HeatShort] `json:"shorts"`
	Claims     List[Claim]     `json:"claims"`
	Cautions   List[string]    `json:"cautions"`
	Assumed    List[string]    `json:"assumed"`
	Findings   List[Finding]   `json:"findings"`
}

// HeatPart is a part, a stretch of copper, a wire or a strip in the path.
type HeatPart struct {
	Part        string   `json:"part"`
	Loss        *float64 `json:"loss_W"`
	Temperature *float64 `json:"temperature_degC"`
	Limit       *float64 `json:"limit_degC"`
	Basis       string   `json:"basis"`
	Kind        string   `json:"kind"`
	Current     *float64 `json:"current_A"`
	Newer       *float64 `json:"newer_degC"` // of copper, by the newer fit
	OnChart     *bool    `json:"on_chart"`   // of copper: within what the older fit is said to cover
}

// HeatLimit is one limit with the current at which it alone would bind.
type HeatLimit struct {
	Limit    string   `json:"limit"`
	Part     Text     `json:"part"`
	Current  *float64 `json:"current_A"`
	At       *float64 `json:"limit_degC"`
	Distance *float64 `json:"distance_A"` // beyond the first
	Warmth   bool     `json:"warmth"`     // of a trip: the board's warmth is to blame, not the current
}

// HeatBleed is a bleed resistor with every cell bled at once.
type HeatBleed struct {
	Cell        int      `json:"cell"`
	Part        string   `json:"part"`
	Volts       *float64 `json:"cell_V"`
	Current     *float64 `json:"current_A"`
	Loss        *float64 `json:"loss_W"`
	Temperature *float64 `json:"temperature_degC"`
	Board       *float64 `json:"board_degC"`
	Rating      *float64 `json:"rating_W"`  // up to 70 °C
	Derated     *float64 `json:"derated_W"` // with the board that warm
	Holds       bool     `json:"holds"`
	Note        Text     `json:"note"`
}

// HeatDiode is a bank that is off while current flows through its body diodes.
type HeatDiode struct {
	Bank        string   `json:"bank"`
	After       string   `json:"after"`
	Flow        string   `json:"flow"`
	Carries     bool     `json:"carries"`
	Note        Text     `json:"note"`
	Part        Text     `json:"part"`
	Current     *float64 `json:"current_A"`
	Drop        *float64 `json:"drop_V"`
	Loss        *float64 `json:"loss_W"`
	Channel     *float64 `json:"channel_W"` // of the same FET, turned on
	Temperature *float64 `json:"temperature_degC"`
	Limit       *float64 `json:"limit_degC"`
	Time        *float64 `json:"time_to_limit_s"`
	Most        *float64 `json:"most_A"`
}

// HeatShort is what a short does to the FET that takes most of it.
type HeatShort struct {
	Ohms      *float64 `json:"short_Ohm"`
	Peak      *float64 `json:"peak_A"`
	Time      *float64 `json:"time_s"` // null: not cut while it was watched
	Bank      Text     `json:"bank"`
	Part      Text     `json:"part"`
	Energy    *float64 `json:"energy_J"` // in the bank
	Share     *float64 `json:"share"`
	Start     *float64 `json:"start_degC"`
	Junction  *float64 `json:"peak_degC"`
	Low       *float64 `json:"low_degC"`
	High      *float64 `json:"high_degC"`
	Limit     *float64 `json:"limit_degC"`
	PeakVolts *float64 `json:"peak_V"`
	Rated     *float64 `json:"rated_V"`
	Avalanche *float64 `json:"avalanche_J"` // were the bank to open at once
	Stands    *float64 `json:"avalanche_limit_J"`
}
