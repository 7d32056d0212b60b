package report_test

import (
	"fmt"
	"math"

	"cupel/internal/answer"
)

// sample is a made-up answer that has something in every part of the report.
// Its figures are examples of form: no board gave them.
func sample() (answer.Predict, []answer.Waveform) {
	a := answer.Predict{Head: answer.NewHead("predict", "toy-3s", "3fa9c2d1e07b4c55")}
	a.Title, a.Cells = "Made-up board of a lantern", 3
	for c := 1; c <= 3; c++ {
		f := float64(c)
		a.Results = append(a.Results,
			of(c, "overcharge", "detect", 4.25+f/1000, "V", 0.001),
			of(c, "overcharge", "delay", 1.02+f/100, "s", 0),
			of(c, "overcharge", "release", 4.10, "V", 0.001),
			of(c, "overdischarge", "detect", 2.50-f/500, "V", 0.0025),
			of(c, "overdischarge", "delay", 0.101, "s", 0),
		)
		r := of(c, "overdischarge", "release", 3.0, "V", 0.0025)
		if c == 1 {
			r = ended(c, "overdischarge", "release", "never releases", "needs a charger")
		}
		a.Results = append(a.Results, r,
			of(c, "balance", "start", 4.18, "V", 0.001), of(c, "balance", "current", 0.0972, "A", 0),
			at(of(c, "supply-current", "cell_current", 6.03e-6, "A", 0), "", condition("cell voltage", 3.7, "V")),
			state(of(c, "supply-current", "cell_current", 58.8e-6/f, "A", 0), "after overdischarge"),
		)
	}
	for _, v := range []float64{3.7, 4.2} {
		for stage, amps := range []float64{1: 28.9 * v / 3.7, 2: 92} {
			if stage == 0 {
				continue
			}
			r := at(of(0, "discharge-overcurrent", "current", amps, "A", 0.15), fmt.Sprint(stage), condition("cell voltage", v, "V"))
			d := at(of(0, "discharge-overcurrent", "delay", 0.01/float64(stage*stage*stage), "s", 0), fmt.Sprint(stage), condition("cell voltage", v, "V"))
			a.Results = append(a.Results, r, d)
		}
	}
	none := ended(0, "charge-overcurrent", "current", "none found", "")
	none.SearchedTo, none.SearchUnit = num(60), "A"
	a.Results = append(a.Results, none, of(0, "path", "resistance", 7.2e-3, "Ω", 0))
	for i := range 9 {
		ohm := 0.012 * math.Pow(2, float64(i))
		off, stage := 280e-6, "short"
		switch {
		case i > 6:
			off, stage = 0, "none"
		case i > 3:
			off, stage = 10.1e-3, "1"
		}
		step := fmt.Sprintf("%.3g mΩ", ohm*1000)
		load := condition("load", ohm, "Ω")
		t := of(0, "load-short", "time_to_off", off, "s", 0)
		if off == 0 {
			t = ended(0, "load-short", "time_to_off", "not cut", "")
		}
		w := of(0, "load-short", "stage", 0, "", 0)
		w.Value, w.Word = nil, answer.Text(stage)
		for _, r := range []answer.Result{t, w, of(0, "load-short", "peak_current", 18.5/(ohm+0.07), "A", 0), of(0, "load-short", "energy", 0.08, "J", 0)} {
			r = at(r, "", load)
			r.Step = answer.Text(step)
			a.Results = append(a.Results, r)
		}
	}
	a.Claims = answer.List[answer.Claim]{
		claim("overcharge detect", "V", num(4.2), num(4.25), num(4.3), 4.251, 4.253, 1, 3, "meets", 0.047),
		claim("discharge overcurrent detect", "A", num(50), nil, num(70), 28.9, 28.9, 0, 0, "fails", -21.1),
		claim("path resistance", "Ω", nil, nil, num(10e-3), 7.2e-3, 7.2e-3, 0, 0, "meets", 2.8e-3),
		claim("supply current, after overdischarge", "A", nil, nil, num(30e-6), 19.6e-6, 58.8e-6, 3, 1, "cannot tell", -28.8e-6),
	}
	untested := claim("continuous current", "A", num(20), nil, nil, 0, 0, 0, 0, "not tested", 0)
	untested.Predicted, untested.Margin, untested.Outcome, untested.Kind = answer.Predicted{}, nil, "", "requirement"
	a.Claims = append(a.Claims, untested)
	a.Summary = answer.Summary{Meets: 2, Fails: 1, CannotTell: 1, NotTested: 1, Results: len(a.Results), Found: len(a.Results) - 4}
	a.Assumed = answer.List[string]{"cells of 12 mΩ each", "Q1: part sheet nfet-40v-6m is typical of its class"}
	a.Cautions = answer.List[string]{"cells are live: fuse every lead"}
	w := wave()
	a.Figures = answer.List[answer.Figure]{w.Figure}
	return a, []answer.Waveform{w}
}

func wave() answer.Waveform {
	w := answer.Waveform{Figure: answer.Figure{
		Name: "load-short 12 mΩ", Title: "a load of 12 mΩ is cut", End: num(1.999e-3),
		Lines: answer.List[answer.Line]{
			{Name: "load current", Unit: "A", Low: num(0), High: num(229)},
			{Name: "discharge gate", Unit: "V", Low: num(0), High: num(9.6)},
			{Name: "U1 supply", Unit: "V", Low: num(2.91), High: num(3.7)},
		},
		Events: answer.List[answer.Event]{{Time: num(270e-6), Part: "U1", What: "sets SC"}},
	}}
	var amps, gate, supply answer.List[float64]
	for i := range 2000 {
		t := float64(i) * 1e-6
		on := 1.0
		if t > 270e-6 {
			on = math.Exp(-(t - 270e-6) / 15e-6)
		}
		w.Times = append(w.Times, t)
		amps = append(amps, 229*on*(1-math.Exp(-t/20e-6)))
		gate = append(gate, 9.6*on)
		supply = append(supply, 3.7-0.79*on*(1-math.Exp(-t/330e-6)))
	}
	w.Values = answer.List[answer.List[float64]]{amps, gate, supply}
	return w
}

func num(v float64) *float64 { return &v }

func of(cell int, trial, quantity string, v float64, unit answer.Text, res float64) answer.Result {
	r := answer.Result{
		Trial: trial, Quantity: quantity, State: "idle", Temperature: num(25), Outcome: "found", Value: num(v), Unit: unit,
		Basis: "computed", Stimulus: "in steps",
	}
	if cell > 0 {
		r.Cell = &cell
	}
	if res > 0 {
		r.Resolution = num(res)
	}
	return r
}

func ended(cell int, trial, quantity, outcome string, why answer.Text) answer.Result {
	r := of(cell, trial, quantity, 0, "", 0)
	r.Outcome, r.Value, r.Note = outcome, nil, why
	return r
}

func condition(name string, v float64, unit answer.Text) answer.Condition {
	return answer.Condition{Name: name, Value: num(v), Unit: unit}
}

func at(r answer.Result, stage string, cs ...answer.Condition) answer.Result {
	r.Stage, r.Conditions = answer.Text(stage), cs
	return r
}

func state(r answer.Result, s answer.Text) answer.Result {
	r.State, r.Conditions = s, answer.List[answer.Condition]{condition("cell voltage", 3.7, "V")}
	return r
}

func claim(name string, unit answer.Text, lo, typ, hi *float64, low, high float64, lowCell, highCell int, verdict string, margin float64) answer.Claim {
	c := answer.Claim{
		Name: name, Unit: unit, Stated: answer.Limits{Min: lo, Typ: typ, Max: hi}, Verdict: verdict, Margin: num(margin),
		Predicted: answer.Predicted{Low: num(low), Typ: num((low + high) / 2), High: num(high)}, Outcome: "found",
		Rule: "prediction's range inside the stated limits", Temperature: num(25), Because: "made up for a test",
	}
	if lowCell > 0 {
		c.Predicted.LowCell, c.Predicted.HighCell = &lowCell, &highCell
	}
	return c
}
