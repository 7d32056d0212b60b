package trial

import (
	"context"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig/rigtest"
)

// TestScreening holds on the ideal board that every protection it has is seen to
// cut and to come back, and that nothing of normal use is in its way.
func TestScreening(t *testing.T) {
	r := rigtest.NewIdeal(hinted(five()))
	checks, err := NewScreening(r.Can()).Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	cuts := map[protection.Trial]int{}
	keys := map[string]bool{}
	for _, c := range checks {
		if keys[c.Key()] {
			t.Errorf("%s is looked at twice", c.Key())
		}
		keys[c.Key()] = true
		switch c.What {
		case LooksDirection:
			if c.Word != isOn && c.Trial != protection.Temperature {
				t.Errorf("%s is %s", c.Key(), c.Word)
			}
		case LooksCut:
			if c.Word != CutDone {
				t.Errorf("%s is %s", c.Key(), c.Word)
			}
			cuts[c.Trial]++
		case LooksRelease:
			if c.Word != Released {
				t.Errorf("%s is %s", c.Key(), c.Word)
			}
		}
	}
	if cuts[protection.Overcharge] != 5 || cuts[protection.Overdischarge] != 5 || cuts[protection.LoadShort] != 1 || cuts[protection.ChargeOvercurrent] != 1 {
		t.Errorf("cuts %v, want both of 5 cells, a short and a charge overcurrent", cuts)
	}
}
