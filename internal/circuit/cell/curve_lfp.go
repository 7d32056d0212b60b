package cell

// LFP is the open-circuit voltage of a 1.2 Ah 18650 LFP cell at C/32, by the
// ten breakpoints of the data set of a paper on piecewise models of
// open-circuit voltage, IEEE Trans. Instrum. Meas. 2025.
var LFP Curve = &Table{
	SOC:   []float64{0, .0033, .0117, .0267, .0534, .0885, .2972, .9833, .9950, 1},
	Volts: []float64{2.0102, 2.4177, 2.7405, 2.9299, 3.0872, 3.1942, 3.2772, 3.3511, 3.4180, 3.5981},
	From:  "data set of a paper on piecewise OCV models, IEEE Trans. Instrum. Meas. 2025",
}
