package protector_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"cupel/internal/circuit/protector"
)

// parts are machines that between them use every option.
var parts = []string{
	"cell V_ov=4.25 V_ovr=4.10 t_ov=1 t_ovr=0.002 V_uv=2.5 V_uvr=3.0 t_uv=0.1 t_uvr=0.002 V_chd=-0.12 uv_auto ov_load V_oc1=0.1 t_oc1=0.01 V_oc2=0.2 t_oc2=0.002 V_sc=0.5 t_sc=0.00025 V_coc=0.1 t_coc=0.01 V_min=1.2 h=0.1 t_bo=2e-6 t_start=0.001 R_oh=3000 R_ol=3000 I=3e-6 R_vms=50e3",
	"cell V_ov=4.25 V_ovr=4.10 t_ov=1 V_uv=2.5 t_uv=0.1 V_chd=-0.12 power_down t_pd=0.01 t_wake=0.001 start=needs-charger V_oc1=0.1 t_oc1=0.01 V_sc=0.5 oc_release=charger V_min=1.2 brownout=low V_0=0.9 V_0cha=1.2 zero_volt=allow R_oh=3000 R_ol=3000 R_vmd=300e3 timer=decay",
	"cell V_uv=2.5 V_uvr=3.0 uv_auto uv_load_off V_oc1=0.1 t_oc1=0.01 V_sc=0.5 t_sc=0.00025 oc_release=retry t_retry=0.1 oc_off_in_ov V_min=1.2 brownout=hold V_0=0.9 zero_volt=inhibit R_oh=3000 R_ol=3000 timer=decay",
	"cell V_oc1=0.1 t_oc1=0.01 V_ocr=-1 ocr_ratio=1 t_ocr=0.001 R_oh=3000 R_ol=3000",
	"stack cells=3 V_ov=4.25 V_ovr=4.10 t_ovr=0.002 V_uv=2.5 V_uvr=3.0 t_uvr=0.002 V_chd=-0.12 K_ov=1e7 C_tov=1e-7 K_uv=1e6 C_tuv=1e-7 K_oc1=1e5 C_toc=1e-7 uv_auto ov_load power_down V_oc1=0.1 V_sc=0.5 t_sc=0.0003 V_vmr=0.5 t_ocr=0.001 V_coc=0.1 t_coc=0.01 V_min=3 h=0.1 t_bo=2e-6 t_start=0.001 R_oh=3000 R_ol=3000 CC=0.73 CC_r=0.7 CH=0.33 CH_r=0.36 DH=0.205 DH_r=0.23 T_sample=0.05 ctl=pulled t_ctl=0.001 I_s=3e-7 I_ow=1e-4 T_ow=0.1 V_ow=1 bal.V_bal=4.18 bal.V_balr=4.15 bal.t_bal=0.1 bal.t_balr=0.05 bal.sense=0.03 R_bal=20 timer=decay",
	"balancer V_bal=4.18 V_balr=4.15 t_bal=0.1 t_balr=0.05 sense=0.02 on_charge V_chd=-0.1 V_min=1.2 R_oh=3000 R_ol=3000",
	"secondary cells=3 V_ov=4.4 V_ovr=4.1 t_ov=4 t_ovr=0.1 V_min=3 R_oh=3000 R_ol=3000 timer=decay",
}

// make builds one of parts, or any other part.
func build(t testing.TB, part string) protector.Machine {
	words := strings.Fields(part)
	m, err := newMachine(t, words[0], words[1:])
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// drawVolts draws pin voltages around every threshold of parts.
func drawVolts(rt *rapid.T, b *bench) {
	cell := rapid.SampledFrom([]float64{0, 0.5, 1.1, 1.25, 2.4, 2.7, 3.1, 3.7, 4.12, 4.16, 4.2, 4.3, 4.5})
	small := rapid.SampledFrom([]float64{-1.5, -0.2, -0.11, -0.05, 0, 0.05, 0.095, 0.15, 0.3, 0.6, 2.4, 3.7, 11})
	for _, pin := range b.m.Pins() {
		switch {
		case pin == "vdd" && len(b.m.Pins()) < 6:
			b.set["v"] = cell.Draw(rt, "v")
		case pin[0] == 'v' && pin[1] >= '1' && pin[1] <= '9':
			b.set[pin] = cell.Draw(rt, pin)
		case pin == "cs", pin == "vm":
			b.set[pin] = small.Draw(rt, pin)
		case pin == "ts":
			b.set[pin] = rapid.Float64Range(0, 1).Draw(rt, pin)
		case strings.HasPrefix(pin, "ctl"):
			b.set[pin] = rapid.SampledFrom([]float64{0, 11}).Draw(rt, pin)
		}
	}
}

// drawTime goes to a deadline, stays, or goes somewhere before the deadline.
func drawTime(rt *rapid.T, b *bench, now float64) float64 {
	due := b.s.Deadline(b.m.Timers())
	next := now + rapid.SampledFrom([]float64{0, 0, 1e-8, 1e-6, 1e-4, 1e-3, 0.02, 0.3, 2}).Draw(rt, "dt")
	if rapid.Bool().Draw(rt, "to the deadline") && !math.IsInf(due, 1) {
		return due
	}
	return math.Min(due, next)
}

// TestAdvanceProperties checks on random histories, in which every deadline is
// served, that an Advance leaves nothing due, that a second one at the same
// time and truth changes nothing, that a copy of the state rewinds the machine,
// and that no output has both its switches closed.
func TestAdvanceProperties(t *testing.T) {
	for _, part := range parts {
		t.Run(strings.Fields(part)[0], func(t *testing.T) {
			m := build(t, part)
			rapid.Check(t, func(rt *rapid.T) { checkHistory(rt, m) })
		})
	}
}

func checkHistory(rt *rapid.T, m protector.Machine) {
	b := newBench(m)
	drawVolts(rt, b)
	b.look()
	b.m.Start(&b.s, 0, b.truth)
	now := 0.0
	for range rapid.IntRange(1, 40).Draw(rt, "steps") {
		now = drawTime(rt, b, now)
		if rapid.Bool().Draw(rt, "move") {
			drawVolts(rt, b)
		}
		b.look()
		before := b.s
		m.Advance(&b.s, now, b.truth)
		after := b.s
		if due := b.s.Deadline(m.Timers()); due <= now || math.IsNaN(due) {
			rt.Fatalf("at %g a timer stands at %g: %s", now, due, protector.Describe(m, &b.s))
		}
		m.Advance(&b.s, now, b.truth)
		if b.s != after {
			rt.Fatalf("at %g twice:\n%s\n%s", now, protector.Describe(m, &after), protector.Describe(m, &b.s))
		}
		again := before
		m.Advance(&again, now, b.truth)
		if again != after {
			rt.Fatalf("rewound at %g:\n%s\n%s", now, protector.Describe(m, &after), protector.Describe(m, &again))
		}
		checkOutputs(rt, b, now)
	}
}

func checkOutputs(rt *rapid.T, b *bench, now float64) {
	b.line(now) // as a script looks at it
	on := map[protector.Pin]string{}
	for i, l := range b.m.Links() {
		if !b.links[i] || !strings.Contains(l.Name, " to ") {
			continue
		}
		if other, ok := on[l.From]; ok {
			rt.Fatalf("at %g both %q and %q conduct", now, other, l.Name)
		}
		on[l.From] = l.Name
	}
}

// TestAgainstHistory checks the overcharge latch against a dumb reading of its
// row: look back over the whole history at each instant.
func TestAgainstHistory(t *testing.T) {
	const vov, vovr, tov, tovr = 4.25, 4.1, 1.0, 0.25
	m := build(t, "cell V_ov=4.25 V_ovr=4.1 t_ov=1 t_ovr=0.25 R_oh=1 R_ol=1")
	flag := protector.FlagIndex(m, "OV")
	rapid.Check(t, func(rt *rapid.T) {
		b := newBench(m)
		b.set["v"] = 3.7
		b.step(nil, []string{"t=0"})
		since, want := 0.0, false // of the condition that would change the flag
		holding := false
		for i := range rapid.IntRange(1, 30).Draw(rt, "steps") {
			now := float64(i+1) / 8
			if want != holdingFor(b.set["v"], want, vov, vovr, &holding, &since, now, tov, tovr) {
				want = !want
				holding = false
				holdingFor(b.set["v"], want, vov, vovr, &holding, &since, now, tov, tovr)
			}
			b.step(nil, []string{fmt.Sprint("t=", now)})
			b.set["v"] = rapid.SampledFrom([]float64{4.0, 4.2, 4.3}).Draw(rt, "v")
			holdingFor(b.set["v"], want, vov, vovr, &holding, &since, now, tov, tovr)
			b.step(nil, []string{fmt.Sprint("t=", now)})
			if got := b.s.Has(flag); got != want {
				rt.Fatalf("at %g OV is %v, want %v", now, got, want)
			}
		}
	})
}

// holdingFor follows one condition: it returns the flag as it is at now.
func holdingFor(v float64, set bool, vov, vovr float64, holding *bool, since *float64, now, tov, tovr float64) bool {
	cond, delay := v > vov, tov
	if set {
		cond, delay = v < vovr, tovr
	}
	if !cond {
		*holding = false
		return set
	}
	if !*holding {
		*holding, *since = true, now
	}
	return set != (now-*since >= delay)
}

// TestDueIsExact: a timer ends at its edge plus its delay, to the last bit.
func TestDueIsExact(t *testing.T) {
	m := build(t, "cell V_ov=4.25 V_ovr=4.1 t_ov=0.7 R_oh=1 R_ol=1")
	b := newBench(m)
	b.step(t, []string{"t=0", "v=3.7"})
	edge := 1.0 / 3
	b.set["v"] = 4.3
	b.look()
	m.Advance(&b.s, edge, b.truth)
	if got, want := b.s.Deadline(m.Timers()), edge+0.7; got != want {
		t.Errorf("due %v, want %v", got, want)
	}
}

// TestLapseAtTheDeadline: a condition that lapses at the very instant its delay
// ends has not held.
func TestLapseAtTheDeadline(t *testing.T) {
	m := build(t, "cell V_ov=4.25 V_ovr=4.1 t_ov=1 R_oh=1 R_ol=1")
	b := newBench(m)
	b.step(t, []string{"t=0", "v=3.7"})
	b.step(t, []string{"t=1", "v=4.3"})
	b.set["v"] = 4.2
	b.look()
	m.Advance(&b.s, 2, b.truth)
	if got := protector.Describe(m, &b.s); got != "do-high co-high" {
		t.Errorf("at the deadline: %s", got)
	}
}

// TestEdgesOfOneInstant: the same edges handed over one by one at one time, or
// together, come to the same.
func TestEdgesOfOneInstant(t *testing.T) {
	m := build(t, parts[0])
	together, oneByOne := newBench(m), newBench(m)
	for _, b := range []*bench{together, oneByOne} {
		b.step(t, []string{"t=0", "v=3.7", "m=0"})
	}
	together.step(t, []string{"t=1", "v=2.4", "m=0.6"})
	oneByOne.step(t, []string{"t=1", "m=0.6"})
	oneByOne.step(t, []string{"t=1", "v=2.4"})
	if together.s != oneByOne.s {
		t.Errorf("together %s\none by one %s", protector.Describe(m, &together.s), protector.Describe(m, &oneByOne.s))
	}
}

func TestNoAllocation(t *testing.T) {
	for _, part := range parts {
		m := build(t, part)
		b := newBench(m)
		b.set["v"], b.set["v1"], b.set["v2"], b.set["v3"] = 4.3, 4.3, 2.4, 3.7
		b.look()
		m.Start(&b.s, 0, b.truth)
		now := 0.0
		allocs := testing.AllocsPerRun(100, func() {
			now += 1e-3
			for i := range b.truth {
				b.truth[i] = b.volts[0] > float64(i)
			}
			protector.Evaluate(m.Comparators(), b.volts, b.truth)
			m.Advance(&b.s, now, b.truth)
			m.Outputs(&b.s, b.links, b.sinks)
		})
		if allocs != 0 {
			t.Errorf("%.20s…: %g allocations a step", part, allocs)
		}
	}
}

// TestRoom: the largest stack protector fits a State.
func TestRoom(t *testing.T) {
	m := build(t, "stack cells=24 V_ov=4.25 V_ovr=4.1 V_uv=2.5 V_uvr=3 uv_auto R_oh=1 R_ol=1 timer=decay")
	if n := m.Timers(); n > protector.MaxTimers {
		t.Errorf("%d timers, room for %d", n, protector.MaxTimers)
	}
	if n := len(m.Flags()) + m.Timers(); n > protector.MaxFlags {
		t.Errorf("%d flags with those of timers that run back, room for %d", n, protector.MaxFlags)
	}
}

var specErrors = []struct{ part, want string }{
	// Each problem of a single cell, several at once.
	{"cell V_ov=4.25 V_ovr=4.3 R_oh=1 R_ol=1", "cell protector: V_ovr 4.3 V is not below V_ov 4.25 V"},
	{"cell V_ov=4.25 R_oh=1", "cell protector: R_ol is 0: give the resistance of the output to its low rail; V_ovr is not given: an overcharge could never end"},
	{"cell V_uv=4.3 V_ov=4.25 V_ovr=4.1 V_chd=-0.1 R_oh=1 R_ol=1", "cell protector: V_ov 4.25 V is not above V_uv 4.3 V"},
	{"cell V_uv=2.5 R_oh=1 R_ol=1", "cell protector: an overdischarge could never end: give V_chd or uv_auto"},
	{"cell V_uv=2.5 V_uvr=2.4 uv_auto R_oh=1 R_ol=1", "cell protector: V_uvr 2.4 V is not above V_uv 2.5 V"},
	{"cell V_oc1=0.1 V_sc=0.05 t_ocr=1 R_oh=1 R_ol=1", "cell protector: V_sc 0.05 V is not above V_oc1 0.1 V"},
	{"cell V_oc1=0.1 V_ocr=0.11 R_oh=1 R_ol=1", "cell protector: V_ocr 0.11 V is not below the lowest overcurrent stage, 0.1 V"},
	{"cell V_oc1=0.1 V_ocr=-1 ocr_ratio=1 R_oh=1 R_ol=1", "cell protector: t_ocr and a stage's delay are both 0: where both conditions hold the part would switch infinitely often"},
	{"cell V_oc1=0.1 oc_release=retry R_oh=1 R_ol=1", "cell protector: t_retry is 0: a retry needs a time"},
	{"cell V_oc1=0.1 oc_release=charger R_oh=1 R_ol=1", "cell protector: an overcurrent could never end: its release needs V_chd"},
	{"cell V_chd=0.1 t_ov=-1 R_oh=1 R_ol=1", "cell protector: t_ov is -1: it cannot be negative; V_chd is 0.1 V: a charger pulls cs below vss, so it must be negative"},
	{"cell power_down start=needs-charger R_oh=1 R_ol=1", "cell protector: power_down needs V_uv: only an overdischarge powers down"},
	{"cell start=needs-charger zero_volt=allow R_oh=1 R_ol=1", "cell protector: a start that needs a charger needs power_down; V_0 is not given, but a dead cell is to be treated; V_0cha is not given: charging a dead cell needs the least charger voltage"},
	{"cell V_min=2.45 h=0.1 V_uv=2.5 V_chd=-1 R_oh=1 R_ol=1", "cell protector: V_min 2.45 V plus its hysteresis 0.1 V is not below V_uv, 2.5 V of supply"},
	{"cell V_coc=0.1 V_cocr=0.2 ov_load R_oh=1 R_ol=1", "cell protector: V_cocr 0.2 V is not below V_coc 0.1 V; ov_load needs V_oc1: it is how a load is seen"},
	{"cell V_ov=+Inf V_ovr=4.1 R_oh=1 R_ol=1", "cell protector: V_ov is infinite: give a number, or leave it out where the part has none"},
	// The stack's own.
	{"stack cells=25 R_oh=1 R_ol=1", "stack protector: 25 cells: a stack protector has 1 to 24 sense inputs"},
	{"stack cells=3 used=4 R_oh=1 R_ol=1", "stack protector: the strap selects 4 of 3 cells"},
	{"stack cells=3 V_oc1=0.1 t_oc1=0.01 R_oh=1 R_ol=1", "stack protector: V_vmr is not given: it is how vm sees that the load is gone"},
	{"stack cells=3 CC=0.3 CC_r=0.2 CH=0.4 CH_r=0.35 R_oh=1 R_ol=1", "stack protector: CHr 0.35 is not above CH 0.4; CH 0.4 is not below CC 0.3: hot is the lower ratio"},
	{"stack cells=3 CH=0.3 CH_r=0.4 T_sample=1e-3 R_oh=1 R_ol=1", "stack protector: T_s 0.001 s is not longer than its window"},
	{"stack cells=3 I_ow=1e-4 R_oh=1 R_ol=1", "stack protector: T_ow is 0: an open-wire test needs its period; V_ow is not given: it is how an open wire is seen"},
	{"stack cells=3 bal.V_bal=4.1 bal.V_balr=4.2 R_oh=1 R_ol=1", "stack protector: V_balr 4.2 V is not between 0 and V_bal 4.1 V; R_bal is 0: give the resistance of a balance switch"},
	// Balancer and second level.
	{"balancer V_balr=4 delta=0.1 on_charge R_oh=1 R_ol=1", "balancer: V_bal is not given: a balancer needs its threshold; Δ is given: a balancer of one cell knows no other cell; balancing on charge only needs V_chd: it is how a charger is seen"},
	{"secondary cells=2 V_ov=4.4 R_oh=1 R_ol=1", "second-level detector: V_ovr 0 V is not between 0 and V_ov 4.4 V"},
}

func TestSpecErrors(t *testing.T) {
	for _, c := range specErrors {
		words := strings.Fields(c.part)
		_, err := newMachine(t, words[0], words[1:])
		var spec *protector.SpecError
		if !errors.As(err, &spec) {
			t.Errorf("%s: error %v, want %q", c.part, err, c.want)
			continue
		}
		if diff := cmp.Diff(c.want, err.Error()); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.part, diff)
		}
	}
}

// TestNotGiven: NaN stands for a missing feature as 0 does.
func TestNotGiven(t *testing.T) {
	nan := math.NaN()
	m, err := protector.NewCell(protector.CellSpec{
		VOv: 4.25, VOvr: 4.1, TOv: nan, VOc2: nan, VCoc: nan, VChd: nan, V0: nan, VMin: nan, RVms: nan, Roh: 1, Rol: 1,
	})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, c := range m.Comparators() {
		names = append(names, c.Name)
	}
	if want := []string{"v>V_ov", "v>V_ovr"}; !slices.Equal(names, want) {
		t.Errorf("comparators %q, want %q", names, want)
	}
	b := newBench(m)
	b.step(t, []string{"t=0", "v=3.7"})
	b.step(t, []string{"t=1", "v=4.3"})
	if got := protector.Describe(m, &b.s); !strings.HasPrefix(got, "OV ") {
		t.Errorf("a delay that is not given must act at once: %s", got)
	}
}

func TestComparator(t *testing.T) {
	// m > v/2 − 0.1 V on pins vdd, vss, cs
	c := protector.Comparator{Name: "m", Plus: 2, Minus: 1, Ratio: 0.5, RefPlus: 0, RefMinus: 1, Level: -0.1}
	volts := []float64{5, 1, 3}
	const want = 2 - 0.5*4 + 0.1
	if got := c.Value(volts); math.Abs(got-want) > 1e-15 {
		t.Errorf("value %g, want %g", got, want)
	}
	mirror := c.Mirror("m too low")
	if got := mirror.Value(volts); math.Abs(got+want) > 1e-15 {
		t.Errorf("mirrored value %g, want %g", got, -want)
	}
	set, keep := protector.Band("v", 0, 1, 3, 2)
	if set.Value(volts) <= 0 || keep.Value(volts) <= set.Value(volts) {
		t.Errorf("band: %g above high, %g above low", set.Value(volts), keep.Value(volts))
	}
}

// TestContradiction: a truth in which a band is passed both ways, as between
// the two edges of one level, does not hang a part without delays, and the next
// truth settles it.
func TestContradiction(t *testing.T) {
	m := build(t, parts[5])
	b := newBench(m)
	b.step(t, []string{"t=0", "v=3.7"})
	want := b.s
	b.truth[0], b.truth[1] = false, true // v > V_min, v > V_min+h
	m.Advance(&b.s, 1, b.truth)
	b.step(t, []string{"t=1"})
	b.step(t, []string{"t=2"})
	if b.s != want {
		t.Errorf("after a contradiction: %s", protector.Describe(m, &b.s))
	}
}

func BenchmarkAdvance(b *testing.B) {
	cases := map[string]string{
		"cell":     parts[0],
		"stack-3":  "stack cells=3 V_ov=4.25 V_ovr=4.1 t_ov=1 V_uv=2.5 V_uvr=3 t_uv=0.1 uv_auto V_oc1=0.1 t_oc1=0.01 V_sc=0.5 t_sc=0.0003 V_vmr=0.5 t_ocr=0.001 R_oh=1 R_ol=1",
		"stack-24": "stack cells=24 V_ov=4.25 V_ovr=4.1 t_ov=1 V_uv=2.5 V_uvr=3 t_uv=0.1 uv_auto V_oc1=0.1 t_oc1=0.01 V_sc=0.5 t_sc=0.0003 V_vmr=0.5 t_ocr=0.001 R_oh=1 R_ol=1",
		"balancer": parts[5],
	}
	for name, part := range cases {
		b.Run(name, func(b *testing.B) {
			bench := newBench(build(b, part))
			bench.set["v"] = 3.7
			for k := range protector.MaxCells {
				bench.set[fmt.Sprint("v", k+1)] = 3.7
			}
			bench.look()
			bench.m.Start(&bench.s, 0, bench.truth)
			idle := slices.Clone(bench.truth)
			bench.set["v"], bench.set["v1"] = 4.3, 4.3
			bench.look()
			truths := [2]protector.Truth{idle, bench.truth}
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ { // an overcharge that comes and lapses
				bench.m.Advance(&bench.s, float64(i)*1e-3, truths[i%2])
			}
		})
	}
}
