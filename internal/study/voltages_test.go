package study_test

import (
	"context"
	"math"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/study"
)

func netLevel(t *testing.T, a answer.Voltages, net string) answer.NetLevel {
	t.Helper()
	for _, n := range a.Nets {
		if n.Net == net {
			if n.Value == nil || n.Low == nil || n.High == nil {
				t.Fatalf("%s has no range: %+v", net, n)
			}
			return n
		}
	}
	t.Fatalf("no net %s", net)
	return answer.NetLevel{}
}

// TestVoltageRanges holds ranges against what can be reckoned by hand: taps of
// cells between 3.55 and 3.85 V, and a divider of 1 MΩ over 10 MΩ from tap 3.
func TestVoltageRanges(t *testing.T) {
	a, err := study.Voltages(context.Background(), read(t, "sluice-5s"), "idle", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		net              string
		value, low, high float64
		within           float64 // V
	}{
		{"tap2", 7.40, 7.10, 7.70, 1e-3},
		{"tap5", 18.50, 17.75, 19.25, 1e-3},
		// Both resistors are of 5 %, so that the upper is from 0.95/1.05 to
		// 1.05/0.95 of a tenth of the lower; some gate leakage comes on top.
		{"gate-discharge", 11.1 * 10 / 11, 10.65 / (1 + 0.1*1.05/0.95), 11.55 / (1 + 0.1*0.95/1.05), 0.06},
	} {
		n := netLevel(t, a, c.net)
		for _, x := range [][2]float64{{*n.Value, c.value}, {*n.Low, c.low}, {*n.High, c.high}} {
			if math.Abs(x[0]-x[1]) > c.within {
				t.Errorf("%s is at %.4f V (%.4f to %.4f), want %.4f (%.4f to %.4f)", c.net, *n.Value, *n.Low, *n.High, c.value, c.low, c.high)
				break
			}
		}
	}
	for _, n := range a.Nets {
		if n.Value != nil && !(*n.Low <= *n.Value && *n.Value <= *n.High) {
			t.Errorf("%s: %g lies outside its range %g to %g", n.Net, *n.Value, *n.Low, *n.High)
		}
	}
	if a.Over == "" {
		t.Error("nothing says what the ranges go over")
	}
}
