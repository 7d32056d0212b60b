package study_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/study"
	"cupel/internal/study/batch"
)

// encoded is an answer as it is published.
func encoded(t *testing.T, a any) string {
	t.Helper()
	var b bytes.Buffer
	if err := answer.Encode(&b, a); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestFaultsOfAPart holds the shape of the answer, and in it the loss that
// everyday use does not show.
func TestFaultsOfAPart(t *testing.T) {
	a, err := study.Faults(t.Context(), read(t, "sluice-5s"), "R405", batch.Runner(batch.Options{}), nil)
	if err != nil {
		t.Fatal(err)
	}
	if a.Tried != 4 || a.Silent != 1 || !a.Complete {
		t.Errorf("%d faults tried, %d silent losses, complete %v; want 4, 1, true", a.Tried, a.Silent, a.Complete)
	}
	f := a.Faults[0]
	if f.Part != "R405" || f.Fault != "open" || len(f.Lost) != 1 || f.Lost[0].Trial != "overdischarge" || *f.Lost[0].Cell != 4 || !f.Silent || f.Safe {
		t.Errorf("the first fault is %+v", f)
	}
	s := encoded(t, a)
	for _, want := range []string{`"answer": "faults"`, `"part": "R405"`, `"fault": "open"`, `"trial": "overdischarge"`, `"cell": 4`, `"changed": []`, `"silent": true`, `"safe": false`} {
		if !strings.Contains(s, want) {
			t.Errorf("the answer lacks %s", want)
		}
	}
	again, err := study.Faults(t.Context(), read(t, "sluice-5s"), "R405", batch.Runner(batch.Options{Workers: 3}), nil)
	if err != nil || encoded(t, again) != s {
		t.Error("equal inputs gave other bytes")
	}
}

// TestExplainAPart holds what the answer says of one part, and its evidence.
func TestExplainAPart(t *testing.T) {
	a, err := study.Explain(t.Context(), read(t, "sluice-5s"), "R405", batch.Runner(batch.Options{}), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Parts) != 1 {
		t.Fatalf("%d parts", len(a.Parts))
	}
	p := a.Parts[0]
	if p.Role != "level shifter" || p.Block != "overdischarge line" || *p.Cell != 4 || p.Grade != "proven" || p.Signal != "fault" {
		t.Errorf("R405 is %+v", p)
	}
	for _, e := range []answer.RoleEvidence{{Kind: "pattern", Ref: "shifter-fault (overdischarge, bjt-pnp)"}, {Kind: "fault", Ref: "R405 open"}} {
		if !slices.Contains(p.Evidence, e) {
			t.Errorf("%+v is not among the evidence %+v", e, p.Evidence)
		}
	}
	for _, want := range []string{"R405 (1 MΩ)", "cell 4 can be emptied with no cut-off", "nothing shows it"} {
		if !strings.Contains(p.Sentence, want) {
			t.Errorf("the sentence lacks %q: %s", want, p.Sentence)
		}
	}
}

// TestVoltagesOfNoState holds that a state that is none is a mistake with the
// states that there are.
func TestVoltagesOfNoState(t *testing.T) {
	d := read(t, "hive-3s")
	_, err := study.Voltages(t.Context(), d, "after lunch", 0)
	errs, ok := err.(*finding.Errors)
	if !ok || !strings.Contains(errs.List[0].Do, "after load-short") {
		t.Errorf("error %v", err)
	}
	a, err := study.Voltages(t.Context(), d, "idle", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range a.Nets {
		if n.Net == "tap2" && (n.Value == nil || *n.Value < 7.39 || *n.Value > 7.41 || n.Touch != "T2") {
			t.Errorf("tap 2 is %+v", n)
		}
	}
	if !slices.IsSortedFunc(a.Nets, func(x, y answer.NetLevel) int { return strings.Compare(x.Net, y.Net) }) {
		t.Error("nets are not in order")
	}
}

// TestStoryOfATrip holds that the chain ends at the bank and that its links are
// needed.
func TestStoryOfATrip(t *testing.T) {
	a, err := study.Story(t.Context(), read(t, "sluice-5s"), protection.Overdischarge, 5)
	if err != nil {
		t.Fatal(err)
	}
	last := a.Steps[len(a.Steps)-1]
	if last.At != "discharge bank" || last.What != "off" || *a.Cell != 5 {
		t.Errorf("the story of cell %d ends with %+v", *a.Cell, last)
	}
	for _, s := range a.Steps {
		if s.Needed == nil || !*s.Needed {
			t.Errorf("%s %s: needed is not true", s.At, s.What)
		}
	}
	if _, err := study.Story(t.Context(), read(t, "hive-3s"), protection.Balance, 0); err == nil {
		t.Error("balance trips nothing, and has a story")
	}
}
