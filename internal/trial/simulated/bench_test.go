package simulated_test

import (
	"context"
	"testing"

	"cupel/internal/trial"
	"cupel/internal/trial/simulated"
)

// One cell's overcharge with its release: some forty runs of a few seconds.
func BenchmarkOvercharge(b *testing.B) {
	r := newRig(b, "sluice-5s")
	for b.Loop() {
		j := trial.Overcharge{}.Jobs(r.Can())[0]
		if _, _, err := j.Run(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}

// The discharge overcurrent trial at half-full cells, all stages.
func BenchmarkOvercurrent(b *testing.B) {
	r := newRig(b, "sluice-5s")
	for b.Loop() {
		j := trial.DischargeOvercurrent{}.Jobs(r.Can())[0]
		if _, _, err := j.Run(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}

// A rig made from a board: elaborated, laid out, brought to rest.
func BenchmarkNew(b *testing.B) {
	board, make := demoBoard(b, "sluice-5s")
	for b.Loop() {
		if _, err := simulated.New(board, make, simulated.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
