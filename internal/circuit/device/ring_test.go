package device_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
)

// TestOvershoot holds the overshoot of a series RLC on a step,
// e^(−πζ/√(1−ζ²)), for five dampings: a coil with its resistance into a
// capacitor, 1 kHz without damping.
func TestOvershoot(t *testing.T) {
	const henry, farad = 1e-3, 25.330295910584444e-6
	for _, c := range []struct{ zeta, over float64 }{{.05, .854468}, {.1, .729248}, {.2, .526621}, {.5, .163034}} {
		t.Run(fmt.Sprint(c.zeta), func(t *testing.T) {
			ohms := 2 * c.zeta * math.Sqrt(henry/farad)
			source := device.NewVoltage("step", 1, 0, device.VoltageParams{})
			run := transient.New(newton.New([]string{"0", "in", "out"}, []circuit.Element{
				source,
				device.NewInductor("coil", 1, 2, device.InductorParams{Henry: henry, Ohms: ohms}),
				device.NewCapacitor("c", 2, 0, device.CapacitorParams{Farads: farad}),
			}), nil, transient.Options{Volts: 1e-6, Amps: 1e-6})
			if err := run.Operate(); err != nil {
				t.Fatal(err)
			}
			source.SetVolts(1)
			if err := run.Disturb(); err != nil {
				t.Fatal(err)
			}
			peak, x := 0., make([]float64, len(run.X()))
			run.Watch = func(g *transient.Segment) bool {
				for theta := 0.1; theta <= 1; theta += 0.1 {
					g.At(theta, x)
					peak = math.Max(peak, x[2])
				}
				return false
			}
			if err := run.Advance(context.Background(), 1e-3); err != nil {
				t.Fatal(err)
			}
			// The integrator's local error of 1 µV a step, over some hundred steps.
			if math.Abs(peak-1-c.over) > 1e-4 {
				t.Errorf("overshoot %.6f, want %.6f", peak-1, c.over)
			}
		})
	}
}
