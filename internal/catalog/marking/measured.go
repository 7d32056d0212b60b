package marking

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/quantity"
)

// Fit is a reading held against what a meter showed.
type Fit struct {
	Comparable bool    // the meter measured this kind of value
	Agrees     bool    // the difference is within the part's tolerance and the meter's
	Deviation  float64 // (measured − marked) / marked; NaN when it does not compare
}

// What is allowed between mark and meter. The tolerances are those that parts
// so marked usually have; the meter's are those of a common hand-held one with
// its leads (common practice, no source).
const (
	coarse    = 0.05 // of a resistor with two figures
	fine      = 0.01 // of a resistor with three figures
	ceramic   = 0.20 // of a capacitor without tolerance letter
	meter     = 0.01
	leads     = 0.2    // Ω
	clips     = 10e-12 // F
	jumperMax = 0.05   // Ω, under which a link stays
)

// Compare holds a reading against a measured value.
func (r Reading) Compare(measured quantity.Quantity) Fit {
	m, v := measured.Nominal(), r.Value.Typ
	if measured.Dim != r.Value.Dim || math.IsNaN(m) {
		return Fit{Deviation: math.NaN()}
	}
	f := Fit{Comparable: true, Deviation: (m - v) / v}
	if v == 0 {
		f.Deviation = math.NaN()
	}
	low, high := r.limits()
	slack := meter * v
	switch r.Value.Dim {
	case quantity.Resistance:
		slack += leads
		if high < 2*leads { // two wires say nothing of milliohms; trust a bridge
			slack = meter * v
		}
	case quantity.Capacitance:
		slack += clips
	}
	if r.System == Jumper {
		high, slack = jumperMax, leads
	}
	f.Agrees = m >= low-slack && m <= high+slack
	return f
}

// limits are what the mark allows, or what parts so marked usually have.
func (r Reading) limits() (low, high float64) {
	v := r.Value.Typ
	if !math.IsNaN(r.Value.Min) {
		return r.Value.Min, r.Value.Max
	}
	t := coarse
	switch {
	case r.Value.Dim == quantity.Capacitance:
		t = ceramic
	case r.System == FourDigits:
		t = fine
	case r.System == UpsideDown && len(strings.TrimPrefix(r.Note, "as ")) == 4:
		t = fine
	}
	return v * (1 - t), v * (1 + t)
}

// Settle says in words what a measured value decides.
func (m Mark) Settle(measured quantity.Quantity) string {
	var agree []string
	comparable := false
	for _, r := range m.Readings {
		f := r.Compare(measured)
		comparable = comparable || f.Comparable
		if f.Agrees {
			agree = append(agree, fmt.Sprintf("%s (%s)", show(r.Value), r.System))
		}
	}
	switch {
	case !comparable:
		return "the meter measured " + article(measured.Dim) + ", and no reading is one"
	case len(agree) == 1:
		return "the meter agrees with " + agree[0] + " alone"
	case len(agree) > 1:
		return "the meter agrees with " + strings.Join(agree, " and with ")
	}
	return "the meter agrees with no reading: misread, a part of another kind, faulty, or measured with other parts across it" + m.likelier(measured)
}

// likelier says how a part of the measured value would be marked.
func (m Mark) likelier(measured quantity.Quantity) string {
	near := nearest(measured.Nominal())
	if math.IsNaN(near) {
		return ""
	}
	codes := Codes(measured.Dim, near)
	if len(codes) == 0 {
		return ""
	}
	return fmt.Sprintf("; %s would be marked %s", show(quantity.Exact(measured.Dim, near)), strings.Join(codes, " or "))
}

func article(d quantity.Dimension) string { return "a " + d.Name() }
