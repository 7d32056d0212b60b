package protection

import "strings"

// Label is how t reads in a table or sentence: "discharge overcurrent".
func (t Trial) Label() string { return strings.ReplaceAll(string(t), "-", " ") }

// Label is how q reads in a table or sentence: "time to off".
func (q Quantity) Label() string { return strings.ReplaceAll(string(q), "_", " ") }

// Name is how quantity q of trial t reads: "overcharge detect". A word that
// both end or begin with is said once: "supply current", "temperature cut".
func Name(t Trial, q Quantity) string {
	trial, what := t.Label(), q.Label()
	last := trial[strings.LastIndexByte(trial, ' ')+1:]
	if rest, ok := strings.CutPrefix(what+" ", last+" "); ok {
		return strings.TrimSuffix(trial+" "+rest, " ")
	}
	if last == trial {
		what = strings.TrimSuffix(what, " "+last)
	}
	return trial + " " + what
}
