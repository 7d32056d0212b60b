package answer

// Waveform is the course of one experiment, point by point. It is not part of
// Predict, which would drown in it: pages draw it, and Figure holds its
// extremes.
type Waveform struct {
	Figure
	Times  List[float64]       `json:"times_s"`
	Values List[List[float64]] `json:"values"` // by line, then by time
}
