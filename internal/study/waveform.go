package study

import (
	"fmt"
	"math"

	"cupel/internal/answer"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// waveform publishes a figure with all its points.
func waveform(f trial.Figure) answer.Waveform {
	w := answer.Waveform{Figure: extremes(f), Times: f.Record.Times}
	for _, line := range f.Record.Values {
		w.Values = append(w.Values, line)
	}
	return w
}

// extremes publishes a figure without its points.
func extremes(f trial.Figure) answer.Figure {
	a := answer.Figure{Name: f.Name, Title: answer.Text(f.Title)}
	if n := len(f.Record.Times); n > 0 {
		a.End = number(f.Record.Times[n-1])
	}
	for i, p := range f.Record.Points {
		name, unit := pointName(p)
		a.Lines = append(a.Lines, line(name, unit, f.Record.Values[i]))
	}
	for _, e := range f.Record.Events {
		a.Events = append(a.Events, answer.Event{Time: number(e.Time), Part: e.Part, What: e.What})
	}
	return a
}

func line(name, unit string, values []float64) answer.Line {
	l := answer.Line{Name: name, Unit: answer.Text(unit)}
	if len(values) == 0 {
		return l
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	l.First, l.Last = number(values[0]), number(values[len(values)-1])
	l.Low, l.High = number(low), number(high)
	return l
}

// pointName is how a point of a rig reads at the end of its line, with its unit.
func pointName(p rig.Point) (name, unit string) {
	switch p.Kind {
	case rig.CellVolts:
		return fmt.Sprintf("cell %d", p.N), "V"
	case rig.CellAmps:
		return fmt.Sprintf("cell %d current", p.N), "A"
	case rig.TapAmps:
		return fmt.Sprintf("tap %d current", p.N), "A"
	case rig.LoadVolts:
		return "load voltage", "V"
	case rig.LoadAmps:
		return "load current", "A"
	case rig.ChargeAmps:
		return "charge current", "A"
	case rig.MinusDrop:
		return "P− over B−", "V"
	case rig.ChargeDrop:
		return "charger minus over B−", "V"
	case rig.MiddleDrop:
		return "between the banks", "V"
	case rig.PinVolts, rig.PinStress:
		return p.Part + " " + p.Pin, "V"
	case rig.NetVolts:
		return "net " + p.Part, "V"
	case rig.BleedAmps:
		return fmt.Sprintf("cell %d bleed", p.N), "A"
	case rig.BleedWatts:
		return fmt.Sprintf("cell %d bleed resistor", p.N), "W"
	case rig.GateVolts:
		return p.Part + " gate", "V"
	case rig.BankVolts:
		return p.Part + " bank", "V"
	case rig.BankJoules:
		return p.Part + " bank loss", "J"
	case rig.SupplyVolts:
		return p.Part + " supply", "V"
	case rig.SenseVolts:
		return p.Part + " sense", "V"
	}
	return "unnamed", ""
}
