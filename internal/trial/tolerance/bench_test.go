package tolerance

import (
	"context"
	"syscall"
	"testing"

	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// counted counts the runs of a rig.
type counted struct {
	*simulated.Rig
	runs int
}

func (c *counted) Dwell(ctx context.Context, s float64) error {
	c.runs++
	return c.Rig.Dwell(ctx, s)
}

func (c *counted) Capture(ctx context.Context, q rig.Capture) (rig.Record, error) {
	c.runs++
	return c.Rig.Capture(ctx, q)
}

// cpuTime is what the process has used of the processors, s: on a machine that
// others share it tells more than the clock.
func cpuTime() float64 {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// BenchmarkSample is one random board under all trials that are repeated, then
// under each: its time and its simulated runs.
func BenchmarkSample(b *testing.B) {
	for _, board := range []string{"hive-3s", "sluice-5s"} {
		bench := newBench(b, board)
		lessons := bench.lessons()
		sample := func(b *testing.B, ls []*trial.Lesson) {
			runs, iterations, began := 0, 0, cpuTime()
			for i := range b.N {
				c := &counted{Rig: bench.rig(Choice{Sample{7, uint64(i)}})}
				if _, err := trial.Repeat(context.Background(), c, ls); err != nil {
					b.Fatal(err)
				}
				runs += c.runs
				iterations += c.Iterations()
			}
			b.ReportMetric(float64(runs)/float64(b.N), "runs/op")
			b.ReportMetric(float64(iterations)/float64(b.N), "iterations/op")
			b.ReportMetric(1e3*(cpuTime()-began)/float64(b.N), "cpu-ms/op")
		}
		b.Run(board+"/all", func(b *testing.B) { sample(b, lessons) })
		b.Run(board+"/rig alone", func(b *testing.B) { sample(b, nil) })
		for _, l := range lessons {
			b.Run(board+"/"+l.Job.Name, func(b *testing.B) { sample(b, []*trial.Lesson{l}) })
		}
	}
}
