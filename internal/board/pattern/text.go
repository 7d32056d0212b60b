package pattern

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/catalog"
	"cupel/internal/quantity"
)

// Parse reads the patterns of a text, the content of file. A text is one
// pattern, in one line each:
//
//	# a comment, also behind a line
//	pattern NAME                    names it, first of all
//	role WORDS                      what its parts are
//	block WORDS                     where on the board it belongs
//	signal fault|fine               of a level shifter: what its signal means
//	yields NAME…                    claims of these patterns go before
//	vary a=X; b=Y | a=Z; b=W        alternatives: $a and $b stand for X and Y, or Z and W
//	part V KIND [LOW..HIGH] PINS    a part; PINS are pin=net, or two nets where ends can be exchanged
//	maybe V KIND [LOW..HIGH] PINS   a part that may be missing; its nets are known from others
//	tap NET k|k-1|k+1|top|any|N     the net is that tap; k is the cell of the match
//	pad NET NAME…                   it carries one of these pads
//	label NET WORDS                 it was marked so
//	inner NET                       it carries no pad
//	lone NET                        nothing hangs on it but parts of the match
//	absent KIND|any A B             no other such part joins the two nets
//	cell N                          the cell of the match, where no tap tells
//	mark NET WORDS                  marks it
//	is V [ROLE /] PIECE: TEXT       what the part does; {W} is another part, {k} the cell
//	stimulus V: TEXT                what would show it, where no trial does
//	expect V open|short loses TRIAL | stops DIRECTION | nothing
//
// Several vary lines multiply. All mistakes are in the error, each with file
// and line.
func Parse(file, src string) ([]*Pattern, error) {
	lines := strip(src)
	rows, err := variants(file, lines)
	if err != nil {
		return nil, err
	}
	var out []*Pattern
	var problems []string
	for _, row := range rows {
		r := reader{file: file, p: &Pattern{Variant: row.name}}
		for _, l := range lines {
			r.line(l.number, row.fill(l.text))
		}
		r.end()
		out = append(out, r.p)
		for _, e := range r.errs {
			if !slices.Contains(problems, e) {
				problems = append(problems, e)
			}
		}
	}
	if len(problems) > 0 {
		return nil, fmt.Errorf("%s", strings.Join(problems, "\n"))
	}
	return out, nil
}

// line is a line of a text without its comment.
type line struct {
	number int
	text   string
}

func strip(src string) []line {
	var out []line
	for i, s := range strings.Split(src, "\n") {
		if at := strings.Index(s, "#"); at >= 0 {
			s = s[:at]
		}
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, line{i + 1, s})
		}
	}
	return out
}

// reader reads one variant of a text.
type reader struct {
	file string
	p    *Pattern
	at   int
	errs []string
}

func (r *reader) fail(format string, args ...any) {
	r.errs = append(r.errs, fmt.Sprintf("%s:%d: ", r.file, r.at)+fmt.Sprintf(format, args...))
}

func (r *reader) line(number int, text string) {
	r.at = number
	word, rest, _ := strings.Cut(text, " ")
	rest = strings.TrimSpace(rest)
	args := strings.Fields(rest)
	switch word {
	case "pattern":
		r.p.Name = rest
	case "role":
		r.p.Role = rest
	case "block":
		r.p.Block = rest
	case "signal":
		r.p.Signal = rest
	case "yields":
		r.p.Yields = append(r.p.Yields, args...)
	case "vary":
	case "part", "maybe":
		r.part(args, word == "maybe")
	case "cell":
		r.cell(rest)
	case "mark":
		r.mark(args)
	case "is":
		r.claim(rest)
	case "stimulus":
		r.stimulus(rest)
	case "expect":
		r.expect(args)
	default:
		r.cond(CondKind(word), args)
	}
}

func (r *reader) part(args []string, optional bool) {
	if len(args) < 3 {
		r.fail("a part needs a name, a kind and its pins")
		return
	}
	v := PartVar{Name: args[0], Kind: catalog.Kind(args[1]), High: math.Inf(1), Optional: optional}
	if r.p.part(v.Name) != nil {
		r.fail("part %s is named twice", v.Name)
	}
	if _, ok := catalog.TraitsOf(v.Kind); !ok {
		r.fail("there is no kind of part %q", v.Kind)
	}
	pins := args[2:]
	if low, high, ok := strings.Cut(pins[0], ".."); ok {
		v.Low, v.High = r.bound(v.Kind, low), r.bound(v.Kind, high)
		pins = pins[1:]
	}
	for _, pin := range pins {
		v.Pins = append(v.Pins, r.pin(&v, pin))
	}
	if twoEnded(v.Kind) && len(v.Pins) != 2 {
		r.fail("a %s has two ends", v.Kind)
	}
	r.p.Parts = append(r.p.Parts, v)
}

// bound reads an end of a range of values.
func (r *reader) bound(k catalog.Kind, text string) float64 {
	d := map[catalog.Kind]quantity.Dimension{catalog.Capacitor: quantity.Capacitance, catalog.Inductor: quantity.Inductance}[k]
	if d == quantity.None {
		d = quantity.Resistance
	}
	q, err := quantity.Parse(text, d)
	if err != nil {
		r.fail("%v", err)
		return 0
	}
	return q.Nominal()
}

func (r *reader) pin(v *PartVar, text string) PinVar {
	name, net, named := strings.Cut(text, "=")
	switch {
	case twoEnded(v.Kind) && !named:
		return PinVar{Net: r.net(text)}
	case twoEnded(v.Kind) || !named:
		r.fail("%q: the pins of a %s are %s", text, v.Kind, map[bool]string{true: "two nets", false: "pin=net"}[twoEnded(v.Kind)])
		return PinVar{}
	}
	if t, ok := catalog.TraitsOf(v.Kind); ok && !slices.Contains(t.PinNames(false), name) {
		r.fail("a %s has no pin %q", v.Kind, name)
	}
	return PinVar{name, r.net(net)}
}

// net is the number of a net variable, a new one at its first use.
func (r *reader) net(name string) int {
	if i := slices.Index(r.p.nets, name); i >= 0 {
		return i
	}
	r.p.nets = append(r.p.nets, name)
	return len(r.p.nets) - 1
}

// known is the number of a net variable that some part lies on.
func (r *reader) known(name string) int {
	i := slices.Index(r.p.nets, name)
	if i < 0 {
		r.fail("no part lies on a net %q", name)
		return 0
	}
	return i
}

func (r *reader) cell(text string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		r.fail("cell %q: a cell is a number from 1", text)
	}
	r.p.Cell = n
}

func (r *reader) mark(args []string) {
	if len(args) < 2 {
		r.fail("a mark needs a net and a label")
		return
	}
	r.p.Marks = append(r.p.Marks, Mark{r.known(args[0]), strings.Join(args[1:], " ")})
}

// end looks at the pattern as a whole.
func (r *reader) end() {
	p := r.p
	if p.Name == "" {
		r.fail("the text does not begin with: pattern NAME")
	}
	used := map[int]bool{}
	for _, v := range p.Parts {
		for _, pin := range v.Pins {
			if !v.Optional {
				used[pin.Net] = true
			}
		}
	}
	for i, n := range p.nets {
		if !used[i] {
			r.fail("net %q lies on a part that may be missing alone", n)
		}
	}
	if len(used) == 0 {
		r.fail("the pattern has no part")
	}
}
