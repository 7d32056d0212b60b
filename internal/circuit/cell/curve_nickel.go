package cell

// HighNickel4200 is the open-circuit voltage of a 4.2 Ah high-nickel 21700 cell
// at C/32: data set of a paper on piecewise models of open-circuit voltage,
// IEEE Trans. Instrum. Meas. 2025, read off its ten breakpoints at tenths of
// charge.
var HighNickel4200 Curve = &Table{
	SOC:   tenths(),
	Volts: []float64{2.5061, 3.3311, 3.4749, 3.5803, 3.6575, 3.7427, 3.8388, 3.9348, 4.0309, 4.0849, 4.1932},
	From:  "data set of a paper on piecewise OCV models, IEEE Trans. Instrum. Meas. 2025",
}

// HighNickel3100 is that of a 3.1 Ah high-nickel 18650 cell, mean of charge and
// discharge at C/20, from an open data set; its first point was taken at 0.2 %.
var HighNickel3100 Curve = &Table{
	SOC:   append([]float64{.002}, tenths()[1:]...),
	Volts: []float64{2.535, 3.2680, 3.4135, 3.5590, 3.6610, 3.7530, 3.8390, 3.9230, 4.0370, 4.0905, 4.1750},
	From:  "an open OCV–SOC data set, 256 points",
}
