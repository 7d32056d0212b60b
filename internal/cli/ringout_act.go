package cli

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"cupel/internal/report"
	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
	"cupel/internal/study"
)

// enterKeys are what a person can type. Single letters act at once on a terminal.
const enterKeys = `  c  o           connected, open
  0.4  4k7  >20M  OL  0.6 V    what the meter shows; Enter ends it
  r              ask the same again, with why
  n              put it off
  u  y           undo the last entry, redo
  U3.2           jump to a pad; U3.2 R11.1 to a pair; U3.2 R11.1 c  enters it
  s PAD PAD…     a sweep that gave nothing
  b PAD PAD… c   a probe of the first against the rest bridged, c or o
  i              parts are on the board, or stripped again
  # WORDS        a note on the next entry
  x              swap the leads: red on the second pad, or back
  ?              the keys
  q              the end
`

// act does what a line says and reports whether there is more to come. What it
// says goes to out, a line each.
func (d *seat) act(line string, out io.Writer) bool {
	words := strings.Fields(line)
	if len(words) == 0 {
		return true
	}
	switch words[0] {
	case "q":
		return false
	case "?":
		io.WriteString(out, enterKeys)
	case "r":
		d.show(out)
	case "n":
		d.putOff(out)
	case "u", "y":
		d.back(words, out)
	case "i":
		d.seen.inCircuit = !d.seen.inCircuit
		fmt.Fprintln(out, map[bool]string{true: "in circuit: only open proves something", false: "stripped"}[d.seen.inCircuit])
	case "x":
		d.seen.reversed = !d.seen.reversed
		fmt.Fprintln(out, map[bool]string{true: "red lead on the second pad", false: "red lead on the first pad"}[d.seen.reversed])
	case "#":
		d.seen.note = strings.Join(words[1:], " ")
	case "s", "b":
		d.many(words, out)
	default:
		d.answer(line, words, out)
	}
	return true
}

// show asks the question that stands.
func (d *seat) show(out io.Writer) {
	if d.held != "" {
		fmt.Fprintf(out, "%s – against which pad?\n", d.held)
		return
	}
	if d.asked {
		a := d.ask
		fmt.Fprintf(out, "%s\n", d.wording(a))
		return
	}
	a := study.RingoutNext(d.dossier, d.session)
	io.WriteString(out, report.RingoutNext(a))
}

// showOnce is show, unless the caller asks again anyway.
func (d *seat) showOnce(out io.Writer) {
	if !d.raw {
		d.show(out)
	}
}

// wording is a question on one line.
func (d *seat) wording(a planner.Ask) string {
	pads := d.session.Sample().Pads
	var b []string
	for _, x := range a.B {
		b = append(b, pads[x].Name)
	}
	s := fmt.Sprintf("%s – %s", pads[a.A].Name, strings.Join(b, " "))
	if a.Kind != ringout.Pair {
		s = string(a.Kind) + " " + s
	}
	return s
}

func (d *seat) putOff(out io.Writer) {
	a, ok := d.question()
	if !ok {
		fmt.Fprintln(out, "nothing is left to ask")
		return
	}
	d.session.PutOff(a)
	d.asked, d.held = false, ""
	fmt.Fprintf(out, "put off: %s\n", d.wording(a))
}

// back undoes, or redoes the last undo.
func (d *seat) back(words []string, out io.Writer) {
	n := 0
	log := d.session.Log()
	if len(words) > 1 {
		var err error
		if n, err = strconv.Atoi(words[1]); err != nil {
			fmt.Fprintf(out, "not taken: %q is no number of an entry\n", words[1])
			return
		}
	}
	if words[0] == "y" {
		last := len(log.Entries) - 1
		if last < 0 || log.Entries[last].Kind != ringout.Undo {
			fmt.Fprintln(out, "not taken: the last entry is no undo")
			return
		}
		n = log.Entries[last].Number
	}
	with, err := d.seen.entry(ringout.Entry{}, log)
	e := ringout.Entry{}
	if err == nil {
		e, err = d.session.Undo(n, with, d.keep)
	}
	d.told(e, err, out)
}

// many enters a sweep that gave nothing, or a bridge with its result.
func (d *seat) many(words []string, out io.Writer) {
	kind, result := ringout.Sweep, "o"
	pads := words[1:]
	if words[0] == "b" && len(pads) > 0 {
		kind, result, pads = ringout.Bridge, pads[len(pads)-1], pads[:len(pads)-1]
	}
	r, v, err := ringout.ReadResult(result)
	switch {
	case err != nil:
		fmt.Fprintln(out, "not taken: end a bridge with c or o")
	case len(pads) < 2:
		fmt.Fprintln(out, "not taken: name the first pad, then the others")
	default:
		d.record(ringout.Entry{Kind: kind, A: pads[0], B: pads[1:], Result: r, Value: v}, out)
	}
}

// answer takes a result for the question that stands, or pads to jump to, or both.
func (d *seat) answer(line string, words []string, out io.Writer) {
	if r, v, err := ringout.ReadResult(line); err == nil {
		d.reply(r, v, out)
		return
	}
	words[0] = strings.TrimPrefix(words[0], "/")
	if d.held != "" && len(words) < 3 && d.isPad(words[0]) {
		words = append([]string{d.held}, words...)
	}
	switch {
	case len(words) == 1:
		d.jump(words[0], out)
	case len(words) == 2:
		d.pair(words[0], words[1], out)
	default:
		r, v, err := ringout.ReadResult(strings.Join(words[2:], " "))
		if err != nil {
			fmt.Fprintf(out, "not taken: %v\n", err)
			return
		}
		d.record(ringout.Entry{Kind: ringout.Pair, A: words[0], B: words[1:2], Result: r, Value: v}, out)
	}
}

func (d *seat) isPad(name string) bool {
	_, ok := d.session.Sample().Pad(name)
	return ok
}

func (d *seat) jump(pad string, out io.Writer) {
	if err := d.session.Sample().Known(pad); err != nil {
		fmt.Fprintf(out, "not taken: %v\n", err)
		return
	}
	d.held, d.asked = pad, false
	d.showOnce(out)
}

// pair makes two pads the question.
func (d *seat) pair(a, b string, out io.Writer) {
	s := d.session.Sample()
	for _, p := range []string{a, b} {
		if err := s.Known(p); err != nil {
			fmt.Fprintf(out, "not taken: %v\n", err)
			return
		}
	}
	x, _ := s.Pad(a)
	y, _ := s.Pad(b)
	d.ask, d.asked, d.held = planner.Ask{Kind: ringout.Pair, A: x, B: []int{y}, Because: "asked for"}, true, ""
	d.showOnce(out)
}

// reply answers the question that stands.
func (d *seat) reply(r ringout.Result, v float64, out io.Writer) {
	if d.held != "" {
		fmt.Fprintf(out, "not taken: %s against which pad?\n", d.held)
		return
	}
	a, ok := d.question()
	switch {
	case !ok:
		fmt.Fprintln(out, "not taken: nothing is left to ask; name two pads and the result")
	case a.Kind == ringout.Sweep && r != ringout.Open:
		fmt.Fprintf(out, "not taken: which of them? enter the pair, as %s PAD c\n", d.session.Sample().Pads[a.A].Name)
	default:
		d.record(d.session.Answer(a, r, v), out)
	}
}
