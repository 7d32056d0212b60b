// Package batch runs numbered jobs on all cores.
//
// What a job gives depends on its number alone, so the outcome is the same for
// any number of workers. Jobs write their results into places of their own; the
// errors come back in the order of the jobs.
package batch

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
)

// ErrNotRun is the error of a job that had not begun when the work was stopped.
var ErrNotRun = errors.New("not run: the work was stopped before")

// Panic is the error of a job that crashed. Its siblings go on.
type Panic struct {
	Value any
	Stack []byte
}

func (p *Panic) Error() string { return fmt.Sprintf("crashed: %v", p.Value) }

// Options says how to run. The zero value uses every core and tells nobody.
type Options struct {
	Workers int // 0: one a core
	// Progress is called after each job, never by two workers at once, with
	// how many are done and how many there are.
	Progress func(done, total int)
}

// Runner returns a function that runs jobs 0 to n−1 and gives their errors in
// order: nil for a job that ended well, *Panic for one that crashed, ErrNotRun
// for one that ctx kept from beginning. It returns when every job that began
// has ended.
func Runner(o Options) func(ctx context.Context, n int, do func(context.Context, int) error) []error {
	return func(ctx context.Context, n int, do func(context.Context, int) error) []error {
		b := &batch{errs: make([]error, n), do: do, progress: o.Progress}
		numbers := make(chan int)
		var workers sync.WaitGroup
		for range min(o.workers(), n) {
			workers.Go(func() { b.work(ctx, numbers) })
		}
		b.deal(ctx, numbers)
		close(numbers)
		workers.Wait()
		return b.errs
	}
}

func (o Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// batch is one run. Each job's error has one writer: the worker that ran it,
// or the dealer if none did.
type batch struct {
	errs     []error
	do       func(context.Context, int) error
	progress func(done, total int)

	mu   sync.Mutex
	done int
}

// deal hands the numbers out in order until ctx ends.
func (b *batch) deal(ctx context.Context, numbers chan<- int) {
	for i := range b.errs {
		// A select takes either branch when both are ready; ask first, so
		// that nothing begins after the end of ctx.
		if ctx.Err() == nil {
			select {
			case numbers <- i:
				continue
			case <-ctx.Done():
			}
		}
		b.errs[i] = ErrNotRun
	}
}

func (b *batch) work(ctx context.Context, numbers <-chan int) {
	for i := range numbers {
		b.errs[i] = b.one(ctx, i)
		b.tell()
	}
}

// one runs job i and turns its crash into an error.
func (b *batch) one(ctx context.Context, i int) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = &Panic{Value: v, Stack: debug.Stack()}
		}
	}()
	return b.do(ctx, i)
}

func (b *batch) tell() {
	if b.progress == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.done++
	b.progress(b.done, len(b.errs))
}
