package protector_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"cupel/internal/circuit/protector"
)

// told are machines that a Logic tells whole.
var told = []string{
	"cell V_ov=4.25 V_ovr=4.10 t_ov=1 t_ovr=0.002 V_uv=2.5 V_uvr=3.0 t_uv=0.1 t_uvr=0.002 V_chd=-0.12 uv_auto ov_load V_oc1=0.1 t_oc1=0.01 V_oc2=0.2 t_oc2=0.002 V_sc=0.5 t_sc=0.00025 V_coc=0.1 t_coc=0.01 V_min=1.2 h=0.1 t_bo=2e-6 t_start=0.001 R_oh=3000 R_ol=3000 I=3e-6 R_vms=50e3",
	"cell V_uv=2.5 V_uvr=3.0 t_uv=0.1 uv_auto uv_load_off V_ov=4.25 V_ovr=4.1 V_oc1=0.1 t_oc1=0.01 V_sc=0.5 t_sc=0.00025 oc_release=retry t_retry=0.1 oc_off_in_ov V_min=1.2 brownout=low R_oh=3000 R_ol=3000",
	"cell V_oc1=0.1 t_oc1=0.01 V_chd=-0.12 oc_release=charger R_oh=3000 R_ol=3000",
	"stack cells=3 V_ov=4.25 V_ovr=4.10 t_ovr=0.002 V_uv=2.5 V_uvr=3.0 t_uvr=0.002 V_chd=-0.12 K_ov=1e7 C_tov=1e-7 K_uv=1e6 C_tuv=1e-7 K_oc1=1e5 C_toc=1e-7 uv_auto V_oc1=0.1 V_sc=0.5 t_sc=0.0003 V_vmr=0.5 t_ocr=0.001 V_coc=0.1 t_coc=0.01 V_min=3 h=0.1 t_bo=2e-6 t_start=0.001 R_oh=3000 R_ol=3000 ctl=pulled t_ctl=0.001 bal.V_bal=4.18 bal.V_balr=4.15 bal.t_bal=0.1 bal.t_balr=0.05 R_bal=20",
	"stack cells=3 V_uv=2.5 V_uvr=3.0 t_uvr=0.002 K_uv=1e6 C_tuv=1e-7 uv_auto V_min=3 R_oh=3000 R_ol=3000 ctl=open t_ctl=0.001",
	"balancer V_bal=4.18 V_balr=4.15 t_bal=0.1 t_balr=0.05 on_charge V_chd=-0.1 V_min=1.2 R_oh=3000 R_ol=3000",
	"secondary cells=3 V_ov=4.4 V_ovr=4.1 t_ov=4 t_ovr=0.1 V_min=3 R_oh=3000 R_ol=3000",
}

// TestLogicIsTheMachine tells each machine twice, as it is and as latches, and
// wants the same links to conduct through random histories.
func TestLogicIsTheMachine(t *testing.T) {
	for i, part := range told {
		m := build(t, part)
		l, ok := protector.LogicOf(m)
		if !ok || len(l.Missing) > 0 {
			t.Fatalf("part %d: told %t, without %q", i, ok, l.Missing)
		}
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			rapid.Check(t, func(rt *rapid.T) {
				b := newBench(m)
				drawVolts(rt, b)
				b.step(nil, []string{"t=0"})
				x := newLatches(l, m, &b.s)
				x.settle(0, b.truth)
				now := 0.0
				for range rapid.IntRange(1, 25).Draw(rt, "steps") {
					now += 1.0137 * rapid.SampledFrom([]float64{1e-6, 1e-5, 3e-4, 2e-3, 0.02, 0.3, 2}).Draw(rt, "dt")
					b.step(nil, []string{fmt.Sprint("t=", now)})
					// A change just before may have left an output in its break still.
					for due := b.s.Deadline(m.Timers()); due-now < 1e-7; due = b.s.Deadline(m.Timers()) {
						now += 1e-7
						b.step(nil, []string{fmt.Sprint("t=", now)})
					}
					x.advance(now, b.truth)
					x.compare(rt, b, now)
					drawVolts(rt, b)
					b.step(nil, []string{fmt.Sprint("t=", now)})
					x.settle(now, b.truth)
				}
			})
		})
	}
}

// TestLogicSaysWhatIsMissing holds that what latches cannot say is named.
func TestLogicSaysWhatIsMissing(t *testing.T) {
	for i, want := range []int{0, 4, 3, 0, 5, 1, 1} {
		if l, ok := protector.LogicOf(build(t, parts[i])); !ok || len(l.Missing) != want {
			t.Errorf("part %d: told %t, missing %q, want %d", i, ok, l.Missing, want)
		}
	}
}

// latches carries a Logic out, in the simplest way.
type latches struct {
	protector.Logic
	on  []bool
	due []float64
}

func newLatches(l protector.Logic, m protector.Machine, s *protector.State) *latches {
	x := &latches{Logic: l}
	for _, latch := range l.Latches {
		f := protector.FlagIndex(m, latch.Name) // none: a latch of the telling alone
		x.on = append(x.on, f >= 0 && s.Has(f))
		x.due = append(x.due, math.Inf(1))
	}
	return x
}

func (x *latches) holds(a protector.Any, truth protector.Truth) bool {
	for _, all := range a {
		ok := true
		for _, term := range all {
			v := false
			if term.Comparator >= 0 {
				v = truth[term.Comparator]
			} else {
				v = x.on[term.Latch]
			}
			ok = ok && v != term.Not
		}
		if ok {
			return true
		}
	}
	return false
}

// settle carries out what is due at a time, until nothing changes.
func (x *latches) settle(t float64, truth protector.Truth) {
	for changed := true; changed; {
		changed = false
		for i, l := range x.Latches {
			cond, delay := x.holds(l.Set, truth), l.SetAfter
			if x.on[i] {
				cond, delay = x.holds(l.Clear, truth), l.ClearAfter
			}
			reset := x.holds(l.Reset, truth)
			switch {
			case reset && x.on[i]:
				x.on[i], x.due[i], changed = false, math.Inf(1), true
			case reset, !cond:
				x.due[i] = math.Inf(1)
			case math.IsInf(x.due[i], 1):
				x.due[i] = t + delay
			}
			if x.due[i] <= t {
				x.on[i], x.due[i], changed = !x.on[i], math.Inf(1), true
			}
		}
	}
}

func (x *latches) advance(to float64, truth protector.Truth) {
	for {
		next := to
		for _, d := range x.due {
			next = math.Min(next, d)
		}
		x.settle(next, truth)
		if next == to {
			return
		}
	}
}

func (x *latches) compare(rt *rapid.T, b *bench, now float64) {
	links, sinks := make([]bool, len(b.m.Links())), make([]float64, len(b.m.Sinks()))
	b.m.Outputs(&b.s, links, sinks)
	check := func(link int, want bool) {
		if link >= 0 && links[link] != want {
			rt.Fatalf("at %g %q conducts %t, want %t: %s", now, b.m.Links()[link].Name, links[link], want, protector.Describe(b.m, &b.s))
		}
	}
	for _, d := range x.Drives {
		off, open := x.holds(d.Off, b.truth), x.holds(d.Open, b.truth)
		check(d.High, !off && !open)
		check(d.Low, off && !open)
	}
	for _, f := range x.Links {
		check(f.Link, x.holds(f.On, b.truth))
	}
}
