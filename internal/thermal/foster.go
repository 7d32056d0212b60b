// Package thermal holds networks of thermal resistances and capacities: how far
// a loss warms what it arises in, at once, over time, and at rest.
//
// A network of one heat source is written in one of two forms. A Foster network
// is a sum of stages, as fits to a measured heating curve give it: its nodes lie
// nowhere, so two of them are never put in a row. A Cauer network is a ladder
// from the source to the surroundings: its nodes are places, and two of them in
// a row are one. Each can be turned into the other.
//
// A [Network] of several sources at rest says how each warms each, and where
// losses that depend on temperature settle, if they do.
package thermal

import "math"

// Stage is one stage of a Foster network.
type Stage struct {
	KelvinPerWatt float64
	Seconds       float64 // its time constant
}

// Foster is a network as a sum of stages:
//
//	Z(t) = Σ Rᵢ·(1 − e^(−t/τᵢ))
//
// (JESD51-14, from memory).
type Foster []Stage

// At is the rise a watt after a time of constant loss.
func (f Foster) At(seconds float64) float64 {
	z := 0.0
	for _, s := range f {
		z += s.KelvinPerWatt * -math.Expm1(-seconds/s.Seconds)
	}
	return z
}

// Total is the rise a watt at rest.
func (f Foster) Total() float64 {
	r := 0.0
	for _, s := range f {
		r += s.KelvinPerWatt
	}
	return r
}

// Periodic is the highest rise under a loss that is on for the share duty of
// every period, long after it began.
func (f Foster) Periodic(watts, duty, period float64) float64 {
	rise := 0.0
	for _, s := range f {
		rise += watts * s.KelvinPerWatt * math.Expm1(-duty*period/s.Seconds) / math.Expm1(-period/s.Seconds)
	}
	return rise
}

// Response is what a Foster network makes of a loss that changes with time. The
// zero rise is that of a part as warm as its surroundings.
type Response struct {
	network Foster
	rise    []float64 // of each stage
}

// Respond returns a network at rest without loss.
func (f Foster) Respond() *Response { return &Response{f, make([]float64, len(f))} }

// Step lets a constant loss act for a time and returns the rise at its end. It is
// exact, however long the step.
func (r *Response) Step(watts, seconds float64) float64 {
	for i, s := range r.network {
		keep := math.Exp(-seconds / s.Seconds)
		r.rise[i] = r.rise[i]*keep + watts*s.KelvinPerWatt*(1-keep)
	}
	return r.Rise()
}

// Rise is the rise now.
func (r *Response) Rise() float64 {
	sum := 0.0
	for _, v := range r.rise {
		sum += v
	}
	return sum
}
