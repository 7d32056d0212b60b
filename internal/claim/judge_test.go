package claim

import (
	"math"
	"strings"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/quantity"
)

var nan = math.NaN()

// stated makes a quantity from min, typ, max; NaN is not given.
func stated(d quantity.Dimension, min, typ, max float64) quantity.Quantity {
	return quantity.Quantity{Dim: d, Min: min, Typ: typ, Max: max}
}

func volts(min, typ, max float64) Claim {
	return Claim{
		Protection: protection.Overcharge, Quantity: protection.Detect, At: nan, Kind: Stated,
		Value: stated(quantity.Voltage, min, typ, max),
	}
}

func none(t protection.Trial, q protection.Quantity) Claim {
	return Claim{
		Protection: t, Quantity: q, At: nan, Kind: Stated, None: true,
		Value: stated(quantity.None, nan, nan, nan),
	}
}

// found is a prediction of overcharge detect of a cell at 25 °C.
func found(cell int, low, typ, high float64) Prediction {
	return Prediction{
		Trial: protection.Overcharge, Quantity: protection.Detect, Cell: cell, Temperature: 298.15,
		Outcome: protection.Found, Value: typ, Low: low, High: high, SearchedTo: nan,
	}
}

func ended(t protection.Trial, q protection.Quantity, o protection.Outcome, to float64, unit string) Prediction {
	return Prediction{
		Trial: t, Quantity: q, Temperature: 298.15, Outcome: o, Value: nan, Low: nan, High: nan,
		SearchedTo: to, SearchedUnit: unit,
	}
}

var judgeTests = []struct {
	name   string
	claim  Claim
	given  []Prediction
	want   Verdict
	margin float64
	reason string
}{
	// Ranges against limits. The first is the example of the command line's contract.
	{
		"inside", volts(4.20, 4.25, 4.30),
		[]Prediction{found(2, 4.231, 4.25, 4.27), found(5, 4.24, 4.254, 4.274)},
		Meets, 0.026, "4.231 V to 4.274 V lies inside the stated limits, 26 mV from the nearest",
	},
	{"touches both limits", volts(4.20, nan, 4.30), []Prediction{found(1, 4.20, 4.25, 4.30)}, Meets, 0, ""},
	{
		"beyond one limit", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, 4.19, 4.24, 4.28)},
		CannotTell, -0.01, "cell 1: 4.19 V to 4.28 V reaches below the stated minimum of 4.2 V",
	},
	{
		"beyond both limits", volts(4.24, 4.25, 4.26),
		[]Prediction{found(1, 4.22, 4.25, 4.28)},
		CannotTell, -0.02, "reaches beyond both stated limits",
	},
	{
		"above", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, 4.31, 4.33, 4.35)},
		Fails, -0.05, "cell 1: 4.31 V to 4.35 V lies above the stated maximum of 4.3 V",
	},
	{
		"below", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, 4.10, 4.12, 4.15)},
		Fails, -0.10, "lies below the stated minimum of 4.2 V",
	},
	// What holds for one cell only does not hold for the board, though the
	// cells' common range crosses a limit only.
	{
		"one cell of two", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, 4.23, 4.25, 4.27), found(2, 4.31, 4.33, 4.35)},
		Fails, -0.05, "cell 2: ",
	},
	{
		"a doubtful cell hides behind no good one", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, 4.19, 4.24, 4.28), found(2, 4.23, 4.25, 4.27)},
		CannotTell, -0.01, "cell 1: ",
	},
	// One limit only.
	{"only a maximum", volts(nan, nan, 4.30), []Prediction{found(1, 1, 2, 3)}, Meets, 1.30, ""},
	{"only a minimum", volts(4.20, nan, nan), []Prediction{found(1, 4.10, 4.12, 4.15)}, Fails, -0.10, "below"},
	// No limits.
	{
		"only a typical value", volts(nan, 4.25, nan),
		[]Prediction{found(1, 4.23, 4.26, 4.27)},
		CannotTell, nan, "only 4.25 V is stated, without limits; cell 1 is at 4.26 V, 10 mV away",
	},
	{
		"a bare figure read as exact", volts(4.25, 4.25, 4.25),
		[]Prediction{found(1, 4.25, 4.25, 4.25)},
		CannotTell, nan, "without limits",
	},
	// A sheet with its limits exchanged.
	{
		"crossed", volts(4.30, nan, 4.20),
		[]Prediction{found(1, 4.23, 4.26, 4.27)},
		CannotTell, nan,
		"the stated minimum of 4.3 V is above the stated maximum of 4.2 V",
	},
	// The typical board alone.
	{
		"nominal inside", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, nan, 4.25, nan)},
		Meets, 0.05, "typical board only, no tolerances computed",
	},
	{
		"nominal outside", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, nan, 4.35, nan)},
		Fails, -0.05, "typical board only, no tolerances computed",
	},
	// Searches that ended without a number.
	{
		"none found past the figure", volts(4.20, 4.25, 4.30),
		[]Prediction{ended(protection.Overcharge, protection.Detect, protection.NoneFound, 5, "V")},
		Fails, nan, "the board: none found up to 5 V, past what is stated",
	},
	{
		"none found short of the figure", volts(4.20, 4.25, 4.30),
		[]Prediction{ended(protection.Overcharge, protection.Detect, protection.NoneFound, 4.25, "V")},
		CannotTell, nan, "does not reach past what is stated",
	},
	{
		"not reached", volts(4.20, 4.25, 4.30),
		[]Prediction{ended(protection.Overcharge, protection.Detect, protection.NotReached, 5, "V")},
		CannotTell, nan, "the board: not reached up to 5 V",
	},
	{
		"one cell is not protected", volts(4.20, 4.25, 4.30),
		[]Prediction{found(1, 4.23, 4.25, 4.27), ended(protection.Overcharge, protection.Detect, protection.NoneFound, 5, "V")},
		Fails, 0.03, "none found",
	},
	// None stated.
	{
		"none and none", none(protection.ChargeOvercurrent, protection.Detect),
		[]Prediction{ended(protection.ChargeOvercurrent, protection.Detect, protection.NoneFound, 60, "A")},
		Meets, nan, "none is stated and none was found up to 60 A",
	},
	{
		"none but found", none(protection.Overcharge, protection.Detect),
		[]Prediction{found(3, 4.2, 4.25, 4.3)},
		Fails, nan, "none is stated, but cell 3 acts at 4.25 V",
	},
	{
		"none and no place for it", none(protection.Balance, protection.Start),
		[]Prediction{ended(protection.Balance, protection.Start, protection.NotApplicable, nan, "")},
		Meets, nan, "no place for it",
	},
	{
		"none and not computed", none(protection.Balance, protection.Start),
		[]Prediction{ended(protection.Balance, protection.Start, protection.NotComputed, nan, "")},
		CannotTell, nan, "not computed",
	},
	// Nothing that speaks of it.
	{"no prediction", volts(4.20, 4.25, 4.30), nan3(), NotTested, nan, "nothing was tried"},
}

func nan3() []Prediction {
	return []Prediction{ended(protection.Overdischarge, protection.Detect, protection.Found, nan, "")}
}

func TestJudge(t *testing.T) {
	for _, c := range judgeTests {
		t.Run(c.name, func(t *testing.T) {
			j := Judge(c.claim, c.given)
			if j.Verdict != c.want {
				t.Errorf("verdict %q, want %q (%s)", j.Verdict, c.want, j.Reason)
			}
			if math.IsNaN(j.Margin) != math.IsNaN(c.margin) || math.Abs(j.Margin-c.margin) > 1e-9 {
				t.Errorf("margin %g, want %g", j.Margin, c.margin)
			}
			if !strings.Contains(j.Reason, c.reason) {
				t.Errorf("reason %q, want it to say %q", j.Reason, c.reason)
			}
		})
	}
}

// The cells at the ends of the range are named, and the typical is the mean.
func TestJudgeNamesTheCells(t *testing.T) {
	j := Judge(volts(4.20, 4.25, 4.30), []Prediction{
		found(1, 4.235, 4.25, 4.27), found(2, 4.231, 4.252, 4.271), found(3, 4.24, 4.257, 4.274),
	})
	if j.LowCell != 2 || j.HighCell != 3 || j.Low != 4.231 || j.High != 4.274 {
		t.Errorf("low %g in cell %d, high %g in cell %d", j.Low, j.LowCell, j.High, j.HighCell)
	}
	if math.Abs(j.Typ-4.253) > 1e-12 {
		t.Errorf("typical %g, want 4.253", j.Typ)
	}
	if j.Rule != RangeRule || !j.Tolerances {
		t.Errorf("rule %q, tolerances %v", j.Rule, j.Tolerances)
	}
}

func TestJudgePicksWhatTheClaimSpeaksOf(t *testing.T) {
	oc := func(stage string, kelvin, amps float64) Prediction {
		return Prediction{
			Trial: protection.DischargeOvercurrent, Quantity: protection.Detect, Stage: stage,
			Temperature: kelvin, Outcome: protection.Found, Value: amps, Low: amps, High: amps,
		}
	}
	all := []Prediction{oc("1", 298.15, 60), oc("2", 298.15, 120), oc("1", 333.15, 45)}
	base := Claim{
		Protection: protection.DischargeOvercurrent, Quantity: protection.Detect, At: nan, Kind: Stated,
		Value: stated(quantity.Current, 50, 60, 70),
	}
	stage2, hot, cold, cell := base, base, base, base
	stage2.Stage, hot.At, cold.At, cell.Cell = "2", 333.15, 253.15, 3
	for _, c := range []struct {
		name string
		c    Claim
		typ  float64
		want Verdict
	}{
		{"no stage and no temperature: the first, at 25 °C", base, 60, Meets},
		{"stage 2", stage2, 120, Fails},
		{"at 60 °C", hot, 45, Fails},
		{"at −20 °C, which was not tried", cold, nan, NotTested},
		{"of a cell, and the result is of none", cell, nan, NotTested},
	} {
		j := Judge(c.c, all)
		if j.Verdict != c.want || !(j.Typ == c.typ || math.IsNaN(j.Typ) && math.IsNaN(c.typ)) {
			t.Errorf("%s: %s at %g, want %s at %g (%s)", c.name, j.Verdict, j.Typ, c.want, c.typ, j.Reason)
		}
	}
}

// A delay of what never acts does not exist.
func TestDelayOfNothing(t *testing.T) {
	c := Claim{
		Protection: protection.Overcharge, Quantity: protection.Delay, At: nan,
		Value: stated(quantity.Time, 0.5, 1, 1.5),
	}
	j := Judge(c, []Prediction{ended(protection.Overcharge, protection.Delay, protection.NoneFound, 5, "V")})
	if j.Verdict != Fails || !strings.Contains(j.Reason, "none found up to 5 V, so there is no delay") {
		t.Errorf("%s: %s", j.Verdict, j.Reason)
	}
}

// A search for overdischarge goes down: 2.0 V is past 2.5 V.
func TestSearchDirection(t *testing.T) {
	c := Claim{
		Protection: protection.Overdischarge, Quantity: protection.Detect, At: nan,
		Value: stated(quantity.Voltage, 2.4, 2.5, 2.6),
	}
	for to, want := range map[float64]Verdict{2.0: Fails, 2.5: CannotTell, 3.0: CannotTell} {
		j := Judge(c, []Prediction{ended(protection.Overdischarge, protection.Detect, protection.NoneFound, to, "V")})
		if j.Verdict != want {
			t.Errorf("searched to %g V: %s, want %s (%s)", to, j.Verdict, want, j.Reason)
		}
	}
}

// A cut that was searched for by resistance and not found has no temperature
// either; one that was found has both, and the temperature is judged.
func TestCutThatIsNotThere(t *testing.T) {
	c := none(protection.Temperature, protection.CutTemperature)
	noSuch := ended(protection.Temperature, protection.CutResistance, protection.NotApplicable, nan, "")
	if j := Judge(c, []Prediction{noSuch}); j.Verdict != Meets {
		t.Errorf("none stated, no thermistor: %s (%s)", j.Verdict, j.Reason)
	}
	hot := Claim{
		Protection: protection.Temperature, Quantity: protection.CutTemperature, At: nan, Stage: "hot",
		Value: stated(quantity.Temperature, 313.15, nan, 323.15),
	}
	cut := ended(protection.Temperature, protection.CutTemperature, protection.Found, nan, "")
	cut.Stage, cut.Value = "hot", 318.15
	ohms := ended(protection.Temperature, protection.CutResistance, protection.Found, nan, "")
	ohms.Stage, ohms.Value = "hot", 4900
	cold := ended(protection.Temperature, protection.CutResistance, protection.NoneFound, 1e6, "Ω")
	cold.Stage = "cold"
	if j := Judge(hot, []Prediction{ohms, cut, cold}); j.Verdict != Meets || j.Typ != 318.15 {
		t.Errorf("%s at %g (%s)", j.Verdict, j.Typ, j.Reason)
	}
	hot.Stage = "cold"
	if j := Judge(hot, []Prediction{ohms, cut, cold}); j.Verdict != Fails {
		t.Errorf("no cut in the cold: %s (%s)", j.Verdict, j.Reason)
	}
}
