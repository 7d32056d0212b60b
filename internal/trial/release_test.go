package trial

import (
	"context"
	"strings"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

// matrixRow runs one row of the matrix and writes it down: column=word, in
// order, for the cell held at that voltage.
func matrixRow(t *testing.T, fresh func() rig.Rig, name, held string) string {
	t.Helper()
	for _, j := range (Release{}).Jobs(fresh().Can()) {
		if j.Name != "release after "+name {
			continue
		}
		rs, _, err := j.Run(context.Background(), fresh())
		if err != nil {
			t.Fatal(err)
		}
		var words []string
		for _, r := range rs {
			wellFormed(t, j.Name, r)
			if r.Quantity == protection.ReleaseDelay && strings.Contains(r.Step, held) {
				words = append(words, strings.TrimPrefix(strings.Split(r.Step, ",")[0], "column ")+"="+r.Word)
			}
			if r.Quantity == protection.ReleaseAt && strings.Contains(r.Step, held) {
				words = append(words, string(r.Outcome))
			}
		}
		return strings.Join(words, " ")
	}
	t.Fatalf("no row %q", name)
	return ""
}

func TestReleaseMatrix(t *testing.T) {
	const stays = "N=stays L1=stays L0=stays LR=stays C1=stays C0=stays CL=stays T=stays never releases"
	cases := []struct {
		name   string
		row    string
		held   string
		change func(*rigtest.Board)
		want   string
	}{
		{"hardly back", "overcharge of cell 1", "(a)", nil, stays},
		{"by voltage", "overcharge of cell 3", "(b)", nil, "N=auto L1=auto L0=auto LR=auto C1=auto C0=auto CL=auto T=auto"},
		{
			"charger holds it", "overcharge of cell 5", "(b)", func(b *rigtest.Board) { b.OverRule = rigtest.ChargerOff },
			"N=needs charger removed L1=needs charger removed L0=needs charger removed LR=needs charger removed C1=stays C0=needs charger removed CL=needs charger removed T=needs charger removed",
		},
		{
			"wants a load", "overcharge of cell 1", "(b)", func(b *rigtest.Board) { b.OverRule = rigtest.LoadOn },
			"N=stays L1=needs load L0=needs load LR=needs load C1=stays C0=stays CL=needs charger, then load T=stays",
		},
		{"hardly back up", "overdischarge of cell 1", "(a)", nil, stays},
		{"back by voltage", "overdischarge of cell 5", "(b)", nil, "N=auto L1=auto L0=auto LR=auto C1=auto C0=auto CL=auto T=auto"},
		{
			"wants a charger", "overdischarge of cell 1", "(b)", func(b *rigtest.Board) { b.UnderRule = rigtest.ChargerOn },
			"N=stays L1=stays L0=stays LR=stays C1=needs charger C0=needs charger CL=needs charger T=stays",
		},
		{
			"wants time", "overdischarge of cell 1", "(b)", func(b *rigtest.Board) { b.Under[0].BackDelay = 20 },
			"N=stays L1=stays L0=stays LR=stays C1=stays C0=stays CL=stays T=needs time",
		},
		{
			"wants the load off", "discharge-overcurrent", "", nil,
			"N=needs load removed L1=stays L0=needs load removed LR=stays C1=needs load removed C0=needs load removed CL=auto T=needs load removed",
		},
		{
			"short", "load-short", "", nil,
			"N=needs load removed L1=stays L0=needs load removed LR=stays C1=needs load removed C0=needs load removed CL=auto T=needs load removed",
		},
		{
			"tries again", "discharge-overcurrent", "", func(b *rigtest.Board) { b.LoadRule, b.LoadBack = rigtest.Auto, 0.5 },
			"N=auto L1=hiccup 2 Hz L0=auto LR=auto C1=auto C0=auto CL=auto T=auto",
		},
		{"never", "load-short", "", func(b *rigtest.Board) { b.LoadRule = rigtest.Never }, stays},
		{
			"charge current", "charge-overcurrent", "", nil,
			"N=needs charger removed L1=needs charger removed L0=needs charger removed LR=needs charger removed C1=stays C0=needs charger removed CL=needs charger removed T=needs charger removed",
		},
		{
			"no charge port", "discharge-overcurrent", "", func(b *rigtest.Board) { b.NoCharge = true },
			"N=needs load removed L1=stays L0=needs load removed LR=stays T=needs load removed",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := hinted(five())
			if c.change != nil {
				c.change(&b)
			}
			if got := matrixRow(t, on(b), c.row, c.held); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// The words are the same on a rig that cannot go back and shows no gates.
func TestReleaseMatrixOnABench(t *testing.T) {
	b := hinted(five())
	b.Cells, b.NoBanks = 2, true
	want := "N=auto L1=auto L0=auto LR=auto C1=auto C0=auto CL=auto T=auto"
	if got := matrixRow(t, onBench(b), "overcharge of cell 2", "(b)"); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestReleaseTimes(t *testing.T) {
	for name, banks := range map[string]bool{"by the gate": true, "by probing": false} {
		t.Run(name, func(t *testing.T) {
			b := hinted(five())
			b.NoBanks, b.LoadBack = !banks, 50e-3
			rs := runTrial(t, Release{}, on(b))
			for _, st := range []string{"after discharge-overcurrent", "after load-short"} {
				want(t, rs.pick(t, protection.ReleaseDelay, inState(st), atStep("column N")), 50e-3, 5e-3)
			}
		})
	}
}

func TestReleaseOutcomes(t *testing.T) {
	b := hinted(five())
	b.Over, b.Load, b.Under, b.Charge = nil, nil, nil, rigtest.Stage{}
	rs := runTrial(t, Release{}, on(b))
	wantOutcome(t, rs.pick(t, protection.ReleaseDelay, inState("after overcharge"), cell(3)), protection.NoneFound, "")
	wantOutcome(t, rs.pick(t, protection.ReleaseDelay, inState("after discharge-overcurrent")), protection.NoneFound, "does not trip")
	wantOutcome(t, rs.pick(t, protection.ReleaseDelay, inState("after load-short")), protection.NoneFound, "not cut within")
	b.NoDischarge = true
	rs = runTrial(t, Release{}, on(b))
	wantOutcome(t, rs.pick(t, protection.ReleaseDelay, inState("after overdischarge"), cell(1)), protection.NotApplicable, "P-")
}
