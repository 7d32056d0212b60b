package answer

// Marking answers what marks on parts may mean.
type Marking struct {
	Head
	Codes List[MarkedCode] `json:"codes"`
}

// MarkedCode is one mark with all its readings, the likeliest first.
type MarkedCode struct {
	Code         string            `json:"code"`
	Readings     List[MarkReading] `json:"readings"`
	DecideBy     Text              `json:"decide_by"` // null: there is one reading
	Measured     *float64          `json:"measured"`
	MeasuredUnit Text              `json:"measured_unit"`
	Settled      Text              `json:"settled"` // what the measured value decides
}

// MarkReading is one way to read a mark.
type MarkReading struct {
	Value     *float64 `json:"value"`
	Unit      string   `json:"unit"`
	System    string   `json:"system"`
	Low       *float64 `json:"low"` // null: the mark states no tolerance
	High      *float64 `json:"high"`
	Series    Text     `json:"series"` // the smallest series of preferred values that holds it
	Note      Text     `json:"note"`
	Deviation *float64 `json:"deviation_percent"` // of the measured value; null: does not compare
	Agrees    *bool    `json:"agrees"`
	Text      string   `json:"text"` // as a person writes it
}
