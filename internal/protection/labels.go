package protection

import "strings"

// Label is how t reads in a table or sentence: "discharge overcurrent".
func (t Trial) Label() string { return strings.ReplaceAll(string(t), "-", " ") }

// Label is how q reads in a table or sentence: "time to off".
func (q Quantity) Label() string { return strings.ReplaceAll(string(q), "_", " ") }

// Name is how quantity q of trial t reads: "overcharge detect".
func Name(t Trial, q Quantity) string { return t.Label() + " " + q.Label() }
