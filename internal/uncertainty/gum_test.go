package uncertainty

import (
	"math"
	"testing"
)

// near compares to the last digit of a published or recomputed value.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g ± %.2g", what, got, want, tol)
	}
}

// JCGM 100:2008, H.1: an end gauge of 50 mm. Values in nm.
func TestEndGauge(t *testing.T) {
	const length, alpha, theta = 50000623.0, 11.5e-6, -0.1
	difference := Budget{{"repeats", 5.8, 1, 24}, {"comparator, random", 3.9, 1, 5}, {"comparator, systematic", 6.7, 1, 8}}
	near(t, "u(d)", difference.Combined(), 9.6819, 5e-5)
	near(t, "ν(d)", difference.Freedom(), 25.447, 5e-4)
	b := Budget{
		{"standard", 25, 1, 18},
		{"difference", difference.Combined(), 1, difference.Freedom()},
		{"δα", Rectangular(1e-6), -length * theta, 50},
		{"δθ", Rectangular(0.05), -length * alpha, 2},
	}
	near(t, "δθ", b[3].u(), 16.5990, 5e-5)
	near(t, "δα", b[2].u(), 2.8868, 5e-5)
	near(t, "u(l)", b.Combined(), 31.6639, 5e-5) // the guide prints 32
	near(t, "ν(l)", b.Freedom(), 16.752, 5e-4)
	near(t, "U99", Coverage(0.99, 16)*32, 93.465, 5e-4) // the guide prints 93, from u = 32
	near(t, "U99 of the unrounded", b.Expanded(0.99), 2.9208*31.6639, 5e-3)
}

// JCGM 100:2008, H.2: resistance, reactance, impedance from repeated readings.
func TestImpedance(t *testing.T) {
	v := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	i := []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	f := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	V, uv, _ := Repeated(v)
	I, ui, nu := Repeated(i)
	F, uf, _ := Repeated(f)
	near(t, "V", V, 4.9990, 5e-5)
	near(t, "I", I, 19.6610e-3, 5e-8)
	near(t, "φ", F, 1.04446, 5e-6)
	near(t, "u(V)", uv, 0.003209, 5e-7)
	near(t, "u(I)", ui, 9.471e-6, 5e-10)
	near(t, "u(φ)", uf, 0.000752, 5e-7)
	near(t, "ν", nu, 4, 0)
	r := [3][3]float64{{0, MeanCorrelation(v, i), MeanCorrelation(v, f)}, {0, 0, MeanCorrelation(i, f)}}
	near(t, "r(V,I)", r[0][1], -0.3553, 5e-5)
	near(t, "r(V,φ)", r[0][2], 0.8576, 5e-5)
	near(t, "r(I,φ)", r[1][2], -0.6451, 5e-5)
	of := func(i, j int) float64 { return r[i][j] }
	budget := func(dv, di, df float64) Budget { return Budget{{"V", uv, dv, 4}, {"I", ui, di, 4}, {"φ", uf, df, 4}} }
	cos, sin := math.Cos(F), math.Sin(F)
	near(t, "R", V/I*cos, 127.732, 5e-4)
	near(t, "u(R)", budget(cos/I, -V/(I*I)*cos, -V/I*sin).CombinedCorrelated(of), 0.0711, 5e-5) // the guide prints 0.071
	near(t, "X", V/I*sin, 219.847, 5e-4)
	near(t, "u(X)", budget(sin/I, -V/(I*I)*sin, V/I*cos).CombinedCorrelated(of), 0.2955, 2e-4)
	near(t, "Z", V/I, 254.260, 5e-4)
	// The guide's other way, from each set of readings on its own.
	each := make([]float64, len(v))
	for k := range each {
		each[k] = v[k] / i[k] * math.Cos(f[k])
	}
	_, u, _ := Repeated(each)
	near(t, "u(R) of the sets", u, 0.0713, 5e-5)
	near(t, "u(Z)", budget(1/I, -V/(I*I), 0).CombinedCorrelated(of), 0.2362, 2e-4)
}

// JCGM 100:2008, G.4.1: three relative inputs of known freedom, in percent.
func TestEffectiveFreedom(t *testing.T) {
	b := Budget{{"x1", 0.25, 1, 9}, {"x2", 0.57, 1, 4}, {"x3", 0.82, 1, 14}}
	near(t, "u", b.Combined(), 1.0295, 1e-4)
	near(t, "ν", b.Freedom(), 18.999, 2e-3)
	near(t, "U95", Coverage(0.95, 19)*b.Combined(), 2.1547, 2e-4)
}

// EA-4/02 S3: a standard resistor of 10 kΩ; result 10000.178 Ω, u 8.33 mΩ, of
// which the split is from memory.
func TestStandardResistor(t *testing.T) {
	const rs, ratio = 10000.053, 1.0000105
	b := Budget{
		{"standard", 0.005 / 2, ratio, 0},
		{"drift", Rectangular(0.010), ratio, 0},
		{"temperature of standard", Rectangular(0.00275), ratio, 0},
		{"temperature of unknown", Rectangular(0.0055), -1, 0},
		{"comparison", Triangular(1.0e-6), rs + 0.020, 0},
		{"ratio", 0.07e-6, rs + 0.020, 0},
	}
	near(t, "R", (rs+0.020)*ratio, 10000.178, 5e-4)
	near(t, "u", b.Combined(), 8.328e-3, 2e-6)
	near(t, "U", 2*b.Combined(), 0.0167, 5e-5)
	if f := b.Freedom(); !math.IsInf(f, 1) {
		t.Errorf("limits taken for certain have infinite freedom, got %g", f)
	}
}

// A digital meter read six times; its specification ±(0.025 % + 0.005 % of 10 V).
func TestMeter(t *testing.T) {
	mean, ua, nu := Repeated([]float64{4.2512, 4.2498, 4.2505, 4.2521, 4.2490, 4.2508})
	near(t, "mean", mean, 4.2505667, 5e-8)
	near(t, "uA", ua, 0.0004417, 5e-8)
	b := Budget{{"repeats", ua, 1, nu}, {"meter", Rectangular(0.00025*mean + 0.00005*10), 1, 0}, {"resolution", Resolution(1e-4), 1, 0}}
	near(t, "uB", b[1].U, 0.000902, 5e-7)
	near(t, "resolution", b[2].U, 0.00002887, 5e-9)
	near(t, "u", b.Combined(), 0.0010049, 5e-8)
	near(t, "ν", b.Freedom(), 133.955, 5e-4)
	near(t, "sampling every 0.2 µs, in µs", Resolution(0.2), 0.0577, 5e-5)
	near(t, "U-shaped", UShaped(1), 0.70711, 5e-6)
}

// Student's factors as tables print them; the last rows are normal.
func TestCoverage(t *testing.T) {
	for _, c := range []struct{ p, nu, want float64 }{
		{0.95, 1, 12.7062},
		{0.95, 2, 4.3027},
		{0.95, 3, 3.1824},
		{0.95, 4, 2.7764},
		{0.95, 5, 2.5706},
		{0.95, 9, 2.2622},
		{0.95, 10, 2.2281},
		{0.95, 16, 2.1199},
		{0.95, 20, 2.0860},
		{0.95, 50, 2.0086},
		{0.95, 100, 1.9840},
		{0.99, 16, 2.9208},
		{0.9545, 10, 2.2837},
		{0.9545, 20, 2.1330},
		{0.6827, math.Inf(1), 1.0000},
		{0.90, math.Inf(1), 1.6449},
		{0.95, math.Inf(1), 1.9600},
		{0.9545, math.Inf(1), 2.0000},
		{0.99, math.Inf(1), 2.5758},
		{0.9973, math.Inf(1), 3.0000},
	} {
		near(t, "t", Coverage(c.p, c.nu), c.want, 6e-5)
	}
}
