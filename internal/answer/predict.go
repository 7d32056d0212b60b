package answer

// Predict answers what the board does: every figure the trials found, and the
// stated figures beside it.
type Predict struct {
	Head
	Prediction
}

// Prediction is the body of Predict.
type Prediction struct {
	Samples  int           `json:"samples"` // drawn over tolerances; 0: typical values only
	Seed     int64         `json:"seed"`
	Results  List[Result]  `json:"results"`
	Claims   List[Claim]   `json:"claims"`
	Summary  Summary       `json:"summary"`
	Figures  List[Figure]  `json:"figures"`
	Cautions List[string]  `json:"cautions"`
	Assumed  List[string]  `json:"assumed"`
	Findings List[Finding] `json:"findings"`
	Title    Text          `json:"title"`
	Cells    int           `json:"cells"`
}

// Result is one figure a trial extracted, or how its search ended without one.
type Result struct {
	Trial       string          `json:"trial"`
	Cell        *int            `json:"cell"`
	Tap         *int            `json:"tap"`
	State       Text            `json:"state"`
	Quantity    string          `json:"quantity"`
	Temperature *float64        `json:"temperature_degC"`
	Outcome     string          `json:"outcome"`
	SearchedTo  *float64        `json:"searched_to"`
	Value       *float64        `json:"value"`
	Unit        Text            `json:"unit"`
	Basis       string          `json:"basis"`
	Resolution  *float64        `json:"resolution"`
	Low         *float64        `json:"low"` // worst corners
	High        *float64        `json:"high"`
	Mean        *float64        `json:"mean"` // of the samples
	SD          *float64        `json:"sd"`
	PLow        *float64        `json:"p_low"` // 0.135 %
	PMid        *float64        `json:"p_mid"`
	PHigh       *float64        `json:"p_high"` // 99.865 %
	Confidence  *Confidence     `json:"confidence"`
	Causes      List[Cause]     `json:"causes"`
	Assumed     List[string]    `json:"assumed"`
	Stimulus    Text            `json:"stimulus"`
	OpenMeans   Text            `json:"open_means"`
	Stage       Text            `json:"stage"`
	Step        Text            `json:"step"`
	Port        Text            `json:"port"`
	Word        Text            `json:"word"`
	Conditions  List[Condition] `json:"conditions"`
	SearchUnit  Text            `json:"searched_unit"`
	Note        Text            `json:"note"`
	// Outcomes are the outcomes of the samples, where there are any.
	Outcomes List[OutcomeShare] `json:"outcomes"`
	// RSquared is how much of the variance a line over the parts explains.
	RSquared *float64 `json:"r_squared"`
	// Histogram is of the samples.
	Histogram *Histogram `json:"histogram"`
}

// Histogram counts samples in equal bins from From to To, in the row's unit.
type Histogram struct {
	From   *float64  `json:"from"`
	To     *float64  `json:"to"`
	Counts List[int] `json:"counts"`
}

// OutcomeShare is how many samples ended in an outcome, and the bounds of its
// share among all boards with 95 % confidence (Clopper and Pearson).
type OutcomeShare struct {
	Outcome string   `json:"outcome"`
	Samples int      `json:"samples"`
	Share   *float64 `json:"share"`
	Low     *float64 `json:"share_low"`
	High    *float64 `json:"share_high"`
}

// Confidence holds the order-statistic intervals of the outer percentiles.
type Confidence struct {
	PLow  [2]float64 `json:"p_low"`
	PHigh [2]float64 `json:"p_high"`
}

// Cause is one part's share in the spread of a figure.
type Cause struct {
	Part     Text    `json:"part"`
	Quantity Text    `json:"quantity"`
	Share    float64 `json:"share"`
}

// Condition is one circumstance a figure was found at.
type Condition struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Unit  Text     `json:"unit"`
}

// Claim is one stated figure beside the predicted one.
type Claim struct {
	Name        string    `json:"name"`
	Cell        *int      `json:"cell"`
	Stated      Limits    `json:"stated"`
	Predicted   Predicted `json:"predicted"`
	Unit        Text      `json:"unit"`
	Temperature *float64  `json:"temperature_degC"`
	Rule        Text      `json:"rule"`
	Verdict     string    `json:"verdict"`
	Margin      *float64  `json:"margin"`
	Trial       string    `json:"trial"`
	Quantity    string    `json:"quantity"`
	Kind        Text      `json:"kind"`    // "claim" or "requirement"
	Text        Text      `json:"text"`    // as it was written
	Outcome     Text      `json:"outcome"` // of the search that decided
	Because     Text      `json:"because"` // one sentence
	Note        Text      `json:"note"`
	Place       Text      `json:"place"` // file:line:column
}

// Limits are the stated numbers of a claim.
type Limits struct {
	Min *float64 `json:"min"`
	Typ *float64 `json:"typ"`
	Max *float64 `json:"max"`
}

// Predicted is a claim's predicted range, with the cells at its ends.
type Predicted struct {
	Low      *float64 `json:"low"`
	Typ      *float64 `json:"typ"`
	High     *float64 `json:"high"`
	LowCell  *int     `json:"low_cell"`
	HighCell *int     `json:"high_cell"`
}

// Summary counts the verdicts, and the figures that were computed.
type Summary struct {
	Meets      int `json:"meets"`
	Fails      int `json:"fails"`
	CannotTell int `json:"cannot_tell"`
	NotTested  int `json:"not_tested"`
	Results    int `json:"results"`
	Found      int `json:"found"`
}

// Figure is a waveform by its extremes; the points are in Waveform.
type Figure struct {
	Name   string      `json:"name"`
	Title  Text        `json:"title"`
	End    *float64    `json:"end_s"`
	Lines  List[Line]  `json:"lines"`
	Events List[Event] `json:"events"`
}

// Line is one line of a waveform by its extremes.
type Line struct {
	Name  string   `json:"name"`
	Unit  Text     `json:"unit"`
	First *float64 `json:"first"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	Last  *float64 `json:"last"`
}

// Event is something that was seen to happen during a waveform.
type Event struct {
	Time *float64 `json:"time_s"`
	Part string   `json:"part"`
	What string   `json:"what"`
}
