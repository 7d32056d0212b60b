package rehearse

import (
	"math/rand/v2"
	"strconv"
	"strings"

	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// mixed is a sample with its references and its order shuffled.
type mixed struct {
	sample *ringout.Sample
	truth  strip.Truth
	given  []string // of each pad, the name that it has in the sample as given
	back   map[string]string
}

// shuffle deals the references of parts anew among those with the same letters,
// and puts parts and pads of the board into another order.
func shuffle(s *ringout.Sample, truth strip.Truth, rng *rand.Rand) mixed {
	x := mixed{sample: &ringout.Sample{Cells: s.Cells}, back: map[string]string{}}
	for _, i := range rng.Perm(len(s.Pads)) {
		if p := s.Pads[i]; p.Part == ringout.NoPart {
			x.sample.AddPad(p)
			x.add(truth, s, i)
		}
	}
	dealt := deal(s, rng)
	for _, k := range rng.Perm(len(s.Parts)) {
		p := s.Parts[k]
		pads := p.Pads
		pins := pinsOf(s, pads, p.Ref)
		p.Ref, p.Pads = dealt[k], nil
		x.sample.AddPart(p, pins)
		for _, i := range pads {
			x.add(truth, s, i)
		}
	}
	return x
}

// add takes down what pad i of the sample as given has become: the one that was
// added last but for those of its part that follow.
func (x *mixed) add(truth strip.Truth, s *ringout.Sample, i int) {
	at := len(x.truth)
	p := &x.sample.Pads[at]
	p.Side, p.At = s.Pads[i].Side, s.Pads[i].At
	x.truth = append(x.truth, truth[i])
	x.given = append(x.given, s.Pads[i].Name)
	x.back[p.Name] = s.Pads[i].Name
}

// deal gives each part the reference of a part with the same letters.
func deal(s *ringout.Sample, rng *rand.Rand) []string {
	out := make([]string, len(s.Parts))
	count := map[string]int{}
	for _, k := range rng.Perm(len(s.Parts)) {
		letters := strings.TrimRight(strings.SplitN(s.Parts[k].Ref, ".", 2)[0], "0123456789")
		count[letters]++
		out[k] = letters + strconv.Itoa(count[letters])
	}
	return out
}

// pinsOf gathers the pins of a part from its pads, whose names end in their
// numbers.
func pinsOf(s *ringout.Sample, pads []int, ref string) []ringout.Pin {
	var out []ringout.Pin
	for _, i := range pads {
		n, err := strconv.Atoi(strings.TrimPrefix(s.Pads[i].Name, ref+"."))
		if err != nil {
			panic("rehearse: pad " + s.Pads[i].Name + " has no number")
		}
		if k := len(out); k > 0 && out[k-1].Name == s.Pads[i].Pin {
			out[k-1].Numbers = append(out[k-1].Numbers, n)
			continue
		}
		out = append(out, ringout.Pin{Name: s.Pads[i].Pin, Numbers: []int{n}})
	}
	return out
}

// named gives entries the names of the sample as given.
func (x *mixed) named(log []ringout.Entry) []ringout.Entry {
	out := make([]ringout.Entry, len(log))
	for i, e := range log {
		e.A = x.back[e.A]
		b := make([]string, len(e.B))
		for k, name := range e.B {
			b[k] = x.back[name]
		}
		e.B = b
		out[i] = e
	}
	return out
}
