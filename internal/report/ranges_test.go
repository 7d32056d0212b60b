package report

import (
	"strings"
	"testing"

	"cupel/internal/answer"
)

// ranged is a detect voltage of a cell over tolerances.
func ranged(cell int, low, typ, high float64) answer.Result {
	return answer.Result{
		Trial: "overcharge", Quantity: "detect", State: "idle", Outcome: "found", Unit: "V", Cell: answer.Whole(cell),
		Temperature: answer.Number(25), Value: &typ, Low: &low, High: &high,
		PLow: answer.Number(low + 0.002), PHigh: answer.Number(high - 0.002),
		Causes:    answer.List[answer.Cause]{{Part: "U1", Quantity: "v_ov", Share: 0.81}, {Share: 0.19}},
		Note:      "not monotone in R7; something else",
		Histogram: &answer.Histogram{From: &low, To: &high, Counts: answer.List[int]{1, 5, 1}},
	}
}

func TestRangesText(t *testing.T) {
	a := answer.Predict{Prediction: answer.Prediction{Samples: 2000, Results: answer.List[answer.Result]{
		ranged(1, 4.226, 4.251, 4.276), ranged(2, 4.224, 4.252, 4.274),
		{Trial: "overcharge", Quantity: "delay", Outcome: "found", Value: answer.Number(1), Unit: "s"}, // typical only
	}}}
	got := plain(rangesText(a))
	for _, want := range []string{"4.251 to", "4.224 to 4.276 V", "4.226 to 4.274 V", "U1 v_ov 81 %", "not monotone in R7", "2000 random boards"} {
		if !strings.Contains(strings.Join(strings.Fields(got), " "), want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	for _, l := range strings.Split(got, "\n") {
		if n := len([]rune(l)); n > wide {
			t.Errorf("%d letters wide: %s", n, l)
		}
	}
	if strings.Contains(got, "something else") || strings.Contains(got, "delay") {
		t.Errorf("more than ranges:\n%s", got)
	}
	if rangesText(answer.Predict{}) != "" {
		t.Error("a table without ranges")
	}
}

// The histogram of a stated figure is of the cell that spreads most.
func TestHistogramOfAClaim(t *testing.T) {
	c := answer.Claim{Name: "overcharge detect", Trial: "overcharge", Quantity: "detect", Temperature: answer.Number(25), Unit: "V"}
	rs := []answer.Result{ranged(1, 4.23, 4.25, 4.27), ranged(2, 4.22, 4.25, 4.28)}
	if _, ok := histogram(c, rs); ok {
		t.Error("a histogram without stated limits")
	}
	c.Stated = answer.Limits{Min: answer.Number(4.225), Max: answer.Number(4.275)}
	f, ok := histogram(c, rs)
	if !ok || !strings.Contains(f.Caption.String(), "cell 2") {
		t.Fatalf("%v %s", ok, f.Caption)
	}
	svg := string(f.SVG)
	if n := strings.Count(svg, `class="bar"`); n != 3 {
		t.Errorf("%d bars of 3", n)
	}
	if n := strings.Count(svg, `class="limit"`); n != 2 {
		t.Errorf("%d limits of 2", n)
	}
	if n := strings.Count(svg, `url(#hatch)`); n != 2 {
		t.Errorf("%d hatched grounds of 2", n)
	}
}

// A first look has random boards and no corners: it says so, and draws them.
func TestFirstLook(t *testing.T) {
	r := ranged(1, 4.23, 4.251, 4.27)
	r.Low, r.High, r.PLow, r.PHigh, r.Causes, r.Note = nil, nil, nil, nil, nil, ""
	a := answer.Predict{Prediction: answer.Prediction{Samples: 16, Results: answer.List[answer.Result]{r}}}
	got := strings.Join(strings.Fields(plain(rangesText(a))), " ")
	for _, want := range []string{"of 16 boards", "4.230 to 4.270 V", "Worst corners were not searched"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	if strings.Contains(got, "0.135") || strings.Contains(got, "worst corners") {
		t.Errorf("more than was looked at:\n%s", got)
	}
	c := answer.Claim{Name: "overcharge detect", Trial: "overcharge", Quantity: "detect", Temperature: answer.Number(25), Unit: "V"}
	c.Stated = answer.Limits{Min: answer.Number(4.225), Max: answer.Number(4.275)}
	if _, ok := histogram(c, a.Results); !ok {
		t.Error("no histogram")
	}
}
