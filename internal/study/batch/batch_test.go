package batch_test

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"

	"cupel/internal/study/batch"
	"github.com/google/go-cmp/cmp"
	"go.uber.org/goleak"
	"pgregory.net/rapid"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// TestSameForAnyWorkers holds that neither results nor errors depend on how
// many workers there are.
func TestSameForAnyWorkers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "jobs")
		bad := rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "bad")
		run := func(workers int) (results []int, errs []string) {
			results = make([]int, n)
			for _, err := range batch.Runner(batch.Options{Workers: workers})(t.Context(), n, func(_ context.Context, i int) error {
				if bad[i] {
					return fmt.Errorf("job %d", i)
				}
				results[i] = i * i
				return nil
			}) {
				errs = append(errs, fmt.Sprint(err))
			}
			return results, errs
		}
		r1, e1 := run(1)
		rn, en := run(rapid.IntRange(0, 9).Draw(t, "workers"))
		if d := cmp.Diff(r1, rn) + cmp.Diff(e1, en); d != "" {
			t.Fatal(d)
		}
	})
}

func TestCrashIsOneJobsError(t *testing.T) {
	errs := batch.Runner(batch.Options{Workers: 3})(t.Context(), 5, func(_ context.Context, i int) error {
		if i == 2 {
			panic("index out of range")
		}
		return nil
	})
	for i, err := range errs {
		var p *batch.Panic
		if crashed := errors.As(err, &p); crashed != (i == 2) {
			t.Errorf("job %d: %v", i, err)
		}
	}
	if got, want := errs[2].Error(), "crashed: index out of range"; got != want {
		t.Errorf("error is %q, want %q", got, want)
	}
	if len(errs[2].(*batch.Panic).Stack) == 0 {
		t.Error("the crash came without its stack")
	}
}

// TestStop holds that a stopped batch lets the job that runs end, begins no
// other and says which ones were left.
func TestStop(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var began atomic.Int32
	errs := batch.Runner(batch.Options{Workers: 2})(ctx, 100, func(ctx context.Context, i int) error {
		if began.Add(1) == 4 {
			cancel()
		}
		if i >= 4 {
			<-ctx.Done()
			return ctx.Err()
		}
		return nil
	})
	left := 0
	for _, err := range errs {
		if errors.Is(err, batch.ErrNotRun) {
			left++
		}
	}
	if got := int(began.Load()); left+got != 100 || got > 6 {
		t.Errorf("%d jobs began and %d were left, of 100", got, left)
	}
}

func TestStoppedBeforeBegins(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for i, err := range batch.Runner(batch.Options{})(ctx, 3, func(context.Context, int) error { return nil }) {
		if !errors.Is(err, batch.ErrNotRun) {
			t.Errorf("job %d: %v", i, err)
		}
	}
}

func TestProgressCountsEveryJobOnce(t *testing.T) {
	var seen []int
	progress := func(done, total int) {
		if total != 20 {
			t.Errorf("total is %d", total)
		}
		seen = append(seen, done) // a race here is a callback called by two at once
	}
	batch.Runner(batch.Options{Workers: 4, Progress: progress})(t.Context(), 20, func(context.Context, int) error { return nil })
	for i, d := range seen {
		if d != i+1 {
			t.Fatalf("progress went %v", seen)
		}
	}
	if len(seen) != 20 {
		t.Errorf("progress was told %d times, want 20", len(seen))
	}
}
