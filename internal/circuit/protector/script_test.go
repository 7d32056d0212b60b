package protector_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cupel/internal/circuit/protector"
)

var update = flag.Bool("update", false, "rewrite the traces in testdata")

// TestScripts runs every script in testdata. A script is a row of sections,
// each one sentence of the state machines' definition:
//
//	let NAME WORDS…            words for later lines, used as $NAME
//	== SENTENCE                a section begins
//	cell|stack|balancer|secondary WORDS…   the part: figure=value in SI, options
//	show                       its pins, comparators, links, sinks and clamps
//	t=… pin=… pin=…            the time, and the voltages that change at it
//	<tab>…                     the trace, rewritten by -update
//
// v is a single cell's voltage and v1 … those of a stack's cells; vdd follows
// them unless it is given. m is cs, or vm where there is a vm; ts is given as a
// ratio to tr. The first step starts the part, the others advance it, through
// every deadline on the way. Each trace line is time, flags | timers | links
// that conduct beside the output stages | supply current.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) { runScript(t, file) })
	}
}

func runScript(t *testing.T, file string) {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	sections := strings.Split(string(data), "\n== ")
	lets := map[string]string{}
	var rewritten []string
	for i, want := range sections {
		title, _, _ := strings.Cut(want, "\n")
		run := func(t *testing.T) {
			got := trace(t, lets, want, i > 0)
			rewritten = append(rewritten, got)
			if diff := cmp.Diff(want, got); diff != "" && !*update {
				t.Errorf("trace differs (-want +got):\n%s", diff)
			}
		}
		if i == 0 {
			run(t)
			continue
		}
		t.Run(title, run)
	}
	if *update && !t.Failed() {
		if err := os.WriteFile(file, []byte(strings.Join(rewritten, "\n== ")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// trace is a section with its trace made anew.
func trace(t *testing.T, lets map[string]string, section string, titled bool) string {
	var out []string
	var b *bench
	for i, line := range strings.Split(section, "\n") {
		if strings.HasPrefix(line, "\t") {
			continue
		}
		out = append(out, line)
		if titled && i == 0 || line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		words := expand(strings.Fields(line), lets)
		switch kind, rest := words[0], words[1:]; {
		case kind == "let":
			lets[rest[0]] = strings.Join(rest[1:], " ")
		case kind == "show":
			out = append(out, structure(b.m)...)
		case strings.HasPrefix(kind, "t="):
			out = append(out, b.step(t, words)...)
		default:
			m, err := newMachine(t, kind, rest)
			if err != nil {
				t.Fatal(err)
			}
			b = newBench(m)
		}
	}
	return strings.Join(out, "\n")
}

func expand(words []string, lets map[string]string) []string {
	var all []string
	for _, w := range words {
		if name, ok := strings.CutPrefix(w, "$"); ok {
			all = append(all, expand(strings.Fields(lets[name]), lets)...)
		} else {
			all = append(all, w)
		}
	}
	return all
}

func newMachine(t testing.TB, kind string, words []string) (protector.Machine, error) {
	switch kind {
	case "cell":
		var c protector.CellSpec
		fill(t, &c, words)
		return protector.NewCell(c)
	case "stack":
		var c protector.StackSpec
		fill(t, &c, words)
		return protector.NewStack(c)
	case "balancer":
		var c protector.BalancerSpec
		fill(t, &c, words)
		return protector.NewBalancer(c)
	case "secondary":
		var c protector.SecondarySpec
		fill(t, &c, words)
		return protector.NewSecondary(c)
	}
	t.Fatalf("no such part: %s", kind)
	return nil, nil
}

// fill sets the fields of a spec by the names of the definition: V_ov is VOv.
func fill(t testing.TB, spec any, words []string) {
	for _, w := range words {
		name, text, valued := strings.Cut(w, "=")
		v := reflect.ValueOf(spec).Elem()
		for part := range strings.SplitSeq(name, ".") {
			plain := strings.ReplaceAll(part, "_", "")
			v = v.FieldByNameFunc(func(f string) bool { return strings.EqualFold(f, plain) })
			if !v.IsValid() {
				t.Fatalf("no figure %s in %T", name, spec)
			}
		}
		switch {
		case v.Kind() == reflect.Bool:
			v.SetBool(!valued || text == "true")
		case v.Kind() == reflect.Uint8:
			option, ok := options[w]
			if !ok {
				t.Fatalf("no option %s", w)
			}
			v.SetUint(uint64(option))
		case v.Kind() == reflect.Int:
			v.SetInt(int64(number(t, text)))
		default:
			v.SetFloat(number(t, text))
		}
	}
}

var options = map[string]uint8{
	"ov_release=charger-gone": uint8(protector.OvChargerGone), "ov_release=voltage": uint8(protector.OvVoltage),
	"oc_release=load_off": uint8(protector.OcLoadOff), "oc_release=retry": uint8(protector.OcRetry), "oc_release=charger": uint8(protector.OcChargerOn),
	"brownout=high-z": uint8(protector.BrownoutHighZ), "brownout=low": uint8(protector.BrownoutLow), "brownout=hold": uint8(protector.BrownoutHold),
	"start=normal": uint8(protector.StartNormal), "start=needs-charger": uint8(protector.StartNeedsCharger),
	"zero_volt=inhibit": uint8(protector.ZeroVoltInhibit), "zero_volt=allow": uint8(protector.ZeroVoltAllow),
	"co_low=cs": uint8(protector.CoLowCs), "co_low=vss": uint8(protector.CoLowVss), "co_low=open-drain": uint8(protector.CoLowOpenDrain),
	"timer=reset": uint8(protector.TimerReset), "timer=decay": uint8(protector.TimerDecay),
	"ctl=pulled": uint8(protector.CtlPulled), "ctl=open": uint8(protector.CtlOpen),
}

func number(t testing.TB, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// bench holds a machine at pin voltages.
type bench struct {
	m       protector.Machine
	s       protector.State
	volts   []float64
	set     map[string]float64
	load    string // the pin that m is about
	truth   protector.Truth
	links   []bool
	sinks   []float64
	started bool
}

func newBench(m protector.Machine) *bench {
	load := "cs"
	if slices.Contains(m.Pins(), "vm") {
		load = "vm"
	}
	return &bench{
		m: m, set: map[string]float64{}, load: load,
		volts: make([]float64, len(m.Pins())),
		truth: make(protector.Truth, len(m.Comparators())),
		links: make([]bool, len(m.Links())),
		sinks: make([]float64, len(m.Sinks())),
	}
}

// step goes through every deadline up to the step's time, then applies the
// step.
func (b *bench) step(t *testing.T, words []string) (lines []string) {
	now := number(t, strings.TrimPrefix(words[0], "t="))
	for b.started {
		due := b.s.Deadline(b.m.Timers())
		if due > now {
			break
		}
		b.look()
		b.m.Advance(&b.s, due, b.truth)
		lines = append(lines, b.line(due))
		if next := b.s.Deadline(b.m.Timers()); next <= due {
			t.Fatalf("deadline %g stands after it was served:\n%s", next, strings.Join(lines, "\n"))
		}
	}
	for _, w := range words[1:] {
		name, text, _ := strings.Cut(w, "=")
		b.set[name] = number(t, text)
	}
	b.look()
	if !b.started {
		b.m.Start(&b.s, now, b.truth)
		b.started = true
	}
	b.m.Advance(&b.s, now, b.truth)
	return append(lines, b.line(now))
}

// look works out what the comparators see.
func (b *bench) look() {
	taps := map[string]float64{}
	sum := b.set["v"]
	for k := 1; k <= protector.MaxCells; k++ {
		pin := fmt.Sprint("v", k)
		sum += b.set[pin]
		taps[pin] = sum
	}
	for i, pin := range b.m.Pins() {
		v, ok := b.set[pin]
		tap, isTap := taps[pin]
		switch {
		case isTap:
			v = tap
		case pin == "vdd" && !ok:
			v = sum
		case (pin == "vm" || pin == "cs") && !ok && b.load == pin:
			v = b.set["m"]
		case pin == "tr":
			v = b.ratioed(1)
		case pin == "ts":
			v = b.ratioed(v)
		}
		b.volts[i] = v
	}
	protector.Evaluate(b.m.Comparators(), b.volts, b.truth)
}

// ratioed is a voltage as a part of tr's, which is 0 while tr is off.
func (b *bench) ratioed(r float64) float64 {
	for i, l := range b.m.Links() {
		if l.Name == "tr on" && b.links[i] {
			return r
		}
	}
	return 0
}

// skipped are links that flags show, or that always conduct.
var skipped = regexp.MustCompile(`^(do|co|out) to | held$| pull$`)

// line is the full state at a time.
func (b *bench) line(t float64) string {
	b.m.Outputs(&b.s, b.links, b.sinks)
	text := fmt.Sprintf("\t%.10g: %s", t, protector.Describe(b.m, &b.s))
	var closed []string
	for i, l := range b.m.Links() {
		if b.links[i] && !skipped.MatchString(l.Name) {
			closed = append(closed, l.Name)
		}
	}
	if len(closed) > 0 {
		text += " | " + strings.Join(closed, ", ")
	}
	for i, s := range b.m.Sinks() {
		if s.Name == "supply" || math.Abs(b.sinks[i]) > 0 {
			text += fmt.Sprintf(" | %s %g", s.Name, b.sinks[i])
		}
	}
	return text
}

// structure lists what a machine shows to its caller.
func structure(m protector.Machine) []string {
	pins := m.Pins()
	lines := []string{"\tpins " + strings.Join(pins, " ")}
	for _, c := range m.Comparators() {
		text := fmt.Sprintf("\tcomparator %s: %s-%s", c.Name, pins[c.Plus], pins[c.Minus])
		if c.Ratio != 0 {
			text += fmt.Sprintf(" - %g·(%s-%s)", c.Ratio, pins[c.RefPlus], pins[c.RefMinus])
		}
		lines = append(lines, text+fmt.Sprintf(" > %.4g", c.Level))
	}
	for _, l := range m.Links() {
		lines = append(lines, fmt.Sprintf("\tlink %s: %s-%s %g", l.Name, pins[l.From], pins[l.To], l.Ohms))
	}
	for _, s := range m.Sinks() {
		lines = append(lines, fmt.Sprintf("\tsink %s: %s-%s", s.Name, pins[s.From], pins[s.To]))
	}
	for _, c := range m.Clamps() {
		lines = append(lines, fmt.Sprintf("\tclamp %s: %s-%s %g", c.Name, pins[c.Anode], pins[c.Cathode], c.Breakdown))
	}
	return lines
}
