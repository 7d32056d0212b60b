package deck

import (
	"bufio"
	"fmt"
	"math"

	"cupel/internal/circuit"
)

// Crossing is a scripted edge with the threshold that it goes back to. A deck
// finds when its own waveform crosses the threshold; the crossing and the delay
// together must be the scripted edge, which so is checked and not repeated.
type Crossing struct {
	What              string  // "U101 opens do to vdd"
	Threshold         string  // "cs>V_oc1"; empty: a timer that ran from before, or none
	Edge              float64 // s, as scripted
	Delay             float64 // s, from the crossing to the edge
	Rises             bool
	Plus, Minus       circuit.Node
	Ratio             float64 // of RefPlus − RefMinus
	RefPlus, RefMinus circuit.Node
	Level             float64 // V
	// Control is the element that moves, and Turn which of its moves that way it
	// is, from 1: where logic is emulated the deck finds the edge itself.
	Control string
	Turn    int
	On      bool
}

// slack is how much later than scripted a crossing without a delay may be found.
const slack = 1e-6 // s

// pace prints a source that moves nothing and whose corners, each later after
// the cause by a fiftieth, make the simulator step finely where signals still
// move fast: its own error control alone finds a slow crossing microseconds off.
func (p *Printer) pace(cause float64, a Analysis) {
	t, ok := a.(Transient)
	if !ok {
		return
	}
	const first, growth = 1e-7, 1.02 // s, from corner to corner
	s := Script{{}}
	for after := first; cause+after < t.Seconds; after *= growth {
		s = append(s, Point{cause + after, 1 - s[len(s)-1].Value})
	}
	p.Raw(p.id("V", "pace", ""), "pace", "0", pwl(s))
}

// emulated prints the search for the edge that emulated logic makes, and how much
// later than in Cupel's run that is.
func (c Crossing) emulated(b *bufio.Writer, i int, names *Names) {
	n, way := i+1, "fall"
	if c.On {
		way = "rise"
	}
	fmt.Fprintf(b, "* edge %d: %s at %s s in Cupel's run\n", n, c.What, number(tidy(c.Edge)))
	fmt.Fprintf(b, ".meas tran edge_%d when v(script_%s)=0.5 %s=%d\n", n, names.Element(c.Control), way, c.Turn)
	fmt.Fprintf(b, ".meas tran late_%d param='edge_%d-%s'\n", n, n, number(tidy(c.Edge)))
}

// watch prints the signal of a crossing, zero at its threshold.
func (p *Printer) watch(i int, c Crossing) {
	if c.Threshold == "" {
		return
	}
	name := fmt.Sprintf("watch_%d", i+1)
	p.Raw("B"+name, name, "0", "V="+p.signal(c.Plus, c.Minus, c.RefPlus, c.RefMinus, c.Ratio, c.Level))
}

// signal is what a comparator compares with zero.
func (p *Printer) signal(plus, minus, refPlus, refMinus circuit.Node, ratio, level float64) string {
	s := p.difference(plus, minus)
	if ratio != 0 {
		s += fmt.Sprintf("-%s*(%s)", number(ratio), p.difference(refPlus, refMinus))
	}
	return s + "-(" + number(level) + ")"
}

// difference is Volts, of one node as well.
func (p *Printer) difference(a, b circuit.Node) string {
	if a == b {
		return "0"
	}
	return p.Volts(a, b)
}

// measure prints the search for a crossing, the edge that it makes, and how much
// later than scripted that is.
func (c Crossing) measure(b *bufio.Writer, i int) {
	n := i + 1
	if c.Threshold == "" {
		fmt.Fprintf(b, "* edge %d: %s at %s s; it goes back to no crossing within the deck\n", n, c.What, number(tidy(c.Edge)))
		return
	}
	way := "fall"
	if c.Rises {
		way = "rise"
	}
	until := c.Edge
	if c.Delay < slack {
		until += slack
	}
	fmt.Fprintf(b, "* edge %d: %s at %s s, %s s after %s (%s)\n", n, c.What, number(tidy(c.Edge)), number(tidy(c.Delay)), c.Threshold, way)
	fmt.Fprintf(b, ".meas tran crossing_%d when v(watch_%d)=0 %s=last to=%s\n", n, n, way, number(until))
	fmt.Fprintf(b, ".meas tran edge_%d param='crossing_%d+%s'\n", n, n, number(tidy(c.Delay)))
	fmt.Fprintf(b, ".meas tran late_%d param='edge_%d-%s'\n", n, n, number(tidy(c.Edge)))
}

// tidy rounds a time to a picosecond: differences of times have noise below.
func tidy(seconds float64) float64 { return math.Round(seconds*1e12) / 1e12 }
