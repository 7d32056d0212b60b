package study

import (
	"context"
	"errors"
	"math"

	"cupel/internal/answer"
	"cupel/internal/claim"
	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/trial/heat"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// HeatQuestion is what is asked of a board's heat.
type HeatQuestion struct {
	Ambient float64 // K
	Amps    float64 // the load the parts are shown under; 0: the honest current
}

// heatCautions are those of the work that follows such a figure.
var heatCautions = []string{
	"The current is computed. On the bench raise it in steps, with a thermocouple on the part that is named first.",
	"Cells, holders and connectors have limits of their own; the cell maker's stand above all that is computed here.",
}

// Heat tells how warm the board of a dossier gets, and what it honestly carries.
// Its error is *finding.Errors if the texts or the board they describe are wrong,
// and *rig.NotComputed if there is nothing to compute.
func Heat(ctx context.Context, d *dossier.Dossier, q HeatQuestion) (answer.Heat, error) {
	found, err := solvable(d)
	if err != nil {
		return answer.Heat{}, err
	}
	of := heat.Subject{
		Board: d.Board, Sheets: d.Sheets.Sheet, Around: simulated.Options{RatedAmps: rated(d.Claims.Claims)},
	}
	h, err := heat.Study(ctx, of, heat.Question{Ambient: q.Ambient, Amps: q.Amps})
	if err != nil {
		return answer.Heat{}, noPath(err)
	}
	a := warm(h)
	a.Head = answer.NewHead("heat", d.Board.Name, d.Hash)
	if q.Amps > 0 {
		a.Current = number(q.Amps)
	}
	claims := continuous(d.Claims.Claims, q.Ambient)
	ps, err := carried(ctx, of, claims, h)
	if err != nil {
		return answer.Heat{}, noPath(err)
	}
	a.Claims = judge(claims, ps)
	a.Cautions, a.Findings = heatCautions, Findings(found)
	return a, nil
}

// noPath makes a board that passes no current one that nothing was computed of.
func noPath(err error) error {
	var none *heat.NoPath
	if errors.As(err, &none) {
		return &rig.NotComputed{Text: none.Error()}
	}
	return err
}

// continuous are the claims on the continuous current. One that names no
// temperature speaks of the one that was asked for, and a bare figure is the least
// that the board carries: it is what a board is sold for.
func continuous(claims []claim.Claim, ambient float64) []claim.Claim {
	var out []claim.Claim
	for _, c := range claims {
		if c.Protection != protection.Continuous || c.Quantity != protection.Current {
			continue
		}
		if math.IsNaN(c.At) {
			c.At = ambient
		}
		if v := &c.Value; !c.None && v.Low() == v.High() {
			v.Min, v.Typ, v.Max = v.Nominal(), math.NaN(), math.NaN()
		}
		out = append(out, c)
	}
	return out
}

// carried predicts the honest current at every temperature that the claims speak
// of; h is the answer at one of them.
func carried(ctx context.Context, of heat.Subject, claims []claim.Claim, h heat.Answer) ([]claim.Prediction, error) {
	known := map[float64]bool{h.Ambient: true}
	ps := []claim.Prediction{carries(h)}
	for _, c := range claims {
		t := c.Temperature()
		if known[t] {
			continue
		}
		known[t] = true
		other, err := heat.Honest(ctx, of, t)
		if err != nil {
			return nil, err
		}
		ps = append(ps, carries(other))
	}
	return ps, nil
}

// carries is the honest current as a prediction.
func carries(h heat.Answer) claim.Prediction {
	return claim.Prediction{
		Trial: protection.Continuous, Quantity: protection.Current, Temperature: h.Ambient, Outcome: protection.Found,
		Value: h.Honest, Low: h.Low, High: h.High, SearchedTo: math.NaN(),
	}
}

// warm publishes the answer of a study of heat.
func warm(h heat.Answer) answer.Heat {
	a := answer.Heat{
		Ambient: celsius(h.Ambient), Honest: number(h.Honest), HonestLow: number(h.Low), HonestHigh: number(h.High),
		TripCold: given(h.Trip.Cold), TripHot: given(h.Trip.Hot), TripLow: given(h.Trip.Low), TripHigh: given(h.Trip.High),
		TripPart: answer.Text(h.Trip.Part), Runaway: given(h.Runaway), ShownAt: number(h.At), Settles: h.Settles, Holds: h.Holds,
		Settling: number(heat.TimeConstant()), Assumed: h.Assumed,
	}
	if h.Trip.Cold > 0 {
		a.Cold = celsius(heat.Room)
	}
	if h.Trip.Hot > 0 {
		a.Hot = celsius(h.Trip.HotKelvin)
	}
	if h.Settles {
		a.BoardAt = celsius(h.Board)
	}
	for i, l := range h.Limits {
		x := answer.HeatLimit{
			Limit: l.Kind, Part: answer.Text(l.Part), Current: number(l.Amps), At: celsius(l.Kelvin), Warmth: l.Warmth,
		}
		if i > 0 {
			x.Distance = number(l.Amps - h.Honest)
		} else {
			a.Limit, a.Part, a.LimitAt = answer.Text(l.Kind), x.Part, x.At
		}
		a.Limits = append(a.Limits, x)
	}
	for _, p := range h.Parts {
		a.Parts = append(a.Parts, heatPart(p))
	}
	for _, b := range h.Bleeds {
		a.Bleeds = append(a.Bleeds, heatBleed(b))
	}
	for _, d := range h.Diodes {
		a.Diodes = append(a.Diodes, heatDiode(d))
	}
	for _, s := range h.Shorts {
		a.Shorts = append(a.Shorts, heatShort(s))
	}
	return a
}

// given publishes a figure of which 0 says that it was not found.
func given(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return number(x)
}

func heatPart(p heat.Part) answer.HeatPart {
	out := answer.HeatPart{
		Part: p.Name, Loss: number(p.Watts), Temperature: celsius(p.Kelvin), Limit: celsius(p.Limit), Basis: string(p.Basis),
		Kind: p.Kind, Current: number(p.Amps), Newer: celsius(p.NewerKelvin),
	}
	if p.Kind == heat.CopperIn {
		on := !p.OffChart
		out.OnChart = &on
	}
	return out
}

func heatBleed(b heat.Bleed) answer.HeatBleed {
	return answer.HeatBleed{
		Cell: b.Cell, Part: b.Part, Volts: number(b.Volts), Current: number(b.Amps), Loss: number(b.Watts),
		Temperature: celsius(b.Kelvin), Board: celsius(b.Around), Rating: number(b.Rating), Derated: number(b.Derated),
		Holds: b.Watts <= b.Derated, Note: answer.Text(b.Grade),
	}
}

func heatDiode(d heat.Diode) answer.HeatDiode {
	out := answer.HeatDiode{
		Bank: d.Bank, After: d.After, Flow: d.Flow, Carries: d.Carries, Note: answer.Text(d.Why), Current: number(d.Amps),
	}
	if d.Carries {
		out.Part, out.Drop, out.Loss, out.Channel = answer.Text(d.Part), number(d.Volts), number(d.Watts), given(d.Channel)
		out.Temperature, out.Limit, out.Time = celsius(d.Kelvin), celsius(d.Limit), number(d.Seconds)
		out.Most = number(d.Most)
	}
	return out
}

func heatShort(s heat.Short) answer.HeatShort {
	return answer.HeatShort{
		Ohms: number(s.Ohms), Peak: number(s.Peak), Time: number(s.Seconds), Bank: answer.Text(s.Bank), Part: answer.Text(s.Part),
		Energy: number(s.Joules), Share: number(s.Share), Start: celsius(s.Start), Junction: celsius(s.Kelvin),
		Low: celsius(s.Low), High: celsius(s.High), Limit: celsius(s.Most), PeakVolts: number(s.PeakVolts), Rated: number(s.Breaks),
		Avalanche: number(s.Avalanche), Stands: number(s.Stands),
	}
}
